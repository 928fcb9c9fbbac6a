// Loads MicroPython and the same workings that the server runs, and answers
// questions as JSON text. Numbers never cross the border as numbers: whole
// ones would be cut to 32 bits.
import { loadMicroPython } from "@micropython/micropython-webassembly-pyscript/micropython.mjs";
import wasmUrl from "@micropython/micropython-webassembly-pyscript/micropython.wasm?url";

const sources = import.meta.glob("../../../server/workings/**/*.py", {
  query: "?raw",
  import: "default",
  eager: true,
}) as Record<string, string>;

const heap = 24 << 20;

async function start(): Promise<(text: string) => string> {
  const python = await loadMicroPython({ url: wasmUrl, heapsize: heap });
  const made = new Set<string>();
  python.FS.mkdir("/workings");
  for (const [path, text] of Object.entries(sources)) {
    const inside = path.slice(path.indexOf("/workings/"));
    const folders = inside.split("/").slice(1, -1);
    for (let depth = 2; depth <= folders.length; depth++) {
      const folder = `/${folders.slice(0, depth).join("/")}`;
      if (!made.has(folder)) python.FS.mkdir(folder);
      made.add(folder);
    }
    python.FS.writeFile(inside, text);
  }
  python.runPython("import sys\nsys.path.insert(0, '/')");
  const facade = python.pyimport("workings.facade");
  const answer = facade.answer;
  if (!answer) throw new Error("The workings have no answer to give: workings/facade.py lacks answer().");
  return (text) => answer(text);
}

const ready = start();

self.onmessage = async (message: MessageEvent<{ id: number; text: string }>) => {
  const { id, text } = message.data;
  try {
    const answer = await ready;
    self.postMessage({ id, text: answer(text) });
  } catch (problem) {
    // Only a defect comes here: refusals are answers. The page says it plainly.
    self.postMessage({ id, failed: String(problem) });
  }
};
