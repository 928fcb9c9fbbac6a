"""The setting of the rail wedges against a search by brute force, and against an engine rolled on paper.

The search tries 20 001 rises for every allowed way. The rolled engine knows nothing of the formulas: it
moves both wheelsets along, each by its own path, and looks where the pins come to stand.
"""

import math
import random

import numpy as np
import pytest
import workings_at_random
from scipy import optimize
from workings import registry
from workings.errors import WorkingError

SEEDS = range(120)
ORDER = [
    ("none", None),
    ("rear", "forward"),
    ("rear", "backward"),
    ("front", "forward"),
    ("front", "backward"),
]


def pin_distance(spacing, throw, front, rear, rise):
    return np.hypot(
        spacing + throw * np.cos(front) - throw * np.cos(rear),
        -throw * np.sin(front) - rise + throw * np.sin(rear),
    )


def setting_for(seed):
    """Inputs and outputs of a seeded setting; None where the wedge cannot be used."""
    inputs = workings_at_random.wedge_setting(random.Random(f"search {seed}"))
    if seed % 4 == 0:
        # Wide steep wedges and lengths far out: more than one hollow, and rises held at the cap.
        inputs.update(
            wedge_height=0.06, wedge_length=0.4, left_rod_centres=inputs["left_pin_distance"] + 0.004
        )
    try:
        return inputs, registry.run("wedge_setting", inputs)
    except WorkingError as error:
        assert error.input in ("wedge_length", "axle_spacing", "crank_throw")
        return None, None


def sides(inputs, outputs):
    across = inputs["crank_spacing"] * (1 if inputs["right_pin_leads"] else -1)
    both = outputs["axle_spacing"]
    return [
        ("left", 0.0, inputs.get("left_axle_spacing", both)),
        ("right", across, inputs.get("right_axle_spacing", both)),
    ]


def allowed(inputs):
    for raised, pull in ORDER[1:]:
        if inputs.get("may_raise", "both") in ("both", raised):
            if pull == "forward" or inputs.get("may_pull") == "either":
                yield raised, pull


def larger_misfit(inputs, outputs, raised, pull, rise):
    """The larger |misfit| for an array of rises."""
    radius = inputs["wheel_diameter"] / 2
    slope = math.atan(inputs["wedge_height"] / inputs["wedge_length"])
    gain = rise / radius * math.tan(slope / 2) * (1 if pull == "forward" else -1)
    turn = outputs["turn_error"] + (gain if raised == "rear" else -gain)
    height = inputs.get("box_rise_share", 1.0) * rise * (1 if raised == "rear" else -1)
    at = inputs.get("setting_crank_angle", inputs["crank_angle"])
    sizes = [
        abs(
            inputs[f"{side}_rod_centres"]
            - pin_distance(spacing, inputs["crank_throw"], at + across, at + across + turn, height)
        )
        for side, across, spacing in sides(inputs, outputs)
    ]
    return np.maximum(*sizes)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_rise_of_any_way_does_better(seed):
    inputs, outputs = setting_for(seed)
    if inputs is None:
        return
    limit = registry.run(
        "wheel_on_wedge", {name: inputs[name] for name in ("wheel_diameter", "wedge_length", "wedge_height")}
    )["rise_limit"]
    cap = min(limit, inputs.get("rise_room", 1) / inputs.get("box_rise_share", 1.0))
    assert 0 <= outputs["axle_rise"] <= cap + 1e-9
    rises = np.linspace(0, cap, 20_001)
    found = {("none", None): (0.0, float(larger_misfit(inputs, outputs, "rear", "forward", np.zeros(1))[0]))}
    for way in allowed(inputs):
        sizes = larger_misfit(inputs, outputs, *way, rises)
        found[way] = (rises[sizes.argmin()], float(sizes.min()))
    least = min(size for _, size in found.values())
    mine = max(abs(outputs["misfit_left_after"]), abs(outputs["misfit_right_after"]))
    chosen = (outputs["raise"], outputs["pull_direction"])
    # The search is as fine as its steps; it may miss the bottom by a little, never find a better one.
    step = cap / 20_000
    assert mine <= least + 1e-6 + 1e-10
    first = [way for way in ORDER if way in found and found[way][1] <= least + 1e-6]
    assert chosen in first[:1] or abs(found[first[0]][1] - least - 1e-6) < 2e-8 + step * 0.05
    if chosen[1]:
        assert mine <= found[chosen][1] + 1e-10
        assert outputs["axle_rise"] == pytest.approx(found[chosen][0], abs=2 * step + 1e-6) or (
            mine < found[chosen][1]
        )


@pytest.mark.parametrize("seed", SEEDS)
def test_the_turn_found_fits_both_measured_distances_best(seed):
    inputs, outputs = setting_for(seed)
    if inputs is None:
        return

    def residuals(turn):
        return [
            float(
                pin_distance(
                    spacing,
                    inputs["crank_throw"],
                    inputs["crank_angle"] + across,
                    inputs["crank_angle"] + across + turn[0],
                    0.0,
                )
            )
            - inputs[f"{side}_pin_distance"]
            for side, across, spacing in sides(inputs, outputs)
        ]

    best = optimize.least_squares(residuals, [0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert outputs["turn_error"] == pytest.approx(best.x[0], abs=2e-8)
    if not any(name in inputs for name in ("axle_spacing", "left_axle_spacing")):
        assert residuals([outputs["turn_error"]]) == pytest.approx([0, 0], abs=1e-12)


def rolled(inputs, outputs):
    """(front, rear crank angle of the left side, rise of the rear axle) where the engine stops.

    Each wheel rolls along its own path; the path over the wedge is walked in short straight steps.
    """
    radius = inputs["wheel_diameter"] / 2
    slope = math.atan(inputs["wedge_height"] / inputs["wedge_length"])
    toe = outputs["lay_distance"]
    bend = toe - radius * math.tan(slope / 2)
    stop = bend + outputs["travel"]
    xs = np.append(np.linspace(0, stop, 2_000), [bend])
    xs = np.sort(xs[xs <= stop])
    ys = np.maximum(0, (xs - bend) * math.tan(slope))
    raised_path = float(np.hypot(np.diff(xs), np.diff(ys)).sum())
    way = 1 if outputs["pull_direction"] == "forward" else -1
    front = inputs["present_crank_angle"]
    rear = front + outputs["turn_error"]
    turns = {"raised": raised_path / radius * way, "level": stop / radius * way}
    rear_up = outputs["raise"] == "rear"
    return (
        front + turns["level" if rear_up else "raised"],
        rear + turns["raised" if rear_up else "level"],
        ys[-1] * inputs.get("box_rise_share", 1.0) * (1 if rear_up else -1),
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_an_engine_rolled_on_paper_stops_where_the_setting_says(seed):
    inputs, outputs = setting_for(seed)
    if inputs is None or outputs["lay_distance"] is None:
        return
    front, rear, rise = rolled(inputs, outputs)
    wanted = inputs.get("setting_crank_angle", inputs["crank_angle"])
    assert math.remainder(front - wanted, 2 * math.pi) == pytest.approx(0, abs=1e-9)
    for side, across, spacing in sides(inputs, outputs):
        distance = pin_distance(spacing, inputs["crank_throw"], front + across, rear + across, rise)
        assert inputs[f"{side}_rod_centres"] - distance == pytest.approx(
            outputs[f"misfit_{side}_after"], abs=1e-9
        )
    touch = (
        inputs["wheel_diameter"]
        / 2
        * math.tan(math.atan(inputs["wedge_height"] / inputs["wedge_length"]) / 2)
    )
    once_round = math.pi * inputs["wheel_diameter"]
    assert touch - 1.1e-9 <= outputs["lay_distance"] < touch + once_round
