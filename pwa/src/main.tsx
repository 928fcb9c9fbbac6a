// Joins the parts.
import { render } from "preact";
import { App } from "./app";
import { Db } from "./db";
import { watchVersions } from "./pieces/version";
import { Server } from "./server";
import { Shop } from "./shop";
import { keepAwake } from "./start";
import "./styles/index.css";
import { startTheme } from "./theme";
import { words } from "./words";
import { bridgeTo, type Port } from "./workings/bridge";
import workerUrl from "./workings/worker?worker&url";

const place = document.getElementById("app") as HTMLElement;

function fail(lead: string, problem: unknown): void {
  const detail = problem instanceof Error ? problem.message : String(problem);
  render(
    <main class="failed stack">
      <h1>{lead}</h1>
      <p class="refusal">{detail}</p>
      <button type="button" class="primary wide" onClick={() => location.reload()}>
        {words.problem.again}
      </button>
    </main>,
    place,
  );
}

async function start(): Promise<void> {
  startTheme();
  const worker = new Worker(workerUrl, { type: "module" });
  const bridge = bridgeTo(worker as unknown as Port);
  let db: Db;
  try {
    db = await Db.open("trammel", () => fail(words.problem.start, words.problem.otherVersion));
  } catch {
    fail(words.problem.start, words.problem.startStorage);
    return;
  }
  const shop = await Shop.open({ db, bridge, server: new Server(db), build: workerUrl });
  render(<App shop={shop} />, place);
  keepAwake(shop);
  if (import.meta.env.PROD) void watchVersions(shop);
  try {
    await shop.book.open((await db.meta()).root);
    shop.store.set({ opened: true });
    document.documentElement.dataset.book = "open"; // what a stopwatch can wait for
  } catch (problem) {
    fail(words.problem.workings, problem);
    return;
  }
  void shop.sync.run();
}

void start();
