// Every entry of a card, also what does not count and why. What is struck out
// stays legible, as on paper.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { useKeeping } from "../keeping";
import { Sheet } from "../pieces/dialog";
import { Frame } from "../pieces/frame";
import { to } from "../route";
import { useAsk, useShopState } from "../shop";
import type { DraftBody, HistoryLine } from "../wire";
import { when, words } from "../words";

type Act = { line: HistoryLine; kind: "strike-out" | "answer" | "acceptance" };

export function HistoryScreen({ card }: { card: string }): JSX.Element {
  const me = useShopState((state) => state.holder);
  const { data: frame } = useAsk("card", { card, me });
  const { data, refused } = useAsk("history", { card });
  const people = useAsk("people", {}).data ?? [];
  const lead = people.some(({ person, roles }) => person === me && roles.includes("lead"));
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
                {!line.counts && (
                  <span class="small why">
                    <strong>{line.struck ? words.history.struck : words.history.not}</strong>
                    {line.why && `: ${line.why}`}
                  </span>
                )}
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
                  <button type="button" class="third" onClick={() => setAct({ line, kind: "strike-out" })}>
                    {words.history.strike}
                  </button>
                )}
                {lead && line.kind === "doubt" && line.counts && (
                  <button type="button" class="third" onClick={() => setAct({ line, kind: "answer" })}>
                    {words.history.answer}
                  </button>
                )}
                {lead && line.state === "waits" && (
                  <button type="button" class="third" onClick={() => setAct({ line, kind: "acceptance" })}>
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

function bodyOf({ line, kind }: Act, why: string): DraftBody {
  if (kind === "answer") return { kind, doubt: line.hash, why };
  if (kind === "acceptance") return { kind, entries: [line.hash], why };
  return { kind, entry: line.hash, why };
}

function ActSheet({ card, act, onClose }: { card: string; act: Act; onClose: () => void }): JSX.Element {
  const keeping = useKeeping();
  const [why, setWhy] = useState("");
  const texts = words.history.acts[act.kind];
  return (
    <Sheet title={texts.title} onClose={onClose}>
      <form
        class="stack"
        onSubmit={async (event) => {
          event.preventDefault();
          if (await keeping.keep("why", { about: `card:${card}`, body: bodyOf(act, why.trim()) })) onClose();
        }}
      >
        <blockquote>{act.line.words}</blockquote>
        <p class="quiet">{texts.words}</p>
        <label>
          {texts.why}
          <textarea
            class="field"
            rows={3}
            value={why}
            onInput={(event) => setWhy(event.currentTarget.value)}
          />
        </label>
        {keeping.refusedAt("why")}
        <button type="submit" class="primary wide" disabled={!why.trim() || keeping.busy}>
          {texts.go}
        </button>
      </form>
      {keeping.sheet}
    </Sheet>
  );
}
