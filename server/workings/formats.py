"""How a value is to be shown: "in/16", "ft in/8", "mm 0.1", "words", "yes/no", "crank".

Everything shown is a whole number of steps first (rounding.py), so both Pythons show the same text,
and a verdict can be given on the very number that a person reads.
"""

from workings.crank import DEGREE, crank_degrees, crank_words
from workings.errors import WorkingError
from workings.rounding import digits_text, grouped, steps
from workings.units_table import DIMENSIONS, ORDER, UNITS

INCH = 0.0254
DENOMINATORS = (1, 2, 4, 8, 16, 32, 64, 128)
_PARTS = {2: ("half", "halves"), 4: ("quarter", "quarters"), 8: ("eighth", "eighths"),
          16: ("sixteenth", "sixteenths"), 32: ("thirty-second", "thirty-seconds"),
          64: ("sixty-fourth", "sixty-fourths"), 128: ("128th", "128ths")}
_ACCEPTED = "a fraction such as in/16 or ft in/8, a unit and a step such as mm 0.1, crank, words or yes/no"


def units_for(dimension_name):
    """Ids of the units of a dimension, in the order people expect."""
    if dimension_name not in DIMENSIONS:
        raise WorkingError("dimension", dimension_name, "one of: " + ", ".join(sorted(DIMENSIONS)))
    return [row[0] for row in ORDER if row[1] == dimension_name]


def _step(word):
    """The exact decimal of a step as (whole number, decimals), or None."""
    head, dot, tail = word.partition(".")
    figures = head + tail
    if not head or dot and not tail or len(figures) > 9 or [c for c in figures if c not in "0123456789"]:
        return None
    return (int(figures), len(tail)) if int(figures) else None


def read_format(text, dimension_name=None, name="format"):
    """The checked form of a format text, for show(); WorkingError on name where it is none."""
    word = " ".join([part for part in text.split(" ") if part])
    out = {"text": word, "kind": word, "unit": "", "denominator": 0, "size": 0, "places": 0}
    if word in ("words", "yes/no"):
        return out
    where = dimension_name
    if word == "crank":
        out["unit"] = "deg"
        out["size"], out["places"] = 1, 1
        where = "angle"
    elif word[:3] == "in/" or word[:6] == "ft in/":
        figures = word[word.find("/") + 1:]
        if figures not in [str(d) for d in DENOMINATORS]:
            # in/deg and in/s begin alike but are units with a step.
            if " " in figures:
                return _read_step(word, out, dimension_name, name)
            raise WorkingError(name, text, "in/2, in/4, in/8, in/16, in/32, in/64 or in/128")
        out["kind"] = "feet" if word[0] == "f" else "inches"
        out["unit"], out["denominator"] = "in", int(figures)
        where = "length"
    else:
        return _read_step(word, out, dimension_name, name)
    if dimension_name not in (None, where):
        raise WorkingError(name, text, f"a format for {dimension_name}",
                           f"{name}: {text} shows {where}; here stands {dimension_name}.")
    return out


def _read_step(word, out, dimension_name, name):
    unit, _, step = word.rpartition(" ")
    unit = unit or "number"
    size = _step(step)
    if unit not in UNITS or size is None:
        raise WorkingError(name, word, _ACCEPTED)
    if dimension_name is not None and UNITS[unit][5] != dimension_name:
        raise WorkingError(name, word, "a step in " + ", ".join(units_for(dimension_name)))
    out["kind"], out["unit"] = "steps", unit
    out["size"], out["places"] = size
    return out


def _counted(value, form):
    """value [SI] as a whole number of the format's steps."""
    row = UNITS[form["unit"]]
    number = (value - row[2]) / row[1]
    if form["denominator"]:
        return steps(number * form["denominator"], 1)
    # Multiplied by ten to the places, not divided by 0.1, which no float is.
    return steps(number * float(10 ** form["places"]), form["size"])


def step_size(form):
    """One step of the format in SI; 0 for words."""
    if form["denominator"]:
        return INCH / form["denominator"]
    return UNITS[form["unit"]][1] * form["size"] / float(10 ** form["places"]) if form["size"] else 0.0


def rounded(value, form):
    """The number [SI] that show() tells: what decides must be this one."""
    n = _counted(value, form)
    row = UNITS[form["unit"]]
    if form["denominator"]:
        return n / form["denominator"] * INCH
    return n * form["size"] / float(10 ** form["places"]) * row[1] + row[2]


def lowest(numerator, denominator):
    while numerator and numerator % 2 == 0 and denominator > 1:
        numerator, denominator = numerator // 2, denominator // 2
    return (numerator, denominator) if numerator else (0, 1)


def fraction_of_inch(value, denominator=64):
    """(whole, numerator, denominator, remainder [m], text) of the nearest fraction to value [m].

    The fraction is in lowest terms; denominator is 1 where the numerator is 0. Half a step goes up.
    """
    if denominator not in DENOMINATORS:
        raise WorkingError("denominator", str(denominator), "a power of two: 1, 2, 4, 8, 16, 32, 64 or 128")
    n = steps(value / INCH * denominator, 1)
    whole, rest = abs(n) // denominator, abs(n) % denominator
    rest, part = lowest(rest, denominator)
    text = _mixed(whole, rest, part)
    return (whole, rest, part, value - n / denominator * INCH, ("−" if n < 0 else "") + text + " in")


def _mixed(whole, numerator, denominator):
    if not numerator:
        return str(whole)
    return (f"{whole} " if whole else "") + f"{numerator}/{denominator}"


def with_unit(number, label):
    if label in ("$", "£", "€"):
        return "−" + label + number[1:] if number[:1] == "−" else label + number
    if label[:2] in ("$/", "£/", "€/"):
        return with_unit(number, label[0]) + label[1:]
    return number + ("" if label in ("°", "′", "″", "%", "") else " ") + label


def _dict(text, number, unit, spoken, step, whole="", num="", den=""):
    return {"text": text, "number": number, "whole": whole, "num": num, "den": den, "unit": unit,
            "spoken": spoken, "step": step}


def show(value, form):
    """How value is shown by a format: text, number, whole, num, den, unit, spoken, step (see the module)."""
    if isinstance(form, str):
        form = read_format(form)
    kind = form["kind"]
    if kind == "words" or kind == "yes/no":
        text = value if kind == "words" else "yes" if value else "no"
        return _dict(text, text, "", text, 0.0)
    n = _counted(value, form)
    sign, minus = ("−", "minus ") if n < 0 else ("", "")
    row = UNITS[form["unit"]]
    step = step_size(form)
    if kind == "crank":
        number, words = crank_degrees(value), crank_words(value)
        return _dict(f"{words} ({number}°)", number, "°", f"{words}, {number} degrees", 0.1 * DEGREE, number)
    if kind == "steps":
        number = sign + grouped(digits_text(abs(n) * form["size"], form["places"]))
        spoken = minus + (number[1:] if sign else number)
        spoken += " " + (row[6] if number == "1" else row[4]) if row[4] else ""
        return _dict(with_unit(number, row[3]), number, row[3], spoken, step, number)
    den = form["denominator"]
    whole, (rest, part) = abs(n) // den, lowest(abs(n) % den, den)
    feet, inches = (whole // 12, whole % 12) if kind == "feet" else (0, whole)
    number = (f"{feet} ft " if feet else "") + _mixed(inches, rest, part)
    said = [f"{feet} {'foot' if feet == 1 else 'feet'}"] if feet else []
    if rest:
        parts = f"{rest} {_PARTS[part][rest > 1]}"
        one = not inches
        said.append((parts if one else f"{inches} and {parts}") + (" of an inch" if one else " inches"))
    elif inches or not feet:
        said.append(f"{inches} {'inch' if inches == 1 else 'inches'}")
    head = (f"{feet} ft " if feet else "") + (str(inches) if inches or not rest else "")
    return _dict(sign + number + " in", sign + number, "in", minus + " ".join(said), step,
                 sign + head.rstrip(" "), str(rest) if rest else "", str(part) if rest else "")
