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
  ],
  { query: "?raw", import: "default", eager: true },
) as Record<string, string>;

const heap = 24 << 20;

async function start(): Promise<(text: string) => string> {
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
  return (text) => answer(text);
}

const ready = start();

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
    const answer = await ready;
    foldFirst(answer, text);
    self.postMessage({ id, text: answer(text) });
  } catch (problem) {
    // Only a defect comes here: refusals are answers. The page says it plainly.
    self.postMessage({ id, failed: String(problem) });
  }
};
