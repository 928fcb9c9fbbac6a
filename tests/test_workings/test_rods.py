"""Rod bushes and rods over one turn: verdicts at the edge, and what must not matter."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workings import registry, rods
from workings.errors import WorkingError

KINDS = sorted(rods.LIMITS)


def bush(pin, bore, kind="side_rod_other_pin", **more):
    return registry.run("rod_bush_clearance", {"pin_diameter": pin, "bush_bore": bore, "kind": kind, **more})


@given(st.floats(0.05, 0.3), st.sampled_from(KINDS))
def test_a_bush_worn_to_its_own_limit_is_inside(pin, kind):
    limit = bush(pin, pin, kind)["limit"]
    assert bush(pin, pin + limit, kind)["verdict"] == "inside"
    assert bush(pin, pin + limit + 1e-8, kind)["verdict"] == "outside"
    assert bush(pin, pin + bush(pin, pin, kind)["wear_left"], kind)["wear_left"] == pytest.approx(
        0, abs=1e-12
    )


def test_a_bore_smaller_than_its_pin_is_refused_and_one_alike_is_not():
    assert bush(0.14, 0.14 - 5e-10)["clearance"] == 0
    with pytest.raises(WorkingError) as caught:
        bush(0.14, 0.14 - 1e-8)
    assert caught.value.input == "bush_bore"


def test_the_other_end_counts_for_a_main_rod_only():
    found = bush(0.14, 0.141, "main_rod")
    assert found["lost_motion"] is None and found["lost_motion_verdict"] is None
    assert found["lost_motion_limit"] == pytest.approx(5 / 32 * 0.0254)
    assert bush(0.14, 0.141)["lost_motion_limit"] is None
    for kind in ("side_rod_main_pin", "side_rod_other_pin"):
        with pytest.raises(WorkingError) as caught:
            bush(0.14, 0.141, kind, other_end_clearance=0.0)
        assert caught.value.input == "other_end_clearance"


def round_inputs(**more):
    inputs = {
        "left_axle_spacing": 1.7001,
        "right_axle_spacing": 1.7,
        "left_rod_centres": 1.7,
        "right_rod_centres": 1.7002,
        "left_clearance": 0.0008,
        "right_clearance": 0.001,
        "front_crank_spacing": math.pi / 2,
        "rear_crank_spacing": math.pi / 2 + 0.0004,
        "right_pin_leads": True,
        "steps": 36,
    }
    for name in ("front_left_throw", "front_right_throw", "rear_left_throw", "rear_right_throw"):
        inputs[name] = 0.3
    return {**inputs, **more}


@settings(deadline=None, max_examples=25)
@given(st.floats(1.0, 4.0), st.floats(-1e-3, 1e-3))
def test_more_clearance_runs_more_freely(times, longer):
    tight = registry.run("rods_all_round", round_inputs(left_rod_centres=1.7 + longer))
    free = registry.run(
        "rods_all_round",
        round_inputs(
            left_rod_centres=1.7 + longer, left_clearance=0.0008 * times, right_clearance=0.001 * times
        ),
    )
    assert free["worst_ratio"] == pytest.approx(tight["worst_ratio"] / times, rel=1e-6)


@settings(deadline=None, max_examples=25)
@given(st.floats(-5e-4, 5e-4), st.floats(-5e-4, 5e-4))
def test_the_two_sides_may_change_places(left, right):
    one = registry.run(
        "rods_all_round",
        round_inputs(
            left_rod_centres=1.7 + left,
            right_rod_centres=1.7 + right,
            left_axle_spacing=1.7,
            left_clearance=0.001,
        ),
    )
    other = registry.run(
        "rods_all_round",
        round_inputs(
            left_rod_centres=1.7 + right,
            right_rod_centres=1.7 + left,
            left_axle_spacing=1.7,
            left_clearance=0.001,
            right_pin_leads=False,
        ),
    )
    assert one["worst_ratio"] == pytest.approx(other["worst_ratio"], rel=1e-6, abs=1e-9)


def test_runs_at_the_very_edge():
    worst = registry.run("rods_all_round", round_inputs())["worst_ratio"]
    edge = registry.run(
        "rods_all_round", round_inputs(left_clearance=0.0008 * worst, right_clearance=0.001 * worst)
    )
    assert edge["worst_ratio"] == pytest.approx(1) and edge["runs"] is True
    over = registry.run(
        "rods_all_round",
        round_inputs(left_clearance=0.0008 * worst * 0.9999, right_clearance=0.001 * worst * 0.9999),
    )
    assert over["runs"] is False


def test_steps_are_whole_and_at_least_eight():
    for steps in (7, 0, 8.5, 36001):
        with pytest.raises(WorkingError) as caught:
            registry.run("rods_all_round", round_inputs(steps=steps))
        assert caught.value.input == "steps"
    assert registry.run("rods_all_round", round_inputs(steps=8.0)) == registry.run(
        "rods_all_round", round_inputs(steps=8)
    )
