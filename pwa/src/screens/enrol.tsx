// A link makes a person's key on this phone: choose a PIN, twice; the key and
// the request are on disk before the server hears of them.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Frame } from "../pieces/frame";
import { PinPad, pinProblem } from "../pieces/pinpad";
import { go, to } from "../route";
import { NoAnswer } from "../server";
import { useAsk, useShop, useShopState } from "../shop";
import { words } from "../words";

type Stage =
  | { at: "first" }
  | { at: "second"; pin: string }
  | { at: "asking" }
  | { at: "stuck"; why: string }
  | { at: "done"; name: string };

export function EnrolScreen({ code }: { code: string }): JSX.Element {
  const shop = useShop();
  const keys = useShopState((state) => state.keys);
  const pending = keys.find((key) => key.pending?.code === code);
  const [stage, setStage] = useState<Stage>({ at: "first" });
  const [pin, setPin] = useState("");
  const [differ, setDiffer] = useState(false);
  const root = useAsk("root", {});

  async function ask(key: NonNullable<typeof pending>, opened: string | null) {
    setStage({ at: "asking" });
    try {
      const answer = await shop.askToEnrol(key);
      if (opened) await shop.openFor(key.kid, opened);
      setStage({ at: "done", name: answer.name });
    } catch (problem) {
      const why = problem instanceof NoAnswer ? words.enrol.noAnswer : pinProblem(problem);
      setStage({ at: "stuck", why });
    }
  }

  return (
    <Frame
      title={words.enrol.title}
      back={stage.at === "done"}
      thumb={
        stage.at === "done" ? (
          <button type="button" class="primary wide" onClick={() => go()}>
            {words.enrol.toBook}
          </button>
        ) : pending && stage.at !== "asking" ? (
          <button type="button" class="primary wide" onClick={() => void ask(pending, pin || null)}>
            {words.enrol.again}
          </button>
        ) : null
      }
    >
      <div class="stack">
        <h1 tabIndex={-1}>{stage.at === "done" ? words.enrol.done(stage.name) : words.enrol.hello}</h1>
        {stage.at === "done" && (
          <>
            <p>{words.enrol.doneWords}</p>
            <p class="fingerprint">{root.data?.fingerprint}</p>
          </>
        )}
        {stage.at === "asking" && <p role="status">{words.enrol.making}</p>}
        {stage.at === "stuck" && (
          <>
            <p class="refusal" role="alert">
              {stage.why}
            </p>
            {!pending && (
              <p>
                <a class="third" href={to("who")}>
                  {words.frame.back}
                </a>
              </p>
            )}
          </>
        )}
        {!pending && (stage.at === "first" || stage.at === "second") && (
          <>
            <p>{words.enrol.words}</p>
            <PinPad
              key={stage.at}
              label={stage.at === "first" ? words.enrol.first : words.enrol.second}
              act={stage.at === "first" ? words.who.codeGo : words.enrol.go}
              said={differ && stage.at === "first" ? words.pin.differ : null}
              busyWords={words.enrol.making}
              onPin={async (typed) => {
                if (stage.at === "first") {
                  setDiffer(false);
                  setStage({ at: "second", pin: typed });
                  return null;
                }
                if (typed !== stage.pin) {
                  setDiffer(true);
                  setStage({ at: "first" });
                  return null;
                }
                setPin(typed);
                await ask(await shop.prepareEnrolment(code, typed, deviceName()), typed);
                return null;
              }}
            />
          </>
        )}
      </div>
    </Frame>
  );
}

// What the crew register calls this phone; the browser tells no more.
function deviceName(): string {
  const found = /\(([^;)]+)(?:; ([^;)]+))?/.exec(navigator.userAgent);
  return (found?.[2] ?? found?.[1] ?? "phone").slice(0, 40);
}
