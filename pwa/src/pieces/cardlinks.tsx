// What else there is to a card, at the foot of each of its pages.
import type { JSX } from "preact";
import { to } from "../route";
import { words } from "../words";

export function CardLinks({ card }: { card: string }): JSX.Element {
  return (
    <nav class="elsewhere section" aria-label={words.list.more}>
      <a class="third" href={to("history", card)}>
        {words.history.link}
      </a>
      <a class="third" href={to("packet", card)}>
        {words.packet.link}
      </a>
    </nav>
  );
}
