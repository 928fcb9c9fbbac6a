// A reading line: its name, the number, the limits, the verdict as a shape and
// a word, and who took it. Touched, it becomes the field that is typed in.
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { TypedField } from "../field";
import { NumberPad } from "../pieces/numberpad";
import { ShownNumber } from "../pieces/shown";
import { VerdictMark } from "../pieces/verdict";
import { useAsk, useShopState } from "../shop";
import type { ComputedValue, Judged, Read, Reading } from "../wire";
import { when, words } from "../words";

function limitsOf(lower: string | null, upper: string | null): string | null {
  if (lower && upper) return words.step.between(lower, upper);
  if (lower) return words.step.atLeast(lower);
  return upper ? words.step.atMost(upper) : null;
}

function Limits({ of }: { of: Reading | Judged }): JSX.Element | null {
  const limits = limitsOf(of.lower, of.upper);
  const gauge = "gauge" in of && of.gauge ? words.step.gauge(of.gauge.label, of.gauge.uncertainty) : null;
  const sure = "gauge" in of ? null : of.uncertainty;
  const parts = [sure, limits, limits && of.limit_source, gauge].filter(Boolean);
  if (parts.length === 0) return null;
  return <span class="limits">{parts.join(" · ")}</span>;
}

// Who measured; who wrote it down, where that was another; and when.
export function By({ read }: { read: Read }): JSX.Element {
  const { who, wrote, at, from } = read;
  const said = who === wrote ? words.step.by(who, when(at)) : words.step.wrote(who, wrote, when(at));
  return (
    <span class="small quiet by">
      {said}
      {from && ` · ${words.step.fromBoard}`}
    </span>
  );
}

export interface ReadingActs {
  can: boolean;
  onOpen: () => void;
  onHolds?: (entry: string) => void;
  onWord: (word: string) => void;
  onConcede?: () => void;
}

export function ReadingRow({
  reading,
  field,
  can,
  onOpen,
  onHolds,
  onWord,
  onConcede,
  onSubmit,
  refusal,
}: ReadingActs & {
  reading: Reading;
  field: TypedField | null;
  onSubmit: () => void;
  refusal: JSX.Element | null;
}): JSX.Element {
  const { value } = reading;
  if (field) return <OpenReading reading={reading} field={field} onSubmit={onSubmit} refusal={refusal} />;
  const asWords = reading.kind === "words";
  return (
    <div class="reading" id={`reading-${reading.name}`}>
      <button
        type="button"
        class="reading-line"
        disabled={!can || asWords}
        onClick={onOpen}
        aria-describedby={`said-${reading.name}`}
      >
        <span class="reading-name">
          {reading.label}
          {!reading.required && <span class="optional"> {words.step.optional}</span>}
        </span>
        {value ? (
          <>
            <span class="reading-number">
              <ShownNumber shown={value.shown} />
            </span>
            <VerdictMark verdict={value.verdict} text={value.verdict_words} />
          </>
        ) : (
          reading.beside.length === 0 &&
          !asWords && (
            <span class="blank">
              <span class="hidden">{words.step.blank}</span>
              <span class="unit" aria-hidden="true">
                {reading.units.find(({ id }) => id === reading.unit)?.label}
              </span>
            </span>
          )
        )}
        <Limits of={reading} />
      </button>
      {reading.help && !value && <p class="small quiet">{reading.help}</p>}
      {reading.trouble && <p class="refusal">{reading.trouble}</p>}
      {asWords && can && <WordKeys reading={reading} onWord={onWord} />}
      {value && (
        <p class="reading-said" id={`said-${reading.name}`}>
          <By read={value} />
        </p>
      )}
      {value?.conceded && (
        <p class="small">
          <strong>{words.step.conceded}:</strong> {value.conceded}
        </p>
      )}
      {onConcede &&
        value &&
        (value.verdict === "outside" || value.verdict === "too_close") &&
        !value.conceded && (
          <button type="button" class="third" onClick={onConcede}>
            {words.step.concede}
          </button>
        )}
      {reading.beside.length > 0 && <SideBySide reading={reading} {...(onHolds ? { onHolds } : {})} />}
      {reading.tries && reading.table.length > 0 && <Tries reading={reading} />}
      {refusal}
    </div>
  );
}

// A word is chosen by one press: there is nothing to type and no verdict to
// work out beforehand.
export function WordKeys({
  reading,
  onWord,
}: {
  reading: { label: string; words: string[]; value: { text_as_typed: string } | null };
  onWord: (word: string) => void;
}): JSX.Element {
  return (
    <fieldset class="word-keys" aria-label={reading.label}>
      {reading.words.map((word) => (
        <button
          type="button"
          key={word}
          class="second"
          aria-pressed={reading.value?.text_as_typed === word}
          onClick={() => onWord(word)}
        >
          {word}
        </button>
      ))}
    </fieldset>
  );
}

function SideBySide({
  reading,
  onHolds,
}: {
  reading: Reading;
  onHolds?: (entry: string) => void;
}): JSX.Element {
  return (
    <div class="beside">
      <p>
        <strong>{words.step.beside}.</strong> {words.step.besideWords}
      </p>
      <ul>
        {reading.beside.map((beside) => (
          <li key={beside.entry}>
            <span class="reading-number">
              <ShownNumber shown={beside.shown} />
            </span>
            <By read={beside} />
            {onHolds && (
              <button type="button" class="second" onClick={() => onHolds(beside.entry)}>
                {words.step.holdsThis}
              </button>
            )}
          </li>
        ))}
      </ul>
    </div>
  );
}

function Tries({ reading }: { reading: Reading }): JSX.Element {
  return (
    <ol class="tries" aria-label={words.step.tries}>
      {reading.table.map((row, at) => (
        <li key={row.entry} class={row.struck ? "struck" : row.counts ? "counting" : undefined}>
          <span class="quiet">{at + 1}</span>
          <span class="try-number">
            <ShownNumber shown={row.shown} />
          </span>
          <span class="small">{row.counts ? words.step.last : row.words}</span>
          <By read={row} />
        </li>
      ))}
    </ol>
  );
}

// Between the frame above and the pad below, which the browser knows nothing of.
function bringIntoSight(box: HTMLElement): void {
  const page = box.closest(".page");
  const above = Math.max(0, page?.querySelector(".top")?.getBoundingClientRect().bottom ?? 0);
  const below = page?.querySelector(".thumb")?.getBoundingClientRect().top ?? innerHeight;
  let at = box.getBoundingClientRect();
  if (at.height > below - above) at = (box.querySelector(".typing") ?? box).getBoundingClientRect();
  const room = below - above - at.height;
  const by = at.top - above - Math.max(4, Math.min(room / 2, 24));
  if (at.top >= above && at.bottom <= below) return;
  const scroller = page && page.scrollHeight > page.clientHeight + 1 ? page : document.scrollingElement;
  scroller?.scrollBy({ top: by });
}

function OpenReading({
  reading,
  field,
  onSubmit,
  refusal,
}: {
  reading: Reading;
  field: TypedField;
  onSubmit: () => void;
  refusal: JSX.Element | null;
}): JSX.Element {
  const input = useRef<HTMLInputElement>(null);
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    input.current?.focus({ preventScroll: true });
    // Once the pad stands below: the field goes into what is left to see.
    let frame = requestAnimationFrame(() => {
      frame = requestAnimationFrame(() => box.current && bringIntoSight(box.current));
    });
    return () => cancelAnimationFrame(frame);
  }, [reading.name, field.keyboard]);
  const unit = reading.units.find(({ id }) => id === field.unit);
  return (
    <form
      class="reading open"
      onSubmit={(event) => {
        event.preventDefault();
        onSubmit();
      }}
    >
      <div ref={box}>
        <label class="reading-name" for={`field-${reading.name}`}>
          {reading.label}
        </label>
        <div class="typing">
          <input
            id={`field-${reading.name}`}
            ref={input}
            value={field.text}
            inputMode={field.keyboard ? "text" : "none"}
            autocomplete="off"
            autocapitalize="off"
            spellcheck={false}
            enterKeyHint="done"
            aria-describedby={`echo-${reading.name}`}
            onInput={(event) => field.type(event.currentTarget.value)}
          />
          <span class="unit">{unit?.label}</span>
        </div>
        <p class="echo" id={`echo-${reading.name}`} aria-live="polite">
          {field.echo ? (
            field.echo.ok ? (
              <>
                <span>{field.echo.echo}</span>{" "}
                {field.echo.verdict && (
                  <VerdictMark verdict={field.echo.verdict} text={field.echo.verdict_words} />
                )}
              </>
            ) : (
              <span class="echo-no">{field.echo.message}</span>
            )
          ) : (
            <span class="quiet">{words.pad.echoFirst}</span>
          )}
        </p>
        <Limits of={reading} />
        {refusal}
      </div>
      <Measured reading={reading} field={field} />
    </form>
  );
}

function Measured({ reading, field }: { reading: Reading; field: TypedField }): JSX.Element {
  const me = useShopState((state) => state.holder);
  const people = useAsk("people", {}).data ?? [];
  return (
    <details class="measured">
      <summary>{words.pad.more}</summary>
      <label>
        {words.pad.measuredBy}
        <select
          class="field"
          value={field.measuredBy ?? me ?? ""}
          onChange={(event) => field.setMeasuredBy(event.currentTarget.value)}
        >
          {people
            .filter(({ roles }) => roles.includes("mechanic") || roles.includes("lead"))
            .map(({ person, name }) => (
              <option key={person} value={person}>
                {name}
              </option>
            ))}
        </select>
      </label>
      {reading.gauges.length > 0 && (
        <label>
          {words.pad.gauge}
          <select
            class="field"
            value={field.gauge ?? ""}
            onChange={(event) => field.setGauge(event.currentTarget.value || null)}
          >
            {reading.gauges.map(({ id, label }) => (
              <option key={id} value={id}>
                {label}
              </option>
            ))}
            <option value="">{words.pad.noGauge}</option>
          </select>
        </label>
      )}
      <label class="tick-label">
        <input
          type="checkbox"
          checked={field.board}
          onChange={(event) => field.setBoard(event.currentTarget.checked)}
        />
        {words.pad.board}
      </label>
    </details>
  );
}

// What stands at the thumb while a reading is typed.
export function ReadingDock({
  reading,
  field,
  busy,
  onLeave,
  onSubmit,
}: {
  reading: Reading;
  field: TypedField;
  busy: boolean;
  onLeave: () => void;
  onSubmit: () => void;
}): JSX.Element {
  return (
    <div class="dock">
      {field.keyboard ? (
        <button type="button" class="third" onClick={() => field.setKeyboard(false)}>
          {words.pad.pad}
        </button>
      ) : (
        <NumberPad
          label={reading.label}
          units={reading.units}
          unit={field.unit}
          onKey={field.key}
          onUnit={field.setUnit}
          onKeyboard={() => field.setKeyboard(true)}
        />
      )}
      <div class="dock-acts">
        <button type="button" class="second" onClick={onLeave}>
          {words.act.cancel}
        </button>
        <button type="button" class="primary" disabled={busy || !field.text.trim()} onClick={onSubmit}>
          {words.act.keepReading}
        </button>
      </div>
    </div>
  );
}

export function JudgedRow({
  value,
  onWorking,
  onConcede,
}: {
  value: Judged | ComputedValue;
  onWorking: () => void;
  onConcede?: () => void;
}): JSX.Element {
  const judged = "verdict" in value ? value : null;
  const out = judged && (judged.verdict === "outside" || judged.verdict === "too_close") && !judged.conceded;
  return (
    <div class="reading">
      <button type="button" class="reading-line computed" disabled={!value.shown} onClick={onWorking}>
        <span class="reading-name">{value.label}</span>
        {value.shown ? (
          <span class="reading-number">
            <ShownNumber shown={value.shown} />
          </span>
        ) : (
          <span class="quiet">{value.missing}</span>
        )}
        {judged && value.shown && <VerdictMark verdict={judged.verdict} text={judged.verdict_words} />}
        {judged && <Limits of={judged} />}
        {value.shown && <span class="hidden">{words.step.working}</span>}
      </button>
      {judged?.conceded && (
        <p class="small">
          <strong>{words.step.conceded}:</strong> {judged.conceded}
        </p>
      )}
      {out && onConcede && (
        <button type="button" class="third" onClick={onConcede}>
          {words.step.concede}
        </button>
      )}
    </div>
  );
}
