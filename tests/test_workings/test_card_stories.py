"""The stories that a card must survive, one test each, named after the rule of the card rules it shows.

test_card_stories_crew.py has those of the register, of data and of positions; tests/story.py has the people.
"""

import copy
import random

import pytest
from crew import Refused, entry_states
from story import PROCEDURE, Story


@pytest.fixture
def s():
    return Story()


def test_rule_15_a_card_goes_from_opening_to_close(s):
    s.to_end()
    assert s.M.signal("h1") == s.M.signal("h2") == "clear"
    assert s.M.card().closed
    assert len(set(entry_states(p.card()) for p in (s.M, s.N, s.L, s.K))) == 1


def test_rule_2_and_9_tries_that_were_replaced_stop_nothing(s):
    for text in ("9.970", "9.980", "9.985"):
        s.read(s.M, text)
    s.measure(s.M, "9.990")
    s.L.meet(s.M)
    s.L.say("sign-off", "h1")
    s.M.meet(s.L)
    depth = s.cut(s.M)
    assert s.M.why(depth)[0] == "counts"
    assert s.M.card().standing[("bore", None)].entry.body["text"] == "9.990"


def test_rule_3_apart_and_the_same_has_that_value(s):
    s.read(s.M, "9.990")
    s.read(s.N, "9.9902")
    s.meet()
    assert s.M.card().standing[("bore", None)].value is not None


def test_rule_3_apart_and_different_waits_for_another_lead(s):
    m = s.insist_read(s.M, "9.990")
    own = s.insist_read(s.L, "9.995")
    s.meet()
    stands = s.M.card().standing[("bore", None)]
    assert stands.beside and stands.value is None
    with pytest.raises(Refused, match="his own"):
        s.L.say("choice", "measure", name="bore", holds=m)
    s.K.say("choice", "measure", name="bore", holds=m)
    s.meet()
    assert s.M.card().standing[("bore", None)].entry.hash == m
    s.M.say("strike-out", entry=m, why="misread")
    assert s.M.card().standing[("bore", None)].entry.hash == own


def test_rule_4_nobody_strikes_out_what_stands_beside_his_own(s):
    m = s.insist_read(s.M, "9.990")
    s.insist_read(s.L, "9.995")
    s.meet()
    with pytest.raises(Refused, match="beside his own"):
        s.L.say("strike-out", entry=m, why="mine is better")
    strike = s.L.insist("strike-out", entry=m, why="mine is better")
    s.meet()
    assert s.M.why(strike)[0] == "does not count"
    assert s.M.why(m)[0] == "counts"


def test_rule_4_a_strike_out_of_a_strike_out_cancels_it(s):
    m = s.read(s.M)
    strike = s.M.say("strike-out", entry=m, why="wrong gauge")
    assert s.M.why(m)[0] == "struck out"
    s.M.say("strike-out", entry=strike, why="it was the right gauge")
    assert s.M.why(m)[0] == "counts"


def test_rule_2_what_a_struck_out_replacement_replaced_counts_again(s):
    first = s.read(s.M, "9.980")
    second = s.read(s.M, "9.990")
    s.M.say("strike-out", entry=second, why="misread")
    assert s.M.card().standing[("bore", None)].entry.hash == first


def test_rule_6_outside_blocks_until_conceded_and_the_concession_holds_for_that_limit(s):
    s.read(s.M, "10.050")
    s.M.say("check", "measure", check="clean")
    with pytest.raises(Refused, match="outside"):
        s.M.say("said-done", "measure")
    s.L.meet(s.M)
    s.L.say("concession", "measure", name="bore", why="the ring fits", until="close")
    s.M.meet(s.L)
    s.M.say("said-done", "measure")
    assert s.M.state("measure") == "done"
    s.L.meet(s.M)
    s.L.insist("data-value", name="largest", text="6", unit="in", why="another drawing")
    assert s.L.state("measure") == "open"
    assert "outside" in s.L.card().steps["measure"].requirement[0]


def test_rule_6_conceded_until_a_hold_point_leaves_those_before_it_alone(s):
    s.read(s.M, "10.050")
    s.M.say("check", "measure", check="clean")
    s.K.meet(s.M)
    s.K.say("concession", "measure", name="bore", why="for the trial cut", until="h2")
    s.M.meet(s.K)
    s.M.say("said-done", "measure")
    s.L.meet(s.M)
    s.L.say("sign-off", "h1")
    s.M.meet(s.L)
    s.cut(s.M)
    s.L.meet(s.M)
    assert s.L.signal("h1") == "clear"
    with pytest.raises(Refused, match="conceded only until here"):
        s.L.say("sign-off", "h2")


def test_rule_6_too_close_to_tell_passes_where_the_step_does_not_want_it_settled(s):
    s.measure(s.M, "9.999")
    assert s.M.card().steps["measure"].judged["bore"].verdict == "too_close"
    assert s.M.state("measure") == "done"


def test_rule_6_too_close_to_tell_blocks_where_the_step_wants_it_settled():
    procedure = copy.deepcopy(PROCEDURE)
    procedure["sections"][0]["steps"][1]["readings"][0]["settle"] = True
    s = Story(procedure)
    s.read(s.M, "9.999")
    s.M.say("check", "measure", check="clean")
    with pytest.raises(Refused, match="too close"):
        s.M.say("said-done", "measure")


def test_rule_8_a_changed_number_opens_again_what_was_done_by_the_old_one(s):
    s.to_h1()
    s.L.say("data-value", name="largest", text="9.995", unit="in", why="the newer drawing")
    assert s.L.state("measure") == "open"
    assert s.L.signal("h1") == "lapsed"
    assert any("came since: Largest bore" in w for w in s.L.card().holds["h1"].signature.lapses)


def test_rule_8_said_done_is_refused_while_a_reading_is_wanting(s):
    s.M.say("check", "measure", check="clean")
    with pytest.raises(Refused, match="Bore is not read yet"):
        s.M.say("said-done", "measure")
    early = s.M.insist("said-done", step="measure", shown=[])
    s.read(s.M)
    assert s.M.why(early)[0] == "counts" and s.M.state("measure") == "open"


def test_rule_9_what_is_done_behind_a_fallen_arm_that_the_phone_knew_waits(s):
    s.to_h1()
    doubt = s.N.say("doubt", "measure", name="largest", why="is this the right sheet?")
    s.M.meet(s.N)
    late = s.insist_read(s.M, "0.5", "depth", "cut")
    assert s.M.why(late)[0] == "waits"
    s.L.meet(s.M)
    s.L.say("answer", doubt=doubt, why="it is")
    s.L.say("acceptance", entries=[late], why="measured well")
    assert s.L.why(late)[0] == "counts"


def test_rule_9_what_is_done_in_good_faith_behind_an_arm_that_fell_unknown_counts(s):
    s.to_h1()
    s.N.say("doubt", "measure", name="largest", why="is this the right sheet?")
    depth = s.insist_read(s.M, "0.5", "depth", "cut")
    s.meet()
    assert s.M.signal("h1") == "lapsed"
    assert s.M.why(depth)[0] == "counts"


def test_rule_9_nothing_behind_an_unsigned_hold_point_counts(s):
    s.measure(s.M)
    depth = s.insist_read(s.M, "0.5", "depth", "cut")
    assert s.M.why(depth)[0] == "waits"
    assert s.M.state("cut") == "shut"
    with pytest.raises(Refused, match="signed"):
        s.read(s.M, "0.6", "depth", "cut")


def test_rule_9_an_as_found_reading_before_anything_is_signed_counts(s):
    found = s.read(s.M, "9.9", "as_found", "found")
    assert s.M.why(found)[0] == "counts"


def test_rule_10_a_second_done_a_note_and_a_reading_struck_at_once_leave_the_arm_up(s):
    s.measure(s.M)
    s.N.meet(s.M)
    s.L.meet(s.M)
    s.L.say("sign-off", "h1")
    s.N.say("said-done", "measure")
    s.N.say("note", "measure", text="a fine bore")
    slip = s.insist_read(s.N, "99.9")
    first = s.N.say("strike-out", entry=slip, why="slip of the thumb")
    s.meet()
    assert s.L.signal("h1") == "clear"
    s.M.insist("strike-out", entry=slip, why="surely a slip")
    s.L.say("strike-out", entry=slip, why="a slip")
    s.meet()
    assert first and s.K.signal("h1") == "clear"


def test_rule_10_a_lead_who_ticks_cannot_sign_over_his_own_tick(s):
    s.read(s.M)
    s.L.meet(s.M)
    s.L.say("check", "measure", check="clean")
    s.M.meet(s.L)
    s.M.say("said-done", "measure")
    s.meet()
    with pytest.raises(Refused, match="who did the work"):
        s.L.say("sign-off", "h1")
    s.K.say("sign-off", "h1")
    assert s.K.signal("h1") == "clear"


def test_rule_11_a_sign_off_that_comes_first_waits_and_says_whose_entries_are_missing(s):
    opening = s.N.held()
    s.measure(s.M)
    s.L.meet(s.M)
    signed = s.L.say("sign-off", "h1")
    for j in opening:
        s.N.take(j)
    s.N.take(s.L.jws_of(signed))
    assert s.N.signal("h1") == "waiting"
    assert "M's phone" in s.N.card().holds["h1"].signature.lapses[0]
    s.N.meet(s.M)
    assert s.N.signal("h1") == "clear"


def test_rule_11_striking_out_a_covered_reading_drops_the_arm_and_cancelling_raises_it(s):
    s.to_h1()
    reading = s.M.card().standing[("bore", None)].entry.hash
    strike = s.M.say("strike-out", entry=reading, why="misread")
    assert s.M.signal("h1") == "lapsed"
    assert any("no longer counts: Bore" in w for w in s.M.card().holds["h1"].signature.lapses)
    s.M.say("strike-out", entry=strike, why="it was right")
    assert s.M.signal("h1") == "clear"


def test_rule_12_a_late_reading_of_the_signer_drops_the_arm_but_not_what_was_done_behind_it(s):
    late_phone = s.shop.phone("L", "second")
    late_phone.meet(s.M)
    late = s.insist_read(late_phone, "9.990")
    s.to_h1()
    depth = s.cut(s.M)
    s.M.meet(late_phone, s.L)
    assert s.M.why(late)[0] == "counts"
    assert s.M.signal("h1") == "lapsed"
    assert s.M.why(depth)[0] == "counts"


def test_rule_12_only_the_named_role_signs(s):
    s.measure(s.M)
    s.N.meet(s.M)
    with pytest.raises(Refused, match="wants a lead"):
        s.N.say("sign-off", "h1")
    forged = s.N.insist("sign-off", hold="h1", lists=[], digest=s.N.kid, content=s.N.kid)
    assert s.N.why(forged)[0] == "does not count" and s.N.signal("h1") == "stop"


def test_rule_12_a_sign_off_whose_digest_does_not_fit_is_never_in_force(s):
    s.measure(s.M)
    s.L.meet(s.M)
    made = s.L.book.draft("card:card1", "sign-off", s.L.kid, s.L.number + 1, s.shop.now(), {}, "h1")
    from workings import entries as form
    from workings import strict_json
    body = strict_json.read(form.unb64(made[0][0].split(".")[1]), 60000)["body"]
    body["digest"] = s.L.kid
    s.L.insist("sign-off", **body)
    assert s.L.signal("h1") == "stop"


def test_rule_11_a_list_as_long_as_its_writer_likes_waits_and_costs_nothing(s):
    s.measure(s.M)
    s.L.meet(s.M)
    lists = [{"key": s.M.kid, "runs": "1-999999999", "hashes": []}]
    s.L.insist("sign-off", hold="h1", lists=lists, digest=s.L.kid, content=s.L.kid)
    assert s.L.signal("h1") == "waiting"


def test_rule_13_a_doubt_drops_the_arm_and_an_answer_raises_it(s):
    s.to_h1()
    doubt = s.N.say("doubt", "measure", name="largest", why="is this the right sheet?")
    s.L.meet(s.N)
    assert s.L.signal("h1") == "lapsed"
    s.L.say("answer", doubt=doubt, why="it is")
    assert s.L.signal("h1") == "clear"


def test_rule_13_a_doubted_reading_measured_again_lets_the_doubt_rest(s):
    reading = s.measure(s.M)
    s.N.meet(s.M)
    s.N.say("doubt", entry=reading, why="the anvil was dirty")
    s.M.meet(s.N)
    assert s.M.card().holds["h1"].needs
    s.measure(s.M, "9.991")
    assert not s.M.card().holds["h1"].needs


def test_rule_13_nobody_answers_a_doubt_on_his_own_reading(s):
    reading = s.insist_read(s.L, "9.99")
    s.N.meet(s.L)
    doubt = s.N.say("doubt", entry=reading, why="the anvil was dirty")
    s.L.meet(s.N)
    with pytest.raises(Refused, match="his own reading"):
        s.L.say("answer", doubt=doubt, why="it was not")


def test_rule_15_a_closed_card_opens_again_for_a_late_reading_and_says_why(s):
    late = s.insist_read(s.N, "9.980")
    s.M.meet(s.L)
    s.measure(s.M)
    s.L.meet(s.M)
    s.L.say("sign-off", "h1")
    s.M.meet(s.L)
    s.cut(s.M)
    s.L.meet(s.M)
    s.L.say("sign-off", "h2")
    assert s.L.card().closed
    s.meet()
    assert late and not s.L.card().closed
    assert any("came since: Bore" in w for w in s.L.card().holds["h1"].signature.lapses)


def test_rule_18_entries_after_the_last_number_before_a_withdrawal_wait_to_be_let_in(s):
    s.measure(s.M)
    last = s.M.number
    stolen = s.insist_read(s.M, "9.000")
    s.L.meet(s.M)
    s.L.about("register", "withdrawal", key=s.M.kid, last=last, why="the phone was stolen")
    assert s.L.why(stolen)[0] == "waits"
    assert s.L.card().standing[("bore", None)].entry.body["text"] == "9.990"
    s.L.about("register", "letting-in", key=s.M.kid, runs=str(last + 1), why="M says it was he")
    assert s.L.why(stolen)[0] == "counts"


def test_rule_18_a_lead_who_was_unmade_and_never_pulled_again_signs_in_vain(s):
    s.measure(s.M)
    s.K.meet(s.M)
    s.L.about("register", "role-taken", person="K", role="lead", lasts=[[s.K.kid, s.K.number, s.K.kid]], why="left")
    signed = s.K.say("sign-off", "h1")
    s.L.meet(s.K)
    assert s.L.why(signed)[0] == "waits" and s.L.signal("h1") == "stop"


def test_rule_19_a_missing_number_shows_by_name_and_keeps_the_card_from_closing(s):
    s.read(s.N, "9.9", "as_found", "found")
    gap = s.N.say("note", text="on the board")
    s.N.say("note", text="and another")
    kept = [j for j in s.N.held() if j != s.N.jws_of(gap)]
    for phone in (s.M, s.L):
        for j in kept:
            phone.take(j)
    s.M.say("said-done", "found")
    s.measure(s.M)
    s.L.meet(s.M)
    s.L.say("sign-off", "h1")
    s.M.meet(s.L)
    s.cut(s.M)
    s.L.meet(s.M)
    s.L.say("sign-off", "h2")
    card = s.L.card()
    assert not card.closed and list(card.gaps) == [s.N.kid]
    s.L.say("gap-accepted", key=s.N.kid, runs=card.gaps[s.N.kid], why="N's phone fell into the pit")
    assert s.L.card().closed


def test_rule_19_a_thiefs_far_number_opens_no_gap(s):
    s.L.about("register", "withdrawal", key=s.M.kid, last=s.M.number, why="stolen")
    s.M.number = 500
    s.insist_read(s.M, "9.000")
    s.L.meet(s.M)
    assert not s.L.card().gaps


def test_doubled_numbers_are_both_kept_and_the_hold_point_can_still_be_signed(s):
    s.read(s.M, "9.980")
    number, held = s.M.number, s.M.held()
    s.M.say("note", text="before the copy was restored")
    everything = s.M.held()
    from workings.book import Book
    s.M.book = Book(s.shop.root_kid)
    s.M.book.take_procedure(s.shop.procedures[0])
    s.M.number = number
    for j in held:
        s.M.take(j)
    s.measure(s.M)
    for j in everything:
        s.L.take(j)
    s.L.meet(s.M)
    card = s.L.card()
    assert card.doubled == [s.M.kid]
    s.L.say("sign-off", "h1")
    assert s.L.signal("h1") == "clear"


@pytest.mark.parametrize("seed", range(12))
def test_everything_in_any_order_with_any_left_out_folds_to_one_state(seed):
    s = Story()
    s.to_end()
    late = s.insist_read(s.N, "9.980")
    s.N.say("doubt", "measure", name="largest", why="really?")
    s.L.meet(s.N)
    s.L.say("strike-out", entry=late, why="an old reading")
    held = s.L.held()
    rng = random.Random(seed)
    register = [j for j in held if j in [e.jws for e in s.L.book.about("register")]]
    rest = [j for j in held if j not in register]
    chosen = [j for j in rest if rng.random() > 0.2]
    states = []
    for _ in range(3):
        rng.shuffle(chosen)
        from workings.book import Book
        book = Book(s.shop.root_kid)
        book.take_procedure(s.shop.procedures[0])
        for j in register + chosen:
            book.take(j)
        states.append(entry_states(book.card("card1")))
    assert len(set(states)) == 1
