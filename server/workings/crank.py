"""Crank positions in words, as the trade calls them, in quarters and eighths of a turn.

A crank angle grows from forward dead centre in the sense in which the wheel turns when the engine
moves forward, so the pin goes down first: a quarter turn on is the bottom quarter.
"""

import math

from workings.errors import WorkingError
from workings.rounding import digits_text, steps

DEGREE = math.pi / 180
WORDS = ("front dead centre", "bottom front eighth", "bottom quarter", "bottom back eighth",
         "back dead centre", "top back eighth", "top quarter", "top front eighth")


def ascii_lower(text):
    """Small letters for A to Z only: beyond them the two Pythons disagree."""
    return "".join([chr(ord(c) + 32) if "A" <= c <= "Z" else c for c in text])


def crank_position(text, name="crank position"):
    """The angle [rad] of a position in words; WorkingError on name where it is none."""
    words = []
    for word in ascii_lower(text).replace("-", " ").split(" "):
        word = {"forward": "front", "rear": "back", "center": "centre", "lower": "bottom", "upper": "top",
                "fdc": "front dead centre", "bdc": "back dead centre"}.get(word, word)
        words += [part for part in word.split(" ") if part]
    wanted = sorted(words)
    for n, position in enumerate(WORDS):
        if sorted(position.split()) == wanted:
            return n * 45 * DEGREE
    raise WorkingError(name, text, "degrees or one of: " + ", ".join(WORDS))


def crank_words(angle):
    """The position nearest to angle [rad] in words, and how far past or before it."""
    tenths = steps(angle / DEGREE, 0.1) % 3600
    n = (tenths + 225) // 450
    off = tenths - n * 450
    words = WORDS[n % 8]
    if off:
        words = f"{digits_text(abs(off), 1)}° {'past' if off > 0 else 'before'} {words}"
    return words


def crank_degrees(angle):
    """Degrees from 0 to 359.9, as text with one decimal."""
    return digits_text(steps(angle / DEGREE, 0.1) % 3600, 1)
