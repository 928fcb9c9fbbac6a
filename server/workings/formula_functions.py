"""What each sign and function of a formula takes and gives: its types, and its value.

A trouble is given back as a value (see Formula.evaluate), never raised, by result(); result_type()
raises it.
"""

import math

from workings.quantities import dimension_words
from workings.rounding import GRACE, steps

PLAIN = (0, 0, 0, 0, 0, 0)
ANGLE = (0, 0, 0, 0, 1, 0)
POWER = 12
MANY = 20
# name -> fewest and most values
FUNCTIONS = {"if": (3, 3), "min": (1, MANY), "max": (1, MANY), "sum": (1, MANY), "mean": (1, MANY),
             "abs": (1, 1), "sqrt": (1, 1), "sin": (1, 1), "cos": (1, 1), "tan": (1, 1), "asin": (1, 1),
             "acos": (1, 1), "atan": (1, 1), "atan2": (2, 2), "round": (1, 2), "floor": (1, 2),
             "ceil": (1, 2)}
COMPARE = ("<", "<=", ">", ">=", "=", "<>")
_DOES = {"+": "added", "-": "subtracted"}


class Trouble(Exception):
    """Why something cannot be done, and what would be accepted; error: what to raise for it."""

    def __init__(self, why, accepted):
        super().__init__(why)
        self.why, self.accepted = why, accepted
        self.error = None


def _words(kind):
    if kind[0] != "number":
        return "words" if kind[0] == "text" else kind[0]
    words = dimension_words(kind[1] or PLAIN)
    return ("an " if words[0] in "aeiou" else "a ") + words


def _numbers(op, given):
    for kind in given:
        if kind[0] != "number":
            raise Trouble(f"{op} takes numbers, not {_words(kind)}", "a number or a quantity")


def _alike(op, given):
    """The one dimension that all have; a plain 0 (None) goes with any."""
    powers = None
    for kind in given:
        if powers is None:
            powers = kind[1]
        elif kind[1] is not None and tuple(kind[1]) != tuple(powers):
            first, second = _words(("number", powers)), _words(kind)
            what = "stand together" if op in FUNCTIONS else "be " + _DOES.get(op, "compared")
            plain = PLAIN in (tuple(powers), tuple(kind[1]))
            raise Trouble(f"{first} and {second} cannot {what}",
                          "the number a unit, such as 3[in]" if plain else "both the same dimension")
    return powers


def _need(op, kind, powers):
    _numbers(op, [kind])
    if kind[1] is not None and tuple(kind[1]) != powers:
        unit = "an angle, such as 30[deg]" if powers == ANGLE else "it divided by a unit, such as x/1[in]"
        raise Trouble(f"{op} takes {_words(('number', powers))}, not {_words(kind)}", unit)


def _power(base, before):
    """The dimension of base^n; only a whole number, written out, can raise a quantity."""
    if base is None or base == PLAIN:
        return PLAIN
    # before: the program's last step before ^, or the minus sign ahead of it
    n = before[1][0] if before[0] == "number" and before[1][3] is None else None
    if n is None or n != int(n) or n > POWER:
        raise Trouble("a quantity is raised to something that is no whole number",
                      f"a whole number up to {POWER}, or 1/x for a negative one")
    return tuple([p * int(n) for p in base])


def _bounded(powers):
    for power in powers:
        if not -POWER <= power <= POWER:
            raise Trouble("a dimension grows beyond all use", "fewer factors")
    return ("number", powers)


def result_type(op, given, before=None):
    """The type that op gives for the types it is given; raises Trouble."""
    if op in ("not", "and", "or"):
        for kind in given:
            if kind[0] != "yes/no":
                raise Trouble(f"{op} takes yes or no, not {_words(kind)}", "a comparison such as a < b")
        return ("yes/no",)
    if op in COMPARE:
        if given[0][0] != given[1][0]:
            raise Trouble(f"{_words(given[0])} and {_words(given[1])} cannot be compared", "two of one kind")
        if given[0][0] == "number":
            _alike(op, given)
        elif op not in ("=", "<>"):
            raise Trouble(f"{op} does not compare {_words(given[0])}", "= or <>")
        return ("yes/no",)
    if op == "if":
        if given[0][0] != "yes/no":
            raise Trouble(f"if asks {_words(given[0])} first", "a yes or no, such as a < b")
        if given[1][0] != given[2][0]:
            raise Trouble(f"if gives {_words(given[1])} or {_words(given[2])}", "two of one kind")
        return ("number", _alike(op, given[1:])) if given[1][0] == "number" else given[1]
    _numbers("the minus sign" if op == "minus" else op, given)
    first = given[0][1]
    if op in ("minus", "abs"):
        return given[0]
    if op == "*" or op == "/":
        second = given[1][1] or PLAIN
        if first is None:
            return given[0] if op == "/" else ("number", None)
        if op == "/":
            return _bounded(tuple([a - b for a, b in zip(first, second)]))
        powers = [a + b for a, b in zip(first, second)]
        # An arc: length times angle is a length.
        if powers[4] and (first[0] and not first[4] or second[0] and not second[4]):
            powers[4] = 0
        return _bounded(tuple(powers))
    if op == "^":
        _need("the exponent", given[1], PLAIN)
        return _bounded(_power(first and tuple(first), before))
    if op == "sqrt":
        if first and [p for p in first if p % 2]:
            raise Trouble(f"{_words(given[0])} has no square root", "an area or the like, or a plain number")
        return ("number", first and tuple([p // 2 for p in first]))
    if op in ("sin", "cos", "tan"):
        _need(op, given[0], ANGLE)
        return ("number", PLAIN)
    if op in ("asin", "acos", "atan"):
        _need(op, given[0], PLAIN)
        return ("number", ANGLE)
    powers = _alike(op, given)
    if op in ("round", "floor", "ceil") and len(given) == 1 and powers not in (None, PLAIN):
        raise Trouble(f"{op} does not know to what step", f"the step too: {op}(x, 1/16[in])")
    return ("number", ANGLE if op == "atan2" else powers)


def _near(a, b):
    return abs(a - b) <= max(1e-9, 1e-12 * max(abs(a), abs(b)))


def _compare(op, a, b):
    if isinstance(a, str) or a is True or a is False:
        same = a == b
    else:
        same = _near(a, b)
    if op in ("=", "<>"):
        return same == (op == "=")
    if op in ("<=", ">=") and same:
        return True
    return not same and (a < b if op in ("<", "<=") else a > b)


def _raised(base, n):
    if n == int(n) and abs(n) <= 64:
        # By multiplication: the two Pythons' pow() may differ in the last bit.
        out = 1.0
        for _ in range(abs(int(n))):
            out *= base
        return 1 / out if n < 0 else out
    if base < 0:
        raise ValueError
    return base ** n


def _steps(op, value, step):
    if not step > 0:
        raise ValueError
    if op == "round":
        return steps(value, step) * step
    # Grace as in rounding: 2.9999999999 steps are three.
    grace = GRACE if op == "floor" else -GRACE
    return (math.floor if op == "floor" else math.ceil)(value / step + grace) * step


def _worked(op, v):
    a = v[0]
    if op == "minus":
        return -a
    if op == "+":
        return a + v[1]
    if op == "-":
        return a - v[1]
    if op == "*":
        return a * v[1]
    if op == "/":
        return a / v[1]
    if op == "^":
        return _raised(a, v[1])
    if op == "min" or op == "max":
        return (min if op == "min" else max)(v)
    if op == "sum" or op == "mean":
        return sum(v) / (len(v) if op == "mean" else 1)
    if op == "abs":
        return abs(a)
    if op == "asin" or op == "acos":
        # 1.0000000001 is a rounded 1; more than that is a mistake.
        a = min(1.0, max(-1.0, a)) if abs(a) <= 1 + GRACE else a
    if op in ("round", "floor", "ceil"):
        return _steps(op, a, v[1] if len(v) > 1 else 1.0)
    if op == "atan2":
        return math.atan2(a, v[1])
    return {"sqrt": math.sqrt, "sin": math.sin, "cos": math.cos, "tan": math.tan, "asin": math.asin,
            "acos": math.acos, "atan": math.atan}[op](a)


def kind_of(value):
    return "yes/no" if value is True or value is False else "text" if isinstance(value, str) else "number"


def result(op, given):
    """The value that op gives; a Trouble where it has none."""
    first = given[0]
    if isinstance(first, Trouble):
        return first
    if op in ("and", "or", "if", "not") and kind_of(first) != "yes/no":
        return Trouble(f"{op} takes yes or no", "a comparison such as a < b")
    if op == "not":
        return not first
    if op == "if":
        return given[1] if first else given[2]
    if op in ("and", "or") and first == (op == "or"):
        return first
    for value in given:
        if isinstance(value, Trouble):
            return value
    kinds = [kind_of(value) for value in given]
    if op in ("and", "or") or op in COMPARE:
        wanted = "yes/no" if op in ("and", "or") else kinds[0]
        if kinds[1] != wanted or wanted != "number" and op not in ("=", "<>", "and", "or"):
            return Trouble(f"{op} is given what it cannot join", "two of one kind")
        return given[1] if op in ("and", "or") else _compare(op, first, given[1])
    if [kind for kind in kinds if kind != "number"]:
        return Trouble(f"{op} takes numbers", "a number or a quantity")
    try:
        out = float(_worked(op, given))
    except ZeroDivisionError:
        return Trouble("this divides by zero", "a value other than 0 below the line")
    except (ValueError, OverflowError, TypeError):
        return Trouble(f"{op} has no value for what it is given", "values that it can take")
    # Infinity less itself is not a number, nor is it 0.
    if out - out != 0:
        return Trouble("this grows beyond all numbers", "smaller values")
    return out
