"""The rehearsal: the whole demo job through the public API with real signatures, to its packet on paper."""

import tempfile
from pathlib import Path

from phone import Refused
from player import Player
from railway import Railway, data
from serving import Server

# The steps of a rod that tell the story, in the order in which a foreman would tell it.
AS_FOUND, SETTING, LAYING, AFTER = "stand", "plan", "lay", "chocked"
ROLLING = "roll-plan"


class Differs(Exception):
    """The phone and the server do not fold the same entries to the same state."""


def rehearse(out):
    out = Path(out)
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="trammel-rehearsal-") as folder:
        server = Server(Path(folder) / "shop")
        print("== Setting up a shop of its own for the rehearsal", flush=True)
        server.command("init")
        with server:
            try:
                play(Railway(server), out)
            except Refused as reason:
                # The folder goes with this run, and the server's log with it.
                raise Refused(f"{reason}\nThe server's log ends:\n{server.log_end()}") from reason


def play(railway, out):
    railway.sign_on()
    railway.lay_down_gauges()
    railway.bring_in()
    card = railway.open_card()
    print("== Playing the job", flush=True)
    player = Player(railway, card)
    player.play(data("rehearsal")["run"])
    railway.holder.push()
    tell(railway, card, player)
    compare(railway, card)
    write_packets(railway, card, out)


# --- the findings -----------------------------------------------------------------------------------------


def tell(railway, card, player):
    phone = railway.hand_to("wenna")
    frame = phone.ask("card", card=card, me=phone.person)
    print(f"\n{frame['engine']}: {frame['title']}")
    print(f"{frame['procedure']}, version {frame['procedure_version']}")
    places = {item["place"]: item for item in frame["line"]}
    positions = dict.fromkeys(item["position"] for item in frame["line"] if item["position"])
    for label in positions:
        print(f"\n{label}")
        for place, item in places.items():
            if item["position"] != label or item["kind"] != "step" or item["state"] == "off":
                continue
            if place.split("@")[0] in (AS_FOUND, SETTING, LAYING, ROLLING, AFTER):
                tell_step(phone, card, place)
    print("\nSigned")
    for place, person in player.signed:
        item = places[place]
        where = f"{item['label']}, {item['position']}" if item["position"] else item["label"]
        name = next(one["name"] for one in railway.crew if one["person"] == person)
        print(f"  {where}: {name}, the signal is {item['signal']}")
    if not frame["closed"]:
        raise Refused(f"The card is not closed: {frame['words']}.")
    print("\nThe card is closed.")


def tell_step(phone, card, place):
    step = phone.ask("step", card=card, place=place, me=phone.person)
    for paragraph in step["text"]:
        # Only what was worked out for this engine; the rest is in the packet.
        if any("v" in run for run in paragraph):
            print("  " + "".join(run.get("t") or run.get("missing") or run["v"]["text"] for run in paragraph))
    for one in [*step["readings"], *step["judged"]]:
        shown = one.get("shown") or (one.get("value") or {}).get("shown")
        verdict = one.get("verdict_words") or (one.get("value") or {}).get("verdict_words")
        if shown and verdict:
            print(f"    {one['label']}: {shown['text']}, {verdict}{held_to(one['lower'], one['upper'])}")


def held_to(lower, upper):
    if lower and upper:
        return f" ({lower} to {upper})"
    return f" (at least {lower})" if lower else f" (at most {upper})" if upper else ""


# --- the proof --------------------------------------------------------------------------------------------


def compare(railway, card):
    """Every screen of the card, as the phone's fold has it and as the server's has it."""
    phone = railway.hand_to("wenna")
    frame = phone.ask("card", card=card, me=phone.person)
    must_be_equal("the card", frame, phone.call("GET", f"/api/cards/{card}"))
    for item in frame["line"]:
        ask = "hold" if item["kind"] == "hold" else "step"
        here = phone.ask(ask, card=card, place=item["place"], me=phone.person)
        must_be_equal(item["place"], here, phone.call("GET", f"/api/cards/{card}/steps/{item['place']}"))
    print(f"\nPhone and server agree on the card and on all of its {len(frame['line'])} places.")


def must_be_equal(what, here, there):
    if here != there:
        names = [name for name in here if here[name] != there.get(name)]
        in_what = ", ".join(names) or "what one of them leaves out"
        raise Differs(f"Phone and server differ about {what}, in: {in_what}.")


def write_packets(railway, card, out):
    phone = railway.hand_to("wenna")
    for kind in ("blank", "filled"):
        for paper in ("A4", "Letter"):
            pdf = phone.fetch("POST", "/api/packets", {"card": card, "kind": kind, "paper": paper})
            file = out / f"{card}-{kind}-{paper}.pdf"
            file.write_bytes(pdf)
            print(f"{file}: {len(pdf) // 1024} KB")
