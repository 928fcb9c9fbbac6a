"""The setting of the rail wedges: what is refused, what is null, and which way wins."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workings import registry
from workings.errors import WorkingError

BASE = {
    "crank_throw": 0.3,
    "wheel_diameter": 1.5,
    "wedge_length": 0.36,
    "wedge_height": 0.025,
    "crank_angle": math.radians(100),
    "right_pin_leads": True,
    "left_rod_centres": 1.7,
    "right_rod_centres": 1.7,
    "front_clearance": 0.0003,
    "rear_clearance": 0.0003,
}


def distances(turn, angle=BASE["crank_angle"], spacing=1.7, across=math.pi / 2):
    found = {}
    for side, theta in (("left", angle), ("right", angle + across)):
        found[f"{side}_pin_distance"] = registry.run(
            "pin_spacing",
            {"axle_spacing": spacing, "crank_throw": 0.3, "crank_angle": theta, "turn_error": turn},
        )["pin_distance"]
    return found


def run(turn=-0.0008, **more):
    return registry.run("wedge_setting", {**BASE, **distances(turn), "axle_spacing": 1.7, **more})


def refused(name, **more):
    inputs = {**BASE, **distances(0.0005), "axle_spacing": 1.7, **more}
    with pytest.raises(WorkingError) as caught:
        registry.run("wedge_setting", {key: value for key, value in inputs.items() if value is not None})
    assert caught.value.input == name, caught.value.message
    return caught.value.message


@settings(deadline=None)
@given(
    st.floats(-0.004, 0.004),
    st.floats(0, 6.28),
    st.sampled_from([math.pi / 2, 2 * math.pi / 3]),
    st.booleans(),
    st.booleans(),
)
def test_the_turn_that_was_put_in_is_found(turn, angle, spacing, leads, known):
    across = spacing if leads else -spacing
    inputs = {
        **BASE,
        **distances(turn, angle, across=across),
        "crank_angle": angle,
        "crank_spacing": spacing,
        "right_pin_leads": leads,
    }
    if known:
        inputs["axle_spacing"] = 1.7
    elif abs(math.sin(angle) - math.sin(angle + across)) < 0.11:
        return
    found = registry.run("wedge_setting", inputs)
    assert found["turn_error"] == pytest.approx(turn, abs=1e-9)
    assert found["axle_spacing"] == pytest.approx(1.7, abs=1e-9)


@settings(deadline=None)
@given(st.floats(-0.004, 0.004), st.floats(0, 6.28))
def test_more_ways_are_never_worse(turn, setting):
    def larger(**more):
        found = run(turn, setting_crank_angle=setting, **more)
        return max(abs(found["misfit_left_after"]), abs(found["misfit_right_after"]))

    either = larger(may_pull="either")
    forward = larger()
    assert either <= forward + 1e-6
    for pair in ("front", "rear"):
        assert forward <= larger(may_raise=pair) + 1e-6
    assert larger() <= larger(rise_room=0) + 1e-6


def test_no_way_is_taken_where_the_pins_are_right():
    found = run(0.0, present_crank_angle=0.0, flange_height=0.027)
    assert found["raise"] == "none" and found["axle_rise"] == 0 and found["travel"] == 0
    assert found["pull_direction"] is None and found["lay_distance"] is None and found["goes_on"] is True
    assert found["flange_left"] == 0.027


def test_the_rear_is_raised_for_a_rear_that_lags_and_the_front_for_one_that_leads():
    assert (run(-0.0008)["raise"], run(-0.0008)["pull_direction"]) == ("rear", "forward")
    assert (run(0.0008)["raise"], run(0.0008)["pull_direction"]) == ("front", "forward")
    assert run(0.0008, may_raise="rear")["raise"] == "none"
    back = run(0.0008, may_raise="rear", may_pull="either")
    assert (back["raise"], back["pull_direction"]) == ("rear", "backward")


def test_rise_room_caps_the_rise_by_the_share_the_box_takes():
    free = run(-0.002)["axle_rise"]
    assert run(-0.002, rise_room=free / 2)["axle_rise"] == pytest.approx(free / 2)
    assert run(-0.002, rise_room=free / 2, box_rise_share=0.5)["axle_rise"] == pytest.approx(free, rel=0.05)
    assert run(-0.002, rise_room=0.0)["raise"] == "none"


def test_the_setting_angle_left_out_is_the_angle_measured_at():
    assert run() == run(setting_crank_angle=BASE["crank_angle"])
    # The turn belongs to the wheelsets, wherever they stand.
    assert run(setting_crank_angle=0.3)["turn_error"] == run()["turn_error"]


def test_present_crank_angle_counts_whole_turns_alike():
    one, more = (run(present_crank_angle=angle)["lay_distance"] for angle in (0.5, 0.5 + 4 * math.pi))
    assert one == pytest.approx(more)


def test_goes_on_at_the_very_edge_of_the_clearance():
    found = run(-0.0008, may_raise="front")
    larger = max(abs(found["misfit_left_after"]), abs(found["misfit_right_after"]))
    for clearance, goes in ((larger, True), (larger - 1e-8, False)):
        again = run(-0.0008, may_raise="front", front_clearance=clearance, rear_clearance=clearance)
        assert again["goes_on"] is goes


def test_spacings_by_side_stand_in_place_of_one():
    both = run(axle_spacing=None, left_axle_spacing=1.7, right_axle_spacing=1.7)
    assert both == run()
    refused("left_axle_spacing", axle_spacing=None, left_axle_spacing=1.7)
    refused("right_axle_spacing", axle_spacing=None, right_axle_spacing=1.7)
    refused("axle_spacing", left_axle_spacing=1.7, right_axle_spacing=1.7)


def test_without_spacing_both_sides_must_not_say_the_same():
    # At 45 degrees off, with the right pin a quarter behind or ahead, both sines agree.
    for angle, leads in ((math.pi / 4, True), (5 * math.pi / 4, True), (3 * math.pi / 4, False)):
        message = refused("axle_spacing", axle_spacing=None, crank_angle=angle, right_pin_leads=leads)
        assert "axle_spacing" in message and "alike" in message


def test_what_makes_no_sense_is_named():
    refused("left_pin_distance", left_pin_distance=17.0)
    refused("right_pin_distance", right_pin_distance=0.9)
    refused("left_pin_distance", axle_spacing=None, left_pin_distance=0.01)
    refused("wedge_height", wedge_height=0.8)
    refused("wedge_length", wedge_length=0.05)
    refused("crank_throw", crank_throw=0.76)
    refused("box_rise_share", box_rise_share=1.2)
    refused("rise_room", rise_room=-0.01)
    refused("crank_spacing", crank_spacing=math.radians(181))
    refused("may_pull", may_pull="backward")
    refused("crank_angle", crank_angle=0.01, crank_spacing=math.pi)
