// The book: what waits for me first, then every engine with its jobs.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { Frame } from "../pieces/frame";
import { SmallRoad } from "../pieces/road";
import { to } from "../route";
import { type Answer, useAsk, useIsLead, useShopState } from "../shop";
import type { BookList, CardLine } from "../wire";
import { words } from "../words";
import { lastCard } from "./card";

export function matches(card: CardLine, engine: string, text: string): boolean {
  const wanted = text.trim().toLowerCase();
  const all = `${engine} ${card.engine} ${card.title} ${card.card} ${card.words}`.toLowerCase();
  return wanted.split(/\s+/).every((word) => all.includes(word));
}

export function BookScreen({ chosen = null }: { chosen?: string | null }): JSX.Element {
  const me = useShopState((state) => state.holder);
  const nobody = useShopState((state) => state.keys.length === 0);
  const lead = useIsLead();
  const answer = useAsk("list", { me });
  const book = answer.data;
  const last = chosen ?? lastCard();
  const engine = book?.engines.find(({ cards }) =>
    cards.some(({ card, closed }) => card === last && !closed),
  );
  const open = (
    <a class={engine ? "second" : "primary wide"} href={to("open")}>
      {words.list.open}
    </a>
  );
  const goOn = engine && !chosen && (
    <a class="primary" href={to("card", last)}>
      {words.list.goOn(engine.name)}
    </a>
  );
  if (nobody) {
    return (
      <Frame
        back={false}
        title={words.app}
        thumb={
          <a class="primary wide" href={to("who")}>
            {words.list.code}
          </a>
        }
      >
        <h1 tabIndex={-1}>{words.list.title}</h1>
        <p class="instruction">{words.list.nobodyYet}</p>
      </Frame>
    );
  }
  return (
    <Frame
      back={false}
      title={words.list.title}
      thumb={
        lead || goOn ? (
          <>
            {lead && open}
            {goOn}
          </>
        ) : null
      }
    >
      <Book chosen={chosen} answer={answer} />
    </Frame>
  );
}

function Book({ chosen, answer }: { chosen: string | null; answer: Answer<BookList> }): JSX.Element {
  const running = useShopState((state) => state.standing.state === "running");
  const { data, refused } = answer;
  const [text, setText] = useState("");
  const book: BookList = data ?? { for_me: [], engines: [] };
  const engines = book.engines
    .map((engine) => ({
      ...engine,
      cards: engine.cards.filter((card) => matches(card, engine.name, text)),
    }))
    .filter((engine) => engine.cards.length > 0);
  const none = data !== null && book.engines.length === 0;

  return (
    <div class="book">
      <h1 tabIndex={-1} class="hidden">
        {words.list.title}
      </h1>
      <label>
        <span class="hidden">{words.list.search}</span>
        <input
          class="field search"
          type="search"
          placeholder={words.list.search}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
        />
      </label>
      {refused && <p class="refusal">{refused}</p>}
      {!text && book.for_me.length > 0 && (
        <section class="section">
          <h2>{words.list.forMe}</h2>
          <Cards
            cards={book.for_me}
            chosen={chosen}
            nameOf={(id) => book.engines.find(({ engine }) => engine === id)?.name ?? id}
          />
        </section>
      )}
      {engines.map((engine) => (
        <section class="section" key={engine.engine}>
          <h2>{engine.name}</h2>
          <Cards cards={engine.cards} chosen={chosen} />
        </section>
      ))}
      {!data && !refused && <p class="section quiet">{words.loading}</p>}
      {none && <p class="section quiet">{running ? words.list.stillReading : words.list.none}</p>}
      {!none && text && engines.length === 0 && <p class="section">{words.list.nothingFound(text)}</p>}
      <nav class="elsewhere section" aria-label={words.list.more}>
        <a class="third" href={to("people")}>
          {words.list.people}
        </a>
        <a class="third" href={to("kept")}>
          {words.kept.title}
        </a>
        <a class="third" href={to("settings")}>
          {words.list.settings}
        </a>
      </nav>
    </div>
  );
}

function Cards({
  cards,
  chosen,
  nameOf,
}: {
  cards: CardLine[];
  chosen: string | null;
  nameOf?: (engine: string) => string;
}): JSX.Element {
  return (
    <ul class="rows">
      {cards.map((card) => (
        <li key={card.card}>
          <a
            class={card.closed ? "card-line closed" : "card-line"}
            href={to("card", card.card)}
            aria-current={card.card === chosen ? "page" : undefined}
          >
            {nameOf && <span class="kicker">{nameOf(card.engine)}</span>}
            <span class="card-title">{card.title}</span>
            <SmallRoad line={card.line} here={card.here} words={words.frame.road} />
            <span class="card-words sentence">{card.words}</span>
          </a>
        </li>
      ))}
    </ul>
  );
}
