// A number as the workings show it: true fractions, the unit at half height,
// and a spoken form for whoever does not see it.
import type { JSX } from "preact";
import type { Runs, Shown } from "../wire";
import { words } from "../words";

export function ShownNumber({ shown, unit = true }: { shown: Shown; unit?: boolean }): JSX.Element {
  // Words (free, bottom quarter) are shown as they are said.
  if (!/^[-−+]?[\d.]/.test(shown.text)) {
    return (
      <span class="shown inwords">
        <span aria-hidden="true">{shown.text}</span>
        <span class="hidden">{shown.spoken}</span>
      </span>
    );
  }
  return (
    <span class="shown">
      <span aria-hidden="true">
        {shown.den ? (
          <>
            {shown.whole}
            <span class={shown.whole ? "frac" : "frac alone"}>
              <span class="over">{shown.num}</span>
              <span class="slash">⁄</span>
              <span class="under">{shown.den}</span>
            </span>
          </>
        ) : (
          shown.number
        )}
        {unit && shown.unit && (
          <span class={/^[°′″%]/.test(shown.unit) ? "unit tight" : "unit"}>{shown.unit}</span>
        )}
      </span>
      <span class="hidden">{shown.spoken}</span>
    </span>
  );
}

export function Woven({ runs, onValue }: { runs: Runs; onValue?: (name: string) => void }): JSX.Element {
  return (
    <>
      {runs.map((run) => {
        if ("t" in run) return run.t;
        if ("missing" in run) {
          return (
            <span class="missing" key={run.name}>
              <span class="hidden">{run.missing}</span>
            </span>
          );
        }
        if (!run.working || !onValue) {
          return (
            <strong class="value" key={run.name}>
              <ShownNumber shown={run.v} />
            </strong>
          );
        }
        return (
          <button type="button" class="value" key={run.name} onClick={() => onValue(run.name)}>
            <ShownNumber shown={run.v} />
            <span class="hidden">
              , {run.label}, {words.step.working}
            </span>
          </button>
        );
      })}
    </>
  );
}
