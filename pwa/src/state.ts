// What the screens know beside the book: who holds the phone, what was sent,
// where we are. One small store; a screen draws again when its slice changes.
import { useEffect, useState } from "preact/hooks";
import type { KeptKey } from "./db";
import type { SyncNews } from "./sync";

export interface Standing extends SyncNews {
  unsent: number;
  refused: number;
  sentAt: string | null;
  pulledAt: string | null;
}

export interface State {
  book: number; // grows whenever the book has news
  opened: boolean; // false while what is shown is what was last shown
  holder: string | null; // person
  open: boolean; // whether that person's key is open
  keys: KeptKey[];
  standing: Standing;
  nearlyFull: boolean;
  freshVersion: boolean;
  halfTyped: number;
}

export const atFirst: State = {
  book: 0,
  opened: false,
  holder: null,
  open: false,
  keys: [],
  standing: { state: "resting", trouble: null, read: 0, unsent: 0, refused: 0, sentAt: null, pulledAt: null },
  nearlyFull: false,
  freshVersion: false,
  halfTyped: 0,
};

export class Store<T extends object> {
  private listeners = new Set<() => void>();

  constructor(private value: T) {}

  get(): T {
    return this.value;
  }

  set(change: Partial<T>): void {
    this.value = { ...this.value, ...change };
    for (const listener of [...this.listeners]) listener();
  }

  listen(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }
}

export function useStore<T extends object, S>(store: Store<T>, pick: (value: T) => S): S {
  const [picked, setPicked] = useState(() => pick(store.get()));
  useEffect(() => {
    const look = () => setPicked(() => pick(store.get()));
    look();
    return store.listen(look);
  }, [store]);
  return picked;
}
