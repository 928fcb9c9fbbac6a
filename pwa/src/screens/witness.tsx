// A witness point: who was asked to come, who came, or why nobody was waited
// for. It stops nothing.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { DraftBody, StepView } from "../wire";
import { words } from "../words";

export function WitnessSection({
  witness,
  onKeep,
  refusal,
}: {
  witness: NonNullable<StepView["witness"]>;
  onKeep: (body: DraftBody) => Promise<boolean>;
  refusal: JSX.Element | null;
}): JSX.Element {
  const [kind, setKind] = useState<"invitation" | "presence" | "waiver" | null>(null);
  const [text, setText] = useState("");
  return (
    <section class="section">
      <h2>{words.witness.title(witness.who)}</h2>
      {witness.words && <p class="about">{witness.words}</p>}
      <ul class="rows lines-of-words">
        {witness.lines.map((line) => (
          <li class="sentence" key={line}>
            {line}
          </li>
        ))}
      </ul>
      <div class="word-keys">
        {(["invitation", "presence", "waiver"] as const).map((one) => (
          <button
            type="button"
            class="second"
            key={one}
            aria-pressed={one === kind}
            onClick={() => {
              setKind(one);
              setText(one === "waiver" ? "" : witness.who);
            }}
          >
            {words.witness[one]}
          </button>
        ))}
      </div>
      {kind && (
        <form
          class="stack about"
          onSubmit={async (event) => {
            event.preventDefault();
            const said = text.trim();
            if (await onKeep(kind === "waiver" ? { kind, why: said } : { kind, who: said })) setKind(null);
          }}
        >
          <label>
            {kind === "waiver" ? words.witness.why : words.witness.who}
            <input class="field" value={text} onInput={(event) => setText(event.currentTarget.value)} />
          </label>
          <button type="submit" class="second" disabled={!text.trim()}>
            {words.act.keep}
          </button>
        </form>
      )}
      {refusal}
    </section>
  );
}
