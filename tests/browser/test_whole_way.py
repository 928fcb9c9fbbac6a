"""The whole way once: a job on one phone with no network, a lead's signature, the log, the packet."""

import io

from hand import SLOW, Hand
from inside import Workings, lines, stored
from playwright.sync_api import expect
from pypdf import PdfReader
from railway import data
from workings import entries as form

ROD = "rod-2-3"
WENNA, MAREN = ("Wenna Tolland", "135790"), ("Maren Oake", "246813")
FIRST_HOLD, BEHIND_IT, MEASURED_BEHIND_IT = f"before-pull@{ROD}", f"pull@{ROD}", f"chocked@{ROD}"


def job():
    """What the rehearsal reads and chooses for that pair of rods: {place: [items]}, in its order."""
    found = {}
    for item in data("rehearsal")["run"]:
        if item["place"].partition("@")[2] in ("", ROD) and item["do"] != "sign-off":
            found.setdefault(item["place"], []).append(item)
    return found


def as_typed(item):
    """Feelers are read in thousandths: 0.011 in is typed as 11 thou."""
    if item.get("gauge") == "feelers-4":
        return str(round(float(item["text"]) * 1000)), "thou"
    return item["text"], item["unit"]


class Mechanic:
    """Wenna at work on her phone: takes what each place asks for."""

    def __init__(self, hand, card, todo):
        self.hand, self.card, self.todo = hand, card, todo

    def go_to(self, place):
        self.hand.at(self.card, place)

    def do(self, place):
        """Everything that one step asks for."""
        self.go_to(place)
        if not self.hand.is_off():
            self.measure(place)
            self.hand.finish_step()

    def measure(self, place):
        for item in self.todo.pop(place, ()):
            if item["do"] == "way":
                self.hand.choose_way(item["text"])
            else:
                self.hand.read(item["name"], *as_typed(item))

    def start_again(self):
        """The browser comes up with nothing but the phone's own disk to start from."""
        self.hand.phone.start()
        self.hand.open()
        self.hand.take_the_phone(*WENNA)

    def be_killed(self):
        """The browser dies in the middle of it all; every line that was kept is there afterwards."""
        kept = lines(self.hand.page)
        self.hand.phone.kill()
        self.start_again()
        assert lines(self.hand.page) == kept


def test_the_whole_way_once(server, railway, phones):
    phone, lead_phone = phones("mechanic"), phones("lead", width=360, height=740)
    phone.start()
    lead_phone.start()
    hand, lead = Hand(phone, server.url), Hand(lead_phone, server.url)
    lead.enrol(railway.invite("maren"), MAREN[1])
    hand.enrol(railway.invite("maren"), MAREN[1])
    hand.enrol(railway.invite("wenna"), WENNA[1])

    card = open_the_card(lead)
    hand.open()
    expect(hand.page.locator(".card-line")).to_have_count(1, timeout=SLOW)
    places = {item["place"]: item["kind"] for item in on_server(railway, card)["line"]}

    server.kill()
    phone.go_offline()
    phone.stop()
    mechanic = Mechanic(hand, card, job())
    mechanic.start_again()
    as_found(mechanic)
    for place, kind in places.items():
        if kind == "hold":
            stop_at_hold(mechanic, place)
        elif place == BEHIND_IT:
            be_killed_while_ticking(mechanic, place)
        else:
            mechanic.do(place)
    assert mechanic.todo == {}

    server.start()
    phone.go_offline(False)
    hand.open()
    hand.all_sent()
    log = whole_log(railway)
    assert_each_line_once_and_whole_chain(log, lines(hand.page))
    assert_same_state(railway, card, places, Workings(hand.page).read_the_phone())
    assert_packet_shows_it(railway, card, log)
    assert phone.problems == [] and lead_phone.problems == []


def open_the_card(lead):
    """The lead opens the card on her own phone; it has reached the server when this returns."""
    lead.all_sent()
    lead.go("open")
    expect(lead.page.locator("#main")).to_contain_text("No. 63", timeout=SLOW)
    lead.primary.click()
    lead.page.wait_for_url("**/#/card/*", timeout=SLOW)
    lead.all_sent()
    return lead.page.url.split("/card/")[1].split("/")[0]


def as_found(mechanic):
    """Measured while the gauge is out, before anything is signed; the battery dies half-way through one."""
    hand, place = mechanic.hand, f"wheels@{ROD}"
    first, second = mechanic.todo[place][:2]
    mechanic.go_to(place)
    hand.read(first["name"], *as_typed(first))
    hand.unfold(second["name"])
    hand.type("178", "in")
    expect(hand.page.locator(f"#field-{second['name']}")).to_have_value("178")
    assert [half["text"] for half in stored(hand.page, "halftyped")] == ["178"]
    mechanic.be_killed()
    mechanic.go_to(place)
    expect(hand.page.locator(f"#reading-{first['name']} .reading-said")).to_be_visible(timeout=SLOW)
    expect(hand.page.locator(f"#field-{second['name']}")).to_have_value("178", timeout=SLOW)
    hand.page.locator(f"#field-{second['name']}").fill("")
    del mechanic.todo[place][0]

    for place in list(mechanic.todo):
        if place == f"stand@{ROD}":
            break
        mechanic.go_to(place)
        mechanic.measure(place)


def stop_at_hold(mechanic, place):
    """At the first one: the way behind is shut, the mechanic cannot sign, a wrong PIN signs nothing."""
    hand = mechanic.hand
    if place == FIRST_HOLD:
        assert_shut_behind(mechanic)
    mechanic.go_to(place)
    expect(hand.page.locator(".signal-board.is-stop")).to_be_visible(timeout=SLOW)
    if place == FIRST_HOLD:
        hand.primary.click()
        own = hand.page.locator("dialog .person-key", has_text=WENNA[0])
        assert own.count() == 0 or own.is_disabled()
        hand.page.locator("dialog .person-key", has_text=MAREN[0]).click()
        hand.pin("000000", "dialog .pinpad")
        expect(hand.page.locator("dialog .pin-said")).to_contain_text("not the PIN", timeout=SLOW)
        hand.page.locator("dialog header button").click()
        expect(hand.page.locator(".signal-board.is-stop")).to_be_visible()
    hand.sign(*MAREN)
    if place == FIRST_HOLD:
        mechanic.be_killed()
        mechanic.go_to(place)
        expect(hand.page.locator(".signal-board.is-clear")).to_be_visible(timeout=SLOW)


def assert_shut_behind(mechanic):
    hand = mechanic.hand
    before = lines(hand.page)
    mechanic.go_to(BEHIND_IT)
    expect(hand.page.locator(".standing")).to_be_visible(timeout=SLOW)
    hand.page.locator(".check-box").first.click()
    expect(hand.page.locator("article .refusal")).not_to_be_empty(timeout=SLOW)
    expect(hand.page.locator(".check-box[aria-checked=true]")).to_have_count(0)
    mechanic.go_to(MEASURED_BEHIND_IT)
    item = mechanic.todo[MEASURED_BEHIND_IT][0]
    hand.unfold(item["name"])
    hand.type(*as_typed(item))
    hand.keep()
    expect(hand.page.locator(".reading.open .refusal")).not_to_be_empty(timeout=SLOW)
    assert lines(hand.page) == before
    hand.page.locator(f"#field-{item['name']}").fill("")


def be_killed_while_ticking(mechanic, place):
    mechanic.go_to(place)
    boxes = mechanic.hand.page.locator(".check-box")
    for at in range(3):
        boxes.nth(at).click()
        expect(boxes.nth(at)).to_have_attribute("aria-checked", "true", timeout=SLOW)
    mechanic.be_killed()
    mechanic.do(place)


# --- afterwards -------------------------------------------------------------------------------------------


def on_server(railway, card, place=None):
    path = f"/api/cards/{card}" + (f"/steps/{place}" if place else "")
    return railway.phones["ida"].call("GET", path)


def whole_log(railway):
    """Every line of the server's log, in its order."""
    keeper, found, more = railway.phones["ida"], [], True
    while more:
        after = found[-1]["position"] if found else 0
        answer = keeper.call("GET", f"/api/entries?after={after}&limit=100")
        found += answer["entries"]
        more = answer["more"]
    return [form.take_apart(entry["jws"]) for entry in found]


def assert_each_line_once_and_whole_chain(log, phone_lines):
    hashes = [entry.hash for entry in log]
    assert len(hashes) == len(set(hashes))
    assert {entry.hash: entry.jws for entry in log} == phone_lines
    numbers = {}
    for entry in log:
        numbers.setdefault(entry.kid, []).append(entry.number)
        assert {*entry.before, *entry.register} <= set(hashes)
    for kid, found in numbers.items():
        assert sorted(found) == list(range(1, len(found) + 1)), kid


def assert_same_state(railway, card, places, workings):
    frame = on_server(railway, card)
    assert frame["closed"] and frame["problems"] == []
    assert workings.ask("card", card=card, me="ida") == frame
    for place, kind in places.items():
        ask = "hold" if kind == "hold" else "step"
        assert workings.ask(ask, card=card, place=place, me="ida") == on_server(railway, card, place), place


def assert_packet_shows_it(railway, card, log):
    asked = {"card": card, "kind": "filled", "paper": "A4"}
    pdf = railway.phones["ida"].fetch("POST", "/api/packets", asked)
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())
    signs = [entry for entry in log if entry.kind == "sign-off"]
    assert WENNA[0] in text and MAREN[0] in text and len(signs) == 4
    for sign in signs:
        assert form.fingerprint(sign.kid) in text
    frame = on_server(railway, card)
    for item in frame["line"]:
        if item["kind"] == "step" and item["state"] == "done":
            for reading in on_server(railway, card, item["place"])["readings"]:
                assert reading["label"] in text
