"""Rods over one turn against a search by brute force over the turn of the rear wheelset."""

import math
import random

import numpy as np
import pytest
import workings_at_random
from workings import registry


@pytest.mark.parametrize("seed", range(40))
def test_the_worst_ratio_is_what_a_search_finds(seed):
    rng = random.Random(f"round {seed}")
    inputs = workings_at_random.rods_all_round(rng)
    if seed % 3 == 0:
        inputs["left_rod_centres"] += rng.gauss(0, 0.002)
    found = registry.run("rods_all_round", inputs)
    turns = np.linspace(-0.2, 0.2, 200_001)
    sign = 1 if inputs["right_pin_leads"] else -1
    ratios = []
    for k in range(inputs["steps"]):
        sizes = []
        for side, front_across, rear_across in (
            ("left", 0, 0),
            ("right", inputs["front_crank_spacing"], inputs["rear_crank_spacing"]),
        ):
            front = 2 * math.pi * k / inputs["steps"] + sign * front_across
            rear = front + sign * (rear_across - front_across) + turns
            distance = np.hypot(
                inputs[f"{side}_axle_spacing"]
                + inputs[f"front_{side}_throw"] * math.cos(front)
                - inputs[f"rear_{side}_throw"] * np.cos(rear),
                inputs[f"rear_{side}_throw"] * np.sin(rear) - inputs[f"front_{side}_throw"] * math.sin(front),
            )
            sizes.append(2 * abs(inputs[f"{side}_rod_centres"] - distance) / inputs[f"{side}_clearance"])
        ratios.append(np.maximum(*sizes).min())
    # One step of the search moves a pin by less than a micrometre of a clearance of 0.4 mm.
    assert found["worst_ratio"] <= max(ratios) + 1e-9
    assert found["worst_ratio"] == pytest.approx(max(ratios), abs=3e-3)
    assert found["runs"] == (found["worst_ratio"] <= 1)
    k = round(found["worst_angle"] / 2 / math.pi * inputs["steps"])
    assert ratios[k] == pytest.approx(max(ratios), abs=3e-3)


def test_true_rods_and_wheels_run_without_misfit():
    # Rods as long as the axles are apart, throws and quartering alike: no misfit at any angle.
    inputs = {"right_pin_leads": True, "left_clearance": 0.0005, "right_clearance": 0.0005}
    for name in ("left_axle_spacing", "right_axle_spacing", "left_rod_centres", "right_rod_centres"):
        inputs[name] = 1.7
    for name in ("front_left_throw", "front_right_throw", "rear_left_throw", "rear_right_throw"):
        inputs[name] = 0.3
    for spacing in (math.pi / 2, 2 * math.pi / 3):
        inputs["front_crank_spacing"] = inputs["rear_crank_spacing"] = spacing
        assert registry.run("rods_all_round", inputs)["worst_ratio"] < 1e-9
    # A quartering error shared as well as it can be: the misfit at the bottom quarter is
    # throw x error/2 on each side (small angles), against half the clearance.
    error = 0.0004
    inputs.update(front_crank_spacing=math.pi / 2, rear_crank_spacing=math.pi / 2 + error)
    found = registry.run("rods_all_round", inputs)
    assert found["worst_side"] == "both"
    assert found["worst_ratio"] == pytest.approx(
        max(
            0.3 * error * abs(math.sin(a) * math.cos(a)) / (abs(math.sin(a)) + abs(math.cos(a)))
            for a in np.linspace(0.001, math.pi, 361)
        )
        / 0.00025,
        rel=2e-3,
    )
