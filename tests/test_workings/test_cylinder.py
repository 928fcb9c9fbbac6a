"""Bore, hone and rings: what must hold for any of them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import registry
from workings.errors import WorkingError

BORES = st.floats(0.1, 1.0)


def refused(id, **inputs):
    with pytest.raises(WorkingError) as caught:
        registry.run(id, inputs)
    return caught.value


@st.composite
def surveys(draw):
    count, clocks = draw(st.integers(2, 8)), draw(st.integers(1, 6))
    gaps = draw(st.lists(st.floats(0.01, 0.3), min_size=count, max_size=count))
    bore = draw(BORES)
    row = st.lists(st.floats(0, 0.002), min_size=clocks, max_size=clocks)
    wear = draw(st.lists(row, min_size=count, max_size=count))
    stations = [sum(gaps[: k + 1]) for k in range(count)]
    return {"stations": stations, "diameters": [[bore + one for one in station] for station in wear]}


@given(surveys())
def test_a_bore_loses_metal_only_and_turned_end_for_end_loses_as_much(survey):
    found = registry.run("bore_survey", survey)
    assert found["volume_to_remove"] >= 0 and found["stock"] >= 0
    assert found["smallest"] <= min(found["means"]) + 1e-15 and max(found["means"]) <= found["largest"] + 1e-15
    assert found["taper"] <= found["stock"] + 1e-15
    turned = {
        "stations": [-z for z in reversed(survey["stations"])],
        "diameters": list(reversed(survey["diameters"])),
    }
    other = registry.run("bore_survey", turned)
    assert other["volume_to_remove"] == pytest.approx(found["volume_to_remove"], rel=1e-9, abs=1e-18)
    assert other["means"] == list(reversed(found["means"]))


@given(surveys(), st.floats(1e-5, 0.002))
def test_a_ridge_is_a_step_between_means_that_is_more_than_the_step_allowed(survey, step):
    found = registry.run("bore_survey", {**survey, "ridge_step": step})
    for ridge in found["ridges"]:
        assert abs(ridge["step"]) > step and ridge["z_from"] < ridge["z_to"]
    none = registry.run("bore_survey", {**survey, "ridge_step": found["taper"]})
    assert none["ridges"] == []


@given(surveys())
def test_a_bore_at_its_condemning_diameter_stands(survey):
    largest = registry.run("bore_survey", survey)["largest"]
    for over, verdict in ((0, "inside"), (1e-6, "inside"), (-1e-6, "outside")):
        found = registry.run("bore_survey", {**survey, "condemning_diameter": largest + over})
        assert found["verdict"] == verdict


def test_one_low_reading_is_no_ridge_of_its_own():
    rows = [[0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5], [0.5, 0.5, 0.5, 0.5002, 0.5, 0.5, 0.5, 0.5]]
    found = registry.run("bore_survey", {"stations": [0, 0.1], "diameters": rows, "ridge_step": 0.0001})
    assert found["ridges"] == []


@pytest.mark.parametrize(
    "changes, name",
    [
        ({"stations": [0.1]}, "stations"),
        ({"stations": []}, "stations"),
        ({"stations": [0.1, 0.1]}, "stations"),
        ({"stations": [0.2, 0.1]}, "stations"),
        ({"diameters": [[0.5], [0.5], [0.5]]}, "diameters"),
        ({"diameters": [[0.5], []]}, "diameters"),
        ({"diameters": [[], []]}, "diameters"),
        ({"diameters": [[0.5, 0.5], [0.5]]}, "diameters"),
        ({"diameters": [[0.5], [0]]}, "diameters"),
        ({"diameters": [[0.5], [math.nan]]}, "diameters"),
        ({"diameters": [[0.5], "0.5"]}, "diameters"),
        ({"radii": [[0.25]]}, "radii"),
        ({"radii": [[0.25], []]}, "radii"),
        ({"radii": [[0.25], [-0.25]]}, "radii"),
        ({"ridge_step": -1e-4}, "ridge_step"),
    ],
)
def test_a_survey_that_makes_no_sense_is_refused_by_name(changes, name):
    inputs = {"stations": [0.1, 0.3], "diameters": [[0.5], [0.501]], **changes}
    assert refused("bore_survey", **inputs).input == name


@given(BORES, st.floats(0.2, 1.5), st.floats(0.05, 0.4), st.floats(0.1, 3), st.floats(0.1, 3))
def test_a_hone_that_strokes_faster_crosses_steeper(bore, long, stone, turns, strokes):
    inputs = {"bore": bore, "bore_length": long, "stone_length": stone, "rotation_rate": turns}
    if long - stone / 3 < 1e-6:
        return
    slow = registry.run("hone_plan", {**inputs, "stroke_rate": strokes})
    fast = registry.run("hone_plan", {**inputs, "stroke_rate": 2 * strokes})
    assert 0 < slow["cross_hatch"] < fast["cross_hatch"] < math.pi
    assert slow["stroke_length"] == pytest.approx(long - stone / 3)
    thirds = registry.run("hone_plan", {**inputs, "stroke_rate": strokes, "overrun": stone / 3})
    assert thirds == slow


def test_stock_goes_with_removal_rate():
    inputs = {"bore": 0.5, "bore_length": 0.8, "stone_length": 0.2, "rotation_rate": 1, "stroke_rate": 0.5}
    assert refused("hone_plan", **inputs, stock=1e-4).input == "removal_rate"
    assert refused("hone_plan", **inputs, removal_rate=1e-7).input == "stock"
    assert registry.run("hone_plan", {**inputs, "stock": 0, "removal_rate": 1e-7})["time"] == 0


@given(BORES, st.floats(0, 400), st.floats(0, 400), st.floats(0, 0.003))
def test_a_gap_is_never_below_its_allowance(bore, ring, cylinder, allowance):
    inputs = {"bore": bore, "expansion": 1.1e-5, "temperature_rise": ring, "allowance": allowance}
    cold = registry.run("ring_gap", inputs)["gap"]
    warm = registry.run("ring_gap", {**inputs, "cylinder_expansion": 1.1e-5, "cylinder_rise": cylinder})["gap"]
    assert allowance <= warm <= cold
    if cylinder >= ring:
        assert warm == allowance


def test_half_a_cylinder_is_refused_and_a_bore_is_as_large_as_itself():
    inputs = {"bore": 0.5, "expansion": 1.1e-5, "temperature_rise": 100}
    assert refused("ring_gap", **inputs, cylinder_rise=50).input == "cylinder_expansion"
    assert refused("ring_gap", **inputs, cylinder_expansion=1e-5).input == "cylinder_rise"
    found = registry.run("ring_gap", {**inputs, "largest_bore": 0.5 - 5e-10})
    assert found["widest_gap"] == found["gap"]
