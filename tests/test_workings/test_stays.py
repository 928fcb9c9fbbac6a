"""Stays, their sleeves and their map: what must hold for any boiler."""

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import registry
from workings.errors import WorkingError


def refused(id, **inputs):
    with pytest.raises(WorkingError) as caught:
        registry.run(id, inputs)
    return caught.value


ANGLES = st.lists(st.floats(-math.pi, math.pi), min_size=1, max_size=6)


@given(st.floats(0.3, 1), st.floats(0.05, 0.3), st.floats(-0.04, 0.04), ANGLES)
def test_a_row_is_alike_on_both_sides_and_between_its_extremes(crown, gap, offset, angles):
    inputs = {"wrapper_radius": crown + gap, "crown_radius": crown, "centre_offset": offset}
    found = registry.run("stay_row", {**inputs, "row_angles": angles})
    other = registry.run("stay_row", {**inputs, "row_angles": [-a for a in angles]})
    assert other["between_sheets"] == found["between_sheets"]
    assert other["tilts"] == pytest.approx([-t for t in found["tilts"]])
    for angle, tilt, room in zip(angles, found["tilts"], found["between_sheets"], strict=True):
        assert gap - abs(offset) - 1e-12 <= room <= gap + abs(offset) + 1e-12
        assert tilt * offset * math.sin(angle) >= 0


@pytest.mark.parametrize(
    "changes, name",
    [
        ({"centre_offset": 0.8}, "centre_offset"),
        ({"row_angles": []}, "row_angles"),
        ({"row_angles": [60]}, "row_angles"),
        ({"row_angles": ["60°"]}, "row_angles"),
        ({"crown_radius": 0.78}, "crown_radius"),
    ],
)
def test_a_row_without_room_is_refused(changes, name):
    inputs = {"wrapper_radius": 0.8, "crown_radius": 0.7, "centre_offset": 0.02, "row_angles": [0, 0.3]}
    registry.run("stay_row", inputs)
    assert refused("stay_row", **{**inputs, **changes}).input == name


@given(st.floats(0.02, 0.08), st.floats(-1.2, 1.2), st.floats(1, 1e12))
def test_a_sheet_of_large_radius_is_flat(diameter, tilt, radius):
    flat = registry.run("sleeve_trim", {"sleeve_diameter": diameter, "tilt": tilt, "points": 8})
    round = registry.run(
        "sleeve_trim", {"sleeve_diameter": diameter, "tilt": tilt, "points": 8, "wrapper_radius": radius}
    )
    bow = diameter * diameter / radius / math.cos(tilt) ** 3
    assert round["long_to_short"] == pytest.approx(flat["long_to_short"], abs=bow + 1e-15)
    for one, other in zip(flat["template"], round["template"], strict=True):
        assert one["y"] == pytest.approx(other["y"], abs=bow + 1e-15)


@given(st.floats(0.02, 0.08), st.floats(-0.8, 0.8), st.floats(0.2, 2), st.integers(4, 90))
def test_no_point_of_the_template_passes_the_extremes(diameter, tilt, radius, points):
    found = registry.run(
        "sleeve_trim", {"sleeve_diameter": diameter, "tilt": tilt, "wrapper_radius": radius, "points": points}
    )
    heights = [one["y"] for one in found["template"]]
    assert found["shortest"] - 1e-15 <= min(heights) and max(heights) <= found["longest"] + 1e-15
    assert found["long_to_short"] > 0 and len(heights) == points + 1
    assert heights[0] == pytest.approx(heights[-1], abs=1e-15)
    assert found["template"][-1]["x"] == pytest.approx(math.pi * diameter)


def test_a_sleeve_too_wide_for_its_sheet_is_refused_with_the_widest():
    error = refused("sleeve_trim", sleeve_diameter=0.06, tilt=0.5, wrapper_radius=0.05)
    assert error.input == "sleeve_diameter" and "52.057" in error.message
    widest = 2 * 0.05 * (1 - math.sin(0.5))
    registry.run("sleeve_trim", {"sleeve_diameter": widest, "tilt": 0.5, "wrapper_radius": 0.05})


@given(st.floats(0.06, 0.2), st.floats(0.06, 0.2), st.floats(1e5, 3e6), st.floats(0.01, 0.05), st.booleans())
def test_a_stay_at_its_largest_pressure_has_its_least_body(row, column, pressure, body, deduct):
    inputs = {"pitch_row": row, "pitch_column": column, "body_diameter": body, "deduct_stay": deduct}
    found = registry.run("stay_load", {**inputs, "pressure": pressure})
    limit = registry.run("stay_load", {**inputs, "pressure": found["largest_pressure"]})
    assert limit["share_of_allowable"] == pytest.approx(1)
    assert limit["least_body_diameter"] == pytest.approx(body)
    assert found["load"] == pytest.approx(found["stress"] * found["least_section"])


def test_a_stay_wider_than_its_pitch_and_a_hole_wider_than_its_stay_are_refused():
    inputs = {"pitch_row": 0.1, "pitch_column": 0.09, "pressure": 1e6, "body_diameter": 0.02}
    assert refused("stay_load", **{**inputs, "body_diameter": 0.09}).input == "body_diameter"
    assert refused("stay_load", **inputs, telltale_diameter=0.02).input == "telltale_diameter"
    assert refused("stay_load", **inputs, telltale_diameter=-0.001).input == "telltale_diameter"


WELD = {
    "wall": 0.01,
    "bevel_angle": 0.5,
    "root_opening": 0.002,
    "root_face": 0.001,
    "cap_height": 0.001,
    "deposition_efficiency": 0.65,
    "deposition_rate": 0.0003,
    "operating_factor": 0.3,
}


def test_a_path_is_given_in_one_way():
    assert refused("groove_weld", **WELD).input == "path_length"
    assert refused("groove_weld", **WELD, diameter=0.05).input == "tilt"
    assert refused("groove_weld", **WELD, tilt=0.1).input == "diameter"
    assert refused("groove_weld", **WELD, path_length=0.1, diameter=0.05, tilt=0.1).input == "diameter"
    assert refused("groove_weld", **WELD, path_length=0.1, tilt=0.1).input == "tilt"


@given(st.floats(0.01, 0.2), st.floats(0, 1.5), st.integers(1, 2000))
def test_a_leaning_sleeve_takes_more_weld_and_every_joint_as_much(diameter, tilt, joints):
    found = registry.run("groove_weld", {**WELD, "diameter": diameter, "tilt": tilt, "joints": joints})
    assert math.pi * diameter * (1 - 1e-12) <= found["path_length"] <= math.pi * diameter / math.cos(tilt) * (1 + 1e-12)
    assert found["clock_time_all"] == pytest.approx(joints * found["clock_time"])
    assert found["filler_mass"] * 0.65 == pytest.approx(found["deposit_mass"])
    assert found["clock_time"] * 0.3 == pytest.approx(found["arc_time"])


def square_map(rows, columns, pitch=0.1):
    return [
        {"id": f"{row}.{column}", "x": column * pitch, "y": row * pitch, "row": row, "column": column}
        for row in range(rows)
        for column in range(columns)
    ]


@given(st.lists(st.tuples(st.floats(-3, 3), st.floats(-3, 3)), min_size=1, max_size=12), st.floats(0.1, 2))
def test_pairs_and_threes_are_those_that_asking_all_finds(points, circle):
    stays = [{"id": str(k), "x": x, "y": y} for k, (x, y) in enumerate(points)]
    ids = [one["id"] for one in stays]
    found = registry.run("broken_stays", {"stays": stays, "broken": ids, "circle_diameter": circle})
    near = [
        [ids[a], ids[b]]
        for a in range(len(ids))
        for b in range(a + 1, len(ids))
        if math.dist(points[a], points[b]) <= 0.6096 + 1e-6
    ]
    assert found["close_pairs"] == near and found["adjacent_pairs"] == []
    assert found["not_barred"] == (not near and len(ids) <= 4)
    for three in found["triples_in_circle"]:
        at = [points[int(id)] for id in three]
        assert max(math.dist(at[k], at[k - 1]) for k in range(3)) <= circle + 1e-6


def test_24_inches_to_the_micrometre_is_within():
    for apart, close in ((0.6096, 1), (0.6096 + 9e-7, 1), (0.6096 + 2e-6, 0)):
        stays = [{"id": "a", "x": 0, "y": 0}, {"id": "b", "x": apart, "y": 0}]
        assert len(registry.run("broken_stays", {"stays": stays, "broken": ["b", "a"]})["close_pairs"]) == close


def test_neighbours_are_told_by_row_and_column_and_need_both():
    stays = square_map(4, 4, pitch=1.0)
    del stays[5]["row"]
    found = registry.run("broken_stays", {"stays": stays, "broken": ["2.2", "0.0", "0.1", "1.1", "1.2"]})
    assert found["adjacent_pairs"] == [["0.0", "0.1"], ["0.1", "1.2"], ["1.2", "2.2"]]


@pytest.mark.parametrize(
    "changes, name",
    [
        ({"broken": ["9.9"]}, "broken"),
        ({"broken": [7]}, "broken"),
        ({"broken": None}, "broken"),
        ({"telltale_faults": ["9.9"]}, "telltale_faults"),
        ({"circle_diameter": 0}, "circle_diameter"),
        ({"stays": [{"id": "0.0", "x": 0, "y": 0}] * 2}, "stays"),
        ({"stays": [{"id": "0.0", "x": 0}]}, "stays"),
        ({"stays": [{"id": "0.0", "x": 0, "y": math.inf}]}, "stays"),
        ({"stays": [{"id": "0.0", "x": 0, "y": 0, "row": 1.5}]}, "stays"),
        ({"stays": "0.0"}, "stays"),
    ],
)
def test_a_map_that_makes_no_sense_is_refused_by_name(changes, name):
    inputs = {"stays": square_map(2, 2), "broken": ["0.0"]}
    assert refused("broken_stays", **{**inputs, **changes}).input == name


def test_five_thousand_stays_are_quick_and_beyond_all_use_is_refused():
    stays = square_map(50, 100)
    began = time.monotonic()
    for count in (5, 50, 200):
        broken = [stays[k * 24 + 1]["id"] for k in range(count)]
        registry.run("broken_stays", {"stays": stays, "broken": broken, "circle_diameter": 1.2192})
    assert time.monotonic() - began < 2
    every = [one["id"] for one in stays]
    assert refused("broken_stays", stays=stays, broken=every, circle_diameter=1.2192).input == "circle_diameter"
    heap = [{**one, "x": 0, "y": 0} for one in stays]
    assert refused("broken_stays", stays=heap, broken=every).input == "broken"
