"""Slings and picks: what must hold for any load."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import registry
from workings.errors import WorkingError


@given(st.floats(1, 1e6), st.integers(1, 8), st.floats(math.pi / 6, math.pi / 2))
def test_the_legs_carry_the_load_between_them(load, legs, angle):
    found = registry.run("sling_legs", {"load": load, "legs": legs, "angle": angle})
    assert found["leg_tension"] * found["legs_counted"] * math.sin(angle) == pytest.approx(load)
    assert found["leg_tension"] >= load / 3 * (1 - 1e-12) and found["legs_counted"] == min(legs, 3)


def test_thirty_and_ninety_degrees_stand_and_beyond_is_refused():
    for angle in (math.radians(30), math.pi / 6 - 1e-10, math.pi / 2, math.radians(90) + 1e-10):
        registry.run("sling_legs", {"load": 1, "legs": 2, "angle": angle})
    for angle in (math.radians(29.99), math.radians(90.01), 60):
        with pytest.raises(WorkingError) as caught:
            registry.run("sling_legs", {"load": 1, "legs": 2, "angle": angle})
        assert caught.value.input == "angle"


@given(st.floats(1, 1e6), st.floats(-5, 5), st.floats(0.01, 5), st.floats(0, 1), st.booleans())
def test_reactions_balance_in_force_and_moment(load, front, span, share, turned):
    back = front + span
    centre = front + share * span
    picks = (back, front) if turned else (front, back)
    found = registry.run(
        "lift_points",
        {"load": load, "centre_of_gravity": centre, "pick_front": picks[0], "pick_back": picks[1]},
    )
    assert found["reaction_front"] + found["reaction_back"] == pytest.approx(load)
    moment = found["reaction_front"] * (picks[0] - centre) + found["reaction_back"] * (picks[1] - centre)
    assert moment == pytest.approx(0, abs=1e-9 * load)
    assert min(found["reaction_front"], found["reaction_back"]) >= 0


def test_a_centre_of_gravity_on_a_pick_stands_and_beyond_it_tips():
    inputs = {"load": 1000, "pick_front": 0.2, "pick_back": 2.0}
    for centre in (0.2, 0.2 - 9e-10, 2.0, 2.0 + 9e-10):
        found = registry.run("lift_points", {**inputs, "centre_of_gravity": centre})
        assert min(found.values()) == 0
    for centre in (0.2 - 1e-8, 2.0 + 1e-8):
        with pytest.raises(WorkingError) as caught:
            registry.run("lift_points", {**inputs, "centre_of_gravity": centre})
        assert caught.value.input == "centre_of_gravity" and "tip" in caught.value.message


def test_two_picks_in_one_place_are_refused():
    with pytest.raises(WorkingError) as caught:
        registry.run("lift_points", {"load": 1, "centre_of_gravity": 1, "pick_front": 1, "pick_back": 1})
    assert caught.value.input == "pick_back"
