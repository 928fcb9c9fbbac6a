// Our own number pad. It stands where a keyboard would, below the reading it
// belongs to, and leaves the phone's keyboard one tap away.
import type { JSX } from "preact";
import { denominators, type PadKey } from "../pad";
import type { Unit } from "../wire";
import { words } from "../words";

export function NumberPad({
  label,
  units,
  unit,
  onKey,
  onUnit,
  onKeyboard,
}: {
  label: string;
  units: Unit[];
  unit: string;
  onKey: (key: PadKey) => void;
  onUnit: (unit: string) => void;
  onKeyboard: () => void;
}): JSX.Element {
  const fractions = units.find(({ id }) => id === unit)?.fractions ?? false;
  const key = (name: PadKey, face: string, spoken?: string, shape?: string) => (
    <button type="button" key={face} class={shape} aria-label={spoken} onClick={() => onKey(name)}>
      {face}
    </button>
  );
  return (
    // Pressing a key must not take the focus, and with it the caret, away.
    <fieldset class="pad" aria-label={words.pad.title(label)} onPointerDown={(e) => e.preventDefault()}>
      <fieldset class="pad-units" aria-label={words.pad.unit}>
        {units.map(({ id, label: face }) => (
          <button type="button" key={id} aria-pressed={id === unit} onClick={() => onUnit(id)}>
            {face}
          </button>
        ))}
        <button type="button" class="pad-board" onClick={onKeyboard}>
          {words.pad.keyboard}
        </button>
      </fieldset>
      {fractions && (
        <div class="pad-overs">{denominators.map((n) => key({ over: n }, `/${n}`, words.pad.over(n)))}</div>
      )}
      <div class="keys pad-keys">
        {["1", "2", "3"].map((digit) => key({ digit }, digit))}
        {key("rub", words.pad.rub, words.pad.rubSpoken, "tall")}
        {["4", "5", "6", "7", "8", "9"].map((digit) => key({ digit }, digit))}
        {key("sign", words.pad.sign, words.pad.signSpoken, "tall")}
        {fractions && key("and", words.pad.and, words.pad.andSpoken)}
        {key({ digit: "0" }, "0", undefined, fractions ? undefined : "broad")}
        {key("point", words.pad.point, words.pad.pointSpoken)}
      </div>
    </fieldset>
  );
}
