// The card as a line of road, left to right: steps are ties, hold points are
// semaphores, my place is marked. It scrolls with the work; a tap goes there.
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { to } from "../route";
import type { CardLine, Frame, LineItem, Place } from "../wire";
import { words } from "../words";
import { type Quadrant, quadrantOf, Semaphore } from "./semaphore";

interface Stretch {
  section: string;
  position: string | null;
  items: (LineItem & { label_short: string })[];
}

function stretches(line: LineItem[]): Stretch[] {
  const found: Stretch[] = [];
  let number = 0;
  for (const item of line) {
    const last = found.at(-1);
    number += 1;
    const numbered = { ...item, label_short: String(number) };
    if (last && last.section === item.section && last.position === item.position) last.items.push(numbered);
    else found.push({ section: item.section, position: item.position, items: [numbered] });
  }
  return found;
}

export function Road({ frame, place }: { frame: Frame; place: Place }): JSX.Element {
  const scroller = useRef<HTMLElement>(null);
  const arrived = useRef(false);
  const quadrant = quadrantOf(frame.vocabulary);
  useEffect(() => {
    const road = scroller.current;
    const tie = road?.querySelector<HTMLElement>("[aria-current]");
    if (!road || !tie) return;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const at = tie.getBoundingClientRect();
    const box = road.getBoundingClientRect();
    const by = at.left + at.width / 2 - box.left - box.width / 2;
    // A short way is shown, a long one would only keep people waiting.
    const behavior = still || !arrived.current || Math.abs(by) > box.width ? "auto" : "smooth";
    arrived.current = true;
    road.scrollBy({ left: by, behavior });
  }, [place, frame.card, frame.line.length]);

  return (
    <nav class="road" aria-label={words.frame.road} ref={scroller}>
      <p class="hidden">{frame.words}</p>
      <ol>
        {stretches(frame.line).map((stretch) => (
          <li key={`${stretch.section}@${stretch.position}`} class="stretch">
            <span class="stretch-name">
              {stretch.section}
              {stretch.position && ` · ${stretch.position}`}
            </span>
            <ol>
              {stretch.items.map((item) => (
                <li key={item.place}>
                  <Tie item={item} card={frame.card} here={item.place === place} quadrant={quadrant} />
                </li>
              ))}
            </ol>
          </li>
        ))}
      </ol>
    </nav>
  );
}

function Tie({
  item,
  card,
  here,
  quadrant,
}: {
  item: LineItem & { label_short: string };
  card: string;
  here: boolean;
  quadrant: Quadrant;
}): JSX.Element {
  const standing = item.kind === "hold" ? words.signal[item.signal ?? "stop"] : words.tie[item.state];
  const spoken = [
    words.tieKind[item.kind],
    item.label_short,
    item.label,
    item.position ?? "",
    standing,
    here ? words.youAreHere : "",
  ];
  return (
    <a
      class={`tie is-${item.state}${here ? " here" : ""}`}
      href={to("card", card, item.place)}
      aria-current={here ? "step" : undefined}
      title={item.label}
    >
      <span class="hidden">{spoken.filter(Boolean).join(", ")}</span>
      <span class="above" aria-hidden="true">
        {item.kind === "hold" && <Semaphore signal={item.signal ?? "stop"} quadrant={quadrant} />}
      </span>
      <svg class="track" viewBox="0 0 48 24" aria-hidden="true">
        {item.kind === "step" && <Sleeper state={item.state} />}
        {item.kind === "witness" && <path class="post" d="M24 3l8 9-8 9-8-9z" />}
        <path class="rails" d="M0 8h48M0 16h48" />
      </svg>
      <span class="below" aria-hidden="true">
        {item.kind === "hold" ? standing : item.label_short}
      </span>
    </a>
  );
}

function Sleeper({ state }: { state: LineItem["state"] }): JSX.Element {
  switch (state) {
    case "done":
      return <rect class="sleeper full" x="19" y="0" width="10" height="24" />;
    case "shut":
      return <path class="sleeper thin" d="M24 3v18" />;
    case "off":
      return <path class="sleeper none" d="M20 3l8 18M28 3l-8 18" />;
    case "waiting":
      return (
        <>
          <rect class="sleeper hollow" x="20" y="1" width="8" height="22" />
          <path class="sleeper thin" d="M24 6v2M24 11v2M24 16v2" />
        </>
      );
    default:
      return <rect class="sleeper hollow" x="20" y="1" width="8" height="22" />;
  }
}

// The same, small, for the book: one glance tells how far a job is.
export function SmallRoad({
  line,
  here,
  words: spoken,
}: {
  line: CardLine["line"];
  here: Place | null;
  words: string;
}): JSX.Element {
  // As wide as the column at most, so that a long job is closer set, not smaller.
  const gap = Math.max(2.7, Math.min(9, 324 / line.length));
  const width = line.length * gap + 4;
  const thick = Math.min(3, gap * 0.45);
  const mine = line.findIndex(({ place }) => place === here);
  return (
    <svg
      class="small-road"
      viewBox={`0 0 ${width} 26`}
      width={width}
      height="26"
      role="img"
      aria-label={spoken}
      preserveAspectRatio="xMinYMid meet"
    >
      <path class="rails" d={`M0 19h${width}M0 23h${width}`} />
      {line.map((item, at) => {
        const x = 5 + at * gap;
        const key = `${at}`;
        if (item.kind !== "hold") {
          if (item.state === "done")
            return <path key={key} class="sleeper full" d={`M${x - thick / 2} 16h${thick}v10h-${thick}z`} />;
          if (item.state === "off") return null;
          const next = at === mine;
          return (
            <path
              key={key}
              class={next ? "sleeper next" : "sleeper thin"}
              d={next ? `M${x} 12v14` : `M${x} 18v6`}
            />
          );
        }
        const clear = item.signal === "clear";
        return (
          <g key={key} class={clear ? "is-clear" : "is-stop"}>
            <path class="mast" d={`M${x + 1} 4v22`} />
            <path class="blade" d={clear ? `M${x + 1} 7l-5 -6` : `M${x + 1} 6h-8`} />
          </g>
        );
      })}
    </svg>
  );
}
