"""The boiler: its flat stayed sheets, its steam, how it grows, its hydrostatic test."""

import math

from workings.errors import WorkingError
from workings.published import Published, cfr, fahrenheit
from workings.rounding import number_text
from workings.working import Output, Working, given_text, length, number


def _pg46(value, what):
    code = "ASME Boiler and Pressure Vessel Code, Section I,"
    return Published(value, what, code, "PG-46.1", "2007", "secondary")


PG46_PRESSURE = _pg46(None, "P = t²·S·C/p²")
PG46_CONSTANTS = [
    _pg46(2.1, "stays welded, or screwed and riveted over, plates to 7/16 in"),
    _pg46(2.2, "the same, thicker plates"),
    _pg46(2.5, "screwed, nuts without washers"),
    _pg46(2.8, "heads of 1.3 stay diameters, not riveted over"),
    _pg46(3.2, "nuts in and out, outside washers 0.4 p wide, as thick as the plate"),
]
TEST_RATIO = cfr(1.25, "230.36(b)", "test at 25 % above the MAWP")
TEST_COLDEST = cfr(fahrenheit(70), "230.35, 230.36(b)", "boiler metal at 70 °F or more under test")
TEST_HOTTEST = cfr(fahrenheit(120), "230.36(b)", "boiler metal at 120 °F at most under test")


def stayed_sheet(pitch, allowable_stress, constant, thickness=None, pressure=None):
    """Pressure that a flat stayed sheet stands, or its thickness for a pressure.

    Takes thickness [m] or pressure [Pa], one of the two; pitch [m], the greatest; allowable_stress
    [Pa]; constant C [-]. pressure = t^2 S C/p^2 [Pa]; thickness = p sqrt(P/(S C)) [m].
    Source: ASME Section I, PG-46.1, as quoted by others.
    """
    if (thickness is None) == (pressure is None):
        raise WorkingError(
            "thickness",
            "nothing" if thickness is None else given_text(thickness, "length"),
            "either thickness or pressure, one of the two",
        )
    if thickness is not None:
        return {
            "pressure": (thickness / pitch) ** 2 * allowable_stress * constant,
            "thickness": None,
        }
    return {"pressure": None, "thickness": pitch * math.sqrt(pressure / (allowable_stress * constant))}


def _sheet_lines(i, o):
    if o["pressure"] is not None:
        return [("P", "t^2*S*C/p^2", o["pressure"], "pressure")]
    return [("t", "p*sqrt(P/(S*C))", o["thickness"], "length")]


LEAST_PRESSURE, CRITICAL_PRESSURE = 611.213, 22.064e6
# IAPWS-IF97, table 34: n1 to n10.
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def steam_temperature(gauge_pressure, atmospheric=101325):
    """Temperature at which water boils in the boiler.

    Takes gauge_pressure [Pa], atmospheric [Pa]. absolute_pressure = their sum [Pa], from the triple
    point's 611.213 Pa to the critical 22.064 MPa; saturation_temperature [K], within 0.02 K.
    Source: IAPWS-IF97 (release R7-97(2012)), region 4, backward equation 31.
    """
    absolute = gauge_pressure + atmospheric
    grace = 1e-6
    if not LEAST_PRESSURE - grace <= absolute <= CRITICAL_PRESSURE + grace:
        raise WorkingError(
            "gauge_pressure",
            given_text(gauge_pressure, "pressure"),
            "{} to {} Pa".format(
                number_text(LEAST_PRESSURE - atmospheric, 9), number_text(CRITICAL_PRESSURE - atmospheric, 9)
            ),
        )
    b = (min(max(absolute, LEAST_PRESSURE), CRITICAL_PRESSURE) / 1e6) ** 0.25
    e = b * b + _N[2] * b + _N[5]
    f = _N[0] * b * b + _N[3] * b + _N[6]
    g = _N[1] * b * b + _N[4] * b + _N[7]
    d = 2 * g / (-f - math.sqrt(f * f - 4 * e * g))
    both = _N[9] + d
    return {
        "absolute_pressure": absolute,
        "saturation_temperature": (both - math.sqrt(both * both - 4 * (_N[8] + _N[9] * d))) / 2,
    }


def _steam_lines(i, o):
    return [
        ("p", "p_g + p_a", o["absolute_pressure"], "pressure"),
        ("T", None, o["saturation_temperature"], "temperature", "IAPWS-IF97, region 4, equation 31"),
    ]


def boiler_growth(length, expansion, cold, hot):
    """How much longer a boiler gets as it is warmed.

    Takes length [m], expansion [1/K], cold [K], hot [K]. growth = expansion length (hot - cold) [m],
    negative where it cools.
    Source: linear expansion.
    """
    return {"growth": expansion * length * (hot - cold)}


def _growth_lines(i, o):
    # Not as a formula: temperatures in °F put into it would show 70 °F less 32 °F and mean something else.
    return [
        ("T", None, i["hot"] - i["cold"], "temperature difference", "hot less cold"),
        ("x", "alpha*L*T", o["growth"], "length"),
    ]


def hydro_test(mawp):
    """Pressure of the hydrostatic test and how warm the boiler's metal must be.

    Takes mawp [Pa], gauge. test_pressure = 1.25 mawp [Pa]; metal_temperature_low 70 °F and
    metal_temperature_high 120 °F [K].
    Source: 49 CFR 230.36(b).
    """
    return {
        "test_pressure": TEST_RATIO.value * mawp,
        "metal_temperature_low": TEST_COLDEST.value,
        "metal_temperature_high": TEST_HOTTEST.value,
    }


def _hydro_lines(i, o):
    return [
        ("P_t", "1.25*P", o["test_pressure"], "pressure"),
        ("T_1", None, o["metal_temperature_low"], "temperature", "least temperature of the boiler's metal"),
        ("T_2", None, o["metal_temperature_high"], "temperature", "greatest"),
    ]


WORKINGS = [
    Working(
        "stayed_sheet",
        "Flat stayed sheet",
        stayed_sheet,
        [
            length("thickness", "thickness or pressure, one of the two", "t", optional=True),
            length("pitch", "greatest distance between stays", "p"),
            number("allowable_stress", "pressure", "of the sheet at its temperature", "S", above=0),
            number("constant", "plain", "C of PG-46, for how the stays are made fast", "C", above=0),
            number("pressure", "pressure", "pressure or thickness", "P", above=0, optional=True),
        ],
        [
            Output("pressure", "pressure", "where thickness is given", "number or null"),
            Output("thickness", "length", "where pressure is given", "number or null"),
        ],
        _sheet_lines,
        ["Stays stand in a square pattern at that pitch, or closer; thickness is what is left after wastage."],
        ["The engineer in charge decides on C, S and any repair."],
        [
            PG46_PRESSURE.told(),
            "C, from there too: "
            + "; ".join([number_text(one.value) + " " + one.what for one in PG46_CONSTANTS])
            + ".",
        ],
    ),
    Working(
        "steam_temperature",
        "Temperature of steam",
        steam_temperature,
        [
            number("gauge_pressure", "pressure", "above atmosphere", "p_g"),
            number("atmospheric", "pressure", "of the air that day", "p_a", default=101325, least=0),
        ],
        [
            Output("absolute_pressure", "pressure"),
            Output("saturation_temperature", "temperature"),
        ],
        _steam_lines,
        ["Steam is saturated: not superheated, and no air in it."],
        ["Older steam tables give up to 0.1 °F more: the temperature scale was changed in 1990."],
        ["IAPWS-IF97, release R7-97(2012), region 4, equation 31."],
    ),
    Working(
        "boiler_growth",
        "Growth of a boiler",
        boiler_growth,
        [
            length("length", "fixed end to sliding end, cold", "L"),
            number("expansion", "per temperature", "of the boiler's steel", "alpha", above=0),
            number("cold", "temperature", "before", "T_1", above=0),
            number("hot", "temperature", "after", "T_2", above=0),
        ],
        [Output("growth", "length", "negative where it cools")],
        _growth_lines,
        ["The whole length is at one temperature."],
        ["The firebox and the barrel warm unevenly: leave more room than this."],
        ["Linear expansion."],
    ),
    Working(
        "hydro_test",
        "Hydrostatic test",
        hydro_test,
        [number("mawp", "pressure", "maximum allowable working pressure, gauge", "P", above=0)],
        [
            Output("test_pressure", "pressure", "25 % above the MAWP"),
            Output("metal_temperature_low", "temperature", "70 °F"),
            Output("metal_temperature_high", "temperature", "120 °F"),
        ],
        _hydro_lines,
        [],
        ["The metal's temperature counts, not the water's. Vent all air first."],
        [one.told() for one in (TEST_RATIO, TEST_COLDEST, TEST_HOTTEST)],
    ),
]
