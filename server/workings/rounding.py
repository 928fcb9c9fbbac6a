"""One rounding for everything that is shown, compared or decided.

The two Pythons print and round floats differently, so no text of a float and no round() is
used anywhere: a value becomes a whole number of steps here, and text is made from that
integer. Half a step goes away from zero. A billionth of a step of grace (GRACE) keeps exact
ties such as 2.5 steps from falling to either side by the last bit of a sine.
"""

import math

from workings.errors import WorkingError

GRACE = 1e-9
_RAISED = {"-": "⁻", "0": "⁰", "1": "¹", "2": "²", "3": "³", "4": "⁴", "5": "⁵", "6": "⁶", "7": "⁷",
           "8": "⁸", "9": "⁹"}


def _finite(value):
    # NaN is the only value unlike itself; both tests work for int and float alike.
    if value != value or value in (math.inf, -math.inf):
        raise WorkingError("value", "not a number" if value != value else "infinite", "a finite number")
    return value


def _whole(size):
    return int(math.floor(size + 0.5 + GRACE))


def steps(value, step):
    """The nearest whole number of steps in value, half away from zero. Units of step: value's."""
    if not step > 0:
        raise WorkingError("step", number_text(step), "a step above 0")
    n = _whole(_finite(abs(_finite(value)) / step))
    return -n if value < 0 else n


def snap(value, step):
    """value rounded to a whole number of steps, as a float."""
    return steps(value, step) * step


def digits_text(n, places):
    """The integer n with a decimal point put in: (33125, 4) -> "3.3125"."""
    sign, text = ("-" if n < 0 else ""), str(abs(n))
    if places <= 0:
        return sign + text + "0" * -places
    text = "0" * (places + 1 - len(text)) + text
    return sign + text[:-places] + "." + text[-places:]


def decimal_text(value, places):
    """value with a fixed number of decimals; never "-0"."""
    n = _whole(_finite(abs(_finite(value)) * float(10 ** places)))
    return digits_text(-n if value < 0 else n, places)


def _trimmed(text):
    return text.rstrip("0").rstrip(".") if "." in text else text


def number_text(value, digits=6):
    """value to so many significant digits, for stories; whole numbers keep all theirs."""
    size = abs(_finite(value))
    if size == 0:
        return "0"
    power = int(math.floor(math.log(size) / math.log(10)))
    if -7 < power < 12:
        # The logarithm may be one off next to a power of ten; ask the powers themselves.
        while size >= 10.0 ** (power + 1) * (1 - 1e-15):
            power += 1
        while size < 10.0 ** power * (1 - 1e-15):
            power -= 1
        return _trimmed(decimal_text(value, max(0, digits - 1 - power)))
    # Two factors, because 10 to the 300 and more is no float's business.
    half = power // 2
    lead = size / 10.0 ** half / 10.0 ** (power - half)
    n = _whole(lead * float(10 ** (digits - 1)))
    while n >= 10 ** digits:
        n = (n + 5) // 10
        power += 1
    while n < 10 ** (digits - 1):
        n *= 10
        power -= 1
    text = ("-" if value < 0 else "") + _trimmed(digits_text(n, digits - 1))
    return text + " × 10" + "".join(_RAISED[c] for c in str(power))


def grouped(text):
    """Thousands set apart by a space from five digits on: "40000" -> "40 000"."""
    head, dot, tail = text.partition(".")
    sign = head[:1] if head[:1] in ("-", "−") else ""
    head = head[len(sign):]
    if len(head) < 5 or " " in head:
        return text
    first = len(head) % 3
    parts = [head[:first]] if first else []
    parts += [head[i:i + 3] for i in range(first, len(head), 3)]
    return sign + " ".join(parts) + dot + tail
