// Cautions in the form of the safety-sign standards: a signal-word panel with
// the alert triangle, and a warning sign with a pictogram of our own drawing.
// Shape and word carry the meaning; the colour repeats it.
import type { JSX } from "preact";
import type { Caution } from "../wire";
import { words } from "../words";

const triangle = "M48 8.500L92 84.500H4z";

// Each stands inside the triangle, whose clear middle is about x 26-70, y 36-80.
const pictograms: Record<string, JSX.Element> = {
  crush: (
    <>
      <circle cx="48" cy="44" r="5" />
      <path d="M41 51h14v16h-3v13h-3V68h-2v12h-3V67h-3z" />
      <path d="M27 60h6v20h-6zM63 60h6v20h-6zM33 66l5 4-5 4zM63 66l-5 4 5 4z" />
    </>
  ),
  "pinch-hand": (
    <g transform="translate(5.5 11) scale(0.88)">
      <path d="M30 76V58l4-3 14 3 16 1c4 0 4 5 0 5H52l12 3c3 1 2 5-1 5l-15-1-8 5z" />
      <path d="M56 40h12v10H56zM62 50l-4 6h8z" />
    </g>
  ),
  "suspended-load": (
    <>
      <path d="M46 26h4v14h-4zM48 38l16 12h-4L48 42 36 50h-4z" />
      <path d="M32 50h32v12H32z" />
      <circle cx="48" cy="68" r="3.500" />
      <path d="M41 80c0-5 3-8 7-8s7 3 7 8z" />
    </>
  ),
  "moving-engine": (
    <g transform="translate(9.6 14) scale(0.8)">
      <path d="M30 52h8v-8h6v8h16v-12h8v26H30z" />
      <circle cx="37" cy="70" r="5.500" />
      <circle cx="50" cy="70" r="5.500" />
      <circle cx="63" cy="70" r="5.500" />
      <path d="M24 77h48v3H24z" />
    </g>
  ),
  trip: (
    <g transform="translate(7 12) scale(0.85)">
      <circle cx="57" cy="38" r="5" />
      <path d="M53 44l-9 13-11 4 2 4 13-4 4-5 6 8-4 12h5l4-14-6-9 4-4 5 4 6-3-2-4-4 2-7-6z" />
      <path d="M26 79h44v-3H40v-6h-6v6h-8z" />
    </g>
  ),
  pressure: (
    <>
      <path d="M48 44a17 17 0 1 0 .1 0zm0 5a12 12 0 1 1-.1 0z" fill-rule="evenodd" />
      <path d="M47 62l9-8 2 2-8 8z" />
      <path d="M45 77h6v4h-6zM47 30h3v10h-3zM36 36l3-2 4 7-2 1zM60 36l-3-2-4 7 2 1z" />
    </>
  ),
  hot: (
    <path d="M28 74h40v5H28zM34 70c-4-6 4-9 0-16 6 4 5 10 3 16zM46 70c-4-8 5-12 0-21 7 5 7 14 4 21zM58 70c-4-6 4-9 0-16 6 4 5 10 3 16z" />
  ),
  "rope-under-tension": (
    <>
      <path d="M24 70h10v6H24zM62 70h10v6H62z" />
      <path d="M34 72l8-1 2 3-10 1zM62 72l-8-1-2 3 10 1z" />
      <path d="M43 70c-4-10 8-10 2-22l3-1c8 12-4 14 0 22zM53 70c5-8-4-12 6-20l2 2c-8 6 0 12-4 18z" />
      <path d="M46 34h4v9h-4zM37 42l3-2 4 6-3 2zM59 42l-3-2-4 6 3 2z" />
    </>
  ),
};

// Prohibitions are a ring with a bar, not a triangle.
const prohibitions: Record<string, JSX.Element> = {
  "no-hands": (
    <path d="M36 74V52c0-4 5-4 5 0v-10c0-4 5-4 5 0v-4c0-4 5-4 5 0v4c0-4 5-4 5 0v16l4-5c3-3 7 0 5 3L55 74z" />
  ),
  "no-standing": (
    <>
      <circle cx="48" cy="29" r="6" />
      <path d="M41 37h14c3 0 4 2 4 4v16h-4V44h-1v36h-5V59h-2v21h-5V44h-1v13h-4V41c0-2 1-4 4-4z" />
    </>
  ),
};

export function SafetySign({ symbol }: { symbol: string | null }): JSX.Element {
  const prohibited = prohibitions[symbol ?? ""];
  if (prohibited) {
    return (
      <svg class="safety-sign" viewBox="0 0 96 96" aria-hidden="true">
        <circle class="sign-field prohibit" cx="48" cy="50" r="40" />
        <g class="sign-picture plain">{prohibited}</g>
        <circle class="sign-ring" cx="48" cy="50" r="38" />
        <path class="sign-ring" d="M21 23l54 54" />
      </svg>
    );
  }
  return (
    <svg class="safety-sign" viewBox="0 0 96 96" aria-hidden="true">
      <path class="sign-field" d={triangle} />
      <g class="sign-picture">{pictograms[symbol ?? ""] ?? <path d="M44 36h8l-2 28h-4zM44 69h8v8h-8z" />}</g>
    </svg>
  );
}

function Alert(): JSX.Element {
  return (
    <svg class="alert" viewBox="0 0 24 22" aria-hidden="true">
      <path d="M12 0l12 22H0z" fill="currentColor" />
      <path class="bang" d="M10.700 7h2.600l-.5 7.500h-1.600zM10.800 16h2.400v2.500h-2.400z" />
    </svg>
  );
}

// Cautions of one signal word share its panel, gravest first, as on a sign.
export function Cautions({ cautions }: { cautions: Caution[] }): JSX.Element {
  return (
    <>
      {(["danger", "warning", "caution", "notice"] as const).map((signal) => {
        const some = cautions.filter((caution) => caution.signal === signal);
        if (some.length === 0) return null;
        return (
          <div class={`caution is-${signal}`} role="note" key={signal}>
            <p class="signal-word">
              {signal !== "notice" && <Alert />}
              <strong>{words.signalWord[signal]}</strong>
            </p>
            {some.map((caution) => (
              <div class="caution-body" key={caution.words}>
                <SafetySign symbol={caution.symbol} />
                <p>{caution.words}</p>
              </div>
            ))}
          </div>
        );
      })}
    </>
  );
}
