"""Quantities as people write them: text in, base SI inside, text out.

"3 5/16 in", "3-5/16\\"", "5 ft 6 1/2 in", "12 thou", "40000 lb" (a force where one is asked), "60 rpm",
"12° 30'", "½ in". Units are never guessed: a number without one is refused unless the unit stands on
screen (default_unit), and "ton" must say which. Formats and show() are in formats.py.
"""

from workings.crank import ascii_lower, crank_degrees, crank_position, crank_words
from workings.errors import WorkingError
from workings.formats import (
    INCH,
    fraction_of_inch,
    read_format,
    rounded,
    show,
    step_size,
    units_for,
    with_unit,
)
from workings.rounding import grouped as in_thousands
from workings.rounding import number_text, steps
from workings.units_table import DIMENSIONS, ORDER, UNITS

__all__ = ["DIMENSIONS", "UNITS", "crank_degrees", "crank_position", "crank_words", "dimension_words", "echo",
           "fraction_of_inch", "parse", "read_format", "rounded", "show", "step_size", "text_in", "units_for"]

_LONGEST = 80
_FIGURES = "0123456789"
_ALIKE = {"−": "-", "–": "-", "‐": "-", "‑": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ",
          "\n": " ", "\r": " ", "′": "'", "’": "'", "ʹ": "'", "‘": "'", "″": '"', "”": '"', "“": '"',
          "º": "°", "˚": "°", "μ": "µ", "⁄": "/", "∕": "/", "½": " 1/2", "¼": " 1/4", "¾": " 3/4",
          "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "⅓": " 1/3", "⅔": " 2/3"}
_RAISED, _LOWERED = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"
# Which units may follow one another in one quantity, the greater first.
_CHAINS = (("mile", "yd", "ft", "in"), ("deg", "arcmin", "arcsec"), ("lb", "oz"),
           ("week", "day", "h", "min", "s"))
_TONS = ("ton", "tons", "t")
_GALLONS = ("gal", "gallon", "gallons")


def _letter(c):
    return "a" <= c <= "z" or c == "µ"


def _names():
    found = {}
    for row in ORDER:
        for alias in row[7].split(","):
            found[alias] = found.get(alias, ()) + (row[0],)
    return found


NAMES = _names()
_LONGEST_NAME = max([len(alias) for alias in NAMES])


def dimension_words(powers):
    """A dimension in words: "length", "plain number", or its powers for one without a name."""
    if not any(powers):
        return "plain number"
    for name in sorted(DIMENSIONS):
        if DIMENSIONS[name] == tuple(powers):
            return name
    parts = []
    for name, power in zip(("length", "mass", "time", "temperature", "angle", "money"), powers):
        if power:
            parts.append(name if power == 1 else f"{name}^{power}")
    return "·".join(parts)


def _a(name):
    """The dimension's name as one says it: "a length", "an amount of money"."""
    said = {"plain": "plain number", "money": "amount of money", "per temperature": "number per degree"}
    name = said.get(name, name)
    return ("an " if name[0] in "aeiou" else "a ") + name


def _plain(text):
    """The text in few characters: one kind of dash, quote and space, small letters, no raised figures."""
    out = []
    for n, c in enumerate(text):
        if c in _RAISED:
            # Raised figures after a letter are a power (in²); else the top of a fraction (3⁵⁄₁₆).
            before = text[n - 1] if n else " "
            if before not in _RAISED and not _letter(ascii_lower(before)):
                out.append(" ")
            out.append(_FIGURES[_RAISED.index(c)])
        elif c in _LOWERED:
            out.append(_FIGURES[_LOWERED.index(c)])
        else:
            out.append(_ALIKE.get(c, c))
    return " ".join(ascii_lower("".join(out)).replace("''", '"').split(" ")).strip(" ")


class _Typed:
    """One typed quantity on its way to a number."""

    def __init__(self, text, dimension_name, default_unit, name):
        self.given = text
        self.dimension_name = dimension_name
        self.name = name
        self.units = units_for(dimension_name)
        self.default_unit = default_unit
        if default_unit is not None and default_unit not in self.units:
            raise WorkingError(name, default_unit, f"a unit of {dimension_name}: {', '.join(self.units)}")
        self.text = _plain(text[:_LONGEST])
        self.at = 0

    def accepted(self):
        if self.dimension_name == "plain":
            return "a number such as 12 or 0.5"
        units = [self.default_unit] if self.default_unit else []
        units += [u for u in self.units[:4] if u != self.default_unit]
        labels = [UNITS[u][3] for u in units]
        return f"{_a(self.dimension_name)} in {', '.join(labels[:-1])} or {labels[-1]}"

    def fail(self, why, accepted=None, hint=""):
        accepted = accepted or self.accepted()
        given = self.given.strip(" ")
        given = given if len(given) <= 40 else given[:40] + "…"
        raise WorkingError(self.name, given, accepted,
                           f"{self.name}: {given + ' ' if given else ''}{why}; give {accepted}.{hint}")

    def figures(self):
        text, start = self.text, self.at
        while self.at < len(text) and text[self.at] in _FIGURES:
            self.at += 1
        return text[start:self.at]

    def spaces(self):
        while self.text[self.at:self.at + 1] == " ":
            self.at += 1

    def fraction(self):
        """The "5/16" that stands here as two numbers, or None and nothing read."""
        start, top = self.at, self.figures()
        if top and self.text[self.at:self.at + 1] == "/":
            self.at += 1
            bottom = self.figures()
            if bottom:
                if len(top) > 9 or len(bottom) > 9 or not int(bottom):
                    self.fail("holds no such fraction", "a fraction such as 5/16")
                return int(top), int(bottom)
        self.at = start
        return None

    def number(self):
        """(numerator, denominator) of the number that stands here."""
        plain = self.fraction()
        if plain:
            return plain
        whole, text = self.figures(), self.text
        # "40 000": groups of three, unless they begin a fraction ("3 125/128").
        grouped = 0 < len(whole) <= 3
        while grouped and text[self.at:self.at + 1] == " ":
            back = self.at
            self.at += 1
            group = self.figures()
            if len(group) != 3 or text[self.at:self.at + 1] == "/":
                self.at = back
                break
            whole += group
        after = text[self.at:self.at + 1]
        if whole and after in ("-", " "):
            back = self.at
            self.at += 1
            if after == " ":
                self.spaces()
            part = self.fraction()
            if part and part[0] >= part[1]:
                self.fail("has a fraction of one or more after the whole number", "a fraction such as 3 5/16")
            if part:
                return self.bounded(whole) * part[1] + part[0], part[1]
            self.at = back
        tail, power = "", 0
        if after == ".":
            self.at += 1
            tail = self.figures()
        if not whole and not tail:
            self.fail("is not a quantity")
        if text[self.at:self.at + 1] == "e":
            sign = text[self.at + 1:self.at + 2]
            back, self.at = self.at, self.at + (2 if sign in ("+", "-") else 1)
            figures = self.figures()
            if not figures or len(figures) > 2:
                self.at = back
            else:
                power = -int(figures) if sign == "-" else int(figures)
        power -= len(tail)
        number = self.bounded(whole + tail)
        return (number * 10 ** power, 1) if power >= 0 else (number, 10 ** -power)

    def bounded(self, figures):
        if len(figures.lstrip("0")) > 15:
            self.fail("has too many figures", "at most 15 figures")
        return int(figures)

    def unit(self):
        """The unit that stands here, or None at the end; refuses one of another dimension."""
        self.spaces()
        rest = self.text[self.at:self.at + _LONGEST_NAME]
        if not rest:
            return None
        other = None
        for size in range(len(rest), 0, -1):
            word, after = rest[:size], self.text[self.at + size:self.at + size + 1]
            if word[-1] == " " or _letter(word[-1]) and _letter(after):
                continue
            for unit in NAMES.get(word, ()):
                if UNITS[unit][5] == self.dimension_name:
                    self.at += size
                    return unit
                other = other or unit
        word = rest
        for n, c in enumerate(rest):
            if c in _FIGURES or c == " ":
                word = rest[:n]
                break
        if word in _TONS:
            self.fail("does not say which ton",
                      "short ton (2000 lb), long ton (2240 lb) or metric ton (1000 kg)")
        if word in _GALLONS:
            self.fail("does not say which gallon", "US gal or imp gal")
        if other:
            number, unit = self.text[:self.at].rstrip(" "), self.default_unit
            hint = f" Did you mean {with_unit(number, UNITS[unit][3])}?" if unit else ""
            self.fail(f"is {_a(UNITS[other][5])}, not {_a(self.dimension_name)}", None, hint)
        known = len(word) > 1 and _letter(word[0])
        self.fail(f"has a unit not known here ({word})" if known else "is not a quantity")

    def read(self):
        text = self.text
        if "," in text:
            self.fail("has a comma", "a point for decimals and no comma for thousands, such as 3.5 or 40000")
        negative = text[:1] == "-"
        if negative or text[:1] == "+":
            text = text[1:].lstrip(" ")
        if text[:1] in ("$", "£", "€"):
            # "$12.50", "$40/h": the sign goes behind the number, where units stand.
            n = 1
            while text[n:n + 1] and text[n] in "0123456789. ":
                n += 1
            text = text[1:n].rstrip(" ") + " " + text[0] + text[n:]
        self.text, parts = text, []
        while self.at < len(self.text):
            top, bottom = self.number()
            parts.append((top, bottom, self.unit()))
            self.spaces()
        if not parts:
            self.fail("is not a quantity" if self.given.strip(" ") else "nothing is given")
        if len(parts) == 1 and parts[0][2] is None:
            unit = self.default_unit or ("number" if self.dimension_name == "plain" else None)
            if unit is None:
                like = with_unit(self.given.strip(" "), UNITS[self.units[0]][3])
                self.fail("has no unit", f"its unit too, such as {like}")
            parts = [(parts[0][0], parts[0][1], unit)]
        return self.sum(parts, negative)

    def sum(self, parts, negative):
        chain = [c for c in _CHAINS if parts[0][2] in c]
        before, total = -1, 0.0
        for n, (top, bottom, unit) in enumerate(parts):
            if unit is None:
                self.fail("does not say the unit of one of its numbers")
            row = UNITS[unit]
            if len(parts) > 1:
                place = chain[0].index(unit) if chain and unit in chain[0] else -1
                if place <= before or bottom != 1 and n + 1 < len(parts):
                    self.fail("is not one quantity")
                if n and top / bottom * row[1] >= UNITS[parts[n - 1][2]][1]:
                    self.fail(f"has too many {row[4]}: they are more than one of the unit before")
                before = place
            number = -(top / bottom) if negative else top / bottom
            total += number * row[1] + row[2]
        if not -1e15 < total < 1e15:
            self.fail("is too large")
        unit = parts[-1][2] if self.dimension_name == "length" else parts[0][2]
        return total, unit


def parse(text, dimension_name, default_unit=None, name="value"):
    """(value in base SI, id of the unit it was given in) of a typed quantity; WorkingError on name."""
    if not isinstance(text, str):
        raise WorkingError(name, "something that is no text", "a number with its unit, as text")
    typed = _Typed(text, dimension_name, default_unit, name)
    if dimension_name == "angle" and _letter(typed.text[:1]):
        return crank_position(text.replace("\u00a0", " "), name), "deg"
    if len(text) > _LONGEST:
        typed.fail("is too long")
    return typed.read()


def text_in(value, unit_id, digits=6):
    """value [SI] in a unit, to so many significant digits: "84.1375 mm"."""
    row = UNITS[unit_id]
    number = in_thousands(number_text((value - row[2]) / row[1], digits))
    return with_unit("−" + number[1:] if number[0] == "-" else number, row[3])


def _as_typed(value, unit_id):
    """A value in the unit it was typed in: inches as a fraction where they are one."""
    sixty_fourths = value / INCH * 64
    if unit_id == "in" and abs(sixty_fourths - steps(sixty_fourths, 1)) < 1e-6:
        return fraction_of_inch(value, 64)[4]
    return text_in(value, unit_id, 9)


def echo(value, unit_id, dimension_name):
    """What was typed, read back in the other system: "3 5/16 in = 84.1 mm", "4 kN (force) = 899.2 lbf"."""
    text = _as_typed(value, unit_id)
    if dimension_name == "force":
        text += " (force)"
    other = UNITS[unit_id][8]
    if not other:
        return text
    if dimension_name == "length" and other in ("mm", "in"):
        fine = unit_id == "thou" or unit_id == "in" and "." in text
        form = ("mm 0.001" if fine else "mm 0.1") if other == "mm" else "in 0.001"
        if step_size(read_format(form)) <= 2 * abs(value) or not value:
            return text + " = " + show(value, form)["text"]
    return text + " = " + text_in(value, other, 4)
