"""Cards at random: people who do sensible and senseless things on several phones that meet seldom.

The fold is held against card_model.py, which tells the rules a second time, naively; against itself, in
other orders of arrival and with lines left out; and against what must always hold. TRAMMEL_LONG=N plays N
times as many cards. Every message names the seed that makes the same card again.
"""

import os
import random

import card_job
import pytest
from card_model import Model
from card_players import PEOPLE, PHONES, TURNS, Play, played
from card_repair import Repair
from crew import entry_states
from workings import hold_view, step_view, view
from workings.fold import Card
from workings.road import place_id

MORE = int(os.environ.get("TRAMMEL_LONG", "1"))
SMALL_SHOP = {"M": "mechanic", "L": "lead"}


def folded(play, jws):
    return play.book_of(jws).card("card1")


def model_of(play, card):
    return Model(card.knowing.order, card_job.PROCEDURE, play.shop.version, play.shop.root_kid)


def assert_alike(card, model, seed):
    for e in card.lines:
        word = card.status.get(e.hash, ("counts", None))[0]
        assert card.counts(e) == model.counts(e), f"seed {seed}: {e.kind} {e.body}: {word}, {model.status[e.hash]}"
        assert (word == "replaced") == (model.status[e.hash] == "replaced") or e.kind not in ("reading", "way"), (
            f"seed {seed}: {e.kind} {e.body}: {word}, {model.status[e.hash]}")
    if card.road is None:
        return
    for place, state in card.steps.items():
        assert state.state == model.state[place], f"seed {seed}: {place}: {state.state}, {model.state[place]}"
    for place, hold in card.holds.items():
        assert hold.in_force == model.in_force[place], f"seed {seed}: {place}"
        assert set(hold.covered) == model.covered[place], f"seed {seed}: {place}"
    assert card.closed == model.closed(), f"seed {seed}"


def assert_always(card, seed):
    """What must hold of any card whatever: nothing done behind a hold point, four eyes, one state."""
    if card.road is None:
        return
    for place in card.road.places:
        for h in card.standing_holds(place):
            if not card.holds[h].in_force:
                done = place.kind == "step" and card.steps[place.id].state == "done"
                assert not done, f"seed {seed}: {place.id} is done behind {h}"
                assert place.kind != "hold" or not card.holds[place.id].in_force, f"seed {seed}: {place.id} behind {h}"
    for h, hold in card.holds.items():
        if hold.in_force:
            signer = card.author(hold.signature.entry)
            for own in hold.signature.listed:
                e = card.by_hash[own]
                assert not (e.kind in ("reading", "way", "check", "said-done") and card.own(e, signer)), (
                    f"seed {seed}: {signer} signed {h} over own work")


@pytest.mark.parametrize("seed", range(80 * MORE))
def test_the_fold_is_what_the_rules_say_told_a_second_time(seed):
    play = played(seed)
    card = folded(play, play.everything())
    assert_always(card, seed)
    assert_alike(card, model_of(play, card), seed)


@pytest.mark.parametrize("seed", range(50 * MORE))
def test_hostile_lines_change_nothing_that_must_hold(seed):
    play = played(1000 + seed, hostile=True)
    card = folded(play, play.everything())
    assert_always(card, seed)
    model = model_of(play, card)
    if not model.circle:
        assert_alike(card, model, 1000 + seed)


@pytest.mark.parametrize("seed", range(50 * MORE))
def test_any_lines_in_any_order_make_one_state(seed):
    play = played(2000 + seed, hostile=seed % 2 == 1)
    rng = random.Random(seed)
    register = [e.jws for e in play.shop.root.book.about("register")]
    rest = [j for j in play.everything() if j not in register]
    some = [j for j in rest if rng.random() > rng.choice((0.0, 0.1, 0.4))]
    states = set()
    for _ in range(3):
        rng.shuffle(some)
        book = play.book_of(register + some)
        if "card1" in book.card_ids():
            states.add(entry_states(book.card("card1")))
    assert len(states) <= 1, f"seed {2000 + seed}"


@pytest.mark.parametrize("seed", range(30 * MORE))
def test_one_more_line_is_the_whole_fold_again(seed):
    play = played(3000 + seed, hostile=seed % 3 == 2)
    book = play.book_of(play.everything())
    lines, register = [e for e in book.card("card1").knowing.order if e.thing == "card"], book.about("register")
    card, extended = None, 0
    for n, e in enumerate(lines):
        more = card.with_one_more(e) if card is not None else None
        whole = Card(lines[:n + 1], register, book.procedures.get, book.root)
        if more is not None:
            extended += 1
            assert entry_states(more) == entry_states(whole), f"seed {3000 + seed}, line {n}: {e.kind} {e.body}"
        card = more or whole
    assert extended or len(lines) < 20, f"seed {3000 + seed}"


@pytest.mark.parametrize("seed", range(30 * MORE))
def test_what_was_drafted_counts_on_the_phone_that_drafted_it(seed):
    rng = random.Random(4000 + seed)
    play = Play(rng, PEOPLE, False, ("a",), PHONES)
    said = []

    def look(phone, made):
        status = phone.card().status.get(made[-1][1], ("counts", None))
        said.append(status[0])
        assert status[0] in ("counts", "replaced"), f"seed {4000 + seed}: {status}"
        e = phone.card().by_hash[made[-1][1]]
        if e.kind == "sign-off":
            hold = phone.card().holds[place_id(e)]
            assert hold.in_force, f"seed {4000 + seed}: {hold.signature.lapses}"

    play.after_saying = look
    for _ in range(TURNS):
        play.turn()
    assert said


@pytest.mark.parametrize("seed", range(30 * MORE))
def test_every_screen_of_any_card_can_be_shown(seed):
    play = played(5000 + seed, hostile=seed % 2 == 0)
    book = play.book_of(play.everything())
    view.listing(book, "L")
    view.frame(book, "card1", "M")
    view.history(book, "card1")
    road = book.card("card1").road
    for place in road.places if road is not None else ():
        (hold_view.hold if place.kind == "hold" else step_view.step)(book, "card1", place.id, "L")


@pytest.mark.parametrize("seed", range(50 * MORE))
def test_a_small_shop_always_comes_to_the_close_by_what_the_screen_asks(seed):
    play = played(6000 + seed, hostile=seed % 3 == 0, people=SMALL_SHOP)
    repair = Repair(play)
    assert repair.to_the_close(), f"seed {6000 + seed}: {repair.words()}"
    assert_always(repair.lead.card(), 6000 + seed)
