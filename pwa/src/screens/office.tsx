// Joining, the crew, opening a card, what was kept, paper, settings: what
// happens beside the work.
import type { JSX } from "preact";
import type { OfficeRoute } from "../route";
import { EnrolScreen } from "./enrol";
import { HistoryScreen } from "./history";
import { KeptScreen } from "./kept";
import { OpenScreen } from "./open";
import { PacketScreen } from "./packet";
import { PeopleScreen } from "./people";
import { SettingsScreen } from "./settings";

export function Office({ route }: { route: OfficeRoute }): JSX.Element {
  switch (route.at) {
    case "enrol":
      return <EnrolScreen key={route.code} code={route.code} />;
    case "history":
      return <HistoryScreen card={route.card} />;
    case "kept":
      return <KeptScreen />;
    case "packet":
      return <PacketScreen card={route.card} />;
    case "people":
      return <PeopleScreen />;
    case "open":
      return <OpenScreen />;
    case "settings":
      return <SettingsScreen />;
  }
}
