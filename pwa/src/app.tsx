// Which screen stands where. From 1000 px the book stays open on the left.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { Frame } from "./pieces/frame";
import { type OfficeRoute, type Route, useRoute } from "./route";
import { CardScreen } from "./screens/card";
import { BookScreen } from "./screens/list";
import { NoteScreen } from "./screens/note";
import { WhoScreen } from "./screens/who";
import { type Shop, ShopContext } from "./shop";
import { words } from "./words";

function useWide(): boolean {
  const query = matchMedia("(min-width: 1000px)");
  const [wide, setWide] = useState(query.matches);
  useEffect(() => {
    const look = () => setWide(query.matches);
    query.addEventListener("change", look);
    return () => query.removeEventListener("change", look);
  }, []);
  return wide;
}

export function App({ shop }: { shop: Shop }): JSX.Element {
  const route = useRoute();
  const wide = useWide();
  useEffect(() => {
    void office();
  }, []);
  const card = "card" in route ? route.card : null;
  return (
    <ShopContext.Provider value={shop}>
      {wide ? (
        <div class="spread">
          <aside>
            <BookScreen chosen={card} />
          </aside>
          {route.at === "list" ? (
            <Frame title={words.app} back={false}>
              <p class="pick quiet">{words.wide.pick}</p>
            </Frame>
          ) : (
            <Screen route={route} />
          )}
        </div>
      ) : (
        <Screen route={route} />
      )}
    </ShopContext.Provider>
  );
}

// Screens that no card needs come after the ones that do, and are then held.
const office = () => import("./screens/office");

function OfficeScreen({ route }: { route: OfficeRoute }): JSX.Element {
  const [Office, setOffice] = useState<typeof import("./screens/office").Office | null>(null);
  useEffect(() => {
    void office().then((found) => setOffice(() => found.Office));
  }, []);
  return Office ? (
    <Office route={route} />
  ) : (
    <Frame title={words.app}>
      <p class="quiet">{words.loading}</p>
    </Frame>
  );
}

function Screen({ route }: { route: Route }): JSX.Element {
  switch (route.at) {
    case "list":
      return <BookScreen />;
    case "card":
      return <CardScreen card={route.card} place={route.place} />;
    case "note":
      return <NoteScreen card={route.card} place={route.place} />;
    case "enrol":
    case "history":
    case "kept":
    case "people":
    case "open":
    case "packet":
    case "settings":
      return <OfficeScreen route={route} />;
    case "who":
      return <WhoScreen />;
    case "nowhere":
      return (
        <Frame title={words.app}>
          <h1 tabIndex={-1}>{words.problem.noPage}</h1>
        </Frame>
      );
  }
}
