"""The rail wedge: limits, proportions, and what people set to the very edge."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import rail_wedge, registry
from workings.errors import WorkingError

radii = st.floats(0.4, 1.0)
lengths = st.floats(0.25, 1.0)
heights = st.floats(0.01, 0.04)


def on_wedge(radius, long, high, **more):
    return registry.run(
        "wheel_on_wedge", {"wheel_diameter": 2 * radius, "wedge_length": long, "wedge_height": high, **more}
    )


@given(radii, lengths, heights)
def test_the_rise_limit_fed_back_stands(radius, long, high):
    whole = on_wedge(radius, long, high)
    for over in (0, 1e-9):
        assert on_wedge(radius, long, high, axle_rise=whole["rise_limit"] + over) == whole
    with pytest.raises(WorkingError) as caught:
        on_wedge(radius, long, high, axle_rise=whole["rise_limit"] + 1e-7)
    assert caught.value.input == "axle_rise" and "rise limit" in caught.value.message


@given(radii, lengths, heights, st.floats(0, 1), st.floats(0, 1))
def test_turn_and_travel_grow_with_the_rise(radius, long, high, one, other):
    limit = on_wedge(radius, long, high)["rise_limit"]
    low, more = (on_wedge(radius, long, high, axle_rise=share * limit) for share in sorted((one, other)))
    assert low["travel"] <= more["travel"] and low["extra_turn"] <= more["extra_turn"]
    assert low["travel"] >= low["axle_rise"] * (1 - 1e-12) or high > long


@given(radii, lengths, heights)
def test_everything_scales_with_the_size_of_the_engine(radius, long, high):
    small, twice = on_wedge(radius, long, high), on_wedge(2 * radius, 2 * long, 2 * high)
    for name in ("slope", "extra_turn", "over_heel_turn"):
        assert twice[name] == pytest.approx(small[name], rel=1e-9)
    for name in ("touch_offset", "rise_limit", "travel"):
        assert twice[name] == pytest.approx(2 * small[name], rel=1e-12)


@given(radii, lengths, heights)
def test_over_the_heel_turns_more_than_to_the_heel(radius, long, high):
    whole = on_wedge(radius, long, high)
    assert whole["over_heel_turn"] > whole["extra_turn"] > 0
    assert whole["slope"] == pytest.approx(math.atan(high / long))


@given(radii, lengths, heights, st.floats(-0.05, 0.05))
def test_passes_and_remainder_make_up_the_turn_needed(radius, long, high, needed):
    found = registry.run(
        "wedge_pass",
        {"wheel_diameter": 2 * radius, "wedge_length": long, "wedge_height": high, "turn_needed": needed},
    )
    sign = -1 if needed < 0 else 1
    assert sign * found["passes"] * found["turn"] + found["remainder"] == pytest.approx(needed, abs=1e-12)
    assert found["remainder"] * sign >= 0 and abs(found["remainder"]) < found["turn"] * (1 + 1e-9)
    assert found["passes"] >= 0


def test_whole_passes_set_to_the_very_edge_count():
    one = registry.run("wedge_pass", {"wheel_diameter": 1.22, "wedge_length": 0.36, "wedge_height": 0.02})
    for n in (1, 3, 7, 100):
        for needed in (n * one["turn"], -n * one["turn"], n * one["turn"] * (1 - 1e-12)):
            found = registry.run(
                "wedge_pass",
                {"wheel_diameter": 1.22, "wedge_length": 0.36, "wedge_height": 0.02, "turn_needed": needed},
            )
            assert found["passes"] == n and found["remainder"] == pytest.approx(0, abs=1e-12)


def test_a_wedge_too_high_or_too_short_says_what_would_do():
    with pytest.raises(WorkingError) as caught:
        on_wedge(0.5, 1.0, 0.5)
    assert caught.value.input == "wedge_height" and "radius" in caught.value.message
    with pytest.raises(WorkingError) as caught:
        on_wedge(0.5, 0.05, 0.03)
    assert caught.value.input == "wedge_length" and "longer than" in caught.value.message


def test_a_pin_outside_its_wheel_is_refused():
    with pytest.raises(WorkingError) as caught:
        on_wedge(0.5, 0.4, 0.02, crank_throw=0.5)
    assert caught.value.input == "crank_throw"


@given(st.floats(0, 3))
def test_angle_less_sine_keeps_its_digits(angle):
    # x^3/6 (1 - x^2/20) < x - sin x < x^3/6
    found = rail_wedge.angle_less_sine(angle)
    cube = angle**3 / 6
    assert cube * (1 - angle**2 / 20) * (1 - 1e-12) <= found <= cube * (1 + 1e-12) + 1e-320


@given(st.floats(1e5, 1e6), st.floats(0.1, 1), st.floats(-0.05, 0.05))
def test_the_chocks_hold_what_the_pull_held_less_the_rolling(weight, share, grade):
    found = registry.run(
        "haul_force",
        {
            "total_weight": weight,
            "axle_load": share * weight,
            "wedge_length": 0.4,
            "wedge_height": 0.02,
            "grade": grade,
        },
    )
    assert found["pull"] - found["roll_back"] == pytest.approx(weight * 0.015, rel=1e-9)
    whole = registry.run(
        "haul_force", {"total_weight": weight, "axle_load": weight, "wedge_length": 0.4, "wedge_height": 0.02}
    )
    assert whole["pull"] == pytest.approx(weight * (0.015 + 0.05))
