// What a signature covers, step by step, as a list that can be read aloud: the
// values held to limits first, then each reading, check and decision.
import type { JSX } from "preact";
import { ShownNumber } from "../pieces/shown";
import { Glyph, VerdictMark } from "../pieces/verdict";
import { to } from "../route";
import type { Covered, Frame, HoldView, Place } from "../wire";
import { when, words } from "../words";

interface Group {
  place: Place | null;
  title: string;
  lines: Covered[];
}

function groups(frame: Frame, covered: Covered[]): Group[] {
  const found = new Map<Place | null, Group>();
  for (const line of covered) {
    let group = found.get(line.place);
    if (!group) {
      const item = frame.line.find(({ place }) => place === line.place);
      group = { place: line.place, title: item?.label ?? words.hold.decisions, lines: [] };
      found.set(line.place, group);
    }
    group.lines.push(line);
  }
  return [...found.values()];
}

// The position stands at the top of the page and the name beside the group:
// each line need not say them again.
function short(line: Covered, position: string | null): string {
  let text = line.words;
  if (position) text = text.replace(` (${position})`, "");
  const by = `, by ${line.who}`;
  if (text.endsWith(by)) text = text.slice(0, -by.length);
  return line.kind === "check" ? text.replace(/: ticked$/, "") : text;
}

export function CoveredList({ frame, hold }: { frame: Frame; hold: HoldView }): JSX.Element {
  const { covered, judged } = hold;
  return (
    <>
      {judged.length > 0 && (
        <section class="section">
          <h2>{words.hold.judged}</h2>
          <ul class="rows judged">
            {judged.map((value) => (
              <li key={value.name}>
                <span>{value.label}</span>
                <span class="behind-number">
                  {value.shown ? (
                    <ShownNumber shown={value.shown} />
                  ) : (
                    <span class="quiet">{value.missing}</span>
                  )}
                </span>
                <VerdictMark verdict={value.verdict} text={value.conceded ?? value.verdict_words} />
              </li>
            ))}
          </ul>
        </section>
      )}
      <section class="section">
        <h2>{words.hold.covers}</h2>
        {covered.length === 0 && <p class="quiet">{words.hold.none}</p>}
        {groups(frame, covered).map((group) => (
          <CoveredStep key={group.place} frame={frame} group={group} position={hold.position} />
        ))}
      </section>
    </>
  );
}

function CoveredStep({
  frame,
  group,
  position,
}: {
  frame: Frame;
  group: Group;
  position: string | null;
}): JSX.Element {
  const done = group.lines.find(({ kind }) => kind === "said-done");
  const rest = group.lines.filter((line) => line !== done);
  // Readings first, then ticks, in the order they came.
  rest.sort((a, b) => Number(a.kind === "check") - Number(b.kind === "check"));
  const people = [...new Set(group.lines.map(({ who }) => who))];
  return (
    <div class="covered">
      <h3>{group.place ? <a href={to("card", frame.card, group.place)}>{group.title}</a> : group.title}</h3>
      <ul>
        {rest.map((line) => (
          <li key={line.entry}>
            <Glyph verdict={line.kind === "check" ? "good" : line.verdict} />
            <span>
              {short(line, position)}
              {line.verdict_words && <strong class={`is-${line.verdict}`}> {line.verdict_words}</strong>}
              {people.length > 1 && <span class="quiet">, {line.who}</span>}
            </span>
          </li>
        ))}
      </ul>
      <p class="small quiet">
        {done ? words.step.doneBy(done.who, when(done.at)) : people.length === 1 && people[0]}
      </p>
    </div>
  );
}
