// The reading that is being typed: its text, its unit, who measured. It is
// written to disk as it is typed and read back by the workings as it grows.
import { useEffect, useRef, useState } from "preact/hooks";
import { type PadKey, press, whole } from "./pad";
import { useAsk, useShop, useShopState } from "./shop";
import type { DraftBody, Echo, Place, Reading } from "./wire";

export interface TypedField {
  text: string;
  unit: string;
  measuredBy: string | null;
  gauge: string | null;
  board: boolean;
  keyboard: boolean;
  echo: Echo | null;
  type(text: string): void;
  key(key: PadKey): void;
  setUnit(unit: string): void;
  setMeasuredBy(person: string): void;
  setGauge(gauge: string | null): void;
  setBoard(board: boolean): void;
  setKeyboard(keyboard: boolean): void;
  body(): DraftBody;
  drop(): void;
}

// The unit a person last used for a reading of this kind is offered again.
const lastUnit = new Map<string, string>();

export function prefersKeyboard(): boolean {
  return localStorage.getItem("typing") === "keyboard";
}

export function useTypedField(card: string, place: Place, reading: Reading | null): TypedField {
  const shop = useShop();
  const me = useShopState((state) => state.holder);
  const name = reading?.name ?? "";
  const person = me ?? "";
  const start = () => {
    const half = reading ? shop.halfTyped.get({ person, card, place, name }) : null;
    const usual = lastUnit.get(`${card} ${name}`) ?? reading?.value?.shown.unit ?? "";
    const known = reading?.units.some(({ id }) => id === usual);
    return {
      text: half?.text ?? "",
      unit: half?.unit ?? (known ? usual : (reading?.unit ?? "")),
      measuredBy: null as string | null,
      gauge: reading?.gauges[0]?.id ?? null,
      board: false,
      keyboard: prefersKeyboard(),
    };
  };
  const of = `${card} ${place} ${name} ${person}`;
  const [state, setState] = useState(() => ({ of, ...start() }));
  const current = state.of === of ? state : { of, ...start() };
  const latest = useRef(current);
  latest.current = current;
  useEffect(() => {
    if (state.of !== of) setState({ of, ...start() });
  }, [of]);

  function change(next: Partial<typeof current>) {
    const made = { ...latest.current, ...next };
    latest.current = made;
    setState(made);
    if (reading && ("text" in next || "unit" in next)) {
      shop.halfTyped.put({ person, card, place, name }, made.text, made.unit);
    }
  }

  const typed = whole(current.text);
  const asks =
    reading?.kind === "number" && typed ? { card, place, name, text: typed, unit: current.unit } : null;
  const echo = useAsk("echo", asks);

  return {
    text: current.text,
    unit: current.unit,
    measuredBy: current.measuredBy,
    gauge: current.gauge,
    board: current.board,
    keyboard: current.keyboard,
    echo:
      echo.data ??
      (echo.refused
        ? { ok: false, echo: "", message: echo.refused, verdict: null, verdict_words: "" }
        : null),
    type: (text) => change({ text }),
    key: (key) => change({ text: press(latest.current.text, key) }),
    setUnit(unit) {
      const text = press(latest.current.text, { unit });
      const feetFirst = text !== latest.current.text && reading?.units.some(({ id }) => id === "in");
      if (feetFirst) change({ text, unit: "in" });
      else change({ unit });
    },
    setMeasuredBy: (measuredBy) => change({ measuredBy }),
    setGauge: (gauge) => change({ gauge }),
    setBoard: (board) => change({ board }),
    setKeyboard: (keyboard) => change({ keyboard }),
    body() {
      const { unit, measuredBy, gauge, board, text } = latest.current;
      return {
        kind: "reading",
        name,
        text: whole(text),
        unit,
        measured_by: measuredBy ?? person,
        ...(gauge ? { gauge } : {}),
        ...(board ? { from: "board" as const } : {}),
      };
    },
    drop() {
      lastUnit.set(`${card} ${name}`, latest.current.unit);
      shop.halfTyped.drop({ person, card, place, name });
      setState({ ...latest.current, text: "" });
    },
  };
}
