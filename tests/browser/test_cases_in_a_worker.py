"""The shared cases under MicroPython in a real browser's worker: the interpreter and the place of the phone."""

import json

import environment
import pytest

CASES = environment.ROOT / "tests" / "cases"
PACKAGE = environment.PWA / "node_modules" / "@micropython" / "micropython-webassembly-pyscript"
ORIGIN = "http://bench.localhost"

WORKER = """
import { loadMicroPython } from "/micropython.mjs";
self.onmessage = async ({ data: { files, call } }) => {
  try {
    const python = await loadMicroPython({ url: "/micropython.wasm", heapsize: 32 << 20 });
    for (const folder of ["/workings", "/tests", "/cases"]) python.FS.mkdirTree(folder);
    for (const [path, text] of Object.entries(files)) python.FS.writeFile(path, text);
    python.runPython('import sys\\nsys.path.insert(0, "/")\\nsys.path.insert(1, "/tests")');
    python.runPython(`import json\\nreport = json.dumps(${call})`);
    self.postMessage({ report: python.globals.get("report"), where: self.constructor.name });
  } catch (problem) {
    self.postMessage({ failed: String(problem) });
  }
};
"""
RUN = """(asked) => new Promise((resolve) => {
  const worker = new Worker("/worker.js", { type: "module" });
  worker.onmessage = ({ data }) => { worker.terminate(); resolve(data); };
  worker.onerror = (event) => { worker.terminate(); resolve({ failed: event.message }); };
  worker.postMessage(asked);
})"""


@pytest.fixture(scope="module")
def files():
    """The workings as they are, and the runners of the cases; no build stands between."""
    found = {}
    for folder, there, names in (
        (environment.ROOT / "server" / "workings", "/workings", "*.py"),
        (CASES.parent, "/tests", "*_cases.py"),
        (CASES, "/cases", "*.json"),
    ):
        for file in sorted(folder.glob(names)):
            found[f"{there}/{file.name}"] = file.read_text("utf-8")
    return found


@pytest.fixture
def bench(page):
    def answer(route):
        name = route.request.url.removeprefix(ORIGIN)
        if name == "/worker.js":
            route.fulfill(body=WORKER, content_type="text/javascript")
        elif name == "/micropython.mjs":
            route.fulfill(body=(PACKAGE / "micropython.mjs").read_bytes(), content_type="text/javascript")
        elif name == "/micropython.wasm":
            route.fulfill(body=(PACKAGE / "micropython.wasm").read_bytes(), content_type="application/wasm")
        else:
            route.fulfill(body="<!doctype html><title>bench</title>", content_type="text/html")

    page.context.route(f"{ORIGIN}/**", answer)
    page.goto(f"{ORIGIN}/")
    return page


@pytest.mark.parametrize("name", sorted(file.name for file in CASES.glob("*.json")))
def test_shared_cases_hold_in_the_browser(bench, files, name):
    runner = "working_cases" if name.startswith("workings") else "shared_cases"
    call = f'__import__("{runner}").run("/cases/{name}")'
    answer = bench.evaluate(RUN, {"files": files, "call": call})
    assert "failed" not in answer, answer["failed"]
    assert answer["where"] == "DedicatedWorkerGlobalScope"
    count, troubles = json.loads(answer["report"])
    assert count > 0 and troubles == []
