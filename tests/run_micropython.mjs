// The shared cases under MicroPython, the interpreter of the phone: node tests/run_micropython.mjs
//
// Runs every file of tests/cases. With --compare FILE it holds the answers in FILE, made by CPython
// one JSON line each, against MicroPython's own. Prints what differs and fails on the first of any.
// With --fold FILE OUT it folds the cards in FILE, one JSON line each, and writes their states to OUT.
// MicroPython comes from the phone app's packages, or from the folder in TRAMMEL_MICROPYTHON.

import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const TESTS = dirname(fileURLToPath(import.meta.url));
const ROOT = dirname(TESTS);
const PACKAGE =
  process.env.TRAMMEL_MICROPYTHON ??
  join(ROOT, "pwa/node_modules/@micropython/micropython-webassembly-pyscript");
const entry = join(PACKAGE, "micropython.mjs");
if (!existsSync(entry)) {
  console.error(`MicroPython is not at ${PACKAGE}: run npm ci in pwa, or set TRAMMEL_MICROPYTHON to its folder.`);
  process.exit(2);
}

const { loadMicroPython } = await import(pathToFileURL(entry).href);
// Lines of a print come through stdout; a Python error comes out of runPython.
const python = await loadMicroPython({ heapsize: 32 << 20, stdout: (line) => console.log(line) });

function mount(from, to, keep) {
  python.FS.mkdirTree(to);
  for (const name of readdirSync(from).filter(keep)) {
    python.FS.writeFile(`${to}/${name}`, readFileSync(join(from, name)));
  }
}

mount(join(ROOT, "server/workings"), "/workings", (name) => name.endsWith(".py"));
mount(TESTS, "/tests", (name) => ["shared_cases.py", "working_cases.py", "crew.py"].includes(name));
mount(join(TESTS, "cases"), "/cases", (name) => name.endsWith(".json"));
python.runPython('import sys\nsys.path.insert(0, "/")\nsys.path.insert(1, "/tests")');

let wrong = 0;
function report(name, call) {
  const started = Date.now();
  python.runPython(`
import json
count, troubles = ${call}
report = json.dumps([count, troubles])
`);
  const [count, troubles] = JSON.parse(python.globals.get("report"));
  for (const trouble of troubles) console.log(`  ${trouble}`);
  console.log(`${name}: ${count} cases, ${troubles.length} wrong, ${Date.now() - started} ms`);
  // A file without cases proves nothing, and is a mistake.
  wrong += count === 0 ? 1 : troubles.length;
}

const cards = process.argv.indexOf("--fold");
if (cards > 0) {
  const states = [];
  for (const line of readFileSync(process.argv[cards + 1], "utf-8").split("\n")) {
    // A card a call: MicroPython clears away only between them.
    python.FS.writeFile("/card", line);
    python.runPython(`
import json, crew
from workings.book import Book
given = json.loads(open("/card", encoding="utf-8").read())
book = Book(given["root"])
book.take_procedure(given["procedure"])
for jws in given["entries"]:
    book.take(jws)
state = crew.entry_states(book.card(given["card"]))
`);
    states.push(python.globals.get("state"));
  }
  writeFileSync(process.argv[cards + 2], JSON.stringify(states));
  process.exit(0);
}

const asked = process.argv.indexOf("--compare");
if (asked > 0) {
  python.FS.writeFile("/answers", readFileSync(process.argv[asked + 1]));
  report("answers of both", `__import__("working_cases").differences(open("/answers", encoding="utf-8").read())`);
} else {
  for (const name of readdirSync(join(TESTS, "cases")).filter((name) => name.endsWith(".json")).sort()) {
    const runner = name.startsWith("workings") ? "working_cases" : "shared_cases";
    report(name, `__import__("${runner}").run("/cases/${name}")`);
  }
}
process.exit(wrong ? 1 : 0);
