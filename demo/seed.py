"""Seeds the demo: the crew, the gauges, three engines of one drawing and a card for each.

No. 63's card is open and untouched. No. 58's is measured and rigged, and waits for a lead before the first
pull. On No. 61 the first rod hangs, and two mechanics who measured apart do not agree about the second.
"""

from player import Player
from railway import Railway, data

WAITING = (
    {"id": "no-58", "name": "No. 58", "class": "2-8-0"},
    {"id": "58-side-rods", "title": "Side rods on after new tires"},
)
DISAGREED = (
    {"id": "no-61", "name": "No. 61", "class": "2-8-0"},
    {"id": "61-side-rods", "title": "Side rods on after work on the boxes"},
)


def seed(server):
    """Writes all of it on a server with an empty shop; tells what it does as it goes."""
    railway = Railway(server)
    run = data("rehearsal")["run"]
    say("crew and gauges")
    railway.sign_on()
    railway.lay_down_gauges()
    say("No. 63, a card to work from the start")
    railway.bring_in()
    railway.open_card()
    say("No. 58, a card that waits for a lead")
    play(railway, *WAITING, run, "before-pull@rod-2-3")
    say("No. 61, a card with two readings side by side")
    play(railway, *DISAGREED, run, "chocked@rod-3-4")
    measure_apart(railway, "61-side-rods")
    for phone in railway.phones.values():
        phone.push()
    return railway


def say(what):
    print(f"   {what}", flush=True)


def play(railway, engine, card, run, until):
    railway.bring_in(engine)
    Player(railway, railway.open_card(card, engine)).play(run, until)
    railway.holder.push()


def measure_apart(railway, card):
    """Wenna and Joss measure at the same stop, with no network between them, and read differently."""
    place, gauge = "chocked@rod-3-4", "inside-mic-1"
    phones = [railway.phones["wenna"], railway.phones["joss"]]
    for phone in phones:
        phone.pull()
    for phone, text in zip(phones, ("52.236", "52.241"), strict=True):
        reading = {"name": "left_between_now", "text": text, "unit": "in", "gauge": gauge}
        phone.sign("reading", f"card:{card}", reading, place)
