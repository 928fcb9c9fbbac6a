// The frame of every screen: which engine and job and who holds the phone;
// the line of road; what is kept here and what was sent; and at the thumb one
// act named by its verb, with "Note it" beside it.
import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { to } from "../route";
import { useShop, useShopState } from "../shop";
import type { Frame as CardFrame, Place } from "../wire";
import { when, words } from "../words";
import { Road } from "./road";
import { useVersion } from "./version";

export function Frame({
  frame,
  place,
  title,
  children,
  thumb,
  back = true,
  collapsed = false,
}: {
  frame?: CardFrame | null;
  place?: Place | null;
  title?: string;
  children: ComponentChildren;
  thumb?: ComponentChildren;
  back?: boolean;
  collapsed?: boolean;
}): JSX.Element {
  const main = useRef<HTMLElement>(null);
  const seen = useRef<string | null>(null);
  const here = `${frame?.card ?? ""} ${place ?? ""} ${title ?? ""}`;
  useEffect(() => {
    // A new place begins at its top, and its heading is what is read first.
    if (seen.current !== null && seen.current !== here) {
      scrollTo(0, 0);
      main.current?.closest(".page")?.scrollTo(0, 0);
      main.current?.querySelector<HTMLElement>("h1")?.focus({ preventScroll: true });
    }
    seen.current = here;
  }, [here]);
  // What stands still at the edges may take half of the screen, not more.
  const [tall, setTall] = useState(false);
  const top = useRef<HTMLElement>(null);
  useEffect(() => {
    const measure = () => {
      const thumb = top.current?.parentElement?.querySelector(".thumb");
      const still = (top.current?.offsetHeight ?? 0) + (thumb?.clientHeight ?? 0);
      setTall(still > innerHeight * (collapsed ? 0.7 : 0.5));
    };
    const watch = new ResizeObserver(measure);
    if (top.current) watch.observe(top.current);
    measure();
    return () => watch.disconnect();
  }, [collapsed]);
  return (
    <div class={["page", collapsed && "collapsed", tall && "tall"].filter(Boolean).join(" ")}>
      <button type="button" class="skip" onClick={() => main.current?.focus()}>
        {words.frame.skip}
      </button>
      <header class="top" ref={top}>
        <div class="nameplate">
          {back ? (
            <a class="to-book" href={to()} aria-label={words.frame.backToBook}>
              ‹ {words.frame.book}
            </a>
          ) : null}
          <p class="job">
            {frame ? (
              <>
                <span class="job-engine">{frame.engine}</span> <span class="job-title">{frame.title}</span>
              </>
            ) : (
              <span class="job-title">{title ?? words.app}</span>
            )}
          </p>
          <Holder />
        </div>
        {frame && place && !collapsed && <Road frame={frame} place={place} />}
        <KeptStrip />
      </header>
      <main id="main" ref={main} tabIndex={-1}>
        {children}
      </main>
      {thumb && <footer class="thumb">{thumb}</footer>}
    </div>
  );
}

function Holder(): JSX.Element {
  const holder = useShopState(
    (state) => state.keys.find(({ person }) => person === state.holder)?.name ?? null,
  );
  return (
    <a class="holder" href={to("who")}>
      <span aria-hidden="true">{holder ?? words.frame.nobody}</span>
      <span class="hidden">{holder ? words.frame.holds(holder) : words.frame.nobodyHolds}</span>
    </a>
  );
}

// One quiet line; loud only when it needs a person.
export function KeptStrip(): JSX.Element {
  const state = useShopState((all) => all);
  const { standing, open, holder, keys, nearlyFull, freshVersion } = state;
  const shop = useShop();
  const useIt = useVersion();
  const only = words.strip.onlyHere(standing.unsent);
  if (!state.opened) return <Strip text={words.loading} where="kept" />;
  if (freshVersion && shop.halfTyped.of(holder).length === 0) {
    return (
      <button type="button" class="strip fresh" onClick={useIt}>
        {words.strip.fresh}
      </button>
    );
  }
  if (standing.refused > 0) return <Strip loud text={words.strip.refused(standing.refused)} where="kept" />;
  if (standing.state === "trouble") return <Strip loud text={standing.trouble ?? ""} where="kept" />;
  if (nearlyFull) return <Strip loud text={words.strip.full} where="kept" />;
  if (keys.length > 0 && !holder) return <Strip loud text={`${words.strip.nobody} · ${only}`} where="who" />;
  if (holder && !open) return <Strip loud text={`${words.strip.locked} · ${only}`} where="who" />;
  const parts = [
    only,
    standing.state === "running"
      ? standing.read
        ? words.strip.reading(standing.read)
        : words.strip.running
      : standing.sentAt
        ? words.strip.sent(when(standing.sentAt))
        : words.strip.neverSent,
    standing.pulledAt ? words.strip.asOf(when(standing.pulledAt)) : words.strip.neverPulled,
  ];
  if (freshVersion) parts.unshift(words.strip.freshWaits);
  return <Strip text={parts.join(" · ")} where="kept" />;
}

function Strip({ text, where, loud = false }: { text: string; where: string; loud?: boolean }): JSX.Element {
  return (
    <a class={loud ? "strip loud" : "strip"} href={to(where)} aria-live={loud ? "polite" : "off"}>
      {text}
    </a>
  );
}

export function NoteIt({ card, place }: { card: string; place: Place | null }): JSX.Element {
  return (
    <a class="second note-it" href={to("note", card, place)}>
      {words.frame.noteIt}
    </a>
  );
}
