// How a screen keeps something: with the open key, or after the PIN if the key
// is closed. A refusal is shown at the thing it is about, and nothing that was
// typed is lost on the way.
import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import type { Draft } from "./book";
import type { OpenKey } from "./keys";
import { Sheet } from "./pieces/dialog";
import { PinPad, pinProblem } from "./pieces/pinpad";
import { go } from "./route";
import { useShop, useShopState } from "./shop";
import { words } from "./words";

export interface Keeping {
  busy: boolean;
  // The holder's key: the open one, or after the PIN; null if it stays closed.
  key(): Promise<OpenKey | null>;
  keep(at: string, ...drafts: Draft[]): Promise<boolean>;
  refusedAt(at: string): JSX.Element | null;
  clear(): void;
  sheet: JSX.Element | null;
}

export function useKeeping(): Keeping {
  const shop = useShop();
  const holder = useShopState((state) => state.holder);
  const [busy, setBusy] = useState(false);
  const [refused, setRefused] = useState<{ at: string; text: string } | null>(null);
  const [asking, setAsking] = useState(false);
  const answered = useRef<((key: OpenKey | null) => void) | null>(null);

  function keyInHand(): Promise<OpenKey | null> {
    const open = shop.hand.key();
    if (open) return Promise.resolve(open);
    if (!holder || !shop.keyOf(holder)) {
      go("who");
      return Promise.resolve(null);
    }
    setAsking(true);
    return new Promise((resolve) => {
      answered.current = resolve;
    });
  }

  function close(key: OpenKey | null) {
    setAsking(false);
    answered.current?.(key);
    answered.current = null;
  }

  async function keep(at: string, ...drafts: Draft[]): Promise<boolean> {
    setRefused(null);
    const key = await keyInHand();
    if (!key) return false;
    setBusy(true);
    try {
      const kept = await shop.keep(key, ...drafts);
      if ("refused" in kept) {
        setRefused({ at, text: kept.refused });
        return false;
      }
      return true;
    } catch (problem) {
      setRefused({ at, text: problem instanceof Error ? problem.message : String(problem) });
      return false;
    } finally {
      setBusy(false);
    }
  }

  const kept = holder ? shop.keyOf(holder) : undefined;
  return {
    busy,
    key: keyInHand,
    keep,
    clear: () => setRefused(null),
    refusedAt: (at) =>
      refused?.at === at ? (
        <p class="refusal" role="alert">
          {refused.text}
        </p>
      ) : null,
    sheet:
      asking && kept ? (
        <Sheet title={words.who.openTitle(kept.name)} onClose={() => close(null)}>
          <p class="quiet">{words.problem.lockedFirst}</p>
          <PinPad
            label={words.pin.label}
            act={words.pin.show}
            onPin={async (pin) => {
              try {
                close(await shop.openFor(kept.kid, pin));
                return null;
              } catch (problem) {
                return pinProblem(problem);
              }
            }}
          />
        </Sheet>
      ) : null,
  };
}
