// One job card: its frame, and the step or the hold point that is looked at.
import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { Frame } from "../pieces/frame";
import { useAsk, useShopState } from "../shop";
import { words } from "../words";
import { HoldScreen } from "./hold";
import { StepScreen } from "./step";

// Where each card was last looked at, so that coming back comes back there.
const lastPlace = new Map<string, string>();

export function lastCard(): string | null {
  return localStorage.getItem("card");
}

export function CardScreen({ card, place }: { card: string; place: string | null }): JSX.Element {
  const me = useShopState((state) => state.holder);
  const { data: frame, refused } = useAsk("card", { card, me });
  const at = place ?? lastPlace.get(card) ?? frame?.here ?? frame?.line.at(-1)?.place ?? null;
  useEffect(() => {
    if (place) lastPlace.set(card, place);
    localStorage.setItem("card", card);
  }, [card, place]);

  if (!frame || !at) {
    return (
      <Frame title={words.app}>
        {refused ? <p class="refusal">{refused}</p> : <p class="quiet">{words.loading}</p>}
      </Frame>
    );
  }
  const item = frame.line.find((found) => found.place === at);
  if (item?.kind === "hold") return <HoldScreen key={at} frame={frame} place={at} />;
  return <StepScreen key={at} frame={frame} place={at} />;
}
