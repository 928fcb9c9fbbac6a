"""Pins, drift and quartering: what must hold for any wheelset."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from workings import registry
from workings.errors import WorkingError

throws, spacings = st.floats(0.15, 0.39), st.floats(1.0, 2.4)
angles, turns = st.floats(-7, 7), st.floats(-0.01, 0.01)


def pins(spacing, throw, angle, turn=0.0, rise=0.0):
    return registry.run(
        "pin_spacing",
        {
            "axle_spacing": spacing,
            "crank_throw": throw,
            "crank_angle": angle,
            "turn_error": turn,
            "axle_rise": rise,
        },
    )


@given(spacings, throws, angles)
def test_without_turn_and_rise_the_pins_stand_as_the_axles_do(spacing, throw, angle):
    found = pins(spacing, throw, angle)
    assert found["pin_distance"] == pytest.approx(spacing, rel=1e-12)
    assert found["sensitivity"] == pytest.approx(throw * math.sin(angle), abs=1e-12)


@given(spacings, throws, angles, turns, st.floats(-0.03, 0.03))
def test_sensitivity_is_the_slope_of_the_distance(spacing, throw, angle, turn, rise):
    step = 1e-6
    slope = (
        pins(spacing, throw, angle, turn + step, rise)["pin_distance"]
        - pins(spacing, throw, angle, turn - step, rise)["pin_distance"]
    ) / (2 * step)
    assert pins(spacing, throw, angle, turn, rise)["sensitivity"] == pytest.approx(slope, abs=1e-8)


@given(spacings, throws, angles, turns, st.floats(-0.03, 0.03))
def test_the_rear_wheelset_may_be_the_reference_as_well(spacing, throw, angle, turn, rise):
    # The drawing turned half round: the rear wheelset leads, and the other stands as much higher.
    mirrored = pins(spacing, throw, angle + turn + math.pi, -turn, rise)
    assert mirrored["pin_distance"] == pytest.approx(pins(spacing, throw, angle, turn, rise)["pin_distance"])


def test_ninety_degrees_is_the_bottom_quarter():
    # A rear wheelset raised under pins at the bottom: turned on, its pin goes back, away from the front one.
    assert pins(1.8, 0.3, math.pi / 2, 0.01)["pin_distance"] > 1.8
    assert pins(1.8, 0.3, -math.pi / 2, 0.01)["pin_distance"] < 1.8


def test_pins_in_one_place_are_refused():
    with pytest.raises(WorkingError) as caught:
        pins(0.6, 0.3, math.pi, math.pi)
    assert caught.value.input == "axle_spacing"


@given(st.floats(0.8, 2), st.floats(-0.01, 0.01), st.floats(-20, 20), turns)
def test_drift_cures_what_it_says(front, smaller, travel, turn):
    inputs = {"front_diameter": front, "rear_diameter": front - smaller, "turn_error": turn}
    found = registry.run("roll_drift", {**inputs, "travel": travel})
    if abs(smaller) <= 1e-9:
        assert found["travel_to_cure"] is None
        return
    assume(abs(smaller) > 1e-7)
    cured = registry.run("roll_drift", {**inputs, "travel": found["travel_to_cure"]})
    assert turn + cured["turn_gained"] == pytest.approx(0, abs=1e-12)
    assert found["turn_gained"] == pytest.approx(
        2 * travel / (front - smaller) - 2 * travel / front, abs=1e-12
    )


def test_wheels_alike_within_a_nanometre_do_not_drift_into_place():
    for rear in (1.5, 1.5 + 1e-9, 1.5 - 9e-10):
        found = registry.run(
            "roll_drift", {"front_diameter": 1.5, "rear_diameter": rear, "travel": 1, "turn_error": 0.001}
        )
        assert found["travel_to_cure"] is None
    found = registry.run(
        "roll_drift", {"front_diameter": 1.5, "rear_diameter": 1.499, "travel": 0, "turn_error": 0}
    )
    assert found["travel_to_cure"] == 0 and found["turn_gained"] == 0


@given(throws, angles, st.floats(-0.02, 0.02), st.sampled_from([1, -1]))
def test_quartering_finds_the_error_that_was_put_in(throw, angle, error, side):
    right = angle + side * (math.pi / 2 + error)
    found = registry.run(
        "quartering",
        {
            "left_x": throw * math.cos(angle),
            "left_y": throw * math.sin(angle),
            "right_x": throw * math.cos(right),
            "right_y": throw * math.sin(right),
        },
    )
    assert found["quartering_error"] == pytest.approx(error, abs=1e-12)
    assert found["left_throw"] == pytest.approx(throw) and found["throw_difference"] == pytest.approx(
        0, abs=1e-12
    )


def test_a_pin_on_the_axle_centre_is_refused():
    for name in ("left", "right"):
        inputs = {
            "left_x": 0.3,
            "left_y": 0.0,
            "right_x": 0.0,
            "right_y": 0.3,
            f"{name}_x": 0,
            f"{name}_y": 0,
        }
        with pytest.raises(WorkingError) as caught:
            registry.run("quartering", inputs)
        assert caught.value.input == f"{name}_x"
