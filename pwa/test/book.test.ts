import "fake-indexeddb/auto";
import { beforeEach, describe, expect, it } from "vitest";
import { Book, type Draft } from "../src/book";
import { Db } from "../src/db";
import { sha256, toBase64url } from "../src/jws";
import type { OpenKey } from "../src/keys";
import type { AskName, Asks } from "../src/wire";
import type { Bridge } from "../src/workings/bridge";
import { signer } from "./shopfloor";

const utf8 = new TextEncoder();
const note: Draft = { about: "card:c1", body: { kind: "note", text: "dry" } };

let named = 0;
let db: Db;
let key: OpenKey;

// Drafts what it is asked for, counts what it is given.
class FakeBridge implements Bridge {
  taken: string[] = [];
  refusal: string | null = null;
  failing = false;

  async ask<N extends AskName>(name: N, args: Asks[N]["ask"]): Promise<Asks[N]["ok"]> {
    return (await this.answer(name, args)) as Asks[N]["ok"];
  }

  private async answer(name: AskName, args: unknown): Promise<unknown> {
    if (name === "draft") {
      if (this.refusal) return { refused: this.refusal };
      const { about, number, kid } = args as Asks["draft"]["ask"];
      const part = (value: object) => toBase64url(utf8.encode(JSON.stringify(value)));
      const input = `${part({ kid })}.${part({ about, number })}`;
      return { signing_inputs: [input], hashes: [await sha256(utf8.encode(input))] };
    }
    if (name === "take_kept") {
      if (this.failing) throw new Error("the worker died");
      const { entries } = args as Asks["take_kept"]["ask"];
      this.taken.push(...entries.map(({ hash }) => hash));
      return {};
    }
    throw new Error(name);
  }
}

let queue: Promise<unknown> = Promise.resolve();
const oneAtATime = <T>(_name: string, work: () => Promise<T>): Promise<T> => {
  const next = queue.then(work, work);
  queue = next.catch(() => {});
  return next;
};

function bookWith(bridge: Bridge): Book {
  return new Book(db, bridge, () => {}, "build", oneAtATime);
}

beforeEach(async () => {
  named += 1;
  db = await Db.open(`book-${named}`);
  const made = await signer();
  key = { kid: made.kid, person: "wenna", name: "Wenna", key: made.key };
});

describe("keeping", () => {
  it("numbers, signs, stores and takes, one after the other", async () => {
    const bridge = new FakeBridge();
    const book = bookWith(bridge);
    await Promise.all([book.keep(key, [note]), book.keep(key, [note]), book.keep(key, [note])]);
    const kept = await db.entriesAfter(0);
    expect(kept.map(({ number }) => number)).toEqual([1, 2, 3]);
    expect(bridge.taken).toEqual(kept.map(({ hash }) => hash));
  });

  it("keeps nothing that would not count, and says why", async () => {
    const bridge = new FakeBridge();
    bridge.refusal = "Before the first pull is at stop.";
    expect(await bookWith(bridge).keep(key, [note])).toEqual({
      refused: "Before the first pull is at stop.",
    });
    expect(await db.count()).toBe(0);
  });

  it("sees what another tab has stored before it counts on", async () => {
    const one = bookWith(new FakeBridge());
    const bridge = new FakeBridge();
    const other = bookWith(bridge);
    await one.keep(key, [note]);
    await other.keep(key, [note]);
    expect((await db.entriesAfter(0)).map(({ number }) => number)).toEqual([1, 2]);
    expect(bridge.taken.length).toBe(2);
  });

  it("has it kept even if the book dies before it has taken it", async () => {
    const bridge = new FakeBridge();
    const book = bookWith(bridge);
    bridge.failing = true;
    await expect(book.keep(key, [note])).rejects.toThrow("the worker died");
    expect(await db.count()).toBe(1);
    bridge.failing = false;
    await book.refresh();
    expect(bridge.taken.length).toBe(1);
  });
});
