"""Verdicts, fractions and budgets."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import measuring, registry
from workings.errors import WorkingError

sizes = st.floats(-1, 1)


def unsure_up_to(most):
    """Nothing, or an uncertainty that a gauge might have: not the smallest float there is."""
    return st.just(0.0) | st.floats(1e-9, most)


def verdict(**inputs):
    return registry.run("reading_verdict", inputs)


@given(sizes, st.floats(0, 0.1), unsure_up_to(0.01), st.floats(0, 2), sizes)
def test_the_three_zones_have_no_gap_and_no_overlap(lower, wide, unsure, guard, value):
    upper, band = lower + wide, unsure * guard
    found = verdict(value=value, lower=lower, upper=upper, expanded_uncertainty=unsure, guard_factor=guard)
    room = min(value - lower, upper - value)
    if room > band + 1e-8:
        assert found["verdict"] == "inside"
    elif room < -band - 1e-8:
        assert found["verdict"] == "outside"
    elif abs(room) < band - 1e-8:
        assert found["verdict"] == "too_close"


@given(sizes, st.floats(1e-6, 0.1), unsure_up_to(0.01))
def test_a_guarded_limit_fed_back_is_inside(lower, wide, unsure):
    inputs = {"lower": lower, "upper": lower + wide + 2 * unsure, "expanded_uncertainty": unsure}
    found = verdict(value=lower, **inputs)
    for edge in ("guarded_lower", "guarded_upper"):
        assert verdict(value=found[edge], **inputs)["verdict"] == "inside"


def test_without_uncertainty_a_limit_itself_is_inside():
    for value in (0.2, 0.2 - 9e-10):
        assert verdict(value=value, lower=0.2, expanded_uncertainty=0)["verdict"] == "inside"
    assert verdict(value=0.2 - 2e-9, lower=0.2, expanded_uncertainty=0)["verdict"] == "outside"
    # Six pitches of 4 in against 24 in.
    assert verdict(value=6 * (4 * 0.0254), upper=24 * 0.0254, expanded_uncertainty=0)["verdict"] == "inside"


def test_a_tolerance_narrower_than_the_gauge_can_tell_is_never_inside():
    inputs = {"lower": 0.1, "upper": 0.10001, "expanded_uncertainty": 0.0001}
    for value in (0.1, 0.100005, 0.10001):
        assert verdict(value=value, **inputs)["verdict"] == "too_close"
    assert verdict(value=0.1, **inputs)["tolerance_ratio"] == pytest.approx(0.05)


def test_no_limit_at_all_or_crossed_limits_are_refused():
    for inputs in ({}, {"lower": 0.2, "upper": 0.1}):
        with pytest.raises(WorkingError) as caught:
            verdict(value=0.1, expanded_uncertainty=0.001, **inputs)
        assert caught.value.input == "lower"
    with pytest.raises(WorkingError) as caught:
        verdict(value=0.1, lower=0, expanded_uncertainty=-1e-6)
    assert caught.value.input == "expanded_uncertainty"


@given(st.floats(0, 50), st.sampled_from([1, 2, 4, 8, 16, 32, 64, 128, 4096]))
def test_the_nearest_fraction_is_within_half_a_step_and_in_lowest_terms(length, denominator):
    found = registry.run("nearest_fraction", {"length": length, "denominator": denominator})
    assert abs(found["remainder"]) <= 0.0254 / denominator / 2 * (1 + 1e-6)
    part = Fraction(found["numerator"], found["denominator"])
    assert (part.numerator, part.denominator) == (found["numerator"], found["denominator"]) and part < 1
    assert (found["whole"] + part) * Fraction(254, 10000) + Fraction(found["remainder"]) == pytest.approx(
        length
    )


@given(st.integers(0, 64 * 500))
def test_a_fraction_reads_back_as_itself(n):
    found = registry.run("nearest_fraction", {"length": n / 64 * 0.0254})
    again = registry.run("nearest_fraction", {"text": found["text"]})
    assert again["text"] == found["text"] and again["length"] == pytest.approx(n / 64 * 0.0254, abs=1e-15)


@pytest.mark.parametrize(
    "text, length, shown",
    [
        ("3 5/16", 3.3125 * 0.0254, "3 5/16 in"),
        ('3-5/16"', 3.3125 * 0.0254, "3 5/16 in"),
        ("3.3125 in", 3.3125 * 0.0254, "3 5/16 in"),
        ("+.004", 0.004 * 0.0254, "0 in"),
        ("84 mm", 0.084, "3 5/16 in"),
        ("0", 0.0, "0 in"),
        ("1/2", 0.0127, "1/2 in"),
    ],
)
def test_lengths_as_a_person_writes_them(text, length, shown):
    found = registry.run("nearest_fraction", {"text": text})
    assert found["length"] == pytest.approx(length, abs=1e-15) and found["text"] == shown


@pytest.mark.parametrize(
    "inputs, name",
    [
        ({"text": "3 5/0"}, "text"),
        ({"text": ""}, "text"),
        ({"text": "-3"}, "text"),
        ({"text": "3 lb"}, "text"),
        ({"text": "x" * 500}, "text"),
        ({"text": 3}, "text"),
        ({"length": -0.01}, "length"),
        ({}, "length"),
        ({"length": 0.1, "text": "3"}, "length"),
        ({"length": 0.1, "denominator": 48}, "denominator"),
        ({"length": 0.1, "denominator": 0}, "denominator"),
        ({"length": 0.1, "denominator": 2.5}, "denominator"),
    ],
)
def test_what_is_no_length_is_named(inputs, name):
    with pytest.raises(WorkingError) as caught:
        registry.run("nearest_fraction", inputs)
    assert caught.value.input == name


def budget(**more):
    inputs = {
        "working": "sling_legs",
        "inputs": {"load": 30000, "legs": 2, "angle": 1.0},
        "uncertainties": {"load": 900, "angle": 0.01},
        "output": "leg_tension",
    }
    return registry.run("uncertainty_budget", {**inputs, **more})


@given(unsure_up_to(2000), unsure_up_to(0.05))
def test_shares_make_up_the_whole_and_stand_largest_first(load, angle):
    found = budget(uncertainties={"load": load, "angle": angle})
    shares = [one["share"] for one in found["shares"]]
    assert sum(shares) == pytest.approx(1 if load or angle else 0)
    assert shares[0] >= shares[1] - 1e-9 and found["expanded"] == 2 * found["combined"]
    parts = [one["contribution"] for one in found["shares"]]
    assert found["combined"] == pytest.approx(math.hypot(*parts))


def test_a_budget_without_any_uncertainty_is_nought():
    assert budget(uncertainties={})["combined"] == 0 and budget(uncertainties={})["shares"] == []
    assert [one["share"] for one in budget(uncertainties={"load": 0})["shares"]] == [0]


def test_an_input_left_at_its_default_may_be_uncertain():
    found = registry.run(
        "uncertainty_budget",
        {
            "working": "haul_force",
            "output": "pull",
            "uncertainties": {"rolling_coefficient": 0.005},
            "inputs": {"total_weight": 1e6, "axle_load": 2e5, "wedge_length": 0.4, "wedge_height": 0.02},
        },
    )
    assert found["combined"] == pytest.approx(5000)


@pytest.mark.parametrize(
    "more, name",
    [
        ({"working": "no_such_working"}, "working"),
        ({"working": "uncertainty_budget"}, "working"),
        ({"output": "no_such_output"}, "output"),
        ({"output": "legs_counted"}, "output"),
        ({"uncertainties": {"legs": 1}}, "uncertainties"),
        ({"uncertainties": {"weight": 1}}, "uncertainties"),
        ({"uncertainties": {"load": -1}}, "uncertainties"),
        ({"uncertainties": {"load": math.nan}}, "uncertainties"),
        ({"uncertainties": {"load": "900"}}, "uncertainties"),
        ({"uncertainties": {"load": True}}, "uncertainties"),
        ({"inputs": {"load": 30000, "legs": 2, "angle": 0.1}}, "inputs"),
        ({"inputs": {"load": 30000}}, "inputs"),
        ({"inputs": []}, "inputs"),
        ({"uncertainties": []}, "uncertainties"),
    ],
)
def test_a_budget_that_makes_no_sense_names_what(more, name):
    with pytest.raises(WorkingError) as caught:
        budget(**more)
    assert caught.value.input == name


def test_an_output_that_is_null_has_no_budget():
    with pytest.raises(WorkingError) as caught:
        budget(
            working="wheel_on_wedge",
            output="pin_shift",
            uncertainties={"wheel_diameter": 0.001},
            inputs={"wheel_diameter": 1.5, "wedge_length": 0.4, "wedge_height": 0.02},
        )
    assert caught.value.input == "output"


def test_propagation_of_any_function_in_the_order_asked():
    found = measuring.propagate(
        lambda v: v["a"] * v["b"], {"a": 2.0, "b": 3.0}, {"a": 0.1, "b": 0.15}, ["b", "a"]
    )
    assert found["combined"] == pytest.approx(math.hypot(0.3, 0.3))
    assert [one["input"] for one in found["shares"]] == ["b", "a"]
