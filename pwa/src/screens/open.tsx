// A lead opens a job card: the engine, the procedure, and the positions that a
// repeated part of it is worked for.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { useKeeping } from "../keeping";
import { Frame } from "../pieces/frame";
import { go } from "../route";
import { useAsk } from "../shop";
import { words } from "../words";

// A procedure's own texts name shop words in braces; which vocabulary speaks is
// known only once an engine's card is open.
const plain = (text: string) => text.replace(/[{}]/g, "");

// "rod-2-3" is offered as "Rod 2-3".
function labelFrom(id: string): string {
  const words = id
    .replace(/-(?=\d+$)/, "\u0000")
    .replaceAll("-", " ")
    .replace("\u0000", "-");
  return words.charAt(0).toUpperCase() + words.slice(1);
}

const idFrom = (text: string) =>
  text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 40);

export function OpenScreen(): JSX.Element {
  const keeping = useKeeping();
  const engines = useAsk("engines", {}).data;
  const procedures = useAsk("procedures", {}).data;
  const [engine, setEngine] = useState<string | null>(null);
  const [digest, setDigest] = useState<string | null>(null);
  const [title, setTitle] = useState<string | null>(null);
  const [typed, setTyped] = useState<string[] | null>(null);
  const [said, setSaid] = useState<string | null>(null);

  const chosen = engines?.find((found) => found.engine === engine) ?? engines?.[0];
  const procedure = procedures?.find((found) => found.digest === digest) ?? procedures?.at(-1);
  const repeat = procedure?.repeats[0] ?? null;
  const jobTitle = title ?? plain(procedure?.title ?? "");
  // The engine's sheet knows its own positions; they are offered as they are.
  const positions = typed ?? (chosen && chosen.positions.length > 0 ? chosen.positions.map(labelFrom) : [""]);
  const named = positions.map((label) => label.trim()).filter(Boolean);
  const idOf = (label: string) => chosen?.positions.find((id) => labelFrom(id) === label) ?? idFrom(label);
  const setPositions = setTyped;

  async function open() {
    if (!chosen) return setSaid(words.open.noEngines);
    if (!procedure) return setSaid(words.open.noProcedures);
    if (!jobTitle.trim()) return setSaid(words.open.needTitle);
    if (repeat && named.length === 0) return setSaid(words.open.needPositions(repeat));
    setSaid(null);
    const random = crypto.getRandomValues(new Uint8Array(3));
    const ending = [...random].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    const card = `${chosen.engine.slice(0, 20)}-${ending}`;
    const kept = await keeping.keep("open", {
      about: `card:${card}`,
      body: {
        kind: "opening",
        card,
        engine: chosen.engine,
        procedure: procedure.digest,
        title: jobTitle.trim(),
        positions: repeat ? named.map((label) => ({ id: idOf(label), label })) : [],
      },
    });
    if (kept) go("card", card);
  }

  return (
    <Frame
      title={words.open.title}
      thumb={
        <button type="button" class="primary wide" disabled={keeping.busy} onClick={() => void open()}>
          {words.open.go}
        </button>
      }
    >
      <div class="stack">
        <h1 tabIndex={-1}>{words.open.title}</h1>
        <p class="quiet">{words.open.onlyLead}</p>
        {engines && engines.length === 0 && <p class="refusal">{words.open.noEngines}</p>}
        {chosen && (
          <label>
            {words.open.engine}
            <select
              class="field"
              value={chosen.engine}
              onChange={(event) => {
                setEngine(event.currentTarget.value);
                setTyped(null);
              }}
            >
              {(engines ?? []).map((found) => (
                <option key={found.engine} value={found.engine}>
                  {[found.name, found.class].filter(Boolean).join(", ")}
                </option>
              ))}
            </select>
          </label>
        )}
        {procedures && procedures.length === 0 && <p class="refusal">{words.open.noProcedures}</p>}
        {procedure && (
          <label>
            {words.open.procedure}
            <select
              class="field"
              value={procedure.digest}
              onChange={(event) => setDigest(event.currentTarget.value)}
            >
              {(procedures ?? []).map((found) => (
                <option key={found.digest} value={found.digest}>
                  {plain(found.title)}, {words.open.version(found.version)}
                </option>
              ))}
            </select>
          </label>
        )}
        {procedure?.summary && <p class="quiet">{plain(procedure.summary)}</p>}
        <label>
          {words.open.jobTitle}
          <input class="field" value={jobTitle} onInput={(event) => setTitle(event.currentTarget.value)} />
        </label>
        {repeat && (
          <fieldset class="positions">
            <legend class="label">{words.open.positions(repeat)}</legend>
            {positions.map((label, at) => (
              <div class="position" key={`${at}`}>
                <input
                  class="field"
                  aria-label={words.open.positionHint(repeat, at + 1)}
                  placeholder={words.open.positionHint(repeat, at + 1)}
                  value={label}
                  onInput={(event) => {
                    const text = event.currentTarget.value;
                    setPositions(positions.map((old, where) => (where === at ? text : old)));
                  }}
                />
                {positions.length > 1 && (
                  <button
                    type="button"
                    class="third"
                    onClick={() => setPositions(positions.filter((_, where) => where !== at))}
                  >
                    {words.open.removePosition}
                  </button>
                )}
              </div>
            ))}
            <button type="button" class="third" onClick={() => setPositions([...positions, ""])}>
              {words.open.addPosition}
            </button>
          </fieldset>
        )}
        {said && (
          <p class="refusal" role="alert">
            {said}
          </p>
        )}
        {keeping.refusedAt("open")}
      </div>
      {keeping.sheet}
    </Frame>
  );
}
