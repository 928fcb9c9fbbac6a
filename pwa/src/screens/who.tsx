// Who holds the phone: open with a PIN, hand over, or add a person. Handing
// over closes the key and loses nothing half typed.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { KeptKey } from "../db";
import { Sheet } from "../pieces/dialog";
import { Frame } from "../pieces/frame";
import { PinPad, pinProblem } from "../pieces/pinpad";
import { back, go } from "../route";
import { useShop, useShopState } from "../shop";
import { words } from "../words";

// The whole link, or the code that stands at its end.
export function codeFrom(typed: string): string | null {
  const code = typed.trim().replace(/^.*#\/enrol\//, "");
  return /^[A-Za-z0-9_-]{4,128}$/.test(code) ? code : null;
}

export function WhoScreen(): JSX.Element {
  const shop = useShop();
  const { keys, holder, open } = useShopState((state) => state);
  const [chosen, setChosen] = useState<KeptKey | null>(null);
  const [typed, setTyped] = useState("");
  const [bad, setBad] = useState(false);
  const ready = keys.filter((key) => key.pending === null);
  const pending = keys.filter((key) => key.pending !== null);

  return (
    <Frame
      title={words.app}
      thumb={
        holder ? (
          <button type="button" class="primary wide" onClick={() => void shop.handOver()}>
            {words.who.handOver}
          </button>
        ) : (
          <button type="button" class="second wide big" onClick={() => go()}>
            {words.who.lookOnly}
          </button>
        )
      }
    >
      <h1 tabIndex={-1}>{words.who.title}</h1>
      {ready.length === 0 && <p class="section quiet">{words.who.none}</p>}
      <ul class="people-keys">
        {ready.map((key) => {
          const holding = key.person === holder;
          return (
            <li key={key.kid}>
              <button
                type="button"
                class="person-key"
                aria-pressed={holding}
                onClick={() => (holding && open ? back() : setChosen(key))}
              >
                {key.name}
                {holding && <span class="small">{open ? words.who.holding : words.who.locked}</span>}
              </button>
            </li>
          );
        })}
        {pending.map((key) => (
          <li key={key.kid}>
            <button type="button" class="person-key" onClick={() => go("enrol", key.pending?.code)}>
              {key.name || words.enrol.title}
              <span class="small">{words.who.pending}</span>
            </button>
          </li>
        ))}
      </ul>
      <section class="section">
        <h2>{words.who.add}</h2>
        <form
          class="add-person"
          onSubmit={(event) => {
            event.preventDefault();
            const code = codeFrom(typed);
            if (code) go("enrol", code);
            else setBad(true);
          }}
        >
          <p class="quiet">{words.who.addWords}</p>
          <label>
            {words.who.code}
            <input
              class="field"
              value={typed}
              autocomplete="off"
              autocapitalize="off"
              spellcheck={false}
              onInput={(event) => {
                setBad(false);
                setTyped(event.currentTarget.value);
              }}
            />
          </label>
          {bad && (
            <p class="refusal" role="alert">
              {words.who.codeBad}
            </p>
          )}
          <button type="submit" class="second" disabled={!typed.trim()}>
            {words.who.codeGo}
          </button>
        </form>
      </section>
      {chosen && (
        <Sheet title={words.who.openTitle(chosen.name)} onClose={() => setChosen(null)}>
          <PinPad
            label={words.pin.label}
            act={words.pin.show}
            onPin={async (pin) => {
              try {
                await shop.openFor(chosen.kid, pin);
                back();
                return null;
              } catch (problem) {
                return pinProblem(problem);
              }
            }}
          />
          <details>
            <summary>{words.pin.forgotten}</summary>
            <p>{words.pin.forgot}</p>
          </details>
        </Sheet>
      )}
    </Frame>
  );
}
