// Loads MicroPython and the same workings that the server runs, and answers
// questions as JSON text. Numbers never cross the border as numbers: whole
// ones would be cut to 32 bits.
import { loadMicroPython } from "@micropython/micropython-webassembly-pyscript/micropython.mjs";
import wasmUrl from "@micropython/micropython-webassembly-pyscript/micropython.wasm?url";

// What checks a draft of a procedure stays with the server, which publishes
// nothing unchecked; a phone holds published versions, by their digest.
const sources = import.meta.glob(
  [
    "../../../server/workings/**/*.py",
    "!../../../server/workings/procedure_check.py",
    "!../../../server/workings/procedure_formulas.py",
    "!../../../server/workings/procedure_names.py",
    "!../../../server/workings/procedure_form.py",
    "!../../../server/workings/procedure_fields.py",
    "!../../../server/workings/{boiler,cylinder,published,repeats,sleeves,springs,stay_map,stays}.py",
  ],
  { query: "?raw", import: "default", eager: true },
) as Record<string, string>;

// Subjects that the first card does not need come after it, and are waited for
// by whoever asks for one of them.
const later = import.meta.glob(
  "../../../server/workings/{boiler,cylinder,published,repeats,sleeves,springs,stay_map,stays}.py",
  { query: "?raw", import: "default" },
) as Record<string, () => Promise<string>>;

const heap = 24 << 20;

interface Desk {
  answer: (text: string) => string;
  write: (path: string, text: string) => void;
}

async function start(): Promise<Desk> {
  const python = await loadMicroPython({ url: wasmUrl, heapsize: heap, pystack: 8192 });
  python.FS.mkdir("/workings");
  const write = (path: string, text: string) => {
    python.FS.writeFile(path.slice(path.lastIndexOf("/workings/")), text);
  };
  for (const [path, text] of Object.entries(sources)) write(path, text);
  python.runPython("import sys\nsys.path.insert(0, '/')");
  const facade = python.pyimport("workings.facade");
  const answer = facade.answer;
  if (!answer) throw new Error("The workings have no answer to give: workings/facade.py lacks answer().");
  return { answer: (text) => answer(text), write };
}

const ready = start();

let laterOnes: Promise<void> | undefined;
function lateSubjects(): Promise<void> {
  laterOnes ??= (async () => {
    const { write } = await ready;
    for (const [path, text] of Object.entries(later)) write(path, await text());
  })();
  return laterOnes;
}

// An import that fails leaves nothing behind, so the same question can be asked again.
async function answerTo(text: string): Promise<string> {
  const { answer } = await ready;
  try {
    foldFirst(answer, text);
    return answer(text);
  } catch (problem) {
    if (!String(problem).includes("ImportError")) throw problem;
    await lateSubjects();
    foldFirst(answer, text);
    return answer(text);
  }
}

// What is asked of a card needs it folded. That is done a few steps a question,
// because MicroPython clears away only between questions: one long question
// would leave a heap so large that every later one is slow.
const folded = new Set(["list", "card", "step", "hold", "history", "working", "echo", "draft"]);

function foldFirst(answer: (text: string) => string, text: string): void {
  const asked = JSON.parse(text) as { ask: string; card?: string; about?: string };
  if (!folded.has(asked.ask)) return;
  if (asked.about !== undefined && !asked.about.startsWith("card:")) return;
  const card = asked.card ?? asked.about?.slice("card:".length) ?? null;
  const question = JSON.stringify({ ask: "fold_on", card });
  while ((JSON.parse(answer(question)) as { ok: { more: boolean } }).ok.more) {}
}

self.onmessage = async (message: MessageEvent<{ id: number; text: string }>) => {
  const { id, text } = message.data;
  try {
    self.postMessage({ id, text: await answerTo(text) });
  } catch (problem) {
    // Only a defect comes here: refusals are answers. The page says it plainly.
    self.postMessage({ id, failed: String(problem) });
  }
};
