// What is done to an entry that stands: it is struck out, a doubt is answered,
// one that waits is accepted. Each wants its reason.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { useKeeping } from "../keeping";
import { Sheet } from "../pieces/dialog";
import type { DraftBody, Hash } from "../wire";
import { words } from "../words";

export interface Act {
  entry: Hash;
  words: string;
  kind: "strike-out" | "answer" | "acceptance";
}

function bodyOf({ entry, kind }: Act, why: string): DraftBody {
  if (kind === "answer") return { kind, doubt: entry, why };
  if (kind === "acceptance") return { kind, entries: [entry], why };
  return { kind, entry, why };
}

export function ActSheet({
  card,
  act,
  onClose,
}: {
  card: string;
  act: Act;
  onClose: () => void;
}): JSX.Element {
  const keeping = useKeeping();
  const [why, setWhy] = useState("");
  const texts = words.history.acts[act.kind];
  return (
    <Sheet title={texts.title} onClose={onClose}>
      <form
        class="stack"
        onSubmit={async (event) => {
          event.preventDefault();
          if (await keeping.keep("why", { about: `card:${card}`, body: bodyOf(act, why.trim()) })) onClose();
        }}
      >
        <blockquote>{act.words}</blockquote>
        <p class="quiet">{texts.words}</p>
        <label>
          {texts.why}
          <textarea
            class="field"
            rows={3}
            value={why}
            onInput={(event) => setWhy(event.currentTarget.value)}
          />
        </label>
        {keeping.refusedAt("why")}
        <button type="submit" class="primary wide" disabled={!why.trim() || keeping.busy}>
          {texts.go}
        </button>
      </form>
      {keeping.sheet}
    </Sheet>
  );
}
