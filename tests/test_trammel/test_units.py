"""pint is the authority: the phone's table is what pint says, and what pint says is what the law says."""

import math

import pint
import pytest
from trammel import units
from workings import units_table

# From the definitions themselves: NIST SP 811 (2008), appendix B.8 and B.9, where the values marked exact
# are exact; the pound force by the standard acceleration of gravity 9.806 65 m/s2 (3rd CGPM, 1901).
INCH, POUND, GRAVITY = 0.0254, 0.45359237, 9.80665
DEFINED = {
    "in": INCH, "ft": 12 * INCH, "thou": INCH / 1000, "yd": 36 * INCH, "mile": 1609.344,
    "in2": INCH**2, "ft3": (12 * INCH)**3, "US gal": 231 * INCH**3, "imp gal": 4.54609e-3, "L": 1e-3,
    "lb": POUND, "oz": POUND / 16, "short ton": 2000 * POUND, "long ton": 2240 * POUND,
    "metric ton": 1000.0,
    "lbf": POUND * GRAVITY, "kgf": GRAVITY, "kip": 1000 * POUND * GRAVITY, "kN": 1000.0,
    "short tonf": 2000 * POUND * GRAVITY, "long tonf": 2240 * POUND * GRAVITY, "metric tonf": 1000 * GRAVITY,
    "psi": POUND * GRAVITY / INCH**2, "bar": 1e5, "kgf/cm2": GRAVITY * 1e4, "inHg": 3386.389,
    "mph": 1609.344 / 3600, "km/h": 1 / 3.6, "ft/min": 12 * INCH / 60, "gravity": GRAVITY,
    "rpm": 1 / 60, "per s": 1.0, "deg": math.pi / 180, "arcmin": math.pi / 10800, "turn": 2 * math.pi,
    "degF": 5 / 9, "degF-diff": 5 / 9, "degC": 1.0, "per degF": 1.8, "lb/in3": POUND / INCH**3,
    "lbf/in": POUND * GRAVITY / INCH, "lb/ft": POUND / (12 * INCH), "lb/h": POUND / 3600, "%": 0.01,
    "lbf ft": POUND * GRAVITY * 12 * INCH, "psi ft/min": POUND * GRAVITY / INCH**2 * 12 * INCH / 60,
    "$/lb": 1 / POUND, "$/h": 1 / 3600, "in/deg": INCH * 180 / math.pi, "week": 604800.0,
}
# A second registry, with floats: trammel.units keeps fractions.
ORDINARY = pint.UnitRegistry()
BASES = ("[length]", "[mass]", "[time]", "[temperature]")


def test_the_phone_s_table_is_what_pint_says():
    assert units.TARGET.read_text(encoding="utf-8") == units.table(), "run python -m trammel.units --write"
    for unit in units.units():
        row = units_table.UNITS[unit.id]
        assert row[:3] == (units.DIMENSIONS[unit.dimension_name], unit.factor, unit.offset)


@pytest.mark.parametrize("unit", units.units(), ids=lambda unit: unit.id)
def test_an_ordinary_pint_agrees_on_factor_and_dimension(unit):
    if not unit.expression:
        assert (unit.factor, unit.offset) == (1.0, 0.0)
        return
    for number in (0.0, 1.0, 37.5):
        if unit.offset:
            quantity = ORDINARY.Quantity(number, unit.expression)
        else:
            quantity = number * ORDINARY.parse_expression(unit.expression)
        expected = number * unit.factor + unit.offset
        assert quantity.to_base_units().magnitude == pytest.approx(expected, rel=1e-12)
    dimensionality = quantity.dimensionality
    powers = units.DIMENSIONS[unit.dimension_name]
    assert [dimensionality.get(base, 0) for base in BASES] == list(powers[:4])


@pytest.mark.parametrize("id_", sorted(DEFINED))
def test_factors_are_as_defined(id_):
    loose = 1e-6 if id_ == "inHg" else 1e-14
    assert units_table.UNITS[id_][1] == pytest.approx(DEFINED[id_], rel=loose)


def test_temperatures_have_their_zero():
    assert units_table.UNITS["degC"][2] == 273.15
    assert units_table.UNITS["degF"][2] == pytest.approx(459.67 * 5 / 9, rel=1e-15)
    assert [u.id for u in units.units() if u.offset] == ["degF", "degC"]


def test_a_rate_is_turns_a_second_though_pint_alone_says_two_pi():
    assert 60 * units_table.UNITS["rpm"][1] == 1.0
    assert ORDINARY.Quantity(60, "rpm").to_base_units().magnitude == pytest.approx(2 * math.pi)


def test_ids_and_names_are_told_apart():
    rows = units.units()
    assert len({unit.id for unit in rows}) == len(rows)
    taken = {}
    for unit in rows:
        assert not unit.other or (unit.other, unit.dimension_name) in {(o.id, o.dimension_name) for o in rows}
        for name in unit.names:
            assert taken.setdefault((unit.dimension_name, name), unit.id) == unit.id, name


def test_the_described_table_has_every_unit():
    assert [row["id"] for row in units.described()] == [row[0] for row in units_table.ORDER]


@pytest.mark.parametrize("arguments, code", [(["--check"], 0), ([], 2), (["--wrong"], 2)])
def test_the_command_line(arguments, code, capsys):
    assert units.main(arguments) == code
    assert capsys.readouterr().out
