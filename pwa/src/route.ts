// Where we are, as the address after the #. Everything a screen needs to be
// drawn again after a reload stands in it.
import { useEffect, useState } from "preact/hooks";
import type { Place } from "./wire";

export type Route =
  | { at: "list" }
  | { at: "card"; card: string; place: Place | null }
  | { at: "history"; card: string }
  | { at: "packet"; card: string }
  | { at: "note"; card: string; place: Place | null }
  | { at: "enrol"; code: string }
  | { at: "who" }
  | { at: "people" }
  | { at: "kept" }
  | { at: "open" }
  | { at: "settings" }
  | { at: "nowhere" };

export type OfficeRoute = Extract<
  Route,
  { at: "enrol" | "history" | "kept" | "people" | "open" | "packet" | "settings" }
>;

export function readRoute(hash: string): Route {
  const parts = hash
    .replace(/^#?\/?/, "")
    .split("/")
    .map(decodeURIComponent);
  const [first = "", second, third] = parts;
  switch (first) {
    case "":
      return { at: "list" };
    case "card":
      if (!second) return { at: "nowhere" };
      return { at: "card", card: second, place: third ?? null };
    case "history":
    case "packet":
      return second ? { at: first, card: second } : { at: "nowhere" };
    case "note":
      return second ? { at: "note", card: second, place: third ?? null } : { at: "nowhere" };
    case "enrol":
      return second ? { at: "enrol", code: second } : { at: "who" };
    case "who":
    case "people":
    case "kept":
    case "open":
    case "settings":
      return { at: first };
    default:
      return { at: "nowhere" };
  }
}

export function to(...parts: (string | null | undefined)[]): string {
  return `#/${parts
    .filter((part): part is string => part != null)
    .map(encodeURIComponent)
    .join("/")}`;
}

export function go(...parts: (string | null | undefined)[]): void {
  location.hash = to(...parts);
}

// Back to where one came from inside the app; to the book, if one came from
// outside.
let moves = 0;
addEventListener("hashchange", () => {
  moves += 1;
});

export function back(): void {
  if (moves > 0) history.back();
  else go();
}

export function useRoute(): Route {
  const [route, setRoute] = useState(() => readRoute(location.hash));
  useEffect(() => {
    const look = () => setRoute(readRoute(location.hash));
    addEventListener("hashchange", look);
    return () => removeEventListener("hashchange", look);
  }, []);
  return route;
}
