// A lead concedes a reading or a value that is out: why, and until what.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { useKeeping } from "../keeping";
import { Sheet } from "../pieces/dialog";
import type { Frame, Place } from "../wire";
import { words } from "../words";

export function ConcessionSheet({
  frame,
  place,
  name,
  label,
  onClose,
}: {
  frame: Frame;
  place: Place;
  name: string;
  label: string;
  onClose: () => void;
}): JSX.Element {
  const keeping = useKeeping();
  const at = frame.line.findIndex((item) => item.place === place);
  const ahead = frame.line.filter((item, where) => item.kind === "hold" && where > at);
  const [why, setWhy] = useState("");
  const [until, setUntil] = useState("close");
  return (
    <Sheet title={words.concession.title} kicker={label} onClose={onClose}>
      <form
        class="stack"
        onSubmit={async (event) => {
          event.preventDefault();
          const body = { kind: "concession", name, why: why.trim(), until } as const;
          if (await keeping.keep("concession", { about: `card:${frame.card}`, place, body })) onClose();
        }}
      >
        <label>
          {words.concession.why}
          <textarea
            class="field"
            rows={3}
            value={why}
            onInput={(event) => setWhy(event.currentTarget.value)}
          />
        </label>
        <label>
          {words.concession.until}
          <select class="field" value={until} onChange={(event) => setUntil(event.currentTarget.value)}>
            <option value="close">{words.concession.close}</option>
            {ahead.map((item) => (
              <option key={item.place} value={item.place}>
                {words.concession.hold(item.label, item.position)}
              </option>
            ))}
          </select>
        </label>
        {keeping.refusedAt("concession")}
        <button type="submit" class="primary wide" disabled={!why.trim() || keeping.busy}>
          {words.step.concede}
        </button>
      </form>
      {keeping.sheet}
    </Sheet>
  );
}
