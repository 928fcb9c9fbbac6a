// What this phone keeps. "Kept" means: the transaction that wrote it, opened
// with durability "strict", has told of its own completion. Entries are never
// changed and never deleted; only what is known of their sending changes.
import { type DBSchema, type IDBPDatabase, type IDBPTransaction, openDB } from "idb";
import type { Hash, Kid, Place, PublicJwk } from "./wire";

export interface KeptEntry {
  seq?: number; // order of arrival on this phone
  hash: Hash;
  jws: string;
  kid: Kid;
  number: number;
  about: string;
  position: number | null; // the server's, once it has said so
  unsent?: 1; // present while the server is not known to have it
  refused: string | null; // the server's sentence, if it turned it away
}

export interface KeptKey {
  kid: Kid;
  person: string;
  name: string;
  jwk: PublicJwk;
  wrapped: ArrayBuffer;
  iv: Uint8Array<ArrayBuffer>;
  salt: Uint8Array<ArrayBuffer>;
  iterations: number;
  // Opens sessions with the server, without a PIN: never extractable, and one
  // for each person, so that the server can close one and leave the others.
  device: { pair: CryptoKeyPair; jwk: PublicJwk; name: string };
  // Asking to be enrolled may reach the server and its answer be lost: the
  // same request is sent again until it is answered.
  pending: { code: string; request: string } | null;
  wrong: number;
  wait_until: number;
}

export interface DeviceSecret {
  id: "device";
  mix: CryptoKey; // HMAC, never extractable; mixed into every PIN
}

export interface KeptBlob {
  digest: string;
  bytes: Blob;
  type: string;
  about: string;
  unsent?: 1;
}

export interface HalfTyped {
  id: string; // person, card, place and name together
  person: string;
  card: string;
  place: Place;
  name: string;
  text: string;
  unit: string;
  at: string;
}

// Results that one build of the workings may give to its next start.
export interface WorkedOut {
  id: "worked";
  build: string;
  kept: unknown;
}

export interface Meta {
  epoch: string | null;
  after: number;
  sent_at: string | null;
  pulled_at: string | null;
  root: Kid | null;
  holder: string | null;
  procedures_at: string | null;
}

const metaAtFirst: Meta = {
  epoch: null,
  after: 0,
  sent_at: null,
  pulled_at: null,
  root: null,
  holder: null,
  procedures_at: null,
};

interface Shape extends DBSchema {
  entries: {
    key: number;
    value: KeptEntry;
    indexes: { hash: Hash; number: [Kid, number]; unsent: number };
  };
  // One key signs one number once. Entries of a phone restored from a copy
  // may double a number and are both kept, so the law stands here, apart.
  made: { key: [Kid, number]; value: { kid: Kid; number: number; hash: Hash } };
  keys: { key: Kid; value: KeptKey };
  secrets: { key: "device"; value: DeviceSecret };
  blobs: { key: string; value: KeptBlob; indexes: { unsent: number } };
  procedures: { key: string; value: { digest: string; text: string } };
  halftyped: { key: string; value: HalfTyped };
  worked: { key: "worked"; value: WorkedOut };
  meta: { key: keyof Meta; value: { name: keyof Meta; value: Meta[keyof Meta] } };
}

type Stores = ("entries" | "made" | "keys" | "secrets" | "blobs" | "procedures" | "halftyped" | "meta")[];

export interface NewEntry {
  hash: Hash;
  jws: string;
  kid: Kid;
  number: number;
  about: string;
}

export class Db {
  constructor(private readonly db: IDBPDatabase<Shape>) {}

  static async open(name = "trammel", onBlocked?: () => void): Promise<Db> {
    const db = await openDB<Shape>(name, 1, {
      upgrade(made) {
        const entries = made.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
        entries.createIndex("hash", "hash", { unique: true });
        entries.createIndex("number", ["kid", "number"]);
        entries.createIndex("unsent", "unsent");
        made.createObjectStore("made", { keyPath: ["kid", "number"] });
        made.createObjectStore("keys", { keyPath: "kid" });
        made.createObjectStore("secrets", { keyPath: "id" });
        made.createObjectStore("blobs", { keyPath: "digest" }).createIndex("unsent", "unsent");
        made.createObjectStore("procedures", { keyPath: "digest" });
        made.createObjectStore("halftyped", { keyPath: "id" });
        made.createObjectStore("worked", { keyPath: "id" });
        made.createObjectStore("meta", { keyPath: "name" });
      },
      blocked: () => onBlocked?.(),
      blocking: (_from, _to, event) => (event.target as IDBDatabase).close(),
    });
    return new Db(db);
  }

  close(): void {
    this.db.close();
  }

  // Every write that must outlive a dead battery goes through here: it returns
  // at `complete`, not at the success of a request.
  private async strictly<S extends Stores>(
    stores: S,
    write: (tx: IDBPTransaction<Shape, S, "readwrite">) => unknown,
  ): Promise<void> {
    const tx = this.db.transaction(stores, "readwrite", { durability: "strict" });
    try {
      await write(tx);
    } catch (problem) {
      // The cause is thrown; the abort it brings along is the same event twice.
      tx.done.catch(() => {});
      try {
        tx.abort();
      } catch {
        // Already gone, by that very cause.
      }
      throw problem;
    }
    await tx.done;
  }

  // ---- entries ----------------------------------------------------------

  // Entries signed on this phone: all of them or none.
  async keep(entries: NewEntry[]): Promise<void> {
    await this.strictly(["entries", "made"], async (tx) => {
      for (const entry of entries) {
        await tx.objectStore("made").add({ kid: entry.kid, number: entry.number, hash: entry.hash });
        await tx.objectStore("entries").add({ ...entry, position: null, unsent: 1, refused: null });
      }
    });
  }

  // Entries that came from the server, with their place in its log; and, in
  // the same breath, how far it was read. What is here already only learns
  // its position.
  async keepPulled(
    entries: (NewEntry & { position: number | null })[],
    read: { epoch: string; after: number } | null,
  ): Promise<number> {
    let fresh = 0;
    await this.strictly(["entries", "meta"], async (tx) => {
      const store = tx.objectStore("entries");
      for (const entry of entries) {
        const here = await store.index("hash").get(entry.hash);
        if (here) {
          if (entry.position !== null) {
            here.position = entry.position;
            here.refused = null;
            delete here.unsent;
            await store.put(here);
          }
        } else {
          await store.add({ ...entry, refused: null });
          fresh += 1;
        }
      }
      if (read) {
        await tx.objectStore("meta").put({ name: "epoch", value: read.epoch });
        await tx.objectStore("meta").put({ name: "after", value: read.after });
      }
    });
    return fresh;
  }

  async entriesAfter(seq: number): Promise<KeptEntry[]> {
    return this.db.getAll("entries", IDBKeyRange.lowerBound(seq, true));
  }

  async entry(hash: Hash): Promise<KeptEntry | undefined> {
    return this.db.getFromIndex("entries", "hash", hash);
  }

  async highestNumber(kid: Kid): Promise<number> {
    const range = IDBKeyRange.bound([kid, 0], [kid, Number.MAX_SAFE_INTEGER]);
    const tx = this.db.transaction(["entries", "made"]);
    const [held, made] = await Promise.all([
      tx.objectStore("entries").index("number").openKeyCursor(range, "prev"),
      tx.objectStore("made").openKeyCursor(range, "prev"),
    ]);
    const highest = (key: unknown) => (Array.isArray(key) ? Number(key[1]) : 0);
    return Math.max(highest(held?.key), highest(made?.key));
  }

  async unsent(limit: number): Promise<KeptEntry[]> {
    return this.db.getAllFromIndex("entries", "unsent", 1, limit);
  }

  async countUnsent(): Promise<number> {
    return this.db.countFromIndex("entries", "unsent", 1);
  }

  async count(): Promise<number> {
    return this.db.count("entries");
  }

  async refused(): Promise<KeptEntry[]> {
    const all = await this.db.getAllFromIndex("entries", "unsent", 1);
    return all.filter((entry) => entry.refused !== null);
  }

  async answered(answers: { hash: Hash; position: number | null; refused: string | null }[]): Promise<void> {
    await this.strictly(["entries"], async (tx) => {
      const store = tx.objectStore("entries");
      for (const answer of answers) {
        const entry = await store.index("hash").get(answer.hash);
        if (!entry) continue;
        entry.refused = answer.refused;
        if (answer.refused === null) {
          entry.position = answer.position;
          delete entry.unsent;
        }
        await store.put(entry);
      }
    });
  }

  // A restored server has a new epoch: nothing is known to be there any more.
  async forgetPositions(epoch: string): Promise<void> {
    await this.strictly(["entries", "blobs", "meta"], async (tx) => {
      for await (const cursor of tx.objectStore("entries")) {
        await cursor.update({ ...cursor.value, position: null, unsent: 1, refused: null });
      }
      for await (const cursor of tx.objectStore("blobs")) {
        await cursor.update({ ...cursor.value, unsent: 1 });
      }
      await tx.objectStore("meta").put({ name: "epoch", value: epoch });
      await tx.objectStore("meta").put({ name: "after", value: 0 });
    });
  }

  // ---- people's keys ----------------------------------------------------

  async keys(): Promise<KeptKey[]> {
    return this.db.getAll("keys");
  }

  async putKey(key: KeptKey): Promise<void> {
    await this.strictly(["keys"], (tx) => tx.objectStore("keys").put(key));
  }

  // Counted before a PIN is tried, so that killing the browser does not
  // give another try for nothing.
  async noteTry(kid: Kid, wrong: number, waitUntil: number): Promise<void> {
    await this.strictly(["keys"], async (tx) => {
      const store = tx.objectStore("keys");
      const key = await store.get(kid);
      if (key) await store.put({ ...key, wrong, wait_until: waitUntil });
    });
  }

  async device(): Promise<DeviceSecret | undefined> {
    return this.db.get("secrets", "device");
  }

  async putDevice(secret: DeviceSecret): Promise<void> {
    await this.strictly(["secrets"], (tx) => tx.objectStore("secrets").put(secret));
  }

  // ---- photos, procedures, what is half typed ----------------------------

  async putBlob(blob: KeptBlob): Promise<void> {
    await this.strictly(["blobs"], (tx) => tx.objectStore("blobs").put(blob));
  }

  async blob(digest: string): Promise<KeptBlob | undefined> {
    return this.db.get("blobs", digest);
  }

  async unsentBlobs(): Promise<KeptBlob[]> {
    return this.db.getAllFromIndex("blobs", "unsent", 1);
  }

  async putProcedures(found: { digest: string; text: string }[]): Promise<void> {
    await this.strictly(["procedures"], (tx) =>
      Promise.all(found.map((procedure) => tx.objectStore("procedures").put(procedure))),
    );
  }

  async procedures(): Promise<{ digest: string; text: string }[]> {
    return this.db.getAll("procedures");
  }

  async procedureDigests(): Promise<string[]> {
    return this.db.getAllKeys("procedures");
  }

  async halfTyped(): Promise<HalfTyped[]> {
    return this.db.getAll("halftyped");
  }

  async putHalfTyped(half: HalfTyped): Promise<void> {
    await this.db.put("halftyped", half);
  }

  async dropHalfTyped(id: string): Promise<void> {
    await this.db.delete("halftyped", id);
  }

  async workedOut(): Promise<WorkedOut | undefined> {
    return this.db.get("worked", "worked");
  }

  async putWorkedOut(worked: WorkedOut): Promise<void> {
    await this.db.put("worked", worked);
  }

  // ---- the rest ----------------------------------------------------------

  async meta(): Promise<Meta> {
    const found: Meta = { ...metaAtFirst };
    for (const { name, value } of await this.db.getAll("meta")) Object.assign(found, { [name]: value });
    return found;
  }

  async putMeta(changes: Partial<Meta>): Promise<void> {
    await this.strictly(["meta"], async (tx) => {
      for (const [name, value] of Object.entries(changes) as [keyof Meta, Meta[keyof Meta]][]) {
        await tx.objectStore("meta").put({ name, value });
      }
    });
  }
}
