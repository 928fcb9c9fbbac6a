"""What is inside a phone: the lines in its database, and what its own workings make of them.

The page's worker cannot be reached from outside, so a second one is started in the same page from the same
file, and reads the same lines: MicroPython in the browser, as the mechanic's screens have it.
"""

import json

STORES = """async (store) => {
  const opened = indexedDB.open("trammel");
  const db = await new Promise((resolve, reject) => {
    opened.onsuccess = () => resolve(opened.result);
    opened.onerror = () => reject(opened.error);
  });
  const asked = db.transaction(store).objectStore(store).getAll();
  const found = await new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  db.close();
  return found;
}"""

START = """async () => {
  const [name] = (await caches.keys()).filter((name) => name.startsWith("trammel-"));
  const held = await (await caches.open(name)).keys();
  const paths = held.map(({ url }) => new URL(url).pathname);
  const found = paths.find((path) => /\\/worker-[^/]+\\.js$/.test(path));
  window.bench = { worker: new Worker(found, { type: "module" }), id: 0 };
}"""

ASK = """([text]) => new Promise((resolve, reject) => {
  const bench = window.bench;
  const id = (bench.id += 1);
  bench.worker.onerror = (event) => reject(new Error(event.message));
  bench.worker.onmessage = ({ data }) => {
    if (data.id !== id) return;
    if (data.failed !== undefined) reject(new Error(data.failed));
    else resolve(JSON.parse(data.text));
  };
  bench.worker.postMessage({ id, text });
})"""


def stored(page, store):
    """Everything in one store of the phone's database, read from its disk."""
    return page.evaluate(STORES, store)


def lines(page):
    """{hash: JWS} of every entry kept on the phone."""
    return {entry["hash"]: entry["jws"] for entry in stored(page, "entries")}


class Workings:
    """The workings in a worker of this page."""

    def __init__(self, page):
        self.page = page
        page.evaluate(START)

    def ask(self, name, **arguments):
        answer = self.page.evaluate(ASK, [json.dumps({"ask": name, **arguments})])
        if "error" in answer:
            raise AssertionError(f"{name}: {answer['error']}")
        return answer["ok"]

    def read_the_phone(self):
        """Takes in all that this phone holds, as the app does when it starts."""
        root = {item["name"]: item["value"] for item in stored(self.page, "meta")}["root"]
        self.ask("begin", root=root)
        self.ask("take_procedures", texts=[p["text"] for p in stored(self.page, "procedures")], kept=True)
        taken = self.ask("take", entries=list(lines(self.page).values()))
        assert taken["refused"] == []
        return self
