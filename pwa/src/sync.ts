// Pushes whatever the server lacks, whoever wrote it, and pulls what others
// wrote from the position last read. Being asked twice does no harm; a round
// that gets nowhere stops and says so.
import type { Book } from "./book";
import type { Db, NewEntry } from "./db";
import { sha256, type Told, thumbprint, toldBy, wellSigned } from "./jws";
import { NoAnswer, type Server, ServerSaid } from "./server";
import type { PublicJwk } from "./wire";
import { words } from "./words";

const entriesAtOnce = 200;
const takenAtOnce = 20;
const lettersAtOnce = 900_000;
const waits = [2_000, 5_000, 15_000, 60_000, 300_000];

export type SyncState = "resting" | "running" | "no answer" | "trouble";

export interface SyncNews {
  state: SyncState;
  trouble: string | null;
  read?: number; // entries read from the server in this round
}

class Trouble extends Error {}

export class Sync {
  private running: Promise<void> | null = null;
  private again = false;
  private failures = 0;
  private timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    private readonly db: Db,
    private readonly book: Book,
    private readonly server: Server,
    private readonly tell: (news: SyncNews) => void,
    private readonly now: () => Date = () => new Date(),
  ) {}

  // One round at a time; asked meanwhile, one more follows.
  run(): Promise<void> {
    if (this.running) {
      this.again = true;
      return this.running;
    }
    clearTimeout(this.timer);
    this.running = this.rounds().finally(() => {
      this.running = null;
    });
    return this.running;
  }

  private async rounds(): Promise<void> {
    do {
      this.again = false;
      if ((await this.db.keys()).every((key) => key.pending !== null)) return;
      this.tell({ state: "running", trouble: null, read: 0 });
      try {
        await this.round();
        this.failures = 0;
        this.tell({ state: "resting", trouble: null });
      } catch (problem) {
        this.failures += 1;
        if (problem instanceof NoAnswer) this.tell({ state: "no answer", trouble: null });
        else if (problem instanceof ServerSaid || problem instanceof Trouble) {
          this.tell({ state: "trouble", trouble: problem.message });
        } else {
          this.tell({ state: "trouble", trouble: String(problem) });
        }
        // Whoever asked meanwhile may know more (the network is back): try again soon.
        if (this.again) this.failures = 1;
        this.again = false;
        // Trouble waits for a person; silence is worth another try.
        if (problem instanceof NoAnswer) {
          const wait = waits[Math.min(this.failures, waits.length) - 1];
          this.timer = setTimeout(() => void this.run(), wait);
        }
      }
    } while (this.again);
  }

  private async round(): Promise<void> {
    let restarts = 0;
    for (;;) {
      // Procedures first: without its procedure a card that is pulled shows nothing.
      await this.procedures();
      const epoch = (await this.push()) ?? (await this.pull());
      if (epoch === null) break;
      // The server was restored: read all of it anew, and give it all we hold.
      restarts += 1;
      if (restarts > 2) throw new Trouble(words.trouble.epochs);
      await this.db.forgetPositions(epoch);
    }
    await this.blobs();
    await this.book.refresh();
  }

  // Gives the epoch if it is not the one known here.
  private async push(): Promise<string | null> {
    const all = await this.db.unsent(100_000);
    let at = 0;
    while (at < all.length) {
      const batch: typeof all = [];
      let letters = 0;
      for (; at < all.length && batch.length < entriesAtOnce; at++) {
        const entry = all[at];
        if (!entry) break;
        letters += entry.jws.length + 3;
        if (batch.length > 0 && letters > lettersAtOnce) break;
        batch.push(entry);
      }
      const answer = await this.server.push(batch.map(({ jws }) => jws));
      const { epoch } = await this.db.meta();
      if (epoch === null) await this.db.putMeta({ epoch: answer.epoch });
      else if (epoch !== answer.epoch) return answer.epoch;
      await this.db.answered(
        batch.map((entry, place) => {
          const said = answer.answers.find(({ hash }) => hash === entry.hash) ?? answer.answers[place];
          if (!said) throw new Trouble(words.trouble.fewerAnswers);
          return {
            hash: entry.hash,
            position: said.position,
            refused: said.answer === "refused" ? (said.message ?? said.code ?? "refused") : null,
          };
        }),
      );
    }
    await this.db.putMeta({ sent_at: this.now().toISOString() });
    return null;
  }

  private async pull(): Promise<string | null> {
    for (;;) {
      const { after, epoch, root } = await this.db.meta();
      const answer = await this.server.pull(after, epoch);
      if (epoch !== null && answer.epoch !== epoch) return answer.epoch;
      if (answer.more && answer.last <= after) {
        throw new Trouble(words.trouble.noProgress);
      }
      const good = await this.checked(
        answer.entries.map(({ position, jws }) => ({ position, jws })),
        root,
      );
      await this.db.keepPulled(good, { epoch: answer.epoch, after: Math.max(after, answer.last) });
      await this.book.refresh();
      if (!answer.more) break;
    }
    await this.db.putMeta({ pulled_at: this.now().toISOString() });
    return null;
  }

  // Only what is signed by a key of the register, and read strictly by the
  // workings, is stored. What is told of an entry before that is only used to
  // find its key; where it lies, the workings refuse it.
  async checked(
    entries: { position: number | null; jws: string }[],
    root: string | null,
  ): Promise<(NewEntry & { position: number | null })[]> {
    const good: (NewEntry & { position: number | null })[] = [];
    const keys = new Map<string, PublicJwk>();
    let signed: (NewEntry & { position: number | null })[] = [];
    // The book takes them in small parts, so that a screen is not kept waiting.
    const take = async () => {
      const some = signed;
      signed = [];
      if (some.length === 0) return;
      const { refused } = await this.book.ask("take", { entries: some.map(({ jws }) => jws) });
      if (refused[0]) throw new Trouble(`${words.trouble.unreadable} ${refused[0].message}`);
      good.push(...some);
      this.tell({ state: "running", trouble: null, read: good.length });
    };
    for (const { position, jws } of entries) {
      const told = await toldBy(jws);
      let key = keys.get(told.kid) ?? (await this.keyFor(told, root));
      if (!key) {
        await take();
        key = await this.keyFor(told, root);
      }
      if (!key) throw new Trouble(words.trouble.unknownKey(told.kid.slice(0, 8)));
      if (!(await wellSigned(jws, key))) throw new Trouble(words.trouble.badSignature(told.hash.slice(0, 8)));
      keys.set(told.kid, key);
      const { hash, kid, number, about } = told;
      signed.push({ hash, jws, kid, number, about, position });
      if (signed.length >= takenAtOnce) await take();
    }
    await take();
    return good;
  }

  private async keyFor(told: Told, root: string | null): Promise<PublicJwk | null> {
    // The register begins with the root key, which vouches for itself; that it
    // is this shop's was settled when the phone was enrolled.
    if (told.key && told.kid === root && (await thumbprint(told.key)) === root) return told.key;
    return (await this.book.ask("key_of", { kid: told.kid })).jwk;
  }

  private async procedures(): Promise<void> {
    const here = new Set(await this.db.procedureDigests());
    const found: { digest: string; text: string }[] = [];
    for (const { digest, title } of await this.server.procedures()) {
      if (here.has(digest)) continue;
      const text = await this.server.procedure(digest);
      if ((await sha256(new TextEncoder().encode(text))) !== digest) {
        throw new Trouble(words.trouble.procedure(title));
      }
      found.push({ digest, text });
    }
    if (found.length > 0) await this.db.putProcedures(found);
  }

  private async blobs(): Promise<void> {
    for (const blob of await this.db.unsentBlobs()) {
      await this.server.putBlob(blob.digest, blob.bytes);
      const { unsent: _, ...sent } = blob;
      await this.db.putBlob(sent);
    }
  }
}
