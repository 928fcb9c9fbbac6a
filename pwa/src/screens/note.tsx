// Note it: a few words, a photo, or both, at the place where one stands. What
// is half written survives everything, like a reading.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Draft } from "../book";
import { useKeeping } from "../keeping";
import { Frame } from "../pieces/frame";
import { back, to } from "../route";
import { useAsk, useShop, useShopState } from "../shop";
import { size, words } from "../words";

const largest = 8_000_000;

export function NoteScreen({ card, place }: { card: string; place: string | null }): JSX.Element {
  const shop = useShop();
  const me = useShopState((state) => state.holder);
  const { data: frame } = useAsk("card", { card, me });
  const keeping = useKeeping();
  const field = { person: me ?? "", card, place: place ?? "", name: "note" };
  const [text, setText] = useState(() => shop.halfTyped.get(field)?.text ?? "");
  const [photo, setPhoto] = useState<{ bytes: Blob; address: string } | null>(null);
  const [tooLarge, setTooLarge] = useState<string | null>(null);
  useEffect(() => () => (photo ? URL.revokeObjectURL(photo.address) : undefined), [photo]);
  const where = frame?.line.find((item) => item.place === place);
  const about = `card:${card}`;

  async function keep() {
    const drafts: Draft[] = [];
    const at = place === null ? {} : { place };
    if (photo) {
      const blob = await shop.keepPhoto(photo.bytes, about);
      drafts.push({
        about,
        ...at,
        body: {
          kind: "photo",
          blob,
          type: photo.bytes.type,
          size: photo.bytes.size,
          ...(text.trim() ? { text: text.trim() } : {}),
        },
      });
    } else {
      drafts.push({ about, ...at, body: { kind: "note", text: text.trim() } });
    }
    if (!(await keeping.keep("note", ...drafts))) return;
    shop.halfTyped.drop(field);
    back();
  }

  return (
    <Frame
      frame={frame}
      thumb={
        <>
          <a class="second" href={to("card", card, place)}>
            {words.act.cancel}
          </a>
          <button
            type="button"
            class="primary"
            disabled={keeping.busy || (!text.trim() && !photo)}
            onClick={() => void keep()}
          >
            {words.note.keep}
          </button>
        </>
      }
    >
      <div class="stack">
        <h1 tabIndex={-1}>{words.note.title}</h1>
        {where && <p class="quiet">{words.note.about(where.label)}</p>}
        <label>
          {words.note.text}
          <textarea
            class="field"
            rows={5}
            placeholder={words.note.placeholder}
            value={text}
            onInput={(event) => {
              setText(event.currentTarget.value);
              shop.halfTyped.put(field, event.currentTarget.value, "");
            }}
          />
        </label>
        <label class="second wide photo-take">
          {photo ? words.note.photoAgain : words.note.photo}
          <input
            type="file"
            class="hidden"
            accept="image/*"
            capture="environment"
            onChange={(event) => {
              const bytes = event.currentTarget.files?.[0];
              if (!bytes) return;
              if (bytes.size > largest) {
                setTooLarge(words.note.tooLarge(size(bytes.size), size(largest)));
                return;
              }
              setTooLarge(null);
              setPhoto({ bytes, address: URL.createObjectURL(bytes) });
            }}
          />
        </label>
        {tooLarge && (
          <p class="refusal" role="alert">
            {tooLarge}
          </p>
        )}
        {photo && (
          <figure>
            <img class="photo" src={photo.address} alt={words.note.photoTaken} />
            <figcaption class="small quiet">{words.note.photoTaken}</figcaption>
          </figure>
        )}
        {keeping.refusedAt("note")}
      </div>
      {keeping.sheet}
    </Frame>
  );
}
