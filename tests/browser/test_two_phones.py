"""Two phones and a server that comes and goes: everything gets across, once."""

from hand import SLOW, Hand
from inside import lines
from playwright.sync_api import expect
from test_whole_way import MAREN, WENNA, Mechanic, assert_each_line_once_and_whole_chain, job, whole_log

CARD, ROD, HOLD = "63-side-rods", "rod-2-3", "before-pull@rod-2-3"


def start(phones, server, railway, name, person, who):
    phone = phones(name)
    phone.start()
    hand = Hand(phone, server.url)
    hand.enrol(railway.invite(person), who[1])
    expect(hand.page.locator(".card-line")).to_have_count(1, timeout=SLOW)
    hand.all_sent()
    return hand


def test_the_lead_signs_on_her_own_phone(server, railway, phones):
    railway.open_card(rods=[ROD])
    railway.holder.push()
    wenna = start(phones, server, railway, "mechanic", "wenna", WENNA)
    maren = start(phones, server, railway, "lead", "maren", MAREN)
    mechanic = Mechanic(wenna, CARD, job())
    places = [item["place"] for item in railway.holder.call("GET", f"/api/cards/{CARD}")["line"]]
    for place in places[: places.index(HOLD)]:
        mechanic.do(place)
    wenna.all_sent()

    maren.open()
    # What waits for a person's own signature stands before the book.
    maren.page.locator(".card-line").first.click()
    maren.at(CARD, HOLD)
    maren.sign(*MAREN)
    maren.all_sent()

    wenna.open()
    wenna.take_the_phone(*WENNA)
    wenna.at(CARD, HOLD)
    expect(wenna.page.locator(".signal-board.is-clear")).to_be_visible(timeout=SLOW)


def test_a_server_that_is_killed_while_phones_send_gets_every_line_once(server, railway, phones):
    railway.open_card(rods=[ROD])
    railway.holder.push()
    wenna = start(phones, server, railway, "mechanic", "wenna", WENNA)
    mechanic = Mechanic(wenna, CARD, job())
    for at, place in enumerate(["track", "free", "tackle", "wedges", "frame-heat"]):
        mechanic.do(place)
        if at % 2 == 0:
            # In the middle of a push, or before, or after: each is as good.
            server.kill()
        else:
            server.start()
    server.start()
    wenna.open()
    wenna.all_sent()
    assert_each_line_once_and_whole_chain(whole_log(railway), lines(wenna.page))
