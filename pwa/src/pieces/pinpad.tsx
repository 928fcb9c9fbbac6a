// A PIN, on keys of our own so that it works in gloves and never opens the
// phone's keyboard; a real field stands above it for whoever has one.
import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { WrongPin } from "../keys";
import { words } from "../words";

export function pinProblem(problem: unknown, now = Date.now()): string {
  if (problem instanceof WrongPin) {
    const seconds = Math.ceil((problem.waitUntil - now) / 1000);
    return seconds > 0 ? words.pin.wrongWait(seconds) : words.pin.wrong;
  }
  return problem instanceof Error ? problem.message : String(problem);
}

export function PinPad({
  label,
  act,
  onPin,
  busyWords = words.pin.working,
  said: saidBefore = null,
}: {
  label: string;
  act: string;
  onPin: (pin: string) => Promise<string | null>;
  busyWords?: string;
  said?: string | null;
}): JSX.Element {
  const [pin, setPin] = useState("");
  const [said, setSaid] = useState<string | null>(saidBefore);
  const [busy, setBusy] = useState(false);
  const field = useRef<HTMLInputElement>(null);
  const alive = useRef(true);
  useEffect(() => {
    field.current?.focus({ preventScroll: true });
    return () => {
      alive.current = false;
    };
  }, []);

  function type(next: string) {
    setSaid(null);
    setPin(next.replace(/\D/g, "").slice(0, 12));
  }

  async function submit() {
    if (busy) return;
    if (pin.length < 6) {
      setSaid(words.pin.short);
      return;
    }
    setBusy(true);
    const problem = await onPin(pin);
    if (!alive.current) return;
    setBusy(false);
    setPin("");
    setSaid(problem);
    field.current?.focus({ preventScroll: true });
  }

  return (
    <form
      class="pinpad"
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <label>
        {label}
        <input
          ref={field}
          class="field pin"
          type="password"
          inputMode="none"
          autocomplete="off"
          value={pin}
          aria-describedby="pin-said"
          onInput={(event) => type(event.currentTarget.value)}
        />
      </label>
      <p class="pin-said" id="pin-said" role="status">
        {busy ? busyWords : (said ?? " ")}
      </p>
      <div class="keys pin-keys">
        {"123456789".split("").map((digit) => (
          <button type="button" key={digit} onClick={() => type(pin + digit)}>
            {digit}
          </button>
        ))}
        <button type="button" aria-label={words.pin.rub} onClick={() => type(pin.slice(0, -1))}>
          {words.pad.rub}
        </button>
        <button type="button" onClick={() => type(`${pin}0`)}>
          0
        </button>
        <button type="submit" class="primary" disabled={busy}>
          {act}
        </button>
      </div>
    </form>
  );
}
