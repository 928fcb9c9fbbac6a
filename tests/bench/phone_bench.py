"""Measures the built phone app; run.py sets up and calls this."""

import statistics
import tempfile
from pathlib import Path

import environment
from conftest import BrowserPhone
from hand import SLOW, Hand
from player import Player
from playwright.sync_api import expect, sync_playwright
from railway import Railway, data
from serving import Server
from slowly import Slowly

TRIES = 5
LIMIT_KB = 300
LATER = "not needed to work a card"
PIN = "135790"

# Written into each page before anything else of it runs: when was something first on the screen?
STOPWATCH = """
window.seen = (selector) => new Promise((resolve) => {
  const look = () => document.querySelector(selector) && (resolve(performance.now()), true);
  if (!look()) {
    const observer = new MutationObserver(() => look() && observer.disconnect());
    observer.observe(document, { subtree: true, childList: true, attributes: true });
  }
});
window.shown = window.seen("article.step h1");
window.open_book = window.seen("html[data-book=open]");
"""
KEEP = """([button, kept]) => {
  const after = window.seen(kept);
  const began = performance.now();
  document.querySelector(button).click();
  return after.then((ended) => ended - began);
}"""


# A fixed piece of reckoning, to tell how fast the browser really runs.
RECKON = """() => {
  const began = performance.now();
  let sum = 0;
  for (let at = 0; at < 3e8; at += 1) sum = (sum + at) | 0;
  return performance.now() - began + (sum & 0);
}"""


def main():
    sizes()
    with tempfile.TemporaryDirectory(prefix="trammel-bench-") as folder, sync_playwright() as playwright:
        server = Server(Path(folder) / "shop")
        server.command("init")
        server.start()
        try:
            cards = prepare(Railway(server))
            phone = BrowserPhone(playwright, Path(folder) / "phone")
            hand = enrol(phone, server, cards)
            server.kill()
            times(phone, hand, cards)
            phone.stop()
        finally:
            server.kill()


# --- sizes ------------------------------------------------------------------------------------------------


def sizes():
    groups = dict.fromkeys(
        ("page", "typeface", "interpreter", "workings and their worker", "service worker", LATER), 0
    )
    for file in sorted(environment.BUILT.rglob("*.br")):
        groups[group_of(file.name.removesuffix(".br"))] += file.stat().st_size
    print(f"\n{'brotli':34} {'kB':>8}")
    for name, size in groups.items():
        print(f"{name:34} {size / 1000:8.1f}")
    total = sum(groups.values()) - groups[LATER]
    print(f"{'needed to work a card':34} {total / 1000:8.1f}   (at most {LIMIT_KB} is wanted)")


def group_of(name):
    # Icons, licences, and what only drafting and the office's screens ask for.
    if name.endswith((".png", ".txt")) or name.startswith(("office-", "procedure_")):
        return LATER
    if name.endswith(".woff2"):
        return "typeface"
    if name.endswith(".wasm"):
        return "interpreter"
    if name.startswith("worker"):
        return "workings and their worker"
    return "service worker" if name == "sw.js" else "page"


# --- times ------------------------------------------------------------------------------------------------


def prepare(railway):
    """A card that is just opened, and one that is worked nearly to its end: {what: (card, place, reading)}."""
    railway.sign_on()
    railway.lay_down_gauges()
    railway.bring_in()
    full = railway.open_card()
    Player(railway, full).play(data("rehearsal")["run"], "play@rod-1-2")
    railway.bring_in({"id": "no-58", "name": "No. 58", "class": "2-8-0"})
    fresh = railway.open_card({"id": "58-side-rods", "title": "Side rods"}, {"id": "no-58"})
    railway.holder.push()
    print(f"\n{len(railway.holder.entries)} entries on the phone, in two cards")
    return {
        "a card just opened": (fresh, "frame-heat", "frame_temperature", "58"),
        "a card of three rods, nearly done": (full, "play@rod-1-2", "left_side_motion", "3/32"),
    }


def enrol(phone, server, cards):
    phone.start()
    phone.context.add_init_script(STOPWATCH)
    hand = Hand(phone, server.url)
    hand.enrol(Railway(server).invite("wenna"), PIN)
    expect(hand.page.locator(".card-line")).to_have_count(len(cards), timeout=SLOW)
    hand.all_sent()
    phone.go_offline()
    return hand


def times(phone, hand, cards):
    print(f"\n{'milliseconds, of ' + str(TRIES) + ' tries':58} {'median':>8} {'worst':>8}")
    full = hand.page.evaluate(RECKON)
    for share, speed in ((1, "at full speed"), (0.25, "at a quarter of it")):
        with Slowly(phone.profile, share):
            print(f"{speed}: reckoning takes {hand.page.evaluate(RECKON) / full:.1f} times as long")
            for what, (card, place, name, text) in cards.items():
                shown, ready = start(hand, card, place)
                report(f"step on screen, warm start offline, {speed}", what, shown)
                report(f"the same, ready to be worked, {speed}", what, ready)
                report(f"pressed to kept, {speed}", what, keep(hand, card, place, name, text))


def report(measured, what, found):
    print(f"{measured:58} {statistics.median(found):8.0f} {max(found):8.0f}   {what}", flush=True)


def start(hand, card, place):
    """From the start of loading to the step on the screen, as it was last seen, and to its being ready."""
    shown, ready = [], []
    for _ in range(TRIES):
        hand.page.goto("about:blank")
        hand.page.goto(f"{hand.url}/#/card/{card}/{place.replace('@', '%40')}", wait_until="commit")
        shown.append(hand.page.evaluate("() => window.shown"))
        ready.append(hand.page.evaluate("() => window.open_book"))
    return shown, ready


def keep(hand, card, place, name, text):
    """From the press to the reading on the screen as kept, its transaction on the disk."""
    hand.take_the_phone("Wenna Tolland", PIN)
    found = []
    for at in range(TRIES):
        hand.at(card, place)
        hand.unfold(name)
        # Another text each time, so that what appears is this reading and not the one before.
        typed = text if "/" in text else str(int(text) + at)
        hand.page.locator(f"#field-{name}").fill(typed)
        expect(hand.page.locator(f"#echo-{name}")).to_contain_text("=", timeout=SLOW)
        found.append(hand.page.evaluate(KEEP, [".dock .primary", f"#reading-{name} .reading-said"]))
    return found


if __name__ == "__main__":
    main()
