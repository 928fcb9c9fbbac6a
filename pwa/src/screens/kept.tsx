// What is kept on this phone, what the server has, and how old the rest is.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { HalfTyped, KeptEntry } from "../db";
import { Frame } from "../pieces/frame";
import { to } from "../route";
import { useAsk, useShop, useShopState } from "../shop";
import { size, when, words } from "../words";

interface Facts {
  all: number;
  refused: KeptEntry[];
  used: number | null;
  quota: number | null;
  persisted: boolean;
}

export function KeptScreen(): JSX.Element {
  const shop = useShop();
  const standing = useShopState((state) => state.standing);
  const book = useShopState((state) => state.book);
  const root = useAsk("root", {}).data;
  const [facts, setFacts] = useState<Facts | null>(null);
  const [half, setHalf] = useState<HalfTyped[]>([]);
  useEffect(() => {
    let gone = false;
    setHalf(shop.halfTyped.all());
    void Promise.all([
      shop.db.count(),
      shop.db.refused(),
      navigator.storage?.estimate?.(),
      navigator.storage?.persisted?.(),
    ]).then(([all, refused, estimate, persisted]) => {
      if (gone) return;
      const used = estimate?.usage ?? null;
      setFacts({ all, refused, used, quota: estimate?.quota ?? null, persisted: persisted ?? false });
    });
    return () => {
      gone = true;
    };
  }, [shop, book, standing]);

  return (
    <Frame
      title={words.kept.title}
      thumb={
        <button
          type="button"
          class="primary wide"
          disabled={standing.state === "running"}
          onClick={() => void shop.sync.run()}
        >
          {words.act.send}
        </button>
      }
    >
      <h1 tabIndex={-1}>{words.kept.title}</h1>
      <p class="kept-state" role="status">
        {standing.state === "running" && words.kept.running}
        {standing.state === "no answer" && words.kept.noAnswer}
        {standing.state === "resting" && standing.unsent === 0 && words.kept.resting}
      </p>
      {standing.state === "trouble" && (
        <div class="refusal" role="alert">
          <p>
            <strong>{words.kept.trouble}.</strong> {standing.trouble}
          </p>
        </div>
      )}
      <dl class="facts">
        <Fact name={words.kept.onlyHere} large>
          {standing.unsent}
        </Fact>
        <Fact name={words.kept.all}>{facts && words.kept.entries(facts.all)}</Fact>
        <Fact name={words.kept.lastSent}>{standing.sentAt ? when(standing.sentAt) : words.kept.never}</Fact>
        <Fact name={words.kept.lastPulled}>
          {standing.pulledAt ? when(standing.pulledAt) : words.kept.never}
        </Fact>
        <Fact name={words.kept.storage}>
          {facts?.used != null &&
            facts.quota != null &&
            words.kept.storageOf(size(facts.used), size(facts.quota))}
        </Fact>
      </dl>
      <p class="quiet small">{facts && (facts.persisted ? words.kept.persisted : words.kept.notPersisted)}</p>
      {facts && facts.refused.length > 0 && (
        <section class="section">
          <h2>{words.kept.refused}</h2>
          <ul class="rows lines-of-words">
            {facts.refused.map((entry) => (
              <li key={entry.hash}>
                {entry.refused}
                <br />
                <span class="small quiet">
                  {entry.about} · {entry.hash.slice(0, 8)}
                </span>
              </li>
            ))}
          </ul>
        </section>
      )}
      <section class="section">
        <h2>{words.kept.halfTyped}</h2>
        <ul class="rows lines-of-words">
          {half.length === 0 && <li class="quiet">{words.kept.halfTypedNone}</li>}
          {half.map((field) => (
            <li key={field.id}>
              <a href={to(field.name === "note" ? "note" : "card", field.card, field.place || null)}>
                {field.text} {field.unit}
              </a>
            </li>
          ))}
        </ul>
      </section>
      <section class="section">
        <h2>{words.kept.fingerprint}</h2>
        <p class="fingerprint">{root?.fingerprint || words.kept.noRoot}</p>
        <p class="quiet small">{words.kept.fingerprintWords}</p>
      </section>
    </Frame>
  );
}

function Fact({
  name,
  large = false,
  children,
}: {
  name: string;
  large?: boolean;
  children: JSX.Element | string | number | false | null | undefined;
}): JSX.Element {
  return (
    <div class={large ? "fact large" : "fact"}>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}
