// Which way the work goes from here, chosen in words.
import type { JSX } from "preact";
import type { Way } from "../wire";
import { words } from "../words";
import { By, WordKeys } from "./reading";

export function WaySection({
  way,
  can,
  onWord,
  refusal,
}: {
  way: Way;
  can: boolean;
  onWord: (word: string) => void;
  refusal: JSX.Element | null;
}): JSX.Element {
  return (
    <section class="section" id="way">
      <h2>{words.step.way}</h2>
      <div class="reading">
        <p class="reading-name">{way.label}</p>
        {can && <WordKeys reading={way} onWord={onWord} />}
        {way.value && (
          <p class="reading-said">
            <strong>{way.value.text_as_typed}</strong>
            <By read={way.value} />
          </p>
        )}
        {refusal}
      </div>
    </section>
  );
}
