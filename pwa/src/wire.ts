// Every shape that crosses a border: page <-> workings (JSON text) and
// page <-> server (HTTP). Names are the wire's own, hence the underscores.

export type Place = string; // "STEP" or "STEP@POSITION"
export type Hash = string;
export type Kid = string;

export interface PublicJwk {
  kty: "EC";
  crv: "P-256";
  x: string;
  y: string;
}

// ---- what the workings answer -------------------------------------------

export interface Shown {
  text: string;
  number: string;
  whole: string;
  num: string;
  den: string;
  unit: string;
  spoken: string;
}

export type Run =
  | { t: string }
  | { v: Shown; name: string; label: string; working: boolean }
  | { missing: string; name: string };
export type Runs = Run[];

export type TieState = "done" | "open" | "shut" | "off" | "waiting";
export type Signal = "stop" | "clear" | "waiting" | "lapsed";

export interface LineItem {
  place: Place;
  kind: "step" | "hold" | "witness";
  state: TieState;
  signal?: Signal;
  label: string;
  section: string;
  position: string | null;
  any_time: boolean;
}

export interface Frame {
  card: string;
  engine: string;
  title: string;
  version: string;
  procedure: string;
  procedure_version: string;
  notice: string;
  line: LineItem[];
  here: Place | null; // null on a closed card
  words: string;
  closed: boolean;
  problems: string[];
  for_me: Place[];
  vocabulary: string;
  jurisdiction: string;
  people: string[];
}

export type Verdict = "inside" | "outside" | "too_close" | "good" | "bad" | "none" | "missing";
export type SignalWord = "danger" | "warning" | "caution" | "notice";

export interface Caution {
  signal: SignalWord;
  symbol: string | null;
  words: string;
}

export interface Unit {
  id: string;
  label: string;
  fractions: boolean;
}

// One reading as it was kept: who measured, who wrote it down, by which gauge.
export interface Read {
  entry: Hash;
  shown: Shown;
  text_as_typed: string;
  who: string;
  wrote: string;
  at: string;
  gauge: string | null;
  calibrated: string | null;
  from: string | null;
}

export interface ReadingValue extends Read {
  verdict: Verdict;
  verdict_words: string;
  uncertainty: string | null;
  conceded: string | null;
}

export interface Try extends Read {
  counts: boolean;
  replaced: boolean;
  struck: boolean;
  words: string;
}

export interface Reading {
  name: string;
  label: string;
  kind: "number" | "words";
  dimension: string;
  units: Unit[];
  unit: string;
  words: string[];
  required: boolean;
  tries: boolean;
  gauge: { label: string; resolution: string; uncertainty: string } | null;
  gauges: { id: string; label: string }[];
  lower: string | null;
  upper: string | null;
  limit_source: string | null;
  value: ReadingValue | null;
  beside: Read[];
  table: Try[];
  trouble: string | null;
  help: string | null;
}

export interface Judged {
  name: string;
  label: string;
  shown: Shown | null;
  missing: string | null;
  lower: string | null;
  upper: string | null;
  limit_source: string | null;
  verdict: Verdict;
  verdict_words: string;
  uncertainty: string | null;
  conceded: string | null;
  trouble: string | null;
}

export interface ComputedValue {
  name: string;
  label: string;
  shown: Shown | null;
  missing: string | null;
}

export interface Way {
  name: string;
  label: string;
  words: string[];
  value: Read | null;
  beside: Read[];
}

export interface Check {
  id: string;
  words: Runs;
  ticked: { who: string; at: string; entry: Hash } | null;
  can: boolean;
}

export interface Drawing {
  title: string;
  alt: string;
  svg: string;
}

export interface NoteMade {
  entry: Hash;
  kind: "note" | "photo" | "voice";
  text: string;
  who: string;
  at: string;
  blob: string | null;
  type: string | null;
  struck: boolean;
}

export interface StepView {
  place: Place;
  kind: "step" | "witness";
  title: string;
  number: number;
  of: number;
  section: string;
  position: string | null;
  state: TieState;
  state_words: string;
  waits: string[];
  cautions: Caution[];
  text: Runs[];
  notes: string[];
  if_out: string | null;
  drawing: Drawing | null;
  no_stopping: boolean;
  any_time: boolean;
  stretch: Place[];
  in_order: boolean;
  readings: Reading[];
  judged: Judged[];
  values: ComputedValue[];
  way: Way | null;
  checks: Check[];
  done: { who: string; at: string; entry: Hash } | null;
  say_done: { can: boolean; why: string | null };
  witness: { who: string; words: string; lines: string[] } | null;
  credit: string | null;
  next: Place | null;
  back: Place | null;
  notes_made: NoteMade[];
}

export interface Covered {
  words: string;
  who: string;
  at: string;
  verdict: Verdict;
  verdict_words: string;
  place: Place | null;
  kind: string;
  entry: Hash;
}

export interface HoldView {
  place: Place;
  title: string;
  section: string;
  number: number;
  of: number;
  position: string | null;
  signal: Signal;
  words: string[];
  needs: string[];
  covered: Covered[];
  judged: Judged[];
  concessions: string[];
  struck: string[];
  doubts: string[];
  open_doubts: { entry: Hash; words: string }[];
  fallen: string[];
  did_work: string[];
  may_sign: { person: string; name: string; keys: Kid[]; bar: string | null }[];
  own_decisions: Record<string, string[]>;
  signed: { who: string; at: string; kid: Kid; entry: Hash; fingerprint: string } | null;
  can_sign: boolean;
  next: Place | null;
  back: Place | null;
  gaps: string[];
}

export interface WorkingView {
  name: string;
  title: string;
  label: string;
  shown: Shown | null;
  missing: string | null;
  uncertainty: string | null;
  lines: { formula_svg: string; numbers_svg: string | null; spoken: string }[];
  readings: {
    label: string;
    shown: Shown | null;
    who: string | null;
    at: string | null;
    gauge: string | null;
    origin: string | null;
    entry: Hash | null;
  }[];
  assumptions: string[];
  cautions: string[];
  sources: string[];
  budget: { label: string; share: string }[];
  doubts: { entry: Hash; words: string; answered: boolean }[];
}

export interface CardLine {
  card: string;
  title: string;
  engine: string;
  words: string;
  closed: boolean;
  here: Place | null;
  for_me: Place[];
  line: { place: Place; kind: LineItem["kind"]; state: TieState; signal?: Signal }[];
}

export interface BookList {
  for_me: CardLine[];
  engines: { engine: string; name: string; class: string; cards: CardLine[] }[];
}

export interface HistoryLine {
  hash: Hash;
  kind: string;
  words: string;
  who: string;
  person: string | null;
  at: string;
  state: string;
  counts: boolean;
  struck: boolean;
  why: string | null;
  kid: Kid;
  may_strike: boolean;
  place?: Place;
}

export interface ProcedureHeld {
  digest: string;
  id: string;
  version: string;
  title: string;
  summary: string;
  repeats: string[];
}

export interface EngineHeld {
  engine: string;
  name: string;
  class: string;
  positions: string[];
}

export interface Person {
  person: string;
  name: string;
  roles: string[];
  keys: Kid[];
}

export interface Echo {
  ok: boolean;
  echo: string;
  message: string | null;
  verdict: Verdict | null;
  verdict_words: string;
}

// The body of a draft may be partial: the book fills in what was shown, the
// lists and the digests. What a person gives is here.
export type DraftBody =
  | {
      kind: "reading";
      name: string;
      text: string;
      unit: string;
      measured_by: string;
      gauge?: string;
      from?: "board";
    }
  | { kind: "check"; check: string }
  | { kind: "said-done" }
  | { kind: "way"; name: string; text: string }
  | { kind: "sign-off" }
  | { kind: "strike-out"; entry: Hash; why: string }
  | { kind: "choice"; name: string; holds: Hash }
  | { kind: "concession"; name: string; why: string; until: string }
  | { kind: "doubt"; name?: string; entry?: Hash; why: string }
  | { kind: "answer"; doubt: Hash; why: string }
  | { kind: "acceptance"; entries: Hash[]; why: string }
  | { kind: "invitation" | "presence"; who: string }
  | { kind: "waiver"; why: string }
  | { kind: "note"; text: string }
  | { kind: "photo"; blob: string; type: string; size: number; text?: string }
  | {
      kind: "opening";
      card: string;
      engine: string;
      procedure: string;
      title: string;
      positions: { id: string; label: string }[];
    };

export interface Asks {
  // A book begins with the root it stands on. `kept` is what an earlier book of
  // the same build worked out at length, given back to spare it that work.
  begin: { ask: { root: Kid | null; kept: unknown }; ok: unknown };
  kept: { ask: Record<never, never>; ok: unknown };
  take_procedures: { ask: { texts: string[]; kept: boolean }; ok: unknown };
  // What the phone's own store holds was read strictly before it was put there.
  take_kept: { ask: { entries: { hash: Hash; kid: Kid; payload: unknown }[] }; ok: unknown };
  take: {
    ask: { entries: string[] };
    ok: { taken: number; refused: { index: number; message: string }[] };
  };
  key_of: { ask: { kid: Kid }; ok: { jwk: PublicJwk | null; person: string | null } };
  people: { ask: Record<never, never>; ok: Person[] };
  root: { ask: Record<never, never>; ok: { kid: Kid | null; fingerprint: string } };
  list: { ask: { me: string | null }; ok: BookList };
  procedures: { ask: Record<never, never>; ok: ProcedureHeld[] };
  engines: { ask: Record<never, never>; ok: EngineHeld[] };
  card: { ask: { card: string; me: string | null }; ok: Frame };
  step: { ask: { card: string; place: Place; me: string | null }; ok: StepView };
  hold: { ask: { card: string; place: Place; me: string | null }; ok: HoldView };
  working: { ask: { card: string; place: Place; name: string }; ok: WorkingView };
  history: { ask: { card: string }; ok: HistoryLine[] };
  echo: { ask: { card: string; place: Place; name: string; text: string; unit: string }; ok: Echo };
  draft: {
    ask: {
      kind: string;
      about: string;
      kid: Kid;
      number: number;
      at: string;
      body: Record<string, unknown>;
      place?: Place;
    };
    ok: { signing_inputs: string[]; hashes: Hash[] } | { refused: string };
  };
}

export type AskName = keyof Asks;

export interface AskError {
  input: string | null;
  message: string;
}

// ---- the server ----------------------------------------------------------

export interface ServerError {
  error: { code: string; message: string; input: string | null; accepted: string | null };
}

export interface EnrolRequest {
  code: string;
  key: PublicJwk;
  proof: string;
  device_proof: string;
}

export interface Session {
  token: string;
  expires_at: string;
}

export interface EnrolAnswer {
  person: string;
  name: string;
  entries: string[];
  root: Kid;
  session: Session;
}

export interface PushAnswer {
  epoch: string;
  answers: {
    hash: Hash | null;
    answer: "appended" | "here" | "refused";
    code: string | null;
    message: string | null;
    position: number | null;
  }[];
}

export interface PullAnswer {
  epoch: string;
  entries: { position: number; jws: string }[];
  last: number;
  more: boolean;
}

export interface ProcedureLine {
  id: string;
  title: string;
  version: string;
  digest: string;
}

export interface InvitationAnswer {
  code: string;
  link: string;
  expires_at: string;
}
