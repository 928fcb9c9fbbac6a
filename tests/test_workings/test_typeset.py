"""Formulas as SVG: well formed, nothing outside its frame, nothing on top of anything else."""

import xml.etree.ElementTree as ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import typeset

SVG = "{http://www.w3.org/2000/svg}"
leaves = st.one_of(
    st.sampled_from(["alpha", "h_max", "R", "x_1", "setting.axle_rise"]).map(lambda name: ["name", name]),
    st.sampled_from(["3 5/16 in", "−1/4 in", "84.1 mm", "1.2 × 10⁻³ m²", "12 000 lbf"]).map(
        lambda n: ["num", n]
    ),
    st.just(["text", "1"]),
)
nodes = st.recursive(
    leaves,
    lambda inner: st.one_of(
        st.tuples(st.just("frac"), inner, inner).map(list),
        st.tuples(st.just("sqrt"), inner).map(list),
        st.tuples(st.just("sup"), inner, st.just(["text", "2"])).map(list),
        st.lists(inner, min_size=1, max_size=4).map(
            lambda parts: [
                "row",
                ["text", "tan("],
                *[bit for part in parts for bit in (part, ["text", " + "])],
                ["text", "1"],
                ["text", ")"],
            ]
        ),
    ),
    max_leaves=12,
)


def frame(svg):
    root = ElementTree.fromstring(svg)
    _, _, wide, tall = (float(one) for one in root.get("viewBox").split())
    return root, wide, tall


def boxes(root):
    for text in root.iter(f"{SVG}text"):
        size = float(text.get("font-size"))
        wide = float(text.get("textLength") or typeset.width_of(text.text, size))
        x, y = float(text.get("x")), float(text.get("y"))
        yield x, y - 0.5 * size, x + wide, y


@given(nodes)
def test_any_formula_is_well_formed_and_inside_its_frame(node):
    root, wide, tall = frame(typeset.svg(node, 18))
    assert root.get("aria-label") == typeset.spoken(node)
    for left, top, right, bottom in boxes(root):
        assert -0.1 <= left and right <= wide + 0.1 and -0.1 <= top and bottom <= tall + 0.1


@given(nodes)
def test_no_letter_stands_on_another(node):
    root, _, _ = frame(typeset.svg(node, 18))
    placed = list(boxes(root))
    for n, a in enumerate(placed):
        for b in placed[n + 1 :]:
            apart = a[2] <= b[0] + 0.3 or b[2] <= a[0] + 0.3 or a[3] <= b[1] + 0.3 or b[3] <= a[1] + 0.3
            assert apart, (a, b)


def test_a_mixed_number_is_a_true_fraction():
    svg = typeset.svg(["num", "3 5/16 in"])
    assert "5/16" not in svg.split(">", 1)[1] and "<path" in svg
    assert [text.text for text in ElementTree.fromstring(svg).iter(f"{SVG}text")] == ["3", "5", "16", "in"]


def test_greek_and_lowered_letters():
    texts = [t.text for t in ElementTree.fromstring(typeset.svg(["name", "epsilon_over"])).iter(f"{SVG}text")]
    assert texts == ["ε", "over"]


@pytest.mark.parametrize("width", [120, 200, 320])
def test_a_long_row_is_broken_before_its_signs(width):
    node = [
        "row",
        ["name", "x"],
        ["text", " = "],
        *[bit for _ in range(12) for bit in (["num", "12.008 in"], ["text", " + "])],
        ["num", "1 in"],
    ]
    _, wide, tall = frame(typeset.svg(node, 18, width))
    assert wide <= width + 10 and tall > 40


def test_what_is_said():
    node = [
        "row",
        ["name", "alpha"],
        ["text", " = "],
        ["text", "atan("],
        ["frac", ["name", "H"], ["name", "L"]],
        ["text", ")"],
        ["text", " − "],
        ["sup", ["name", "x_1"], ["text", "2"]],
        ["text", " · "],
        ["text", "tan("],
        ["name", "beta"],
        ["text", ")"],
    ]
    assert typeset.spoken(node, {"H": "wedge height", "L": "wedge length"}) == (
        "alpha equals atan of bracket wedge height over wedge length close bracket minus x 1 squared times "
        "tan of beta"
    )


def test_markup_is_escaped():
    svg = typeset.svg(["text", '<&"'])
    assert [t.text for t in ElementTree.fromstring(svg).iter(f"{SVG}text")] == ['<&"']
