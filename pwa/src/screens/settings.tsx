// The light, and how numbers are typed: of this phone, not of a person.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Choice } from "../pieces/choice";
import { Frame } from "../pieces/frame";
import { chosenTheme, setTheme, type Theme } from "../theme";
import { words } from "../words";

export function SettingsScreen(): JSX.Element {
  const [theme, showTheme] = useState<Theme>(chosenTheme());
  const [typing, setTyping] = useState(localStorage.getItem("typing") ?? "pad");
  return (
    <Frame title={words.settings.title}>
      <div class="stack">
        <h1 tabIndex={-1}>{words.settings.title}</h1>
        <Choice
          label={words.settings.theme}
          choices={[
            ["system", words.settings.system],
            ["light", words.settings.light],
            ["dark", words.settings.dark],
          ]}
          chosen={theme}
          onChoose={(next) => {
            setTheme(next);
            showTheme(next);
          }}
        />
        <Choice
          label={words.settings.pad}
          choices={[
            ["pad", words.settings.ownPad],
            ["keyboard", words.settings.keyboard],
          ]}
          chosen={typing}
          onChoose={(next) => {
            localStorage.setItem("typing", next);
            setTyping(next);
          }}
        />
        <section class="section">
          <h2>{words.settings.about}</h2>
          <p class="about">{words.settings.aboutWords}</p>
        </section>
      </div>
    </Frame>
  );
}
