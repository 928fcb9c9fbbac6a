"""The one rounding: steps, texts made from integers, symmetric about zero."""

import math
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from workings import rounding
from workings.errors import WorkingError

numbers = st.floats(-1e9, 1e9, allow_nan=False)


@given(numbers, st.sampled_from([1, 0.1, 0.5, 0.001, 0.0254 / 16, 100]))
def test_rounding_is_symmetric_and_within_half_a_step(value, step):
    n = rounding.steps(value, step)
    assert rounding.steps(-value, step) == -n
    assert abs(value - n * step) <= step * (0.5 + 2e-9) + 1e-15 * abs(value)


@given(st.integers(-10**6, 10**6), st.integers(-400, 400))
def test_a_tie_goes_away_from_zero_in_spite_of_a_last_bit(n, bits):
    tie = n + 0.5 if n >= 0 else n - 0.5
    shaken = tie + bits * math.ulp(tie) if abs(tie) < 1e4 else tie
    assert rounding.steps(shaken, 1) == (n + 1 if n >= 0 else n - 1)


@given(st.integers(-10**9, 10**9), st.integers(0, 6))
def test_decimal_text_of_an_exact_decimal_is_that_decimal(n, places):
    text = rounding.decimal_text(n / 10**places, places)
    assert Decimal(text) == Decimal(n).scaleb(-places)
    assert not (text.startswith("-") and Decimal(text) == 0)


@given(st.floats(-1e12, 1e12, allow_nan=False), st.integers(1, 9))
@example(99999.99999, 6)
@example(0.001, 1)
@example(1e-300, 6)
@example(5e-324, 6)
def test_number_text_keeps_so_many_digits(value, digits):
    text = rounding.number_text(value, digits)
    lead, _, power = text.partition(" × 10")
    power = int(power.translate(str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")) or 0)
    assert "." not in lead or not lead.endswith("0")
    told = Decimal(lead) * Decimal(10) ** power
    assert told == pytest.approx(Decimal(value), rel=Decimal(10) ** (1 - digits))


@given(st.integers(0, 10**12))
def test_thousands_are_set_apart_from_five_digits_on(n):
    text = rounding.grouped(str(n))
    assert text.replace(" ", "") == str(n)
    assert text == (f"{n:,}".replace(",", " ") if n > 9999 else str(n))


@given(numbers, st.integers(0, 5))
def test_snap_and_decimal_text_tell_the_same_number(value, places):
    half_up = Decimal(rounding.decimal_text(value, places))
    exact = Decimal(value).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    assert abs(half_up - exact) <= Decimal(1).scaleb(-places)
    step = 10.0**-places
    assert rounding.snap(value, step) == pytest.approx(float(half_up), rel=1e-12, abs=2 * step)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("call", [lambda v: rounding.steps(v, 1), lambda v: rounding.decimal_text(v, 2),
                                  rounding.number_text, lambda v: rounding.snap(v, 0.1)])
def test_what_is_no_number_is_refused(value, call):
    with pytest.raises(WorkingError):
        call(value)


@pytest.mark.parametrize("step", [0, -1, math.nan])
def test_a_step_must_be_above_nought(step):
    with pytest.raises(WorkingError):
        rounding.steps(1, step)
