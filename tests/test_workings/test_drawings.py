"""The drawing of the wheel on its wedge: texts apart, inside the frame, for all proportions."""

import math
import xml.etree.ElementTree as ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import drawings, registry, typeset
from workings.errors import WorkingError

SVG = "{http://www.w3.org/2000/svg}"
TEXTS = st.fixed_dictionaries(
    {},
    optional={
        name: st.sampled_from(["9 1/4 in", "3/4 in", "34.9 mm", "12 ft 9 7/8 in", "1 349.2 mm"])
        for name in drawings.TEXTS
    },
)


def placed(svg):
    """(box of each row of text, viewBox) with the parts of one number taken together."""
    root = ElementTree.fromstring(svg)
    for text in root.iter(f"{SVG}text"):
        size = float(text.get("font-size"))
        wide = float(text.get("textLength") or typeset.width_of(text.text, size))
        x, y = float(text.get("x")), float(text.get("y"))
        yield x, y - 0.5 * size, x + wide, y


@given(
    st.floats(0.8, 2),
    st.floats(0.2, 1),
    st.floats(0.01, 0.05),
    st.floats(0, 1),
    st.floats(0, 7),
    st.sampled_from(["forward", "backward", None]),
    st.sampled_from(["front", "rear", "none"]),
    TEXTS,
)
def test_texts_stand_apart_and_inside(diameter, long, high, share, lay, pull, raised, texts):
    try:
        limit = registry.run(
            "wheel_on_wedge", {"wheel_diameter": diameter, "wedge_length": long, "wedge_height": high}
        )["rise_limit"]
    except WorkingError:
        limit = 0.0
    drawn = drawings.draw(
        "wheel_on_wedge",
        {
            "wheel_diameter": diameter,
            "wedge_length": long,
            "wedge_height": high,
            "axle_rise": share * limit,
            "lay_distance": lay,
            "pull_direction": pull,
            "raise": raised,
        },
        texts,
    )
    root = ElementTree.fromstring(drawn["svg"])
    _, _, wide, tall = (float(one) for one in root.get("viewBox").split())
    assert wide < 480 and tall < 480
    boxes = list(placed(drawn["svg"]))
    for n, a in enumerate(boxes):
        assert -0.1 <= a[0] and a[2] <= wide + 0.1 and 0 <= a[1] and a[3] <= tall
        for b in boxes[n + 1 :]:
            assert a[2] <= b[0] + 0.3 or b[2] <= a[0] + 0.3 or a[3] <= b[1] + 0.3 or b[3] <= a[1] + 0.3, (
                a,
                b,
            )


def test_the_raised_wheel_stands_on_the_wedge():
    for share in (0.3, 1.0):
        inputs = {"wheel_diameter": 1.676, "wedge_length": 0.36, "wedge_height": 0.02, "axle_rise": 0.0}
        limit = registry.run("wheel_on_wedge", {k: v for k, v in inputs.items() if k != "axle_rise"})[
            "rise_limit"
        ]
        drawn = drawings.draw("wheel_on_wedge", {**inputs, "axle_rise": share * limit}, {"axle_rise": "x"})
        root = ElementTree.fromstring(drawn["svg"])
        wheels = [c for c in root.iter(f"{SVG}circle") if float(c.get("r")) > 10]
        raised = min(wheels, key=lambda c: float(c.get("cy")))
        wedge = next(p for p in root.iter(f"{SVG}path") if p.get("fill-opacity") == "0.45").get("d")
        toe, top, _ = [tuple(float(n) for n in point.split()) for point in wedge.strip("MZ").split("L")]
        # Distance from the wheel's centre to the line of the face is its radius.
        x, y = float(raised.get("cx")), float(raised.get("cy"))
        dx, dy = top[0] - toe[0], top[1] - toe[1]
        away = abs(dx * (toe[1] - y) - dy * (toe[0] - x)) / math.hypot(dx, dy)
        assert away == pytest.approx(float(raised.get("r")), abs=0.05)


def test_a_pull_to_the_other_side_is_the_drawing_turned_round():
    inputs = {"wheel_diameter": 1.5, "wedge_length": 0.4, "wedge_height": 0.02, "axle_rise": 0.01}
    there, back = (
        ElementTree.fromstring(drawings.draw("wheel_on_wedge", {**inputs, "pull_direction": way})["svg"])
        for way in ("forward", "backward")
    )
    wide = float(there.get("viewBox").split()[2])
    for one, other in zip(there.iter(f"{SVG}circle"), back.iter(f"{SVG}circle"), strict=True):
        assert float(one.get("cx")) + float(other.get("cx")) == pytest.approx(wide, abs=0.02)


def test_it_says_in_words_what_it_shows():
    drawn = drawings.draw(
        "wheel_on_wedge",
        {
            "wheel_diameter": 1.5,
            "wedge_length": 0.4,
            "wedge_height": 0.02,
            "axle_rise": 0.01,
            "pull_direction": "forward",
            "raise": "rear",
        },
        {"axle_rise": "3/8 in", "travel": "7 7/8 in", "lay_distance": "9 1/4 in"},
        prefix="step-3",
    )
    for words in ("rear pair", "3/8 in", "7 7/8 in", "9 1/4 in", "forward", "not to scale"):
        assert words in drawn["alt"]
    assert 'id="step-3-title"' in drawn["svg"] and "style=" not in drawn["svg"] and "#" not in drawn["svg"]


@pytest.mark.parametrize(
    "kind, inputs, texts, name",
    [
        ("wheel", {}, {}, "drawing"),
        ("wheel_on_wedge", {}, {}, "wheel_diameter"),
        (
            "wheel_on_wedge",
            {"wheel_diameter": 1, "wedge_length": 0.3, "wedge_height": math.nan},
            {},
            "wedge_height",
        ),
        ("wheel_on_wedge", {"wheel_diameter": 1, "wedge_length": 0.3, "wedge_height": 0.02, "x": 1}, {}, "x"),
        ("wheel_on_wedge", {"wheel_diameter": 1, "wedge_length": 0.3, "wedge_height": 0.02}, {"y": "1"}, "y"),
    ],
)
def test_what_cannot_be_drawn_is_named(kind, inputs, texts, name):
    with pytest.raises(WorkingError) as caught:
        drawings.draw(kind, inputs, texts)
    assert caught.value.input == name
