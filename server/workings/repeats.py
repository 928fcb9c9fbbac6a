"""The same job many times: what it costs, how long the rest will take."""

import math

from workings.errors import WorkingError
from workings.working import Input, Output, Working, number

FEWEST_FOR_A_CURVE = 5
MOST_UNITS = 100000


def repeat_cost(
    units, hardware_each, hours_each, hourly_rate, consumables_each=0, spoilage_fraction=0
):
    """What the same job costs, done so many times.

    Takes units [-], hardware_each [money], hours_each [s], hourly_rate [money/s], consumables_each
    [money], spoilage_fraction [-] of units made again once. units_made = units (1 + spoilage_fraction)
    [-]; hardware, labour, consumables, total [money] and labour_hours [s] for all made; cost_each =
    total/units [money].
    Source: arithmetic; a spoiled unit costs everything again.
    """
    made = units * (1 + spoilage_fraction)
    hours = made * hours_each
    hardware, labour, consumables = made * hardware_each, hours * hourly_rate, made * consumables_each
    total = hardware + labour + consumables
    return {
        "units_made": made,
        "hardware": hardware,
        "labour_hours": hours,
        "labour": labour,
        "consumables": consumables,
        "total": total,
        "cost_each": total / units,
    }


def _cost_lines(i, o):
    return [
        ("N", "n*(1 + f)", o["units_made"], "plain"),
        ("H", "N*h", o["hardware"], "money"),
        ("T", "N*t", o["labour_hours"], "time"),
        ("L", "T*r", o["labour"], "money"),
        ("C", "N*c", o["consumables"], "money"),
        ("S", "H + L + C", o["total"], "money"),
        ("S_1", "S/n", o["cost_each"], "money"),
    ]


def _within(theta, freedom):
    """Share of Student's t within ±t, for tan(theta) = t/sqrt(freedom): Abramowitz and Stegun 26.7.3, 26.7.4."""
    sine, cosine = math.sin(theta), math.cos(theta)
    if freedom == 1:
        return 2 * theta / math.pi
    odd = freedom % 2
    term = total = cosine if odd else 1.0
    for k in range(2 + odd, freedom - 1, 2):
        term *= cosine * cosine * (k - 1) / k
        total += term
    return 2 / math.pi * (theta + sine * total) if odd else sine * total


def student_95(freedom):
    """The 95 % quantile of Student's t, so that 90 % lie within ±; freedom a whole number from 1."""
    if freedom > 200:
        # Abramowitz and Stegun 26.7.5 about the normal quantile; wrong by less than 1e-10 from here on.
        x = 1.6448536269514722
        y = x * x
        n = float(freedom)
        return x * (
            1
            + (y + 1) / (4 * n)
            + ((5 * y + 16) * y + 3) / (96 * n**2)
            + (((3 * y + 19) * y + 17) * y - 15) / (384 * n**3)
            + ((((79 * y + 776) * y + 1482) * y - 1920) * y - 945) / (92160 * n**4)
        )
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        if _within(middle, freedom) < 0.9:
            low = middle
        else:
            high = middle
    return math.tan((low + high) / 2) * math.sqrt(freedom)


class Fit:
    """ln T = A + b ln n by least squares over units 1, 2, …: b, the means, spread s2 and sum of squares."""

    def __init__(self, hours):
        count = len(hours)
        xs = [math.log(n + 1) for n in range(count)]
        ys = [math.log(one) for one in hours]
        self.count = count
        self.x, self.y = sum(xs) / count, sum(ys) / count
        self.squares = sum([(x - self.x) ** 2 for x in xs])
        slope = sum([(x - self.x) * (y - self.y) for x, y in zip(xs, ys)]) / self.squares
        # Units that all take the same time have no slope; their last bits must not decide.
        self.b = 0.0 if abs(slope) < 1e-12 else slope
        off = [y - self.y - self.b * (x - self.x) for x, y in zip(xs, ys)]
        self.s2 = sum([one * one for one in off]) / (count - 2)

    def rest(self, remaining):
        """(expected time, variance) of the units still to come, by the delta method."""
        highest = self.y + self.s2 / 2 + abs(self.b) * math.log(self.count + remaining)
        if highest > 100:
            raise WorkingError("logged_hours", "times far apart", "times of one kind of job")
        total = tilted = own = 0.0
        for n in range(self.count + 1, self.count + remaining + 1):
            x = math.log(n) - self.x
            time = math.exp(self.y + self.b * x + self.s2 / 2)
            total += time
            tilted += time * x
            own += time * time
        # About the mean of ln n the two parameters are independent.
        return total, self.s2 * (total * total / self.count + tilted * tilted / self.squares + own)


def repeat_forecast(logged_hours, remaining, weekly_hours, hourly_rate=None):
    """How long the units still to be made will take, from those made.

    Takes logged_hours [s] in the order made, remaining [-] units, weekly_hours [s] worked in a week,
    hourly_rate [money/s]. From 5 units on: ln T_n = A + b ln n by least squares (exponent b,
    learning_rate 2^b), T_n = exp(A + b ln n + s^2/2); below that, or where b > 0, method is the plain
    mean. remaining_hours [s] = sum of T_n; weeks; low_hours and high_hours [s]: 90 % interval by the
    delta method, each unit's own spread added, with Student's t at N - 2; plain mean: s^2 (M + M^2/N)
    at N - 1. cost [money].
    Source: unit learning curve (Crawford); least squares; Abramowitz and Stegun 26.7 for t.
    """
    count = len(logged_hours)
    if not count:
        raise WorkingError("logged_hours", "an empty list", "the time of one unit or more")
    fit = Fit(logged_hours) if count >= FEWEST_FOR_A_CURVE else None
    spread = 0.0
    if fit is not None and fit.b <= 0:
        method = "learning curve"
        hours, variance = fit.rest(remaining)
        freedom = count - 2
    else:
        method = "plain mean"
        mean = sum(logged_hours) / count
        hours, freedom, variance = remaining * mean, count - 1, 0.0
        if freedom:
            variance = (
                sum([(one - mean) ** 2 for one in logged_hours])
                / freedom
                * (remaining + remaining * remaining / count)
            )
    if freedom:
        spread = student_95(freedom) * math.sqrt(variance)
    curve = method == "learning curve"
    return {
        "method": method,
        "remaining_hours": hours,
        "weeks": hours / weekly_hours,
        "exponent": fit.b if curve else None,
        "learning_rate": 2**fit.b if curve else None,
        "low_hours": max(0.0, hours - spread) if freedom else None,
        "high_hours": hours + spread if freedom else None,
        "cost": None if hourly_rate is None else hours * hourly_rate,
    }


def _forecast_lines(i, o):
    count = len(i["logged_hours"])
    lines = [("N", None, float(count), "plain", "units logged")]
    if o["exponent"] is None:
        note = "plain mean of the units logged"
        if count >= FEWEST_FOR_A_CURVE:
            note += "; the times grow from unit to unit, so this is low"
        lines.append(("T_m", None, o["remaining_hours"] / i["remaining"], "time", note))
        lines.append(("T", "M*T_m", o["remaining_hours"], "time"))
    else:
        lines += [
            ("b", None, o["exponent"], "plain", "slope of ln T over ln n, least squares"),
            ("q", "2^b", o["learning_rate"], "plain"),
            ("T", None, o["remaining_hours"], "time", "sum of exp(A + b·ln n + s²/2) over the units to come"),
        ]
    if o["low_hours"] is not None:
        lines.append(("T_1", None, o["low_hours"], "time", "low end of the 90 % interval"))
        lines.append(("T_2", None, o["high_hours"], "time", "high end"))
    lines.append(("w", "T/h", o["weeks"], "plain"))
    if o["cost"] is not None:
        lines.append(("C", "T*r", o["cost"], "money"))
    return lines


WORKINGS = [
    Working(
        "repeat_cost",
        "Cost of a repeated job",
        repeat_cost,
        [
            Input("units", "plain", "good units wanted", "whole number", "n", least=1),
            number("hardware_each", "money", "for one unit", "h", least=0),
            number("hours_each", "time", "for one unit", "t", least=0),
            number("hourly_rate", "money per time", "of labour", "r", least=0),
            number("consumables_each", "money", "for one unit", "c", default=0, least=0),
            number(
                "spoilage_fraction", "plain", "spoiled for each good unit", "f", default=0, least=0, below=1
            ),
        ],
        [
            Output("units_made", "plain", "not rounded"),
            Output("hardware", "money"),
            Output("labour_hours", "time"),
            Output("labour", "money"),
            Output("consumables", "money"),
            Output("total", "money"),
            Output("cost_each", "money", "of a good unit"),
        ],
        _cost_lines,
        ["A spoiled unit costs everything again, and is spoiled only once."],
        [],
        ["Arithmetic."],
    ),
    Working(
        "repeat_forecast",
        "Forecast of a repeated job",
        repeat_forecast,
        [
            Input("logged_hours", "time", "in the order made", "list of numbers", above=0),
            Input("remaining", "plain", "units still to be made", "whole number", "M", least=1, most=MOST_UNITS),
            number("weekly_hours", "time", "worked in one week, by all", "h", above=0),
            number("hourly_rate", "money per time", "", "r", least=0, optional=True),
        ],
        [
            Output("method", "plain", "", "choice: learning curve, plain mean"),
            Output("remaining_hours", "time", "expected"),
            Output("weeks", "plain"),
            Output("exponent", "plain", "b; null for the plain mean", "number or null"),
            Output("learning_rate", "plain", "2 to the b; null for the plain mean", "number or null"),
            Output("low_hours", "time", "low end of the 90 % interval", "number or null"),
            Output("high_hours", "time", "high end", "number or null"),
            Output("cost", "money", "null without hourly_rate", "number or null"),
        ],
        _forecast_lines,
        ["The units to come are like those logged, made by the same people in the same way."],
        ["Where times grow from unit to unit the plain mean is used, and it is low."],
        [
            "Unit learning curve (Crawford), least squares; percentages of cumulative average curves (Wright) "
            "are not the same. Student's t by Abramowitz and Stegun 26.7."
        ],
    ),
]
