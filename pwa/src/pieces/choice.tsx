// One of a few, side by side.
import type { JSX } from "preact";

export function Choice<T extends string>({
  label,
  choices,
  chosen,
  onChoose,
}: {
  label: string;
  choices: [T, string][];
  chosen: T;
  onChoose: (choice: T) => void;
}): JSX.Element {
  return (
    <fieldset>
      <legend class="label">{label}</legend>
      <div class="segments">
        {choices.map(([id, face]) => (
          <button type="button" key={id} aria-pressed={id === chosen} onClick={() => onChoose(id)}>
            {face}
          </button>
        ))}
      </div>
    </fieldset>
  );
}
