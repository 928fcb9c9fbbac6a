// Which way the work goes from here, chosen in words.
import type { JSX } from "preact";
import { VerdictMark } from "../pieces/verdict";
import type { Way } from "../wire";
import { when, words } from "../words";
import { WordKeys } from "./reading";

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
            <VerdictMark verdict={way.value.verdict} text={way.value.verdict_words || way.value.text_as_typed} />
            <span class="small quiet">{words.step.by(way.value.who, when(way.value.at))}</span>
          </p>
        )}
        {refusal}
      </div>
    </section>
  );
}
