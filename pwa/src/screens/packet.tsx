// The card on paper, made by the server: blank to work from, or filled.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Choice } from "../pieces/choice";
import { Frame } from "../pieces/frame";
import { NoAnswer } from "../server";
import { useAsk, useShop, useShopState } from "../shop";
import { words } from "../words";

type Kind = "blank" | "filled";
type Paper = "A4" | "Letter";

export function PacketScreen({ card }: { card: string }): JSX.Element {
  const shop = useShop();
  const me = useShopState((state) => state.holder);
  const unsent = useShopState((state) => state.standing.unsent);
  const { data: frame } = useAsk("card", { card, me });
  const [kind, setKind] = useState<Kind>("filled");
  const [paper, setPaper] = useState<Paper>("A4");
  const [busy, setBusy] = useState(false);
  const [said, setSaid] = useState<string | null>(null);

  async function make() {
    setBusy(true);
    setSaid(null);
    try {
      const address = URL.createObjectURL(await shop.server.packet(card, kind, paper));
      const link = document.createElement("a");
      link.href = address;
      link.download = `${card}-${kind}.pdf`;
      link.click();
      setTimeout(() => URL.revokeObjectURL(address), 60_000);
    } catch (problem) {
      setSaid(problem instanceof NoAnswer ? words.packet.needsServer : (problem as Error).message);
    }
    setBusy(false);
  }

  return (
    <Frame
      frame={frame}
      thumb={
        <button type="button" class="primary wide" disabled={busy} onClick={() => void make()}>
          {busy ? words.packet.making : words.packet.make}
        </button>
      }
    >
      <div class="stack">
        <h1 tabIndex={-1}>{words.packet.title}</h1>
        <p>{words.packet.words}</p>
        <Choice
          label={words.packet.kind}
          choices={[
            ["filled", words.packet.filled],
            ["blank", words.packet.blank],
          ]}
          chosen={kind}
          onChoose={setKind}
        />
        <Choice
          label={words.packet.paper}
          choices={[
            ["A4", "A4"],
            ["Letter", "US Letter"],
          ]}
          chosen={paper}
          onChoose={setPaper}
        />
        {unsent > 0 && <p class="quiet">{words.packet.unsent(unsent)}</p>}
        {said && (
          <p class="refusal" role="alert">
            {said}
          </p>
        )}
      </div>
    </Frame>
  );
}
