// A verdict is a shape and a word; its colour only repeats them.
import type { JSX } from "preact";
import type { Verdict } from "../wire";

export function Glyph({ verdict }: { verdict: Verdict }): JSX.Element | null {
  const common = { class: `glyph is-${verdict}`, viewBox: "0 0 24 24", "aria-hidden": true as const };
  switch (verdict) {
    case "inside":
    case "good":
      return (
        <svg {...common} aria-hidden="true">
          <circle cx="12" cy="12" r="9.5" />
          <path d="M7.5 12.5l3 3 6-6.5" />
        </svg>
      );
    case "outside":
    case "bad":
      return (
        <svg {...common} aria-hidden="true">
          <rect x="3" y="3" width="18" height="18" />
          <path d="M8 8l8 8M16 8l-8 8" />
        </svg>
      );
    case "too_close":
      return (
        <svg {...common} aria-hidden="true">
          <path d="M12 1.5L22.5 12 12 22.5 1.5 12z" />
          <path d="M7.5 10.7c1.5-1.6 3-1.6 4.5-.4s3 1.200 4.500-.4M7.500 14.700c1.500-1.600 3-1.600 4.500-.4s3 1.200 4.500-.4" />
        </svg>
      );
    default:
      return null;
  }
}

export function VerdictMark({ verdict, text }: { verdict: Verdict; text: string }): JSX.Element | null {
  if (!text) return null;
  return (
    <span class={`verdict is-${verdict}`}>
      <Glyph verdict={verdict} />
      <span>{text}</span>
    </span>
  );
}
