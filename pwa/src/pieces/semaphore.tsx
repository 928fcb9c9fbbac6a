// A semaphore of our own drawing: arm level for stop, arm raised for clear
// (lowered, in lower-quadrant country). A hollow arm waits for entries that
// have not come; a broken one has lapsed. The word always stands beside it.
import type { JSX } from "preact";
import type { Signal } from "../wire";

export type Quadrant = "upper" | "lower";

export function quadrantOf(vocabulary: string | undefined): Quadrant {
  return vocabulary === "british" ? "lower" : "upper";
}

export function Semaphore({
  signal,
  quadrant = "upper",
  large = false,
}: {
  signal: Signal;
  quadrant?: Quadrant;
  large?: boolean;
}): JSX.Element {
  const raised = signal === "clear" ? ` is-clear is-${quadrant}` : "";
  return (
    <svg
      class={`semaphore is-${signal}${large ? " large" : ""}`}
      viewBox={large ? "0 -26 96 154" : "0 0 96 128"}
      aria-hidden="true"
    >
      <path class="mast" d="M62 12h8v108h-8zM52 120h28v6H52zM63 4h6v6h-6z" />
      {large && (
        <path class="mast" d="M74 52h2v68h-2zM70 64h5v2h-5zM70 78h5v2h-5zM70 92h5v2h-5zM70 106h5v2h-5z" />
      )}
      <g class={`arm${raised}`}>
        {large ? (
          <>
            <rect class="blade" x="4" y="20" width="66" height="16" />
            <path class="band" d="M14 20h8v16h-8z" />
          </>
        ) : (
          <rect class="blade" x="-6" y="16" width="74" height="24" />
        )}
        <path class="crack" d="M38 16l-5 10h7l-5 14" />
        {large && <circle class="pivot" cx="66" cy="28" r="5" />}
      </g>
    </svg>
  );
}
