// The working behind a value: its formula, the same with the numbers, the
// readings and who took them, what is assumed, and where it comes from.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { useKeeping } from "../keeping";
import { Sheet } from "../pieces/dialog";
import { ShownNumber } from "../pieces/shown";
import { SafeSvg } from "../pieces/svg";
import { useAsk } from "../shop";
import type { Frame, Place } from "../wire";
import { when, words } from "../words";

export function WorkingSheet({
  frame,
  place,
  name,
  onClose,
}: {
  frame: Frame;
  place: Place;
  name: string;
  onClose: () => void;
}): JSX.Element {
  const { data, refused } = useAsk("working", { card: frame.card, place, name });
  return (
    <Sheet title={data?.label ?? words.working.kicker} kicker={words.working.kicker} onClose={onClose}>
      {refused && <p class="refusal">{refused}</p>}
      {data && (
        <>
          <p class="working-result">
            {data.shown ? <ShownNumber shown={data.shown} /> : <span class="missing">{data.missing}</span>}
            {data.uncertainty && <span class="uncertainty"> {data.uncertainty}</span>}
          </p>
          {data.lines.length > 0 && (
            <ol class="lines">
              {data.lines.map((line) => (
                <li key={line.spoken}>
                  <SafeSvg class="formula" svg={line.formula_svg} label={line.spoken} />
                  {line.numbers_svg && <SafeSvg class="formula numbers" svg={line.numbers_svg} label="" />}
                </li>
              ))}
            </ol>
          )}
          {data.readings.length > 0 && (
            <section>
              <h3>{words.working.readings}</h3>
              <ul class="rows behind">
                {data.readings.map((reading) => (
                  <li key={`${reading.label}${reading.entry}`}>
                    <span>{reading.label}</span>
                    <span class="behind-number">
                      {reading.shown && <ShownNumber shown={reading.shown} />}
                    </span>
                    <span class="small quiet">
                      {[
                        reading.origin ?? (reading.who && words.step.by(reading.who, when(reading.at))),
                        reading.gauge,
                      ]
                        .filter(Boolean)
                        .join(" · ")}
                    </span>
                  </li>
                ))}
              </ul>
            </section>
          )}
          {data.budget.length > 0 && (
            <section>
              <h3>{words.working.budget}</h3>
              <ul class="rows behind">
                {data.budget.map((part) => (
                  <li key={part.label}>
                    <span>{part.label}</span>
                    <span class="behind-number">{part.share}</span>
                  </li>
                ))}
              </ul>
            </section>
          )}
          <Said title={words.working.assumptions} lines={data.assumptions} />
          <Said title={words.working.cautions} lines={data.cautions} />
          <Said title={words.working.sources} lines={data.sources} />
          {data.doubts.length > 0 && (
            <section>
              <h3>{words.hold.doubts}</h3>
              <ul class="said">
                {data.doubts.map((doubt) => (
                  <li key={doubt.entry}>
                    {doubt.words} {doubt.answered && <span class="quiet">({words.working.answered})</span>}
                  </li>
                ))}
              </ul>
            </section>
          )}
          <Doubt frame={frame} place={place} name={name} />
        </>
      )}
    </Sheet>
  );
}

function Said({ title, lines }: { title: string; lines: string[] }): JSX.Element | null {
  if (lines.length === 0) return null;
  return (
    <section>
      <h3>{title}</h3>
      <ul class="said">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}

function Doubt({ frame, place, name }: { frame: Frame; place: Place; name: string }): JSX.Element {
  const keeping = useKeeping();
  const [why, setWhy] = useState<string | null>(null);
  const [kept, setKept] = useState(false);
  if (kept) return <p role="status">{words.working.doubtKept}</p>;
  if (why === null) {
    return (
      <button type="button" class="second wide" onClick={() => setWhy("")}>
        {words.working.doubt}
      </button>
    );
  }
  return (
    <form
      class="stack"
      onSubmit={async (event) => {
        event.preventDefault();
        const body = { kind: "doubt", name, why: why.trim() } as const;
        if (await keeping.keep("doubt", { about: `card:${frame.card}`, place, body })) setKept(true);
      }}
    >
      <label>
        {words.working.doubtWhy}
        <textarea class="field" rows={3} value={why} onInput={(event) => setWhy(event.currentTarget.value)} />
      </label>
      {keeping.refusedAt("doubt")}
      <button type="submit" class="primary wide" disabled={!why.trim() || keeping.busy}>
        {words.working.doubt}
      </button>
      {keeping.sheet}
    </form>
  );
}
