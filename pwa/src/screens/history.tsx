// Every entry of a card, also what does not count and why. What is struck out
// stays legible, as on paper.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Frame } from "../pieces/frame";
import { to } from "../route";
import { useAsk, useIsLead, useShopState } from "../shop";
import type { HistoryLine } from "../wire";
import { when, words } from "../words";
import { type Act, ActSheet } from "./act";

function whyNot({ struck, why }: HistoryLine): string {
  const state = struck ? words.history.struck : words.history.not;
  if (!why) return state;
  return why.startsWith(state) ? why : `${state}: ${why}`;
}

export function HistoryScreen({ card }: { card: string }): JSX.Element {
  const me = useShopState((state) => state.holder);
  const { data: frame } = useAsk("card", { card, me });
  const { data, refused } = useAsk("history", { card });
  const lead = useIsLead();
  const [only, setOnly] = useState(false);
  const [act, setAct] = useState<Act | null>(null);
  const lines = (data ?? []).filter((line) => !only || !line.counts);
  return (
    <Frame
      frame={frame}
      thumb={
        <a class="primary wide" href={to("card", card)}>
          {words.act.back}
        </a>
      }
    >
      <h1 tabIndex={-1}>{words.history.title}</h1>
      {refused && <p class="refusal">{refused}</p>}
      <fieldset class="segments">
        <button type="button" aria-pressed={!only} onClick={() => setOnly(false)}>
          {words.history.all}
        </button>
        <button type="button" aria-pressed={only} onClick={() => setOnly(true)}>
          {words.history.only}
        </button>
      </fieldset>
      {!data && !refused && <p class="section quiet">{words.loading}</p>}
      {data && lines.length === 0 && <p class="section quiet">{words.history.none}</p>}
      <ol class="rows history">
        {lines.map((line) => (
          <li key={line.hash} class={line.struck ? "struck" : line.counts ? undefined : "not-counting"}>
            <details>
              <summary>
                <span class="history-words sentence">{line.words}</span>
                {!line.counts && <span class="small why sentence">{whyNot(line)}</span>}
              </summary>
              <p class="small quiet">
                {words.step.by(line.who, when(line.at))} · {words.history.key(line.kid)}
              </p>
              <div class="history-acts">
                {line.place && (
                  <a class="third" href={to("card", card, line.place)}>
                    {words.history.goThere}
                  </a>
                )}
                {line.may_strike && (
                  <button
                    type="button"
                    class="third"
                    onClick={() => setAct({ entry: line.hash, words: line.words, kind: "strike-out" })}
                  >
                    {words.history.strike}
                  </button>
                )}
                {lead && line.kind === "doubt" && line.counts && (
                  <button
                    type="button"
                    class="third"
                    onClick={() => setAct({ entry: line.hash, words: line.words, kind: "answer" })}
                  >
                    {words.history.answer}
                  </button>
                )}
                {lead && line.state === "waits" && (
                  <button
                    type="button"
                    class="third"
                    onClick={() => setAct({ entry: line.hash, words: line.words, kind: "acceptance" })}
                  >
                    {words.history.accept}
                  </button>
                )}
              </div>
            </details>
          </li>
        ))}
      </ol>
      {act && <ActSheet card={card} act={act} onClose={() => setAct(null)} />}
    </Frame>
  );
}
