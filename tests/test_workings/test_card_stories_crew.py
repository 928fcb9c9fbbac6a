"""More stories that a card must survive: of data and positions, of witnesses, and of the crew register."""

import copy

import card_job
import pytest
from card_players import Play
from crew import Refused, Shop
from story import PROCEDURE, Story
from workings import hold_view, step_view, view
from workings.book import Book


@pytest.fixture
def s():
    return Story()


def with_witness():
    procedure = copy.deepcopy(PROCEDURE)
    witness = {"who": "The inspector", "words": "He may watch."}
    procedure["sections"][0]["steps"].insert(2, {"id": "watch", "title": "The inspector looks", "witness": witness})
    return Story(procedure)


class Rods:
    """The job of the cards at random: fit each rod, then count."""

    def __init__(self):
        self.shop = Shop(card_job.PROCEDURE, [("M", "mechanic"), ("N", "mechanic"), ("L", "lead"), ("K", "lead")],
                         ("a",), card_job.DATA)
        self.M, self.N, self.L, self.K = [self.shop.phone(p) for p in "MNLK"]
        self.shop.open_card(self.L)
        self.meet()

    def meet(self):
        self.M.meet(self.N, self.L, self.K)

    def measure(self):
        self.M.say("said-done", "found")
        self.M.say("reading", "measure", name="bore", text="9.990", unit="in")
        self.M.say("reading", "measure", name="kind", text="plain", unit="")
        self.M.say("check", "measure", check="clean")
        self.M.say("said-done", "measure")
        self.sign("h1")

    def fit(self, position):
        at = "pin@" + position
        self.M.say("reading", at, name="pin_size", text="9.980", unit="in")
        self.M.say("reading", at, name="feel", text="free", unit="")
        self.M.say("way", at, text="by hand")
        self.M.say("said-done", at)
        self.sign("hr@" + position)

    def count(self):
        self.M.say("check", "count", check="counted")
        self.M.say("said-done", "count")
        self.sign("h2")

    def sign(self, hold):
        self.meet()
        self.L.say("sign-off", hold)
        self.meet()


# --- data, positions, versions --------------------------------------------------------------------------------


def test_rule_5_two_leads_apart_give_different_data_and_neither_holds_until_one_decides_again(s):
    s.measure(s.M)
    s.meet()
    s.L.say("data-value", name="largest", text="9.995", unit="in", why="the newer drawing")
    s.K.say("data-value", name="largest", text="10.005", unit="in", why="the works' letter")
    s.meet()
    card = s.M.card()
    assert card.standing[("largest", None)].beside and s.M.state("measure") != "done"
    assert any("two values stand side by side" in p for p in view.problems(card))
    s.L.say("data-value", name="largest", text="10.005", unit="in", why="K was right")
    s.meet()
    assert not s.M.card().standing[("largest", None)].beside
    s.M.say("said-done", "measure")
    s.L.meet(s.M)
    s.K.meet(s.L)
    s.K.say("sign-off", "h1")
    assert s.K.signal("h1") == "clear"


def test_rule_5_two_leads_apart_give_the_same_data_and_it_stands(s):
    s.L.say("data-value", name="largest", text="9.995", unit="in", why="the newer drawing")
    s.K.say("data-value", name="largest", text="9.9950", unit="in", why="the newer drawing")
    s.meet()
    assert not s.M.card().standing[("largest", None)].beside


def test_rule_5_two_concessions_apart_to_another_effect_do_not_act(s):
    s.read(s.M, "10.050")
    s.meet()
    s.L.say("concession", "measure", name="bore", why="it serves", until="close")
    s.K.say("concession", "measure", name="bore", why="it serves for now", until="h2")
    s.meet()
    assert s.M.card().steps["measure"].judged["bore"].conceded is None
    s.K.say("concession", "measure", name="bore", why="L is right", until="close")
    assert s.K.card().steps["measure"].judged["bore"].conceded is not None


def test_rule_7_a_card_waits_by_name_for_a_version_that_the_phone_does_not_hold(s):
    book = Book(s.shop.root_kid)
    for jws in s.M.held():
        book.take(jws)
    assert book.card("card1").waiting_for == s.shop.version
    assert s.shop.version[:8] in view.frame(book, "card1")["words"]
    book.take_procedure(s.shop.procedures[0])
    assert book.card("card1").waiting_for is None


def test_rule_9_a_position_added_later_leaves_done_what_was_done_before():
    s = Rods()
    s.measure()
    s.fit("a")
    s.count()
    assert s.M.card().closed
    before = [e for e in s.M.card().lines if s.M.card().counts(e)]
    s.L.say("position-added", id="b", label="rod b")
    s.L.say("data-value", name="room", position="b", text="0.020", unit="in", why="the same rod")
    s.meet()
    card = s.M.card()
    assert all(card.counts(e) for e in before)
    assert card.steps["measure"].state == card.steps["pin@a"].state == "done"
    assert s.M.signal("hr@a") == "clear" and not card.closed
    # "All counted" survives the new rod: its step shows no number of rods.
    s.fit("b")
    assert s.M.state("count") == "done" and s.M.card().closed


def test_rule_9_what_was_ticked_behind_it_by_a_phone_that_knew_the_new_position_waits():
    s = Rods()
    s.measure()
    s.fit("a")
    s.L.say("position-added", id="b", label="rod b")
    s.N.meet(s.L)
    ticked = s.M.say("check", "count", check="counted")
    knew = s.N.insist("check", step="count", check="counted")
    s.meet()
    assert s.L.why(ticked)[0] == "counts" and s.L.why(knew)[0] == "waits"


def test_rule_3_a_rejected_reading_is_the_value_again_when_the_chosen_one_is_struck_out(s):
    kept, other = s.insist_read(s.M, "9.990"), s.insist_read(s.N, "9.980")
    s.meet()
    s.K.say("choice", "measure", name="bore", holds=kept)
    s.meet()
    s.M.say("strike-out", entry=kept, why="the wrong bore")
    assert s.M.card().standing[("bore", None)].entry.hash == other


def test_rule_17_nothing_moves_a_card_in_silence(s):
    with pytest.raises(Refused, match="not moved"):
        s.L.say("move", to=s.shop.version, why="a newer version")
    moved = s.L.insist("move", to=s.shop.version, why="a newer version")
    assert s.L.why(moved)[0] == "does not count"


# --- witnesses and doubts -------------------------------------------------------------------------------------


def test_rule_14_a_witness_point_blocks_nothing_and_shows_who_was_there():
    s = with_witness()
    s.to_h1()
    assert s.M.signal("h1") == "clear"
    s.L.say("presence", "watch", who="The inspector")
    s.M.meet(s.L)
    assert s.M.signal("h1") == "clear"
    shown = step_view.step(s.M.book, "card1", "watch")["witness"]
    assert shown["who"] == "The inspector" and len(shown["lines"]) == 1


def test_rule_13_a_gauge_found_out_is_doubted_with_all_it_read_and_only_by_a_lead(s):
    s.L.about("gauges", "gauge", id="mic-3", label="micrometer 3", dimension="length", resolution="0.001 in",
              uncertainty="0.002 in")
    s.meet()
    s.read(s.M, gauge="mic-3")
    s.M.say("check", "measure", check="clean")
    s.M.say("said-done", "measure")
    s.L.meet(s.M)
    s.L.say("sign-off", "h1")
    s.meet()
    with pytest.raises(Refused, match="Only a lead"):
        s.N.say("doubt", gauge="mic-3", why="it was dropped")
    doubt = s.K.say("doubt", gauge="mic-3", why="it was dropped")
    assert s.K.signal("h1") == "lapsed"
    s.K.say("answer", doubt=doubt, why="checked against the blocks")
    assert s.K.signal("h1") == "clear"


# --- who signs ------------------------------------------------------------------------------------------------


def test_rule_12_a_hold_point_decided_by_another_bars_who_decided():
    procedure = copy.deepcopy(PROCEDURE)
    procedure["sections"][0]["steps"][-1]["hold"]["decided_by_another"] = True
    s = Story(procedure)
    s.L.say("data-value", name="largest", text="10.005", unit="in", why="the newer drawing")
    s.meet()
    s.measure(s.M)
    s.meet()
    with pytest.raises(Refused, match="decided part of it"):
        s.L.say("sign-off", "h1")
    s.K.say("sign-off", "h1")
    assert s.K.signal("h1") == "clear"


def test_rule_11_a_leads_own_tick_beside_a_mechanics_is_left_out_of_his_list(s):
    s.measure(s.M)
    s.L.meet(s.M)
    own = s.L.say("check", "measure", check="clean")
    s.L.say("sign-off", "h1")
    assert s.L.signal("h1") == "clear"
    assert own not in s.L.card().holds["h1"].signature.listed


def test_rule_12_a_screen_says_it_where_nobody_may_sign():
    shop = Shop(PROCEDURE, [("M", "mechanic"), ("L", "lead")], data=[("largest", None, "10", "in")])
    m, lead = shop.phone("M"), shop.phone("L")
    shop.open_card(lead)
    m.meet(lead)
    m.say("said-done", "found")
    lead.meet(m)
    lead.say("reading", "measure", name="bore", text="9.990", unit="in")
    m.meet(lead)
    m.say("check", "measure", check="clean")
    m.say("said-done", "measure")
    lead.meet(m)
    assert "L did part of the work" in view.frame(lead.book, "card1")["words"]
    assert hold_view.hold(lead.book, "card1", "h1")["may_sign"][0]["bar"]


# --- the register ---------------------------------------------------------------------------------------------


def test_rule_18_two_leads_who_withdraw_each_other_both_fall_and_the_root_key_helps(s):
    s.measure(s.M)
    s.meet()
    s.L.about("register", "withdrawal", key=s.K.kid, last=s.K.number, why="stolen")
    s.K.about("register", "withdrawal", key=s.L.kid, last=s.L.number, why="stolen")
    s.meet()
    by_l, by_k = s.L.insist("note", text="here"), s.K.insist("note", text="here")
    s.meet()
    assert s.M.why(by_l)[0] == s.M.why(by_k)[0] == "waits"
    again = s.shop.phone("L", "new")
    again.meet(s.M)
    again.say("sign-off", "h1")
    assert again.signal("h1") == "clear"


def test_rule_18_nobody_lets_himself_in(s):
    last = s.L.number
    s.K.about("register", "withdrawal", key=s.L.kid, last=last, why="stolen")
    late = s.L.insist("note", text="late")
    s.L.about("register", "letting-in", key=s.L.kid, runs=f"{last + 1}-{last + 5}", why="it was I")
    s.meet()
    assert s.M.why(late)[0] == "waits"
    s.K.about("register", "letting-in", key=s.L.kid, runs=str(last + 1), why="it was he")
    s.M.meet(s.K)
    assert s.M.why(late)[0] == "counts"


def test_rule_18_a_role_given_and_taken_side_by_side_is_taken(s):
    s.L.about("register", "role-given", person="N", role="lead")
    s.K.about("register", "role-taken", person="N", role="lead", lasts=[])
    s.meet()
    assert "lead" not in s.M.card().register.now["roles"]["N"]
    s.K.about("register", "role-given", person="N", role="lead")
    assert "lead" in s.K.card().register.now["roles"]["N"]


def test_rule_18_who_lays_down_his_own_role_does_so_in_that_role(s):
    s.L.about("register", "role-taken", person="L", role="lead", lasts=[[s.L.kid, s.L.number, s.L.kid]], why="left")
    s.meet()
    assert "lead" not in s.M.card().register.now["roles"].get("L", ())
    assert s.M.card().closed is False and s.M.card().opening is not None


def test_rule_18_an_opening_whose_key_was_withdrawn_is_said_to_wait(s):
    s.K.about("register", "withdrawal", key=s.L.kid, last=0, why="it was never his")
    words = view.frame(s.K.book, "card1")
    assert "opening does not count" in words["words"] and "withdrawn" in words["words"]
    assert any("let in" in p for p in words["problems"])


def test_rule_19_a_key_that_jumps_by_a_million_can_be_accepted(s):
    s.to_end()
    play = Play.__new__(Play)
    play.shop = s.shop
    play.raw(s.N, "note", {"text": "far"}, number_here=1 << 29)
    s.L.meet(s.N)
    gaps = s.L.card().gaps
    assert not s.L.card().closed and list(gaps) == [s.N.kid]
    s.L.say("gap-accepted", key=s.N.kid, runs=gaps[s.N.kid], why="its store was spoilt")
    assert s.L.card().closed
