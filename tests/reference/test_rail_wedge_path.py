"""Wheel on a rail wedge against the length of the axle centre's path.

The path of the axle centre of a wheel that rolls over an outline lies one radius off that outline;
shapely draws it, as the edge of the outline grown by the radius. What the wheel turns more than one
on level rail is (length of the path - level travel)/radius, whatever the outline.
"""

import math

import pytest
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import nearest_points
from workings import registry

WHEELS = [
    (0.8, 0.2, 0.01),
    (0.84, 0.36, 0.02),
    (1.448, 0.61, 0.032),
    (1.753, 0.5, 0.018),
    (2.0, 1.0, 0.05),
    (1.1, 0.25, 0.03),
    (0.9, 0.45, 0.045),
    (1.676, 0.3556, 0.0206375),
]
ENDS = 3.0


def axle_path(outline, radius):
    """The line one radius above an outline that begins and ends on level rail."""
    ground = Polygon([*outline, (outline[-1][0], -1), (outline[0][0], -1)])
    return ground.buffer(radius, quad_segs=20_000).exterior


def length_between(path, radius, start, end):
    return path.intersection(box(start, radius / 2, end, 10)).length


def height_at(path, x):
    return path.intersection(LineString([(x, 0), (x, 10)])).bounds[3]


@pytest.mark.parametrize("diameter, long, high", WHEELS)
def test_extra_turn_is_what_the_path_is_longer(diameter, long, high):
    radius = diameter / 2
    path = axle_path([(-ENDS, 0), (0, 0), (long, high), (long, 0), (long + ENDS, 0)], radius)
    whole = registry.run(
        "wheel_on_wedge", {"wheel_diameter": diameter, "wedge_length": long, "wedge_height": high}
    )
    for share in (0.1, 0.5, 1.0):
        given = registry.run(
            "wheel_on_wedge",
            {
                "wheel_diameter": diameter,
                "wedge_length": long,
                "wedge_height": high,
                "axle_rise": share * whole["rise_limit"],
            },
        )
        end = given["travel"] - given["touch_offset"]
        assert height_at(path, end) == pytest.approx(radius + given["axle_rise"], abs=1e-9)
        start = -given["touch_offset"]
        turned = (length_between(path, radius, start, end) - (end - start)) / radius
        assert given["extra_turn"] == pytest.approx(turned, rel=1e-6)
    start, end = -2.0, long + 2.0
    over = (length_between(path, radius, start, end) - (end - start)) / radius
    assert whole["over_heel_turn"] == pytest.approx(over, rel=2e-6)


@pytest.mark.parametrize("diameter, long, high", WHEELS)
def test_first_touch_and_rise_limit_are_where_the_path_bends(diameter, long, high):
    radius = diameter / 2
    given = registry.run(
        "wheel_on_wedge", {"wheel_diameter": diameter, "wedge_length": long, "wedge_height": high}
    )
    face = LineString([(0, 0), (long, high)])
    touching = Point(-given["touch_offset"], radius)
    assert touching.distance(face) == pytest.approx(radius, rel=1e-12)
    top = Point(given["travel"] - given["touch_offset"], radius + given["rise_limit"])
    assert top.distance(Point(long, high)) == pytest.approx(radius, rel=1e-12)
    assert top.distance(face) == pytest.approx(radius, rel=1e-12)


@pytest.mark.parametrize("diameter, long, high", WHEELS)
@pytest.mark.parametrize("level", [0.0, 0.4])
def test_a_pass_over_two_ramps_gains_what_the_path_is_longer(diameter, long, high, level):
    # A level stretch between the ramps changes nothing.
    radius = diameter / 2
    path = axle_path(
        [(-ENDS, 0), (0, 0), (long, high), (long + level, high), (2 * long + level, 0), (2 * long + ENDS, 0)],
        radius,
    )
    start, end = -2.0, 2 * long + level + 2.0
    turned = (length_between(path, radius, start, end) - (end - start)) / radius
    given = registry.run(
        "wedge_pass", {"wheel_diameter": diameter, "wedge_length": long, "wedge_height": high}
    )
    assert given["turn"] == pytest.approx(turned, rel=1e-5)


@pytest.mark.parametrize("diameter, high", [(0.8, 0.03), (1.5, 0.01), (2.0, 0.05)])
def test_the_shortest_usable_length_is_where_the_heel_is_met_first(diameter, high):
    radius = diameter / 2
    shortest = high / math.tan(math.acos(1 - high / radius))
    for long, works in ((shortest * 1.001, True), (shortest * 0.999, False)):
        # Roll the wheel on until it touches, and look whether it is the heel's edge that it meets.
        wedge = Polygon([(0, 0), (long, high), (long, 0)])
        away, touching = -2.0, 0.0
        for _ in range(60):
            middle = (away + touching) / 2
            if Point(middle, radius).distance(wedge) > radius:
                away = middle
            else:
                touching = middle
        met = nearest_points(wedge, Point(away, radius))[0]
        assert (met.x < long * (1 - 1e-6)) == works
        inputs = {"wheel_diameter": diameter, "wedge_length": long, "wedge_height": high}
        if works:
            assert registry.run("wheel_on_wedge", inputs)["rise_limit"] > 0
        else:
            with pytest.raises(registry.WorkingError) as caught:
                registry.run("wheel_on_wedge", inputs)
            assert caught.value.input == "wedge_length"
            assert f"{shortest * 1000:.3f}"[:5] in caught.value.message
