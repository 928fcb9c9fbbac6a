// Pushes whatever the server lacks, whoever wrote it, and pulls what others
// wrote from the position last read. Being asked twice does no harm; a round
// that gets nowhere stops and says so.
import type { Book } from "./book";
import type { Db, NewEntry } from "./db";
import { sha256, thumbprint, wellSigned } from "./jws";
import { NoAnswer, type Server, ServerSaid } from "./server";
import type { PublicJwk, TakenApart } from "./wire";

const entriesAtOnce = 200;
const lettersAtOnce = 900_000;
const waits = [2_000, 5_000, 15_000, 60_000, 300_000];

export type SyncState = "resting" | "running" | "no answer" | "trouble";

export interface SyncNews {
  state: SyncState;
  trouble: string | null;
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
      this.tell({ state: "running", trouble: null });
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
      const epoch = (await this.push()) ?? (await this.pull());
      if (epoch === null) break;
      // The server was restored: read all of it anew, and give it all we hold.
      restarts += 1;
      if (restarts > 2) throw new Trouble("The server's log keeps starting anew. Tell the keeper.");
      await this.db.forgetPositions(epoch);
    }
    await this.procedures();
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
          if (!said) throw new Trouble("The server answered for fewer entries than it was given.");
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
        throw new Trouble("The server says there is more to read and gives nothing new. Tell the keeper.");
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

  // Only what is signed by a key of the register is stored. Register entries
  // go into the book at once: the next signature may stand on them.
  async checked(
    entries: { position: number | null; jws: string }[],
    root: string | null,
  ): Promise<(NewEntry & { position: number | null })[]> {
    const good: (NewEntry & { position: number | null })[] = [];
    const keys = new Map<string, PublicJwk>();
    for (const { position, jws } of entries) {
      const apart = await this.book.ask("take_apart", { entry: jws });
      const key = keys.get(apart.kid) ?? (await this.keyFor(apart, root));
      if (!key) {
        throw new Trouble(
          `An entry from the server is signed by a key that the crew register does not know (${apart.kid.slice(0, 8)}). It was not stored. Tell the keeper.`,
        );
      }
      if (!(await wellSigned(jws, key))) {
        throw new Trouble(
          `An entry from the server does not carry the signature it claims (${apart.hash.slice(0, 8)}). It was not stored. Tell the keeper.`,
        );
      }
      keys.set(apart.kid, key);
      if (apart.about === "register") await this.book.ask("take", { entries: [jws] });
      const { hash, kid, number, about } = apart;
      good.push({ hash, jws, kid, number, about, position });
    }
    return good;
  }

  private async keyFor(apart: TakenApart, root: string | null): Promise<PublicJwk | null> {
    // The register begins with the root key, which vouches for itself; that it
    // is this shop's was settled when the phone was enrolled.
    if (apart.kind === "key" && apart.key && apart.kid === root && (await thumbprint(apart.key)) === root) {
      return apart.key;
    }
    return (await this.book.ask("key_of", { kid: apart.kid })).jwk;
  }

  private async procedures(): Promise<void> {
    const here = new Set(await this.db.procedureDigests());
    const found: { digest: string; text: string }[] = [];
    for (const { digest, title } of await this.server.procedures()) {
      if (here.has(digest)) continue;
      const text = await this.server.procedure(digest);
      if ((await sha256(new TextEncoder().encode(text))) !== digest) {
        throw new Trouble(`The procedure "${title}" did not arrive as it was published. Tell the keeper.`);
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
