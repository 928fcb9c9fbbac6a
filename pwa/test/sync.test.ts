import "fake-indexeddb/auto";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { Db } from "../src/db";
import { deviceSecret, makeKey } from "../src/keys";
import { Sync, type SyncNews } from "../src/sync";
import { entryBy, FakeBook, FakeServer, type Signer, signer } from "./shopfloor";

let named = 0;
let db: Db;
let server: FakeServer;
let book: FakeBook;
let told: SyncNews[];
let sync: Sync;
let wenna: Signer;

beforeEach(async () => {
  named += 1;
  db = await Db.open(`sync-${named}`);
  const { kept } = await makeKey("246810", await deviceSecret(db), "a phone", 1);
  await db.putKey({ ...kept, person: "wenna", name: "Wenna" });
  server = new FakeServer();
  book = new FakeBook();
  told = [];
  sync = new Sync(db, book.as(), server.as(), (news) => told.push(news));
  wenna = await signer();
  book.register.set(wenna.kid, wenna.jwk);
});

const last = () => told.at(-1);

describe("pushing", () => {
  it("gives the server each entry once, though replies are lost", async () => {
    await db.keep([await entryBy(wenna, 1), await entryBy(wenna, 2)]);
    server.loseReplies = 2;
    for (let n = 0; n < 3; n++) await sync.run();
    expect(server.log.length).toBe(2);
    expect(await db.countUnsent()).toBe(0);
    expect(last()?.state).toBe("resting");
  });

  it("keeps everything while nobody answers", async () => {
    await db.keep([await entryBy(wenna, 1)]);
    server.silent = true;
    await sync.run();
    expect(last()?.state).toBe("no answer");
    expect(await db.countUnsent()).toBe(1);
  });

  it("tries again soon when it was asked while nobody answered", async () => {
    const waits = vi.spyOn(globalThis, "setTimeout");
    const waited = () => Math.max(...waits.mock.calls.map(([, wait]) => wait ?? 0));
    server.silent = true;
    for (let n = 0; n < 3; n++) await sync.run();
    expect(waited()).toBe(15_000);
    waits.mockClear();
    await Promise.all([sync.run(), sync.run()]);
    expect(waited()).toBe(2_000);
    waits.mockRestore();
  });

  it("keeps what is turned away, with the reason, and goes on with the rest", async () => {
    const bad = await entryBy(wenna, 1);
    await db.keep([bad, await entryBy(wenna, 2)]);
    server.refuse = (jws) => (jws === bad.jws ? "This key was never enrolled." : null);
    await sync.run();
    expect((await db.refused()).map(({ refused }) => refused)).toEqual(["This key was never enrolled."]);
    expect(server.log.length).toBe(1);
    // Tried again once a round, never in a loop.
    const before = server.pushes;
    await sync.run();
    expect(server.pushes).toBe(before + 1);
  });

  it("pushes what others wrote, if the server lost it", async () => {
    const joss = await signer();
    book.register.set(joss.kid, joss.jwk);
    server.log = [(await entryBy(joss, 1)).jws, (await entryBy(joss, 2)).jws];
    await sync.run();
    expect(await db.count()).toBe(2);
    // A restore from an older copy: a new epoch, and one entry gone.
    server.epoch = "e2";
    const lost = server.log.pop();
    await sync.run();
    expect(server.log).toContain(lost);
    expect(await db.countUnsent()).toBe(0);
    expect((await db.meta()).epoch).toBe("e2");
  });
});

describe("pulling", () => {
  it("reads on from the position it was at, and stores each entry once", async () => {
    for (let n = 1; n <= 5; n++) server.log.push((await entryBy(wenna, n)).jws);
    await sync.run();
    await sync.run();
    expect(await db.count()).toBe(5);
    expect((await db.meta()).after).toBe(5);
  });

  it("learns a key from the register before what that key signed", async () => {
    const root = await signer();
    const joss = await signer();
    await db.putMeta({ root: root.kid });
    server.log = [
      (await entryBy(root, 1, "register", { key: root.jwk })).jws,
      (await entryBy(root, 2, "register", { key: joss.jwk })).jws,
      (await entryBy(joss, 1)).jws,
    ];
    await sync.run();
    expect(last()).toMatchObject({ state: "resting" });
    expect(await db.count()).toBe(3);
  });

  it("stores nothing under a key that the register does not know, and says so", async () => {
    server.log.push((await entryBy(await signer(), 1)).jws);
    await sync.run();
    expect(last()).toMatchObject({ state: "trouble" });
    expect(last()?.trouble).toMatch(/does not know/);
    expect(await db.count()).toBe(0);
    expect((await db.meta()).after).toBe(0);
  });

  it("believes no root key but the shop's own", async () => {
    const stranger = await signer();
    await db.putMeta({ root: wenna.kid });
    server.log.push((await entryBy(stranger, 1, "register", { key: stranger.jwk })).jws);
    await sync.run();
    expect(last()?.state).toBe("trouble");
    expect(await db.count()).toBe(0);
  });

  it("stores nothing whose signature does not hold", async () => {
    const { jws } = await entryBy(wenna, 1);
    const other = await entryBy(wenna, 2);
    server.log.push(jws.slice(0, jws.lastIndexOf(".")) + other.jws.slice(other.jws.lastIndexOf(".")));
    await sync.run();
    expect(last()?.trouble).toMatch(/signature/);
    expect(await db.count()).toBe(0);
  });

  it("stops loudly when it gets nowhere", async () => {
    server.stuck = true;
    await sync.run();
    expect(last()?.trouble).toMatch(/nothing new/);
  });

  it("stops loudly when the log keeps starting anew", async () => {
    server.log.push((await entryBy(wenna, 1)).jws);
    await sync.run();
    const push = server.push.bind(server);
    server.push = async (entries) => {
      server.epoch += "x";
      return push(entries);
    };
    await db.keep([await entryBy(wenna, 5)]);
    await sync.run();
    expect(last()?.trouble).toMatch(/starting anew/);
  });
});

describe("asking twice", () => {
  it("does one round at a time and one more after it", async () => {
    await db.keep([await entryBy(wenna, 1)]);
    await Promise.all([sync.run(), sync.run(), sync.run()]);
    expect(told.filter(({ state }) => state === "resting").length).toBe(2);
    expect(server.log.length).toBe(1);
  });
});
