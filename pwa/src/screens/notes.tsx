// Notes and photos made at a step, read where they belong.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { useShop } from "../shop";
import type { NoteMade } from "../wire";
import { when, words } from "../words";

export function NotesMade({ notes }: { notes: NoteMade[] }): JSX.Element | null {
  if (notes.length === 0) return null;
  return (
    <section class="section">
      <h2>{words.step.made}</h2>
      <ul class="rows notes">
        {notes.map((note) => (
          <li key={note.entry}>
            {note.text && <p class={note.struck ? "struck-words" : undefined}>{note.text}</p>}
            {note.kind === "photo" && note.blob && <Photo digest={note.blob} who={note.who} />}
            <p class="small quiet">{words.step.by(note.who, when(note.at))}</p>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Photo({ digest, who }: { digest: string; who: string }): JSX.Element {
  const shop = useShop();
  const [address, setAddress] = useState<string | null | undefined>(undefined);
  useEffect(() => {
    let made: string | null = null;
    let gone = false;
    void shop.photo(digest).then((bytes) => {
      if (gone) return;
      made = bytes ? URL.createObjectURL(bytes) : null;
      setAddress(made);
    });
    return () => {
      gone = true;
      if (made) URL.revokeObjectURL(made);
    };
  }, [digest, shop]);
  if (address === null) return <p class="quiet">{words.note.photoNotHere}</p>;
  return <img class="photo" src={address} alt={words.note.photoAlt(who)} />;
}
