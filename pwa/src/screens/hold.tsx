// A hold point, a screen of its own: the signal, large; what is to be signed,
// as a list one can read aloud; who did the work and who may sign.
import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import { CardLinks } from "../pieces/cardlinks";
import { Sheet } from "../pieces/dialog";
import { Frame, NoteIt } from "../pieces/frame";
import { PinPad, pinProblem } from "../pieces/pinpad";
import { Problems } from "../pieces/problems";
import { quadrantOf, Semaphore } from "../pieces/semaphore";
import { to } from "../route";
import { useAsk, useIsLead, useShop, useShopState } from "../shop";
import type { Frame as CardFrame, HoldView, Place } from "../wire";
import { when, words } from "../words";
import { type Act, ActSheet } from "./act";
import { CoveredList } from "./covered";

export function HoldScreen({ frame, place }: { frame: CardFrame; place: Place }): JSX.Element {
  const me = useShopState((state) => state.holder);
  const { data: hold, refused } = useAsk("hold", { card: frame.card, place, me });
  if (!hold) {
    return (
      <Frame frame={frame} place={place}>
        {refused ? <p class="refusal">{refused}</p> : <p class="quiet">{words.loading}</p>}
      </Frame>
    );
  }
  return <Hold frame={frame} hold={hold} />;
}

function Hold({ frame, hold }: { frame: CardFrame; hold: HoldView }): JSX.Element {
  const [signing, setSigning] = useState(false);
  const at = frame.line.findIndex((item) => item.place === hold.place);
  const missing = frame.line
    .slice(0, at)
    .reverse()
    .find((item) => item.kind === "step" && (item.state === "open" || item.state === "waiting"));
  const clear = hold.signal === "clear";

  return (
    <Frame
      frame={frame}
      place={hold.place}
      thumb={
        <>
          <NoteIt card={frame.card} place={hold.place} />
          {clear ? (
            <a class="primary" href={hold.next ? to("card", frame.card, hold.next) : to()}>
              {hold.next ? words.act.goOn : words.act.finish}
            </a>
          ) : hold.can_sign ? (
            <button type="button" class="primary" onClick={() => setSigning(true)}>
              {hold.signal === "lapsed" ? words.act.signAgain : words.act.sign}
            </button>
          ) : missing ? (
            <a class="primary" href={to("card", frame.card, missing.place)}>
              {words.act.showNeeds}
            </a>
          ) : (
            <a class="second big" href={to()}>
              {words.act.finish}
            </a>
          )}
        </>
      }
    >
      <article class="hold">
        <p class="kicker">
          {words.hold.kicker}
          {hold.position && ` ${words.hold.for(hold.position)}`}
        </p>
        <h1 tabIndex={-1}>{hold.title}</h1>
        <div class={`signal-board is-${hold.signal}`} aria-live="polite">
          <Semaphore signal={hold.signal} quadrant={quadrantOf(frame.vocabulary)} large />
          <div>
            <p class="signal-name">{words.signal[hold.signal]}</p>
            {hold.signed && (
              <p>
                {words.hold.signedBy(hold.signed.who, when(hold.signed.at))}
                <br />
                <span class="small quiet">{words.hold.key(hold.signed.fingerprint)}</span>
              </p>
            )}
          </div>
        </div>
        <Problems problems={frame.problems} />
        <Lines title={words.hold.fallen} lines={hold.fallen} loud />
        {hold.words.map((text) => (
          <p class="instruction" key={text}>
            {text}
          </p>
        ))}
        <Lines title={words.hold.needs} lines={hold.needs} />
        <Doubts hold={hold} card={frame.card} />
        <CoveredList frame={frame} hold={hold} />
        <Lines title={words.hold.concessions} lines={hold.concessions} />
        <Lines title={words.hold.struck} lines={hold.struck} />
        <Who hold={hold} />
        <CardLinks card={frame.card} />
      </article>
      {signing && <SignSheet frame={frame} hold={hold} onClose={() => setSigning(false)} />}
    </Frame>
  );
}

function Lines({
  title,
  lines,
  loud = false,
}: {
  title: string;
  lines: string[];
  loud?: boolean;
}): JSX.Element | null {
  if (lines.length === 0) return null;
  return (
    <section class={loud ? "section loud-lines" : "section"}>
      <h2>{title}</h2>
      <ul class="rows lines-of-words">
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </section>
  );
}

function Doubts({ hold, card }: { hold: HoldView; card: string }): JSX.Element | null {
  const lead = useIsLead();
  const [act, setAct] = useState<Act | null>(null);
  if (hold.open_doubts.length === 0) return null;
  return (
    <section class="section">
      <h2>{words.hold.doubts}</h2>
      <ul class="rows lines-of-words">
        {hold.open_doubts.map((doubt) => (
          <li key={doubt.entry}>
            <p class="sentence">{doubt.words}</p>
            {lead && (
              <button type="button" class="third" onClick={() => setAct({ ...doubt, kind: "answer" })}>
                {words.history.answer}
              </button>
            )}
          </li>
        ))}
      </ul>
      {act && <ActSheet card={card} act={act} onClose={() => setAct(null)} />}
    </section>
  );
}

function Who({ hold }: { hold: HoldView }): JSX.Element {
  return (
    <section class="section">
      {hold.did_work.length > 0 && (
        <>
          <h2>{words.hold.didWork}</h2>
          <p class="who-line">{hold.did_work.join(", ")}</p>
        </>
      )}
      <h2>{words.hold.maySign}</h2>
      <ul class="rows lines-of-words">
        {hold.may_sign.length === 0 && <li class="quiet">{words.hold.nobodyMay}</li>}
        {hold.may_sign.map(({ person, name, bar }) => (
          <li key={person} class={bar ? "quiet" : undefined}>
            {name}
            {bar && <span class="bar">: {bar}</span>}
          </li>
        ))}
      </ul>
    </section>
  );
}

// Own name, own PIN, then the arm rises. The signer's key is opened for this
// one signature; whoever holds the phone goes on holding it.
function SignSheet({
  frame,
  hold,
  onClose,
}: {
  frame: CardFrame;
  hold: HoldView;
  onClose: () => void;
}): JSX.Element {
  const shop = useShop();
  const [person, setPerson] = useState<string | null>(null);
  const [refused, setRefused] = useState<string | null>(null);
  const signer = hold.may_sign.find((found) => found.person === person);
  const key = person ? shop.keyOf(person) : undefined;
  const own = (person && hold.own_decisions[person]) || [];
  const pin = useRef<HTMLDivElement>(null);

  if (!signer || !key) {
    return (
      <Sheet title={words.hold.choose} kicker={hold.title} onClose={onClose}>
        <ul class="people-keys">
          {hold.may_sign.map(({ person: id, name, bar }) => {
            const here = shop.keyOf(id) !== undefined;
            const why = bar ?? (here ? null : words.hold.notHere);
            return (
              <li key={id}>
                <button
                  type="button"
                  class="person-key"
                  disabled={why !== null}
                  onClick={() => setPerson(id)}
                >
                  {name}
                  {why && <span class="small">{why}</span>}
                </button>
              </li>
            );
          })}
        </ul>
        <a class="third" href={to("who")}>
          {words.who.add}
        </a>
      </Sheet>
    );
  }
  return (
    <Sheet title={words.hold.pinFor(signer.name)} kicker={hold.title} onClose={onClose}>
      {own.length > 0 && (
        <section>
          <h3>{words.hold.own}</h3>
          <p>{words.hold.readOut}</p>
          <ul class="said">
            {own.map((line) => (
              <li class="sentence" key={line}>
                {line}
              </li>
            ))}
          </ul>
        </section>
      )}
      <p>{words.hold.signs(hold.covered.length)}</p>
      {refused && (
        <p class="refusal" role="alert">
          {refused}
        </p>
      )}
      <div ref={pin}>
        <PinPad
          label={words.pin.label}
          act={words.act.sign}
          onPin={async (typed) => {
            setRefused(null);
            try {
              const open = await shop.openOnce(key.kid, typed);
              const kept = await shop.keep(open, {
                about: `card:${frame.card}`,
                place: hold.place,
                body: { kind: "sign-off" },
              });
              if ("refused" in kept) {
                setRefused(kept.refused);
                return null;
              }
              onClose();
              // The arm that rises is what everybody waits for: it is looked at.
              document.querySelector(".signal-board")?.scrollIntoView({ block: "center" });
              return null;
            } catch (problem) {
              return pinProblem(problem);
            }
          }}
        />
      </div>
    </Sheet>
  );
}
