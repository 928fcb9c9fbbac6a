// One step to a screen, in one order: what stops it, cautions, what to do, the
// drawing, the readings, the checks, who did it. The next act is at the thumb.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { useTypedField } from "../field";
import { useKeeping } from "../keeping";
import { CardLinks } from "../pieces/cardlinks";
import { Cautions } from "../pieces/caution";
import { Frame, NoteIt } from "../pieces/frame";
import { Problems } from "../pieces/problems";
import { quadrantOf, Semaphore } from "../pieces/semaphore";
import { Woven } from "../pieces/shown";
import { SafeSvg } from "../pieces/svg";
import { go, to } from "../route";
import { useAsk, useIsLead, useShop, useShopState } from "../shop";
import type { Frame as CardFrame, Check, DraftBody, Place, Reading, StepView } from "../wire";
import { when, words } from "../words";
import { ConcessionSheet } from "./concession";
import { NotesMade } from "./notes";
import { JudgedRow, ReadingDock, ReadingRow } from "./reading";
import { WaySection } from "./way";
import { WitnessSection } from "./witness";
import { WorkingSheet } from "./working";

export function StepScreen({ frame, place }: { frame: CardFrame; place: Place }): JSX.Element {
  const me = useShopState((state) => state.holder);
  const { data: step, refused } = useAsk("step", { card: frame.card, place, me });
  if (!step) {
    return (
      <Frame frame={frame} place={place}>
        {refused ? <p class="refusal">{refused}</p> : <p class="quiet">{words.loading}</p>}
      </Frame>
    );
  }
  return <Step frame={frame} step={step} />;
}

function Step({ frame, step }: { frame: CardFrame; step: StepView }): JSX.Element {
  const shop = useShop();
  const me = useShopState((state) => state.holder);
  const about = `card:${frame.card}`;
  const keeping = useKeeping();
  const [working, setWorking] = useState<string | null>(null);
  // A reading left half typed opens again where it was left.
  const [active, setActive] = useState<string | null>(() =>
    me ? (shop.halfTyped.at(me, frame.card, step.place)[0]?.name ?? null) : null,
  );
  useEffect(() => {
    if (active && !step.readings.some(({ name }) => name === active)) setActive(null);
  }, [active, step]);

  const reading = step.readings.find(({ name }) => name === active) ?? null;
  const field = useTypedField(frame.card, step.place, reading);
  const [conceding, setConceding] = useState<{ name: string; label: string } | null>(null);
  const lead = useIsLead();
  const can = step.state !== "off";

  const keep = (at: string, body: DraftBody) => keeping.keep(at, { about, place: step.place, body });
  const nextCheck = step.checks.find((check) => !check.ticked);
  const missing = step.readings.find(
    (reading) => reading.required && !reading.value && reading.beside.length === 0,
  );
  // A value that is judged is told once, with its limits.
  const computed = [
    ...step.judged,
    ...step.values.filter(({ name }) => !step.judged.some((judged) => judged.name === name)),
  ];
  const ahead = frame.line.find((item) => item.place === step.next);

  async function keepReading() {
    if (!reading || !field.text.trim()) return;
    const name = reading.name;
    if (!(await keep(name, field.body()))) return;
    field.drop();
    const rest = step.readings.filter(
      (other) => other.name !== name && other.kind === "number" && other.required && !other.value,
    );
    setActive(reading.tries ? null : (rest[0]?.name ?? null));
  }

  // Words are pressed where they stand; only numbers are typed.
  function openReading(found: Reading) {
    keeping.clear();
    if (found.kind === "number") setActive(found.name);
    else document.getElementById(`reading-${found.name}`)?.scrollIntoView({ block: "center" });
  }

  const goOn = () => (step.next ? go("card", frame.card, step.next) : go());
  const thumb = () => {
    if (step.state !== "shut" && step.state !== "off" && !step.done) {
      if (missing) {
        return (
          <button type="button" class="primary" onClick={() => openReading(missing)}>
            {words.act.takeReading}
          </button>
        );
      }
      if (step.way && !step.way.value) {
        return (
          <button
            type="button"
            class="primary"
            onClick={() => document.getElementById("way")?.scrollIntoView()}
          >
            {words.act.chooseWay}
          </button>
        );
      }
      if (nextCheck?.can) {
        return (
          <button
            type="button"
            class="primary"
            disabled={keeping.busy}
            onClick={() => void keep(nextCheck.id, { kind: "check", check: nextCheck.id })}
          >
            {words.act.tick}
          </button>
        );
      }
      if (step.say_done.can) {
        return (
          <button
            type="button"
            class="primary"
            disabled={keeping.busy}
            onClick={async () => {
              if (await keep("done", { kind: "said-done" })) goOn();
            }}
          >
            {words.act.done}
          </button>
        );
      }
    }
    const quietly = !step.done;
    return (
      <a
        class={quietly ? "second big" : "primary"}
        href={step.next ? to("card", frame.card, step.next) : to()}
      >
        {!step.next ? words.act.finish : ahead?.kind === "hold" ? words.act.askSignature : words.act.goOn}
      </a>
    );
  };

  return (
    <Frame
      frame={frame}
      place={step.place}
      collapsed={reading !== null}
      thumb={
        reading ? (
          <ReadingDock
            reading={reading}
            field={field}
            busy={keeping.busy}
            onLeave={() => setActive(null)}
            onSubmit={() => void keepReading()}
          />
        ) : (
          <>
            <NoteIt card={frame.card} place={step.place} />
            {thumb()}
          </>
        )
      }
    >
      <article class="step">
        <p class="kicker">
          {words.step.of(step.number, step.of)}
          {step.position && ` · ${step.position}`}
        </p>
        <h1 tabIndex={-1}>{step.title}</h1>
        <Standing frame={frame} step={step} />
        <Problems problems={frame.problems} />
        {step.no_stopping && (
          <p class="no-stopping">
            <strong>{words.step.noStopping}</strong> {words.step.noStoppingWords}
          </p>
        )}
        <Cautions cautions={step.cautions} />
        <div class="instruction">
          {step.text.map((runs, at) => (
            <p key={`${at}`}>
              <Woven runs={runs} onValue={setWorking} />
            </p>
          ))}
        </div>
        <StillNeeded step={step} />
        {step.drawing && (
          <figure class="drawing">
            <SafeSvg svg={step.drawing.svg} label={step.drawing.alt} />
            <figcaption class="small quiet">{step.drawing.title}</figcaption>
          </figure>
        )}
        {step.notes.map((note) => (
          <p class="advice" key={note}>
            {note}
          </p>
        ))}
        {step.readings.length > 0 && (
          <section class="section readings" aria-label={words.step.readings}>
            <ul class="rows">
              {step.readings.map((found) => (
                <li key={found.name}>
                  <ReadingRow
                    reading={found}
                    field={found === reading ? field : null}
                    can={can}
                    onOpen={() => openReading(found)}
                    onSubmit={() => void keepReading()}
                    onWord={(word) => void keep(found.name, wordBody(found.name, word, me))}
                    {...(lead
                      ? {
                          onHolds: (entry: string) =>
                            void keep(found.name, { kind: "choice", name: found.name, holds: entry }),
                          onConcede: () => setConceding({ name: found.name, label: found.label }),
                        }
                      : {})}
                    refusal={keeping.refusedAt(found.name)}
                  />
                </li>
              ))}
            </ul>
          </section>
        )}
        {step.way && (
          <WaySection
            way={step.way}
            can={can}
            onWord={(text) => step.way && void keep("way", { kind: "way", name: step.way.name, text })}
            refusal={keeping.refusedAt("way")}
          />
        )}
        {computed.length > 0 && (
          <section class="section">
            <h2>{words.step.values}</h2>
            <ul class="rows">
              {computed.map((value) => (
                <li key={value.name}>
                  <JudgedRow
                    value={value}
                    onWorking={() => setWorking(value.name)}
                    {...(lead
                      ? { onConcede: () => setConceding({ name: value.name, label: value.label }) }
                      : {})}
                  />
                </li>
              ))}
            </ul>
          </section>
        )}
        {step.if_out && (
          <p class="advice">
            <strong>{words.step.ifOut}:</strong> {step.if_out}
          </p>
        )}
        {step.checks.length > 0 && (
          <section class="section">
            <h2>{step.in_order ? words.step.inOrder : words.step.checks}</h2>
            <ul class="rows checks">
              {step.checks.map((check) => (
                <li key={check.id} class={check === nextCheck ? "next" : undefined}>
                  <CheckRow
                    check={check}
                    onValue={setWorking}
                    onTick={() => void keep(check.id, { kind: "check", check: check.id })}
                  />
                  {keeping.refusedAt(check.id)}
                </li>
              ))}
            </ul>
          </section>
        )}
        {step.witness && (
          <WitnessSection
            witness={step.witness}
            onKeep={(body) => keep("witness", body)}
            refusal={keeping.refusedAt("witness")}
          />
        )}
        <NotesMade notes={step.notes_made} />
        {step.credit && <p class="small quiet credit">{step.credit}</p>}
        {keeping.refusedAt("done")}
        {!step.done && step.say_done.why && step.state !== "shut" && (
          <p class="before-thumb quiet">{step.say_done.why}</p>
        )}
        <CardLinks card={frame.card} />
      </article>
      {working && (
        <WorkingSheet frame={frame} place={step.place} name={working} onClose={() => setWorking(null)} />
      )}
      {conceding && (
        <ConcessionSheet frame={frame} place={step.place} {...conceding} onClose={() => setConceding(null)} />
      )}
      {keeping.sheet}
    </Frame>
  );
}

function wordBody(name: string, text: string, me: string | null): DraftBody {
  return { kind: "reading", name, text, unit: "", measured_by: me ?? "" };
}

// What the blanks in the text wait for, once each.
function StillNeeded({ step }: { step: StepView }): JSX.Element | null {
  const waits = new Set<string>();
  for (const run of step.text.flat()) if ("missing" in run) waits.add(run.missing);
  if (waits.size === 0) return null;
  return <p class="still-needed sentence">{[...waits].join("; ")}</p>;
}

// What stands in the way, or that nothing is left to do.
function Standing({ frame, step }: { frame: CardFrame; step: StepView }): JSX.Element | null {
  if (step.state === "shut" || step.state === "off" || step.waits.length > 0) {
    return (
      <div class="standing">
        <Semaphore signal="stop" quadrant={quadrantOf(frame.vocabulary)} />
        <div>
          <p class="sentence">
            <strong>{step.state_words}</strong>
          </p>
          {step.waits.map((wait) => (
            <p class="sentence" key={wait}>
              {wait}
            </p>
          ))}
        </div>
      </div>
    );
  }
  if (step.done) {
    return <p class="done-line">✓ {words.step.doneBy(step.done.who, when(step.done.at))}</p>;
  }
  return null;
}

function CheckRow({
  check,
  onTick,
  onValue,
}: {
  check: Check;
  onTick: () => void;
  onValue: (name: string) => void;
}): JSX.Element {
  const ticked = check.ticked;
  return (
    <div class="check">
      <input
        type="checkbox"
        class="check-box"
        id={`check-${check.id}`}
        checked={ticked !== null}
        aria-checked={ticked !== null}
        disabled={ticked !== null || !check.can}
        onClick={(event) => {
          // It is ticked once it is kept, not before.
          event.preventDefault();
          onTick();
        }}
      />
      <div>
        <label for={`check-${check.id}`} class="check-words">
          <Woven runs={check.words} onValue={onValue} />
        </label>
        {ticked && <p class="small quiet">{words.step.ticked(ticked.who, when(ticked.at))}</p>}
      </div>
    </div>
  );
}
