// A lead opens a job card: the engine, the procedure, and the positions that a
// repeated part of it is worked for.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { useKeeping } from "../keeping";
import { Frame } from "../pieces/frame";
import { go } from "../route";
import { useAsk, useShop, useShopState } from "../shop";
import { words } from "../words";

// Only what this screen has to know of a procedure to ask the right questions.
interface Outline {
  digest: string;
  title: string;
  version: string;
  repeats: { id: string; label: string }[];
}

function outlineOf(digest: string, text: string): Outline | null {
  try {
    const read = JSON.parse(text) as {
      title: string;
      version: string;
      repeats?: Record<string, { label: string }>;
    };
    const repeats = Object.entries(read.repeats ?? {}).map(([id, { label }]) => ({ id, label }));
    return { digest, title: read.title, version: read.version, repeats };
  } catch {
    return null;
  }
}

const idFrom = (text: string) =>
  text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 40);

export function OpenScreen(): JSX.Element {
  const shop = useShop();
  const me = useShopState((state) => state.holder);
  const book = useShopState((state) => state.book);
  const list = useAsk("list", { me }).data;
  const keeping = useKeeping();
  const [procedures, setProcedures] = useState<Outline[]>([]);
  const [engine, setEngine] = useState<string | null>(null);
  const [newEngine, setNewEngine] = useState("");
  const [digest, setDigest] = useState("");
  const [title, setTitle] = useState<string | null>(null);
  const [positions, setPositions] = useState<string[]>([""]);
  const [said, setSaid] = useState<string | null>(null);
  useEffect(() => {
    void shop.db.procedures().then((found) => {
      const outlines = found.flatMap(({ digest: of, text }) => outlineOf(of, text) ?? []);
      setProcedures(outlines);
      setDigest((chosen) => chosen || (outlines[0]?.digest ?? ""));
    });
  }, [shop, book]);

  const engines = list?.engines ?? [];
  const chosenEngine = engine ?? engines[0]?.engine ?? "";
  const engineId = chosenEngine || idFrom(newEngine);
  const procedure = procedures.find((found) => found.digest === digest);
  const repeat = procedure?.repeats[0];
  const jobTitle = title ?? procedure?.title ?? "";
  const named = positions.map((label) => label.trim()).filter(Boolean);

  async function open() {
    if (!engineId) return setSaid(words.open.needEngine);
    if (!procedure) return setSaid(words.open.noProcedures);
    if (!jobTitle.trim()) return setSaid(words.open.needTitle);
    if (repeat && named.length === 0) return setSaid(words.open.needPositions(repeat.label));
    setSaid(null);
    const random = crypto.getRandomValues(new Uint8Array(3));
    const ending = [...random].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    const card = `${engineId.slice(0, 20)}-${ending}`;
    const kept = await keeping.keep("open", {
      about: `card:${card}`,
      body: {
        kind: "opening",
        card,
        engine: engineId,
        procedure: procedure.digest,
        title: jobTitle.trim(),
        positions: repeat ? named.map((label, at) => ({ id: idFrom(label) || `${at + 1}`, label })) : [],
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
        <label>
          {words.open.engine}
          <select class="field" value={chosenEngine} onChange={(event) => setEngine(event.currentTarget.value)}>
            {engines.map((found) => (
              <option key={found.engine} value={found.engine}>
                {found.name}
              </option>
            ))}
            <option value="">{words.open.engineNew}</option>
          </select>
        </label>
        {chosenEngine === "" && (
          <label>
            {words.open.engineId}
            <input
              class="field"
              value={newEngine}
              autocomplete="off"
              onInput={(event) => setNewEngine(event.currentTarget.value)}
            />
          </label>
        )}
        {procedures.length === 0 ? (
          <p class="refusal">{words.open.noProcedures}</p>
        ) : (
          <label>
            {words.open.procedure}
            <select class="field" value={digest} onChange={(event) => setDigest(event.currentTarget.value)}>
              {procedures.map((found) => (
                <option key={found.digest} value={found.digest}>
                  {found.title}, {found.version}
                </option>
              ))}
            </select>
          </label>
        )}
        <label>
          {words.open.jobTitle}
          <input class="field" value={jobTitle} onInput={(event) => setTitle(event.currentTarget.value)} />
        </label>
        {repeat && (
          <fieldset class="positions">
            <legend class="label">{words.open.positions(repeat.label)}</legend>
            {positions.map((label, at) => (
              <div class="position" key={`${at}`}>
                <input
                  class="field"
                  aria-label={words.open.positionHint(repeat.label, at + 1)}
                  placeholder={words.open.positionHint(repeat.label, at + 1)}
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
