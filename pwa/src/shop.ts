// Joins the parts of the phone: what is kept, the book, the open key, the
// server. Screens get this and nothing else; it is the only place that knows
// all of them.
import { createContext } from "preact";
import { useContext, useEffect, useRef, useState } from "preact/hooks";
import { Book, type Draft, type Kept, type Locker, webLock } from "./book";
import type { Db, KeptKey } from "./db";
import { HalfTypedFields } from "./halftyped";
import { sha256 } from "./jws";
import { deviceSecret, enrolRequest, Hand, makeKey, type OpenKey, openKey } from "./keys";
import type { Server } from "./server";
import { atFirst, type State, Store, useStore } from "./state";
import { Sync, type SyncNews } from "./sync";
import { LastViews } from "./views";
import type { AskName, Asks, EnrolAnswer } from "./wire";
import { type Bridge, Refused } from "./workings/bridge";

export interface Parts {
  db: Db;
  bridge: Bridge;
  server: Server;
  build: string; // which build of the workings answers
  locked?: Locker;
}

export class Shop {
  readonly store = new Store<State>(atFirst);
  readonly hand: Hand;
  readonly book: Book;
  readonly sync: Sync;
  readonly views: LastViews;
  halfTyped!: HalfTypedFields;
  private readonly others = new BroadcastChannel("trammel");

  private constructor(
    readonly db: Db,
    readonly server: Server,
    bridge: Bridge,
    build: string,
    locked: Locker,
  ) {
    this.book = new Book(
      db,
      bridge,
      () => {
        this.store.set({ book: this.store.get().book + 1 });
        void this.count();
      },
      build,
      locked,
    );
    this.views = new LastViews(build);
    this.hand = new Hand(() => this.store.set({ open: this.hand.key() !== null }));
    this.sync = new Sync(db, this.book, server, (news) => this.tell(news));
    this.others.onmessage = () => void this.book.refresh();
  }

  static async open({ db, bridge, server, build, locked = webLock }: Parts): Promise<Shop> {
    const shop = new Shop(db, server, bridge, build, locked);
    const [halfTyped, keys, meta] = await Promise.all([
      HalfTypedFields.open(db, (count) => shop.store.set({ halfTyped: count })),
      db.keys(),
      db.meta(),
    ]);
    shop.halfTyped = halfTyped;
    shop.store.set({ keys, holder: meta.holder });
    void shop.count();
    return shop;
  }

  private tell(news: SyncNews): void {
    this.store.set({ standing: { ...this.store.get().standing, ...news } });
    if (news.state !== "running") void this.count();
  }

  async count(): Promise<void> {
    const [unsent, refused, meta] = await Promise.all([
      this.db.countUnsent(),
      this.db.refused(),
      this.db.meta(),
    ]);
    const estimate = await navigator.storage?.estimate?.();
    const nearlyFull = !!estimate?.quota && (estimate.usage ?? 0) > 0.9 * estimate.quota;
    // Read last: the sending goes on meanwhile and tells of itself.
    const standing = {
      ...this.store.get().standing,
      unsent,
      refused: refused.length,
      sentAt: meta.sent_at,
      pulledAt: meta.pulled_at,
    };
    this.store.set({ standing, nearlyFull });
  }

  // ---- who holds the phone -----------------------------------------------

  me(): string | null {
    return this.store.get().holder;
  }

  keyOf(person: string): KeptKey | undefined {
    return this.store.get().keys.find((key) => key.person === person && key.pending === null);
  }

  async openFor(kid: string, pin: string): Promise<OpenKey> {
    const key = await openKey(this.db, kid, pin);
    this.hand.take(key);
    await this.db.putMeta({ holder: key.person });
    this.store.set({ holder: key.person, open: true });
    return key;
  }

  // For one signature: the key is used and forgotten, the holder stays.
  openOnce(kid: string, pin: string): Promise<OpenKey> {
    return openKey(this.db, kid, pin);
  }

  async handOver(): Promise<void> {
    this.hand.close();
    await this.db.putMeta({ holder: null });
    this.store.set({ holder: null, open: false });
  }

  // ---- enrolling -----------------------------------------------------------

  pendingFor(code: string): KeptKey | undefined {
    return this.store.get().keys.find((key) => key.pending?.code === code);
  }

  // The key and the request are on disk before the server hears of them: a
  // lost answer costs nothing but asking again.
  async prepareEnrolment(code: string, pin: string, device: string): Promise<KeptKey> {
    const { kept, open } = await makeKey(pin, await deviceSecret(this.db), device);
    const request = await enrolRequest(code, kept, open);
    const key = { ...kept, pending: { code, request } };
    await this.db.putKey(key);
    this.store.set({ keys: await this.db.keys() });
    return key;
  }

  async askToEnrol(key: KeptKey): Promise<EnrolAnswer> {
    if (!key.pending) throw new Error("This key is enrolled already.");
    const answer = await this.server.enrol(key.pending.request);
    const { root } = await this.db.meta();
    if (root !== null && root !== answer.root) {
      throw new Error("This link belongs to another shop than the one this phone works for.");
    }
    // The register first: without it nobody's entries could be checked.
    const entries = answer.entries.map((jws) => ({ jws, position: null }));
    await this.db.putMeta({ root: answer.root });
    if (root === null) await this.book.begin(answer.root);
    await this.db.keepPulled(await this.sync.checked(entries, answer.root), null);
    await this.db.putKey({ ...key, person: answer.person, name: answer.name, pending: null });
    this.store.set({ keys: await this.db.keys() });
    await this.book.refresh();
    void navigator.storage?.persist?.();
    void this.sync.run();
    return answer;
  }

  // ---- keeping ---------------------------------------------------------------

  async keep(key: OpenKey, ...drafts: Draft[]): Promise<Kept> {
    const kept = await this.book.keep(key, drafts);
    if ("kept" in kept) {
      this.others.postMessage("kept");
      void this.sync.run();
    }
    return kept;
  }

  async keepPhoto(bytes: Blob, about: string): Promise<string> {
    const digest = await sha256(await bytes.arrayBuffer());
    await this.db.putBlob({ digest, bytes, type: bytes.type, about, unsent: 1 });
    return digest;
  }

  async photo(digest: string): Promise<Blob | null> {
    const here = await this.db.blob(digest);
    if (here) return here.bytes;
    try {
      const bytes = await this.server.blob(digest);
      if ((await sha256(await bytes.arrayBuffer())) !== digest) return null;
      await this.db.putBlob({ digest, bytes, type: bytes.type, about: "" });
      return bytes;
    } catch {
      return null;
    }
  }
}

export const ShopContext = createContext<Shop | null>(null);

export function useShop(): Shop {
  const shop = useContext(ShopContext);
  if (!shop) throw new Error("No shop around this screen.");
  return shop;
}

export function useShopState<S>(pick: (state: State) => S): S {
  return useStore(useShop().store, pick);
}

export interface Answer<T> {
  data: T | null;
  refused: string | null;
}

// Asks the workings, and again whenever the book has news. The last answer
// stays on screen until the next one is there: nothing flickers.
export function useAsk<N extends AskName>(name: N, args: Asks[N]["ask"] | null): Answer<Asks[N]["ok"]> {
  const shop = useShop();
  const book = useShopState((state) => state.book);
  const wanted = args === null ? null : JSON.stringify([name, args]);
  const [answer, setAnswer] = useState<Answer<Asks[N]["ok"]> & { of: string | null }>(() => ({
    // Until the book is open: what this phone last showed here.
    data: wanted !== null && book === 0 ? (shop.views.get(wanted) as Asks[N]["ok"] | null) : null,
    refused: null,
    of: wanted,
  }));
  const latest = useRef(wanted);
  latest.current = wanted;
  useEffect(() => {
    if (args === null || wanted === null) return;
    const stop = new AbortController();
    shop.book.ask(name, args, stop.signal).then(
      (data) => {
        if (latest.current !== wanted) return;
        shop.views.put(name, wanted, data);
        setAnswer({ data, refused: null, of: wanted });
      },
      (problem: unknown) => {
        if (stop.signal.aborted || latest.current !== wanted) return;
        const refused = problem instanceof Refused ? problem.message : String(problem);
        setAnswer({ data: null, refused, of: wanted });
      },
    );
    return () => stop.abort();
  }, [wanted, book, shop]);
  return answer.of === wanted ? answer : { data: null, refused: null };
}

// Whether whoever holds the phone is a lead: it only decides what is offered;
// what counts is decided by the workings.
export function useIsLead(): boolean {
  const me = useShopState((state) => state.holder);
  const people = useAsk("people", {}).data ?? [];
  return people.some(({ person, roles }) => person === me && roles.includes("lead"));
}
