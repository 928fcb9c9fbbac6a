// The book: the worker's picture of all entries, kept in step with what this
// phone holds on disk. Other tabs write to the same disk, so the book reads on
// from where it last was, never from what a page remembers.
import type { Db } from "./db";
import { payloadOf, sign } from "./jws";
import type { OpenKey } from "./keys";
import type { AskName, Asks, DraftBody, Kid, Place } from "./wire";
import type { Bridge } from "./workings/bridge";

const atATime = 400;

export interface Draft {
  about: string;
  place?: Place;
  body: DraftBody;
}

export type Kept = { kept: string[] } | { refused: string };

export type Locker = <T>(name: string, work: () => Promise<T>) => Promise<T>;

export const webLock: Locker = (name, work) => navigator.locks.request(name, work) as ReturnType<typeof work>;

export class Book {
  private read = 0;
  private reading: Promise<void> = Promise.resolve();
  private procedures = new Set<string>();
  private isOpen: () => void = () => {};
  private readonly opened = new Promise<void>((resolve) => {
    this.isOpen = resolve;
  });

  constructor(
    private readonly db: Db,
    private readonly bridge: Bridge,
    private readonly changed: () => void,
    private readonly build: string,
    private readonly locked: Locker = webLock,
    private readonly now: () => Date = () => new Date(),
  ) {}

  // An answer from a book that is not read yet would be a wrong one: questions
  // wait until it is open.
  async ask<N extends AskName>(name: N, args: Asks[N]["ask"], signal?: AbortSignal): Promise<Asks[N]["ok"]> {
    await this.opened;
    return this.bridge.ask(name, args, signal);
  }

  async open(root: Kid | null): Promise<void> {
    await this.begin(root);
    await this.refresh();
    this.isOpen();
  }

  // A new book, standing on this root; what is on disk is read into it anew.
  async begin(root: Kid | null): Promise<void> {
    await this.reading.catch(() => {});
    const worked = await this.db.workedOut();
    await this.bridge.ask("begin", { root, kept: worked?.build === this.build ? worked.kept : null });
    this.read = 0;
    this.procedures.clear();
  }

  // Lays by what took long to work out, for the next start of this same build.
  async layBy(): Promise<void> {
    const kept = await this.bridge.ask("kept", {});
    await this.db.putWorkedOut({ id: "worked", build: this.build, kept });
  }

  // Takes in what has come to disk since. Calls queue up, so that nothing is
  // taken twice.
  refresh(): Promise<void> {
    this.reading = this.reading.then(
      () => this.readOn(),
      () => this.readOn(),
    );
    return this.reading;
  }

  private async readOn(): Promise<void> {
    let news = false;
    const digests = (await this.db.procedureDigests()).filter((digest) => !this.procedures.has(digest));
    if (digests.length > 0) {
      const found = (await this.db.procedures()).filter(({ digest }) => digests.includes(digest));
      await this.bridge.ask("take_procedures", { texts: found.map(({ text }) => text), kept: true });
      for (const digest of digests) this.procedures.add(digest);
      news = true;
    }
    const fresh = await this.db.entriesAfter(this.read);
    for (let at = 0; at < fresh.length; at += atATime) {
      const some = fresh.slice(at, at + atATime);
      const entries = some.map(({ hash, kid, jws }) => ({ hash, kid, payload: payloadOf(jws) }));
      await this.bridge.ask("take_kept", { entries });
      this.read = some.at(-1)?.seq ?? this.read;
      news = true;
    }
    if (news) this.changed();
  }

  // Number, sign and store happen under one lock over all tabs. What would
  // not count is refused before it is signed, in a sentence; nothing is lost.
  keep(key: OpenKey, drafts: Draft[]): Promise<Kept> {
    return this.locked("trammel-sign", async () => {
      await this.refresh();
      const kept: string[] = [];
      for (const { about, place, body } of drafts) {
        const { kind, ...rest } = body;
        const number = (await this.db.highestNumber(key.kid)) + 1;
        const at = `${this.now().toISOString().slice(0, 19)}Z`;
        const draft = await this.bridge.ask("draft", {
          kind,
          about,
          kid: key.kid,
          number,
          at,
          body: rest,
          ...(place === undefined ? {} : { place }),
        });
        if ("refused" in draft) return { refused: draft.refused };
        const signed = await Promise.all(draft.signing_inputs.map((input) => sign(key.key, input)));
        await this.db.keep(
          signed.map((jws, at) => ({
            hash: draft.hashes[at] ?? "",
            jws,
            kid: key.kid,
            number: number + at,
            about,
          })),
        );
        kept.push(...draft.hashes);
        await this.refresh();
      }
      return { kept };
    });
  }
}
