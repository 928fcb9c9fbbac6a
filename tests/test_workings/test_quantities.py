"""Quantities typed and shown; the cases both Pythons share, and what must hold for any number."""

from fractions import Fraction
from pathlib import Path

import pytest
import shared_cases
from hypothesis import example, given
from hypothesis import strategies as st
from workings import formats, quantities, rounding
from workings.crank import WORDS, crank_position, crank_words
from workings.errors import WorkingError
from workings.units_table import DIMENSIONS, ORDER, UNITS

CASES = shared_cases.read(Path(__file__).parent.parent / "cases" / "quantities.json")
INCH = 0.0254
dimensions = st.sampled_from(sorted(DIMENSIONS))
units = st.sampled_from(sorted(UNITS))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"])
def test_shared_case(case):
    assert shared_cases.trouble(case) is None


def test_a_shared_case_that_is_wrong_is_noticed():
    right = {"case": "x", "module": "rounding", "function": "steps", "args": [2.5, 1], "result": 3}
    assert shared_cases.trouble(right) is None
    for wrong in ({"result": 2}, {"result": "3"}, {"result": [3]}, {"error": {"input": "step"}},
                  {"args": [1, 0]}):
        assert shared_cases.trouble({**right, **wrong})


@given(st.integers(-64 * 1000, 64 * 1000), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_fractions_go_there_and_back(n, denominator):
    value = n / denominator * INCH
    for form in (f"in/{denominator}", "in/64", f"ft in/{denominator}"):
        shown = quantities.show(value, form)
        back, unit = quantities.parse(shown["text"], "length")
        assert unit == "in" and back == pytest.approx(value, rel=1e-14, abs=1e-15)
        assert quantities.show(back, form) == shown
    told = quantities.fraction_of_inch(value, denominator)
    assert Fraction(told[0] * told[2] + told[1], told[2]) == abs(Fraction(n, denominator))
    assert told[3] == pytest.approx(0, abs=1e-14)
    assert told[4] == quantities.show(value, f"in/{denominator}")["text"]


@given(st.floats(-100, 100), st.sampled_from(["in/16", "in/64", "ft in/8", "mm 0.1", "thou 1", "in 0.001",
                                                "ft 0.5"]))
def test_what_is_shown_is_within_half_a_step_and_stands_when_read_again(value, form):
    checked = formats.read_format(form, "length")
    shown, step = formats.show(value, checked), formats.step_size(checked)
    told = formats.rounded(value, checked)
    assert shown["step"] == step and abs(told - value) <= step * (0.5 + 2e-9) + 1e-12
    assert formats.rounded(told, checked) == told and formats.show(told, checked) == shown
    assert quantities.parse(shown["text"], "length")[0] == pytest.approx(told, rel=1e-12, abs=1e-15)


@given(st.floats(0, 100), st.sampled_from(["in/16", "ft in/8", "mm 0.1", "thou 1"]))
def test_showing_is_symmetric(value, form):
    plus, minus = quantities.show(value, form), quantities.show(-value, form)
    zero = rounding.steps(value, plus["step"]) == 0
    assert minus["text"] == (plus["text"] if zero else "−" + plus["text"])


@given(units, st.integers(-10**6, 10**6), st.integers(0, 4))
def test_a_number_with_any_unit_is_read_by_its_id_and_shown_with_its_label(unit, n, places):
    number = rounding.digits_text(n, places)
    dimension, row = UNITS[unit][5], UNITS[unit]
    value, read_as = quantities.parse(f"{number} {unit}", dimension)
    assert read_as == unit
    assert value == pytest.approx(n / 10**places * row[1] + row[2], rel=1e-12, abs=1e-15)
    form = f"{unit} {'0.' + '0' * (places - 1) + '1' if places else 1}"
    shown = quantities.show(value, form)["text"]
    if abs(value) > 1e-12 or not row[2]:
        assert quantities.parse(shown, dimension)[1] == unit
        assert quantities.parse(shown, dimension)[0] == pytest.approx(value, rel=1e-9, abs=1e-15)
    assert quantities.echo(value, unit, dimension)
    assert quantities.text_in(value, unit)


@pytest.mark.parametrize("row", ORDER, ids=lambda row: row[0])
def test_every_name_of_a_unit_is_read_as_that_unit(row):
    for name in [row[0], row[4]] + row[7].split(","):
        for text in (f"2 {name}", f"2{name}", "2 " + (name.upper() if name.isascii() else name)):
            if name[:2] in ("1/", "$/", "£/", "€/") and text[1] != " ":
                continue
            assert quantities.parse(text, row[1])[1] == row[0], text


@given(st.text(max_size=20) | st.text("0123456789 ./-+'\"°,ftinmhoulbse½⁵⁄₁₆$", max_size=16), dimensions,
       st.booleans())
@example("1" * 100, "length", True)
@example("9" * 15 + "e99 in", "length", False)
def test_any_text_gives_a_number_or_a_message(text, dimension, default):
    unit = quantities.units_for(dimension)[0] if default else None
    try:
        value, read_as = quantities.parse(text, dimension, unit, "Rear rod centres")
    except WorkingError as error:
        assert error.input == "Rear rod centres" and error.message.startswith("Rear rod centres: ")
        assert error.accepted in error.message and error.message[-1] in ".?"
        return
    assert abs(value) <= 1e15 and UNITS[read_as][5] == dimension
    assert quantities.echo(value, read_as, dimension)


@given(st.text(max_size=12) | st.text("infmtx/ 0123456789.", max_size=10), st.none() | dimensions)
def test_any_text_is_a_format_or_refused(text, dimension):
    try:
        form = formats.read_format(text, dimension)
    except WorkingError as error:
        assert error.input == "format"
        return
    shown = formats.show("free" if form["kind"] == "words" else 1.25, form)
    assert shown["text"] and shown["spoken"]


@given(st.integers(-72000, 72000))
def test_a_crank_position_says_how_far_it_is_from_its_words(tenths):
    angle = tenths / 10 * quantities.parse("1°", "angle")[0]
    words = crank_words(angle)
    off, _, position = words.partition("° ")
    if position:
        side, _, position = position.partition(" ")
        off = float(off) * (1 if side == "past" else -1)
    else:
        off, position = 0.0, words
    assert abs(off) <= 22.5
    told = WORDS.index(position) * 45 + off
    assert (told - tenths / 10 + 180) % 360 == pytest.approx(180)
    assert crank_position(position) == quantities.parse(f"{WORDS.index(position) * 45}°", "angle")[0]


def test_sixty_turns_a_minute_is_one_a_second():
    assert quantities.parse("60 rpm", "rate") == (1.0, "rpm")


def test_pounds_are_a_force_only_where_a_force_is_asked():
    assert quantities.parse("1 lb", "force") == (4.4482216152605, "lbf")
    assert quantities.parse("1 lb", "mass") == (0.45359237, "lb")
    with pytest.raises(WorkingError, match="is a force, not a mass"):
        quantities.parse("1 lbf", "mass")


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_a_bare_number_is_refused_unless_a_unit_stands_on_screen(dimension):
    unit = quantities.units_for(dimension)[0]
    if dimension != "plain":
        with pytest.raises(WorkingError, match="has no unit"):
            quantities.parse("3", dimension)
    assert quantities.parse("3", dimension, unit) == quantities.parse("3 " + unit, dimension)


def test_a_dimension_has_a_name_where_it_has_one():
    for name, powers in DIMENSIONS.items():
        found = quantities.dimension_words(powers)
        assert DIMENSIONS[{"plain number": "plain"}.get(found, found)] == powers, name
    assert quantities.dimension_words((4, 0, -1, 0, 0, 0)) == "length^4·time^-1"
