// Every text the app itself says, in one place, so that it can be translated.
// What the procedure or the workings say is theirs and comes as it is.
import type { Signal, SignalWord, TieState } from "./wire";

const plural = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`;

export const words = {
  app: "Trammel",
  loading: "Opening the book…",

  frame: {
    book: "Book",
    backToBook: "Back to the book",
    skip: "Skip to the work",
    road: "Line of road",
    nobody: "Nobody",
    holds: (name: string) => `${name} holds this phone`,
    nobodyHolds: "Nobody holds this phone",
    noteIt: "Note it",
    back: "Back",
  },

  tie: {
    done: "done",
    open: "open",
    shut: "shut",
    off: "not on this way",
    waiting: "waiting",
  } satisfies Record<TieState, string>,
  tieKind: { step: "Step", hold: "Hold point", witness: "Witness point" },
  youAreHere: "you are here",

  signal: {
    stop: "Stop",
    clear: "Clear",
    waiting: "Waiting",
    lapsed: "Lapsed",
  } satisfies Record<Signal, string>,

  signalWord: {
    danger: "Danger",
    warning: "Warning",
    caution: "Caution",
    notice: "Notice",
  } satisfies Record<SignalWord, string>,

  strip: {
    onlyHere: (n: number) => (n === 0 ? "All sent" : `${n} only here`),
    sent: (when: string) => `sent ${when}`,
    neverSent: "never sent",
    asOf: (when: string) => `others as of ${when}`,
    neverPulled: "others not read yet",
    running: "sending…",
    reading: (n: number) => `reading, ${n} so far`,
    locked: "Locked: open with your PIN",
    nobody: "Nobody holds this phone: say who you are",
    refused: (n: number) => `${plural(n, "entry was", "entries were")} turned away by the server. See why.`,
    full: "The phone's storage is nearly full. See what is kept.",
    fresh: "A new version is ready. Use it",
    freshWaits: "A new version is ready. It waits until nothing is half typed.",
    detail: "What is kept here",
  },

  trouble: {
    epochs: "The server's log keeps starting anew. Tell the keeper.",
    fewerAnswers: "The server answered for fewer entries than it was given. Tell the keeper.",
    noProgress: "The server says there is more to read and gives nothing new. Tell the keeper.",
    procedure: (title: string) =>
      `The procedure “${title}” did not arrive as it was published. Tell the keeper.`,
    unreadable: "An entry from the server cannot be read here and was not stored.",
    unknownKey: (kid: string) =>
      `An entry from the server is signed by a key that the crew register does not know (${kid}). It was not stored. Tell the keeper.`,
    badSignature: (hash: string) =>
      `An entry from the server does not carry the signature it claims (${hash}). It was not stored. Tell the keeper.`,
  },

  problems: (n: number) =>
    n === 1 ? "One thing on this card needs somebody" : `${n} things on this card need somebody`,

  list: {
    title: "The book",
    search: "Search engine, job or number",
    forMe: "Waits for me",
    book: "Engines",
    none: "No job card is open yet.",
    nobodyYet: "This phone is nobody's yet. Open the link that a lead gave you, or type its code.",
    code: "Type the code",
    goOn: (engine: string) => `Go on with ${engine}`,
    nothingFound: (text: string) => `No card here has “${text}” in its name.`,
    open: "Open a job card",
    closed: "closed",
    people: "People",
    settings: "Settings",
    more: "More",
    stillReading: "Reading from the server…",
  },

  step: {
    of: (n: number, of: number) => `Step ${n} of ${of}`,
    shut: "Shut",
    waiting: "Waiting",
    doneBy: (who: string, when: string) => `Done. ${who}, ${when}`,
    readings: "Readings",
    checks: "Checks",
    inOrder: "Checks, one after the other",
    values: "From the readings",
    way: "Which way",
    notes: "Notes",
    made: "Noted here",
    noStopping: "No stopping",
    noStoppingWords: "Nothing is typed and nobody is waited for until this stretch is through.",
    ifOut: "If it is out",
    limits: "limits",
    between: (lower: string, upper: string) => `${lower} to ${upper}`,
    atLeast: (lower: string) => `at least ${lower}`,
    atMost: (upper: string) => `at most ${upper}`,
    gauge: (label: string, uncertainty: string) => `${label} ± ${uncertainty}`,
    wrote: (who: string, writer: string, when: string) => `${who}, written by ${writer}, ${when}`,
    fromBoard: "from the board",
    optional: "if you can",
    blank: "not taken yet",
    waitsFor: (what: string) => `waits for ${what}`,
    by: (who: string, when: string) => `${who}, ${when}`,
    typed: (text: string) => `typed ${text}`,
    beside: "Two readings stand side by side",
    besideWords:
      "Nobody's number is lost. A lead chooses which one holds, or one of you strikes out his own.",
    holdsThis: "This one holds",
    tries: "Tries",
    last: "counts",
    replaced: "replaced",
    struck: "struck out",
    again: "Measure again",
    change: "Change",
    choose: "Choose",
    conceded: "Under concession",
    concede: "Concede",
    working: "show the working",
    halfTyped: "half typed",
    drawing: "Drawing",
    emptyTry: "No try yet",
    ticked: (who: string, when: string) => `${who}, ${when}`,
  },

  act: {
    takeReading: "Take reading",
    keepReading: "Keep reading",
    tick: "Tick the next check",
    done: "Done, go on",
    goOn: "Go on",
    finish: "To the book",
    askSignature: "Go to the signal",
    sign: "Sign",
    signAgain: "Sign again",
    showNeeds: "Go to what is missing",
    chooseWay: "Choose the way",
    keep: "Keep",
    close: "Close",
    cancel: "Leave it",
    back: "Back",
    send: "Send now",
  },

  pad: {
    title: (label: string) => `Number pad for ${label}`,
    and: "and",
    andSpoken: "and: next comes the fraction",
    sign: "±",
    signSpoken: "plus or minus",
    point: ".",
    pointSpoken: "point",
    rub: "⌫",
    rubSpoken: "rub out the last",
    over: (n: number) => `over ${n}`,
    keyboard: "Keyboard",
    pad: "Number pad",
    unit: "Unit",
    measuredBy: "Measured by",
    gauge: "Gauge",
    noGauge: "no gauge named",
    board: "From the board",
    empty: "Type what you read.",
    echoFirst: "It is read back here in the other system.",
    more: "Who measured, gauge",
  },

  verdict: {
    inside: "inside",
    outside: "outside",
    too_close: "too close",
    good: "good",
    bad: "bad",
    none: "",
  },

  hold: {
    kicker: "Hold point",
    for: (position: string) => `for ${position}`,
    needs: "Not ready to be signed yet",
    judged: "Held to limits",
    covers: "What is signed",
    decisions: "The engine's data and decisions",
    none: "Nothing is kept here yet.",
    concessions: "Concessions",
    struck: "Struck out",
    doubts: "Doubts",
    fallen: "Why the arm fell",
    didWork: "Did the work",
    maySign: "May sign",
    nobodyMay: "Nobody on the register may sign here yet.",
    notHere: "has no key on this phone",
    signedBy: (who: string, when: string) => `Signed by ${who}, ${when}`,
    key: (kid: string) => `key ${kid}`,
    choose: "Who signs?",
    own: "Your own decisions here",
    readOut: "Read these out before you sign.",
    pinFor: (name: string) => `${name}, your PIN`,
    signs: (n: number) => `Signs for ${plural(n, "entry", "entries")}.`,
    raised: "The arm is raised. The way is clear.",
    witness: "Witness point",
  },

  working: {
    kicker: "Working",
    formula: "Formula",
    numbers: "With the numbers",
    readings: "Readings behind it",
    budget: "Where the uncertainty comes from",
    assumptions: "Assumed",
    cautions: "Take care",
    sources: "Sources",
    doubt: "I doubt this",
    doubtWhy: "What makes you doubt it?",
    doubtKept: "The doubt is kept. A lead answers it.",
    answered: "answered",
  },

  history: {
    title: "Everything on this card",
    counts: "counts",
    not: "does not count",
    struck: "struck out",
    all: "All entries",
    only: "Only what does not count",
    none: "Nothing is on this card yet.",
    strike: "Strike out",
    answer: "Answer the doubt",
    accept: "Accept it",
    acts: {
      "strike-out": {
        title: "Strike out this entry?",
        words: "It stays legible, with your name and the reason.",
        why: "Why is it struck out?",
        go: "Strike out",
      },
      answer: {
        title: "Answer this doubt",
        words: "The doubt and your answer both stay on the card.",
        why: "What is the answer?",
        go: "Keep the answer",
      },
      acceptance: {
        title: "Accept this entry?",
        words: "It then counts as if it had known the sign-off before it.",
        why: "Why can it be accepted?",
        go: "Accept it",
      },
    },
    link: "Everything on this card",
    key: (kid: string) => `key ${kid.slice(0, 8)}`,
    goThere: "Go there",
  },

  witness: {
    title: (who: string) => `Witness: ${who}`,
    invitation: "Asked to come",
    presence: "Was there",
    waiver: "Not waited for",
    who: "Who",
    why: "Why nobody was waited for",
  },

  packet: {
    link: "The packet on paper",
    title: "The packet on paper",
    words: "The same words, drawings and order as here, in black on white, as a PDF from the server.",
    kind: "What it is for",
    filled: "Filled, to keep",
    blank: "Blank, to work from",
    paper: "Paper",
    make: "Make the packet",
    making: "Making it…",
    needsServer: "The packet is made by the server, and it does not answer now.",
    unsent: (n: number) =>
      `${plural(n, "entry is", "entries are")} only on this phone yet and not on the paper.`,
  },

  concession: {
    title: "Let it stand under concession",
    why: "Why can it stand?",
    until: "Until when",
    close: "until this card closes",
    hold: (label: string, position: string | null) =>
      `until the hold point “${label}”${position ? `, ${position}` : ""}`,
  },

  note: {
    title: "Note it",
    text: "Note",
    placeholder: "What the next one should know",
    photo: "Take a photo",
    photoAgain: "Take another photo instead",
    photoTaken: "The photo goes with the note.",
    keep: "Keep note",
    about: (where: string) => `Goes with: ${where}`,
    empty: "Write something or take a photo.",
    tooLarge: (size: string, most: string) =>
      `The photo has ${size}; at most ${most} can be kept. Take it again, smaller.`,
    photoAlt: (who: string) => `Photo by ${who}`,
    photoNotHere: "The photo is on another phone and comes when there is a network.",
  },

  who: {
    title: "Who holds this phone?",
    open: "Open",
    openTitle: (name: string) => `${name}, your PIN`,
    handOver: "Hand over the phone",
    handOverWords: "Closes the key. What is half typed stays.",
    lookOnly: "Just look, keep nothing",
    add: "Add a person to this phone",
    addWords:
      "A lead makes a link for that person (More, People). Open the link on this phone, or type its code here.",
    code: "Code from the link",
    codeGo: "Go on",
    codeBad: "A code is letters and digits as the lead gave it, or the whole link.",
    pending: "not finished: the server has not answered",
    none: "Nobody is enrolled on this phone yet.",
    holding: "holds it now",
    locked: "locked, open it with the PIN",
  },

  pin: {
    label: "PIN",
    wrong: "That is not the PIN.",
    wrongWait: (seconds: number) => `That is not the PIN. Try again in ${waitWords(seconds)}.`,
    wait: (seconds: number) => `Too many wrong PINs. Try again in ${waitWords(seconds)}.`,
    short: "A PIN has six digits or more.",
    differ: "The two are not the same. Type both again.",
    rub: "rub out the last digit",
    digits: (n: number) => plural(n, "digit typed", "digits typed"),
    show: "Open",
    working: "Checking…",
    forgotten: "PIN forgotten?",
    forgot:
      "A PIN cannot be read out or changed from outside. Ask a lead to withdraw this key and make you a new link.",
  },

  enrol: {
    title: "Join the shop",
    hello: "Your key on this phone",
    words:
      "Choose a PIN of six digits or more. It opens your signing key on this phone, and every sign-off asks for it again.",
    first: "Choose your PIN",
    second: "The same PIN again",
    go: "Make my key",
    making: "Making your key and asking the server…",
    noAnswer: "The server does not answer. Your key is kept on this phone; send it when there is a network.",
    again: "Ask the server again",
    done: (name: string) => `Welcome, ${name}`,
    doneWords: "Your key is on this phone. Compare the shop's fingerprint with the one on paper:",
    toBook: "Open the book",
    device: "Name of this phone",
    other: (name: string) => `This link is for ${name}, who has a key on this phone already.`,
  },

  people: {
    title: "People",
    none: "The crew register has not been read yet.",
    roles: { mechanic: "mechanic", lead: "lead", keeper: "keeper" } as Record<string, string>,
    noRole: "no role",
    here: "key on this phone",
    keys: (n: number) => plural(n, "key", "keys"),
    invite: "Make a link",
    link: (name: string) => `Link for ${name}`,
    linkWords: (until: string) =>
      `Open it on the phone that is to carry the key. It works once, until ${until}.`,
    copy: "Copy the link",
    copied: "Copied.",
    needsServer: "A link is made by the server, and it does not answer now.",
  },

  kept: {
    title: "What is kept here",
    onlyHere: "Only on this phone",
    entries: (n: number) => plural(n, "entry", "entries"),
    lastSent: "Last sent",
    lastPulled: "Others as of",
    never: "never",
    all: "Kept in all",
    storage: "Storage used",
    storageOf: (used: string, of: string) => `${used} of ${of}`,
    persisted: "The browser has promised not to clear it by itself.",
    notPersisted:
      "The browser may clear it when space runs short. Install the app to the home screen to prevent that.",
    refused: "Turned away by the server",
    fingerprint: "The shop's fingerprint",
    fingerprintWords: "The same stands on every packet. If it differs, stop and ask the keeper.",
    noRoot: "Not enrolled yet.",
    halfTyped: "Half typed",
    halfTypedNone: "Nothing is half typed.",
    trouble: "Sending has stopped",
    noAnswer: "The server does not answer. Work goes on; it is sent when it does.",
    running: "Sending…",
    resting: "Nothing waits to be sent.",
    version: "Version",
  },

  open: {
    title: "Open a job card",
    engine: "Engine",
    noEngines: "No engine's data sheet has been read from the server yet.",
    version: (number: string) => `version ${number}`,
    procedure: "Procedure",
    noProcedures: "No procedure has been read from the server yet.",
    jobTitle: "Name of the job",
    positions: (label: string) => `${label}: one to a line, in the order they are worked`,
    positionHint: (label: string, n: number) => `${label} ${n}`,
    addPosition: "Add one more",
    removePosition: "Take out",
    go: "Open the card",
    needTitle: "Give the job a name.",
    needPositions: (label: string) => `Name at least one ${label}.`,
    onlyLead: "A lead opens a job card.",
  },

  settings: {
    title: "Settings",
    theme: "Light",
    system: "As the phone",
    light: "Daylight",
    dark: "Pit",
    pad: "Numbers are typed with",
    ownPad: "the number pad",
    keyboard: "the phone's keyboard",
    about: "About",
    aboutWords:
      "Trammel keeps the job cards of a shop that brings old machines back to work. Local codes, the responsible engineer and the inspector have the last word.",
  },

  wide: { pick: "Pick a job card on the left." },

  problem: {
    start: "The book could not be opened on this phone.",
    startStorage:
      "The browser refuses to store anything here. Leave private browsing, or allow this site to keep data.",
    workings: "The calculations could not be started.",
    again: "Try again",
    noPage: "There is no such page here.",
    noCard: "This card is not on this phone yet. It comes with the next reading from the server.",
    lockedFirst: "Open with your PIN, then it is kept. What you typed stays.",
    otherVersion: "Another tab holds an older version. Close it, then this one goes on.",
  },
};

function waitWords(seconds: number): string {
  return seconds < 90
    ? plural(seconds, "second", "seconds")
    : plural(Math.ceil(seconds / 60), "minute", "minutes");
}

// "09:42" today, "24 Nov 16:05" before, with the year once it is another one.
export function when(at: string | null, now = new Date()): string {
  if (!at) return "";
  const then = new Date(at);
  if (Number.isNaN(then.getTime())) return at;
  const time = then.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  if (then.toDateString() === now.toDateString()) return time;
  const withYear = then.getFullYear() !== now.getFullYear();
  const day = then.toLocaleDateString("en-GB", {
    day: "numeric",
    month: "short",
    ...(withYear ? { year: "numeric" as const } : {}),
  });
  return `${day} ${time}`;
}

export function size(bytes: number): string {
  if (bytes < 1_000_000) return `${Math.max(1, Math.round(bytes / 1_000))} kB`;
  if (bytes < 1_000_000_000) return `${(bytes / 1_000_000).toFixed(1)} MB`;
  return `${(bytes / 1_000_000_000).toFixed(1)} GB`;
}
