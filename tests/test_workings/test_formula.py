"""The formula language: shared cases, dimensions, bounds, and that nothing but its own error comes out."""

import math
from pathlib import Path

import pytest
import shared_cases
from hypothesis import given, settings
from hypothesis import strategies as st
from workings import formula, formula_functions
from workings.errors import WorkingError
from workings.units_table import DIMENSIONS, UNITS

CASES = shared_cases.read(Path(__file__).parent.parent / "cases" / "formulas.json")
TYPES = {"a": ("number", DIMENSIONS["length"]), "b": ("number", DIMENSIONS["length"]),
         "t": ("number", DIMENSIONS["angle"]), "n": ("number", DIMENSIONS["plain"]), "word": ("text",),
         "ok": ("yes/no",)}
VALUES = {"a": 0.1, "b": 0.05, "t": 0.5, "n": 3.0, "word": "rear", "ok": True}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"][:60])
def test_shared_case(case):
    assert shared_cases.trouble(case) is None


pieces = st.sampled_from(["a", "b", "t", "n", "word", "ok", "1", "0", "2.5", "1/4[in]", "90[deg]", "'rear'",
                          "yes", "pi", "+", "-", "*", "/", "^", "(", ")", ",", "<", "<=", "=", "<>", " and ",
                          " or ", "not ", "if(", "min(", "sqrt(", "sin(", "asin(", "atan2(", "round(", "x.y",
                          "[", "e9"])


@given(st.text(max_size=30) | st.lists(pieces, max_size=25).map("".join))
@settings(max_examples=400)
def test_any_text_gives_a_result_or_the_one_error(text):
    try:
        compiled = formula.compile_formula(text)
        kind = compiled.check(TYPES)
        found = compiled.evaluate(VALUES, TYPES)
    except WorkingError as error:
        assert error.input == "formula" and error.message.startswith("formula") and error.accepted
        return
    assert found[0] == kind[0]
    if found[0] == "number":
        assert isinstance(found[1], float) and math.isfinite(found[1])
    assert flat(compiled.typeset()) and flat(compiled.tree_with({"a": "3 5/16 in"}))


def flat(node):
    assert node[0] in ("row", "frac", "sqrt", "sup", "text", "name", "num")
    if node[0] in ("text", "name", "num"):
        assert isinstance(node[1], str)
        return node[1]
    return "".join(flat(part) for part in node[1:])


# Formulas built with Python's own signs beside them: what Python makes of the same tree is the reference.
leaves = st.sampled_from(["a", "b", "0.25[m]", "1/4[m]"])


def grow(inner):
    return st.one_of(
        st.tuples(st.sampled_from("+-"), inner, inner).map(lambda p: f"({p[1]} {p[0]} {p[2]})"),
        st.tuples(inner, inner).map(lambda p: f"{p[0]} * ({p[1]}) / 2[m]"),
        st.tuples(inner, inner).map(lambda p: f"max({p[0]}, {p[1]})"),
        inner.map(lambda p: f"-({p})"), inner.map(lambda p: f"abs({p})"))


@given(st.recursive(leaves, grow, max_leaves=10))
def test_arithmetic_is_python_s_and_stays_a_length(text):
    if len(text) > formula.LENGTH:
        return
    try:
        compiled = formula.compile_formula(text)
    except WorkingError as error:
        assert "too deep" in error.message
        return
    assert compiled.check(TYPES) == TYPES["a"]
    python = text.replace("0.25[m]", "0.25").replace("1/4[m]", "0.25").replace("2[m]", "2")
    reference = eval(python, {"max": max, "abs": abs, "__builtins__": {}}, {"a": 0.1, "b": 0.05})
    assert compiled.evaluate(VALUES)[1] == pytest.approx(reference, rel=1e-12, abs=1e-15)


@given(st.sampled_from(sorted(UNITS)), st.integers(1, 63))
def test_a_quantity_in_any_unit_has_its_dimension(unit, n):
    row = UNITS[unit]
    kind = formula.compile_formula(f"{n}/64[{unit}]").check({})
    assert kind == ("number", row[0])
    assert formula.work_out(f"{n}/64[{unit}]", {})[1] == pytest.approx(n / 64 * row[1] + row[2], rel=1e-14)


@given(st.sampled_from(sorted(DIMENSIONS)), st.sampled_from(sorted(DIMENSIONS)))
def test_only_alike_dimensions_are_added_and_powers_add_when_multiplied(one, other):
    types = {"x": ("number", DIMENSIONS[one]), "y": ("number", DIMENSIONS[other])}
    if DIMENSIONS[one] == DIMENSIONS[other]:
        assert formula.compile_formula("x + y").check(types) == types["x"]
    else:
        with pytest.raises(WorkingError, match="cannot be added"):
            formula.compile_formula("x + y").check(types)
    powers = [p + q for p, q in zip(DIMENSIONS[one], DIMENSIONS[other], strict=True)]
    found = formula.compile_formula("x * y").check(types)[1]
    assert list(found[:4]) == powers[:4] and found[5] == powers[5] and found[4] in (powers[4], 0)
    assert formula.compile_formula("x / x").check(types) == ("number", DIMENSIONS["plain"])


def test_length_times_angle_is_a_length_and_an_arc_can_be_undone():
    check = formula.compile_formula("a * t + b").check
    assert check(TYPES) == TYPES["a"]
    assert formula.compile_formula("a / b * 1[rad]").check(TYPES) == TYPES["t"]


def test_names_are_listed_once_in_the_order_they_appear():
    compiled = formula.compile_formula("b + a*b - setting.rise + if(ok, a, b)")
    assert compiled.names == ["b", "a", "setting.rise", "ok"]


def test_a_missing_value_is_told_by_name_and_only_where_it_is_needed():
    compiled = formula.compile_formula("if(ok, a, b)")
    assert compiled.evaluate({"ok": True, "a": 1, "b": None}) == ("number", 1.0)
    with pytest.raises(formula.Missing) as caught:
        compiled.evaluate({"ok": False, "a": 1, "b": None})
    assert caught.value.name == "b"
    with pytest.raises(formula.Missing):
        compiled.evaluate({"ok": None, "a": 1, "b": 1})


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_value_that_is_no_number_gives_no_number(value):
    with pytest.raises(WorkingError):
        formula.work_out("a", {"a": value})
    with pytest.raises(WorkingError):
        formula.work_out("if(a > 0, 1, 2)", {"a": value})


def test_values_of_another_kind_than_promised_are_refused():
    for text in ("a + 1", "not a", "if(a, 1, 2)", "sin(a)"):
        with pytest.raises(WorkingError):
            formula.work_out(text, {"a": "rear"})


def test_words_of_the_language_are_reserved():
    assert set(formula_functions.FUNCTIONS) < set(formula.RESERVED)
    for word in formula.RESERVED:
        with pytest.raises(WorkingError):
            formula.work_out(word + "(1)" if word == "pi" else word + " + 1", {word: 1.0})


@pytest.mark.parametrize("text, boxes", [
    ("a/b", ["frac", ["name", "a"], ["name", "b"]]),
    ("sqrt(a^2)", ["sqrt", ["sup", ["name", "a"], ["num", "2"]]]),
    ("(a + b)*n", ["row", ["text", "("], ["name", "a"], ["text", " + "], ["name", "b"], ["text", ")"],
                   ["text", " · "], ["name", "n"]]),
    ("a - (b - a)", ["row", ["name", "a"], ["text", " − "], ["text", "("], ["name", "b"], ["text", " − "],
                     ["name", "a"], ["text", ")"]]),
    ("1/4[in] >= a", ["row", ["num", "1/4 in"], ["text", " ≥ "], ["name", "a"]]),
    ("setting.lay_distance", ["name", "lay distance"]),
])
def test_boxes(text, boxes):
    assert formula.compile_formula(text).typeset() == boxes


def test_boxes_with_numbers_put_in():
    compiled = formula.compile_formula("a - b^2")
    assert flat(compiled.tree_with({"a": "3 5/16 in", "b": "−2 mm"})) == "3 5/16 in − (−2 mm)2"
    assert compiled.typeset({"a": "D"})[1] == ["name", "D"]
