"""Sheets, steam, growth, the test; springs; the same job many times: what must hold for any of them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import registry
from workings.errors import WorkingError


def refused(id, **inputs):
    with pytest.raises(WorkingError) as caught:
        registry.run(id, inputs)
    return caught.value


@given(st.floats(0.003, 0.03), st.floats(0.05, 0.3), st.floats(5e7, 2e8), st.floats(1, 4))
def test_thickness_and_pressure_give_each_other_back(thick, pitch, stress, constant):
    inputs = {"pitch": pitch, "allowable_stress": stress, "constant": constant}
    pressure = registry.run("stayed_sheet", {**inputs, "thickness": thick})["pressure"]
    assert registry.run("stayed_sheet", {**inputs, "pressure": pressure})["thickness"] == pytest.approx(thick)
    assert refused("stayed_sheet", **inputs).input == "thickness"
    assert refused("stayed_sheet", **inputs, thickness=thick, pressure=1e6).input == "thickness"


@given(st.floats(612, 22.0e6), st.floats(0, 1e5))
def test_steam_is_hotter_at_more_pressure(absolute, more):
    low = registry.run("steam_temperature", {"gauge_pressure": absolute, "atmospheric": 0})
    high = registry.run("steam_temperature", {"gauge_pressure": min(absolute + more + 1, 22.064e6), "atmospheric": 0})
    assert 273.15 <= low["saturation_temperature"] < high["saturation_temperature"] <= 647.1


def test_steam_stands_from_the_triple_to_the_critical_point():
    for pressure in (611.213 - 101325, 22.064e6 - 101325):
        registry.run("steam_temperature", {"gauge_pressure": pressure})
    for pressure in (611.2 - 101325, -101325, 22.0641e6 - 101325, 3e7):
        assert refused("steam_temperature", gauge_pressure=pressure).input == "gauge_pressure"


@given(st.floats(0.1, 20), st.floats(250, 320), st.floats(250, 600))
def test_a_boiler_that_cools_shrinks_by_as_much(length, cold, hot):
    inputs = {"length": length, "expansion": 1.2e-5}
    there = registry.run("boiler_growth", {**inputs, "cold": cold, "hot": hot})["growth"]
    assert registry.run("boiler_growth", {**inputs, "cold": hot, "hot": cold})["growth"] == -there
    assert (there > 0) == (hot > cold)


@given(st.integers(1, 3000), st.floats(0, 500), st.floats(0, 1e5), st.floats(0, 0.1), st.floats(0, 0.99))
def test_cost_grows_with_what_is_spoiled(units, hardware, hours, rate, spoilage):
    inputs = {"units": units, "hardware_each": hardware, "hours_each": hours, "hourly_rate": rate}
    good = registry.run("repeat_cost", inputs)
    some = registry.run("repeat_cost", {**inputs, "spoilage_fraction": spoilage})
    assert some["total"] == pytest.approx(good["total"] * (1 + spoilage))
    assert some["total"] == pytest.approx(some["hardware"] + some["labour"] + some["consumables"])
    assert some["cost_each"] * units == pytest.approx(some["total"])


def test_a_unit_spoiled_for_every_good_one_is_refused():
    inputs = {"units": 5, "hardware_each": 1, "hours_each": 60, "hourly_rate": 0.01}
    for fraction in (1, 1.5, -0.1):
        assert refused("repeat_cost", **inputs, spoilage_fraction=fraction).input == "spoilage_fraction"


HOURS = st.lists(st.floats(600, 1e5), min_size=1, max_size=30)


@given(HOURS, st.integers(1, 300))
def test_a_forecast_lies_in_its_interval_and_scales_with_its_hours(hours, remaining):
    inputs = {"remaining": remaining, "weekly_hours": 144000}
    found = registry.run("repeat_forecast", {**inputs, "logged_hours": hours})
    assert found["remaining_hours"] > 0 and found["weeks"] == found["remaining_hours"] / 144000
    if len(hours) == 1:
        assert found["low_hours"] is None and found["high_hours"] is None
    else:
        assert 0 <= found["low_hours"] <= found["remaining_hours"] <= found["high_hours"]
    if len(hours) < 5:
        assert found["method"] == "plain mean"
    assert (found["exponent"] is None) == (found["method"] == "plain mean")
    if found["exponent"] is not None:
        assert found["exponent"] <= 0 and found["learning_rate"] <= 1
    double = registry.run("repeat_forecast", {**inputs, "logged_hours": [2 * one for one in hours]})
    if found["exponent"] is None or found["exponent"] < -1e-9:
        assert double["remaining_hours"] == pytest.approx(2 * found["remaining_hours"])


def test_units_that_all_take_the_same_time_go_on_taking_it():
    for count in (1, 4, 5, 17):
        found = registry.run("repeat_forecast", {"logged_hours": [5400] * count, "remaining": 7, "weekly_hours": 1e5})
        assert found["remaining_hours"] == pytest.approx(7 * 5400)
        assert found["method"] == ("learning curve" if count >= 5 else "plain mean")
        if count > 1:
            assert found["low_hours"] == pytest.approx(found["high_hours"])


def test_times_that_grow_are_told_as_a_plain_mean_that_is_low():
    inputs = {"logged_hours": [5000, 5100, 5300, 5400, 5600, 5900], "remaining": 3, "weekly_hours": 1e5}
    assert registry.run("repeat_forecast", inputs)["method"] == "plain mean"
    assert "low" in registry.story("repeat_forecast", inputs)["lines"][1]["note"]


def test_logs_that_make_no_sense_are_refused():
    for logged in ([], [0], [5400, -1], [5400, math.nan], ["5400"], 5400, [5400, None], [1e12, 1e-12] * 5):
        error = refused("repeat_forecast", logged_hours=logged, remaining=100, weekly_hours=1e5)
        assert error.input == "logged_hours"


@given(st.integers(1, 20), st.floats(0, 0.05), st.integers(1, 4), st.integers(1, 6))
def test_jacks_share_the_load_and_the_springs(leaves, lift, springs, jacks):
    inputs = {
        "axle_load": 1e5,
        "leaves": leaves,
        "leaf_width": 0.1,
        "leaf_thickness": 0.01,
        "span": 0.9,
        "elasticity": 2e11,
        "lift": lift,
        "springs": springs,
    }
    found = registry.run("spring_lift", {**inputs, "jacks": jacks})
    assert found["jack_force"] >= 1e5
    assert found["force_per_jack"] * jacks == pytest.approx(found["jack_force"])
    one = registry.run("spring_lift", {**inputs, "leaves": 1})["stiffness"]
    assert found["stiffness"] == pytest.approx(leaves * one)
