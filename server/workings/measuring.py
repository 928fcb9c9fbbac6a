"""Measuring: is a reading inside its limits, the nearest fraction, how sure a result is."""

import math

from workings import quantities, rounding
from workings.errors import WorkingError
from workings.working import (
    GRACE,
    LARGEST,
    Input,
    Output,
    Working,
    given_text,
    is_number,
    length,
    listed,
    number,
)

MOST_OF_INCH = 1 << 20


def reading_verdict(value, expanded_uncertainty, lower=None, upper=None, guard_factor=1.0):
    """Whether a reading is inside its limits, outside, or too close to tell.

    Takes value, lower, upper, expanded_uncertainty, all of one dimension, and guard_factor [-].
    guarded_lower = lower + g U, guarded_upper = upper - g U. inside between them; outside below
    lower - g U or above upper + g U; else too_close. tolerance_ratio = (upper - lower)/(2 U) [-].
    Source: decision rule of ISO 14253-1, as summarised by others; guard band of JCGM 106, from
    memory; g = 1 by default.
    """
    if lower is None and upper is None:
        raise WorkingError("lower", "nothing", "a lower or an upper limit, or both")
    if lower is not None and upper is not None and lower > upper:
        raise WorkingError("lower", given_text(lower), "a limit not above upper, " + given_text(upper))
    band = guard_factor * expanded_uncertainty
    inside, outside = True, False
    for limit, sign in ((lower, 1), (upper, -1)):
        if limit is not None:
            # How far inside the limit. The grace also covers the last bits of large numbers.
            room = sign * (value - limit)
            grace = GRACE + 1e-12 * max(abs(value), abs(limit))
            inside = inside and room >= band - grace
            outside = outside or room < -band - grace
    ratio = None
    if lower is not None and upper is not None and expanded_uncertainty > 0:
        ratio = (upper - lower) / (2 * expanded_uncertainty)
    return {
        "verdict": "outside" if outside else ("inside" if inside else "too_close"),
        "guarded_lower": None if lower is None else lower + band,
        "guarded_upper": None if upper is None else upper - band,
        "tolerance_ratio": ratio,
    }


def _verdict_lines(i, o):
    lines = []
    if o["guarded_lower"] is not None:
        lines.append(("a_g", "a + g*U", o["guarded_lower"], "as value"))
    if o["guarded_upper"] is not None:
        lines.append(("b_g", "b - g*U", o["guarded_upper"], "as value"))
    if o["tolerance_ratio"] is not None:
        lines.append(("T", "(b - a)/(2*U)", o["tolerance_ratio"], "plain"))
    return lines


def nearest_fraction(length=None, text=None, denominator=64):
    """The nearest fraction of an inch, as a rule reads it.

    Takes length [m], or text as a person writes a length (without a unit: inches), and
    denominator [-], a power of two. whole, numerator, denominator in lowest terms;
    remainder = length less the fraction [m]; text as "3 5/16 in".
    Source: one inch is 25.4 mm exactly (international inch).
    """
    if denominator & (denominator - 1):
        raise WorkingError("denominator", given_text(denominator), "a power of two: 2, 4, 8, 16, 32 or 64")
    if (length is None) == (text is None):
        raise WorkingError(
            "length",
            "nothing" if length is None else given_text(length, "length"),
            "either length or text, one of the two",
        )
    if text is not None:
        length = quantities.parse(text, "length", "in", "text")[0]
        if length < 0:
            raise WorkingError("text", given_text(text), "a length of 0 or more")
        if length > LARGEST:
            raise WorkingError("text", given_text(text), "a length of a workshop")
    parts = rounding.steps(length, 0.0254 / denominator)
    whole, numerator, of = parts // denominator, parts % denominator, denominator
    while of > 1 and numerator % 2 == 0:
        numerator, of = numerator // 2, of // 2
    shown = (
        "{} {}/{} in".format(whole, numerator, of)
        if whole and numerator
        else ("{}/{} in".format(numerator, of) if numerator else "{} in".format(whole))
    )
    return {
        "length": length,
        "whole": whole,
        "numerator": numerator,
        "denominator": of,
        "remainder": length - parts * 0.0254 / denominator,
        "text": shown,
    }


def _fraction_lines(i, o):
    lines = [] if i["text"] is None else [("l", None, o["length"], "length", "as read from the text")]
    return lines + [
        ("f", None, o["length"] - o["remainder"], "length", "nearest fraction of an inch, " + o["text"]),
        ("rest", "l - f", o["remainder"], "length"),
    ]


def propagate(function, values, uncertainties, names=None):
    """Law of propagation of uncertainty (JCGM 100, 5.1.2) for one number.

    function(values) gives the number; uncertainties holds a standard uncertainty for some of the
    values, in the order of names. Sensitivities by central differences with a hundredth of the
    uncertainty as step; where function refuses a step (WorkingError), by a difference to the
    other side. Returns value, combined, expanded (twice the combined) and shares, largest first.
    """

    def stepped(name, step):
        moved = dict(values)
        moved[name] = values[name] + step
        try:
            return function(moved)
        except WorkingError:
            return None

    value = function(values)
    parts = []
    for name in sorted(uncertainties) if names is None else names:
        size = abs(values[name])
        step = max(uncertainties[name] / 100, 1e-6 * size) or 1e-9
        low, high = stepped(name, -step), stepped(name, step)
        if low is not None and high is not None:
            slope = (high - low) / (2 * step)
        elif low is None and high is None:
            raise WorkingError(
                "uncertainties",
                given_text(uncertainties[name]),
                "an input that can be a little more or less",
                "uncertainties: {} can be neither a little more nor a little less here, so "
                "its share cannot be told.".format(name),
            )
        else:
            sign, near = (1, high) if low is None else (-1, low)
            far = stepped(name, 2 * sign * step)
            # Three points where there are three: as good as the central difference.
            slope = sign * (
                (near - value) / step if far is None else (4 * near - 3 * value - far) / (2 * step)
            )
        parts.append((name, slope, abs(slope) * uncertainties[name]))
    combined = math.sqrt(sum([part[2] * part[2] for part in parts]))
    shares = []
    for name, slope, contribution in parts:
        share = (contribution / combined) ** 2 if combined else 0.0
        shares.append({"input": name, "sensitivity": slope, "contribution": contribution, "share": share})
    # Sorted by whole steps and place, so that both Pythons agree on what is alike.
    order = sorted([(-rounding.steps(shares[k]["share"], 1e-9), k) for k in range(len(shares))])
    return {
        "value": value,
        "combined": combined,
        "expanded": 2 * combined,
        "shares": [shares[k] for _, k in order],
    }


def uncertainty_budget(working, inputs, uncertainties, output):
    """How uncertain one output of a working is, and which inputs make it so.

    Takes working (id), inputs (its inputs), uncertainties (input name to standard uncertainty, of
    inputs that are plain numbers), output (name). combined = sqrt(sum (sensitivity u)^2); expanded
    = 2 combined; shares, largest first.
    Source: JCGM 100:2008, 5.1.2; coverage factor 2.
    """
    from workings import registry  # it lists this working, so it cannot stand at the top

    if working == "uncertainty_budget":
        raise WorkingError("working", given_text(working), "a working that is not itself a budget")
    about = registry.find(working)
    gives = about.output(output)
    numbers = [one.name for one in about.outputs if one.shape in ("number", "number or null")]
    if gives is None or output not in numbers:
        raise WorkingError(
            "output",
            given_text(output),
            "an output of {} that is a number: {}".format(working, listed(numbers)),
        )
    try:
        values = registry.checked(about, inputs)
    except WorkingError as error:
        raise WorkingError("inputs", error.value, error.accepted, "inputs: " + error.message)
    for name in sorted(uncertainties):
        spec, size = about.input(name), uncertainties[name]
        if spec is None or spec.shape != "number" or values[name] is None:
            raise WorkingError(
                "uncertainties",
                "“" + name[:60] + "”",
                "names of inputs of {} that are plain numbers and are given".format(working),
            )
        if not is_number(size) or not 0 <= size <= LARGEST:
            raise WorkingError(
                "uncertainties", given_text(size), "a standard uncertainty of 0 or more for " + name
            )

    def one_output(moved):
        given = {}
        for name in moved:
            if moved[name] is not None:
                given[name] = moved[name]
        return registry.run(working, given)[output]

    def number_output(moved):
        value = one_output(moved)
        if value is None:
            raise WorkingError("output", given_text(output), "an output that these inputs give a number for")
        return value

    try:
        return propagate(
            number_output,
            values,
            uncertainties,
            [one.name for one in about.inputs if one.name in uncertainties],
        )
    except WorkingError as error:
        if error.input in ("output", "uncertainties"):
            raise
        raise WorkingError("inputs", error.value, error.accepted, "inputs: " + error.message)


def _budget_lines(i, o):
    lines = [("y", None, o["value"], "as that output", "value of " + i["output"].replace("_", " "))]
    for k, part in enumerate(o["shares"]):
        lines.append(
            (
                "u_{}".format(k + 1),
                None,
                part["contribution"],
                "as that output",
                "sensitivity × standard uncertainty of {}, {} % of the whole".format(
                    part["input"].replace("_", " "), rounding.decimal_text(part["share"] * 100, 1)
                ),
            )
        )
    if o["shares"]:
        squares = " + ".join(["u_{}^2".format(k + 1) for k in range(len(o["shares"]))])
        lines.append(("u", "sqrt(" + squares + ")", o["combined"], "as that output"))
        lines.append(("U", "2*u", o["expanded"], "as that output"))
    return lines


WORKINGS = [
    Working(
        "reading_verdict",
        "Verdict on a reading",
        reading_verdict,
        [
            number("value", "any", "the reading", "v"),
            number("lower", "as value", "lower limit; lower or upper or both", "a", optional=True),
            number("upper", "as value", "upper limit", "b", optional=True),
            number("expanded_uncertainty", "as value", "of the reading, k = 2", "U", least=0),
            number("guard_factor", "plain", "how much of it guards the limits", "g", default=1.0, least=0),
        ],
        [
            Output("verdict", "plain", "", "choice: inside, outside, too_close"),
            Output("guarded_lower", "as value", "lower + g·U", "number or null"),
            Output("guarded_upper", "as value", "upper − g·U", "number or null"),
            Output("tolerance_ratio", "plain", "tolerance over twice the uncertainty", "number or null"),
        ],
        _verdict_lines,
        ["The expanded uncertainty covers the gauge, the hand and the temperature (k = 2)."],
        ["Too close means: measure with a better gauge, or ask the lead; it does not mean inside."],
        ["Decision rule of ISO 14253-1, as summarised by others; guard band of JCGM 106, from memory."],
    ),
    Working(
        "nearest_fraction",
        "Nearest fraction of an inch",
        nearest_fraction,
        [
            length("length", "length or text, one of the two", "l", least=0, optional=True),
            Input(
                "text",
                "plain",
                "a length as a person writes it; without a unit: inches",
                "text",
                optional=True,
            ),
            Input(
                "denominator",
                "plain",
                "a power of two",
                "whole number",
                default=64,
                least=1,
                most=MOST_OF_INCH,
            ),
        ],
        [
            Output("length", "length", "given or read from text"),
            Output("whole", "plain", "inches", "whole number"),
            Output("numerator", "plain", "lowest terms", "whole number"),
            Output("denominator", "plain", "lowest terms", "whole number"),
            Output("remainder", "length", "length less the fraction"),
            Output("text", "plain", "as “3 5/16 in”", "text"),
        ],
        _fraction_lines,
        [],
        [],
        ["1 in = 25.4 mm exactly, the international inch."],
    ),
    Working(
        "uncertainty_budget",
        "Uncertainty of a result",
        uncertainty_budget,
        [
            Input("working", "plain", "id of any working", "text"),
            Input("inputs", "plain", "its inputs", "object"),
            Input(
                "uncertainties",
                "plain",
                "standard uncertainty of inputs that are plain numbers",
                "object: input name to standard uncertainty",
            ),
            Input("output", "plain", "the output whose uncertainty is wanted", "text"),
        ],
        [
            Output("value", "as that output"),
            Output("combined", "as that output", "standard uncertainty"),
            Output("expanded", "as that output", "twice the combined"),
            Output(
                "shares", "plain", "largest first", "list of objects: input, sensitivity, contribution, share"
            ),
        ],
        _budget_lines,
        ["The inputs are independent of each other and the working is smooth within their uncertainties."],
        [],
        ["JCGM 100:2008 (GUM), 5.1.2; expanded with k = 2."],
    ),
]
