import "fake-indexeddb/auto";
import { beforeEach, describe, expect, it } from "vitest";
import { Db, type NewEntry } from "../src/db";

let named = 0;
let db: Db;

beforeEach(async () => {
  named += 1;
  db = await Db.open(`test-${named}`);
});

function entry(number: number, kid = "k1", hash = `${kid}-${number}`): NewEntry {
  return { hash, jws: `a.b.${hash}`, kid, number, about: "card:c1" };
}

describe("what is kept", () => {
  it("comes back in the order it was kept, after a place", async () => {
    await db.keep([entry(1), entry(2)]);
    await db.keep([entry(3)]);
    const all = await db.entriesAfter(0);
    expect(all.map(({ hash }) => hash)).toEqual(["k1-1", "k1-2", "k1-3"]);
    expect((await db.entriesAfter(all[1]?.seq ?? 0)).map(({ hash }) => hash)).toEqual(["k1-3"]);
  });

  it("outlives closing the database", async () => {
    await db.keep([entry(1)]);
    db.close();
    db = await Db.open(`test-${named}`);
    expect((await db.entriesAfter(0)).length).toBe(1);
  });

  it("never signs one number twice with one key, and keeps nothing of such a batch", async () => {
    await db.keep([entry(1)]);
    await expect(db.keep([entry(2), entry(1, "k1", "other")])).rejects.toThrow();
    expect((await db.entriesAfter(0)).map(({ hash }) => hash)).toEqual(["k1-1"]);
    await db.keep([entry(2)]);
    expect(await db.highestNumber("k1")).toBe(2);
  });

  it("holds both entries of a doubled number that others sent", async () => {
    await db.keepPulled(
      [
        { ...entry(7, "k2", "one"), position: 1 },
        { ...entry(7, "k2", "two"), position: 2 },
      ],
      { epoch: "e", after: 2 },
    );
    expect(await db.count()).toBe(2);
    expect(await db.highestNumber("k2")).toBe(7);
  });

  it("counts on from the highest number, own or pulled", async () => {
    await db.keep([entry(4)]);
    await db.keepPulled([{ ...entry(9), position: 1 }], { epoch: "e", after: 1 });
    expect(await db.highestNumber("k1")).toBe(9);
    expect(await db.highestNumber("nobody")).toBe(0);
  });
});

describe("what was sent", () => {
  it("is unsent until the server has said where it lies", async () => {
    await db.keep([entry(1), entry(2)]);
    expect(await db.countUnsent()).toBe(2);
    await db.answered([{ hash: "k1-1", position: 10, refused: null }]);
    expect((await db.unsent(10)).map(({ hash }) => hash)).toEqual(["k1-2"]);
    expect((await db.entry("k1-1"))?.position).toBe(10);
  });

  it("stays here, with the server's sentence, when it is turned away", async () => {
    await db.keep([entry(1)]);
    await db.answered([{ hash: "k1-1", position: null, refused: "This key is not known." }]);
    expect((await db.refused()).map(({ refused }) => refused)).toEqual(["This key is not known."]);
    expect(await db.countUnsent()).toBe(1);
  });

  it("takes a pulled copy of its own entry as the server's word, once", async () => {
    await db.keep([entry(1)]);
    const fresh = await db.keepPulled([{ ...entry(1), position: 5 }], { epoch: "e", after: 5 });
    expect(fresh).toBe(0);
    expect(await db.count()).toBe(1);
    expect(await db.countUnsent()).toBe(0);
  });

  it("keeps entries and the place read up to together", async () => {
    await db.keepPulled([{ ...entry(1, "k9"), position: 3 }], { epoch: "e1", after: 3 });
    expect(await db.meta()).toMatchObject({ epoch: "e1", after: 3 });
  });

  it("knows nothing to be at a restored server", async () => {
    await db.keepPulled([{ ...entry(1, "k9"), position: 3 }], { epoch: "e1", after: 3 });
    await db.keep([entry(1)]);
    await db.forgetPositions("e2");
    expect(await db.meta()).toMatchObject({ epoch: "e2", after: 0 });
    expect(await db.countUnsent()).toBe(2);
  });
});

describe("what is half typed", () => {
  it("is written as it is typed and dropped when it is kept", async () => {
    const half = { id: "x", person: "p", card: "c", place: "s", name: "n", text: "3 5/", unit: "in", at: "" };
    await db.putHalfTyped(half);
    expect(await db.halfTyped()).toEqual([half]);
    await db.dropHalfTyped("x");
    expect(await db.halfTyped()).toEqual([]);
  });
});
