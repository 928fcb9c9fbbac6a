"""Drawings as SVG text, the same on the phone and on paper, in the colour of the text around them.

A drawing is a sketch with true touch: the wheel stands on the wedge as it would, but thin wedges
are drawn thicker and short ones longer, until they can be seen, and the sketch says so.
"""

import math

from workings import typeset
from workings.errors import WorkingError
from workings.typeset import FONT, escaped, px
from workings.working import given_text, is_number, listed

TYPE = 15
MARGIN = 12
RADIUS = 78.0
TEXTS = ("axle_rise", "travel", "lay_distance")


class Sketch:
    """What is drawn so far; x is turned round for a pull to the other side."""

    def __init__(self, width, mirrored):
        self.width = width
        self.mirrored = mirrored
        self.parts = []

    def x(self, x):
        return self.width - x if self.mirrored else x

    def line(self, points, weight=1.2, dashed=False, closed=False, fill=None):
        path = (
            "M"
            + "L".join(["{} {}".format(px(self.x(x)), px(y)) for x, y in points])
            + ("Z" if closed else "")
        )
        inside = 'fill="currentColor" fill-opacity="{}"'.format(fill) if fill else 'fill="none"'
        dash = ' stroke-dasharray="5 4"' if dashed else ""
        self.parts.append(
            '<path d="{}" {} stroke="currentColor" stroke-width="{}" stroke-linejoin="round"{}/>'.format(
                path, inside, px(weight), dash
            )
        )

    def circle(self, x, y, radius, weight=1.2, dashed=False, fill=None):
        inside = 'fill="currentColor"' if fill else 'fill="none"'
        dash = ' stroke-dasharray="5 4"' if dashed else ""
        self.parts.append(
            '<circle cx="{}" cy="{}" r="{}" {} stroke="currentColor" stroke-width="{}"{}/>'.format(
                px(self.x(x)), px(y), px(radius), inside, px(weight), dash
            )
        )

    def arrowhead(self, x, y, dx, dy, size=7.0):
        """A filled head with its point at (x, y), looking along (dx, dy)."""
        wing = size * 0.38
        points = [
            (x, y),
            (x - dx * size - dy * wing, y - dy * size + dx * wing),
            (x - dx * size + dy * wing, y - dy * size - dx * wing),
        ]
        self.line(points, 0.5, closed=True, fill=1)

    def text(self, node, x, y, anchor="middle", size=TYPE):
        """A node with its line at y, held inside the sketch; returns where it begins and ends."""
        box = typeset.lay(node, size)
        left = self.x(x) - box.width * (
            0.5 if anchor == "middle" else (1 if (anchor == "end") != self.mirrored else 0)
        )
        left = min(max(left, 4.0), self.width - box.width - 4.0)
        self.parts += [typeset.drawn(item) for item in box.moved(left, y)]
        return left, left + box.width

    def level(self, x1, x2, y):
        """A level dimension line; where it is too short for two heads they stand outside it."""
        inside = x2 - x1 > 22
        reach = 0 if inside else 14
        self.line([(x1 - reach, y), (x2 + reach, y)])
        self.arrowhead(x1, y, -1 if inside else 1, 0)
        self.arrowhead(x2, y, 1 if inside else -1, 0)

    def upright(self, x, y1, y2):
        inside = y2 - y1 > 22
        reach = 0 if inside else 14
        self.line([(x, y1 - reach), (x, y2 + reach)])
        self.arrowhead(x, y1, 0, -1 if inside else 1)
        self.arrowhead(x, y2, 0, 1 if inside else -1)


def _between(value, low, high):
    return min(max(value, low), high)


def _proportions(inputs):
    """(length, height, slope, touch, rise, travel) of the drawn wedge, for a wheel of RADIUS."""
    radius = inputs["wheel_diameter"] / 2
    long = _between(inputs["wedge_length"] / radius * RADIUS, 80, 130)
    high = _between(inputs["wedge_height"] / inputs["wedge_length"] * long, 18, 34)
    slope = math.atan2(high, long)
    limit = high - RADIUS * (1 - math.cos(slope))
    true_slope = math.atan2(inputs["wedge_height"], inputs["wedge_length"])
    true_limit = inputs["wedge_height"] - radius * (1 - math.cos(true_slope))
    share = 1.0
    if inputs.get("axle_rise") is not None and true_limit > 0:
        share = _between(inputs["axle_rise"] / true_limit, 0, 1)
    return long, high, slope, RADIUS * math.tan(slope / 2), limit * share, limit * share / math.tan(slope)


def _row(words, text):
    return ["row", ["text", words + " "], ["num", text]]


def _wheel_on_wedge(inputs, texts, prefix):
    long, high, slope, touch, rise, travel = _proportions(inputs)
    pull, raised = inputs.get("pull_direction"), inputs.get("raise")
    first = MARGIN + RADIUS + 4
    stop, toe = first + travel, first + touch
    heel = toe + long
    beside = max(stop + RADIUS, heel) + 14
    rise_text = _row("rise", texts["axle_rise"]) if "axle_rise" in texts and rise > 0 else None
    width = beside + 20 + (typeset.lay(rise_text, TYPE).width if rise_text else 0)
    rows = [
        (name, words)
        for name, words in (("lay_distance", "toes ahead of wheels"), ("travel", "travel"))
        if name in texts and (name != "travel" or rise > 0)
    ]
    for name, words in rows:
        width = max(width, typeset.lay(_row(words, texts[name]), TYPE).width + 16)
    width = max(width, 320)
    rail = 66 + 2 * RADIUS + rise
    axle, top = rail - RADIUS, rail - 2 * RADIUS - rise
    sketch = Sketch(width, pull == "backward")

    # Rail, wedge, both places of the wheel.
    sketch.line([(0, rail), (width, rail), (width, rail + 10), (0, rail + 10)], 1.6, closed=True, fill="0.12")
    sketch.line([(toe, rail), (heel, rail - high), (heel, rail)], 1.6, closed=True, fill="0.45")
    sketch.circle(first, axle, RADIUS, 1.6, dashed=True)
    sketch.circle(first, axle, 2.5, fill=True)
    if rise > 0:
        sketch.circle(stop, axle - rise, RADIUS, 2.6)
        sketch.circle(stop, axle - rise, 2.5, fill=True)
        middle, names = (first + stop) / 2, top - 12
        for x, y, word in (
            (min(first - RADIUS / 2, middle - 48), axle - RADIUS * 0.87, "first touch"),
            (max(stop + RADIUS / 2, middle + 48), axle - rise - RADIUS * 0.87, "at the stop"),
        ):
            sketch.text(["text", word], x, names)
            side = first - RADIUS / 2 if word == "first touch" else stop + RADIUS / 2
            sketch.line([(side, names + 5), (side, y)], 1)

    # The rise, between the two heights of the axle.
    if rise_text:
        sketch.line([(first, axle), (beside + 8, axle)], 0.8, dashed=True)
        sketch.line([(stop, axle - rise), (beside + 8, axle - rise)], 0.8, dashed=True)
        sketch.upright(beside, axle - rise, axle)
        sketch.text(rise_text, beside + 12, axle - rise / 2 + 5, "start")

    # Level distances, each in a row of its own under the rail.
    y, text_above = rail + 34, None
    for name, words in rows:
        if name == "travel":
            ends = ((first, axle), (stop, axle - rise))
        else:
            lay = inputs.get("lay_distance")
            away = RADIUS * 0.6 if lay is None else lay * RADIUS / (inputs["wheel_diameter"] / 2) - touch
            now = first - _between(away, 0, RADIUS)
            ends = ((now, rail), (toe, rail))
            # Where the wheels touch the rail now.
            sketch.line([(now, rail), (now - 6, rail + 10), (now + 6, rail + 10)], 0.5, closed=True, fill=1)
        for x, start in ends:
            end = y + 5
            if text_above and text_above[0] - 4 < sketch.x(x) < text_above[1] + 4:
                # No line runs through the words of the row above.
                sketch.line([(x, y - 15), (x, end)], 0.8, dashed=start != rail)
                end = y - 43
            sketch.line([(x, start), (x, end)], 0.8, dashed=start != rail)
        sketch.level(ends[0][0], ends[1][0], y)
        text_above = sketch.text(_row(words, texts[name]), (ends[0][0] + ends[1][0]) / 2, y + 24)
        y += 50

    # The pull.
    if pull:
        words = "pull " + pull + (", " + raised + " pair rises" if raised in ("front", "rear") else "")
        wide = typeset.width_of(words, TYPE)
        left = (width - wide - 58) / 2
        start, end = left + wide + 12, left + wide + 58
        sketch.text(["text", words], left, 22, "start")
        sketch.line([(start, 17), (end - 6, 17)], 3)
        sketch.arrowhead(end, 17, 1, 0, 14)
    foot = y if rows else rail + 34
    sketch.text(["text", "not to scale"], width - 6, foot, "end", 12)

    told = ["Side view of a wheel on its rail wedge, not to scale."]
    if pull:
        told.append("The engine is pulled {}.".format(pull))
    if "lay_distance" in texts:
        told.append("From where the wheels touch the rail now to the toes: {}.".format(texts["lay_distance"]))
    if rise_text:
        told.append(
            "From first touch to the stop the {} rises {}{}.".format(
                raised + " pair" if raised in ("front", "rear") else "axle",
                texts["axle_rise"],
                " over a travel of " + texts["travel"] if "travel" in texts else "",
            )
        )
    return "Wheel on its rail wedge", " ".join(told), width, foot + 12, sketch.parts


def draw(kind, inputs, texts=None, prefix="drawing"):
    """A drawing: {"title", "alt", "svg"}.

    kind "wheel_on_wedge": inputs wheel_diameter, wedge_length, wedge_height [m], and where known
    axle_rise, lay_distance [m], pull_direction (forward, backward), raise (front, rear); texts
    axle_rise, travel, lay_distance as they are to be read. prefix keeps ids apart on one page.
    """
    if kind != "wheel_on_wedge":
        raise WorkingError("drawing", given_text(kind), "wheel_on_wedge")
    known = (
        "wheel_diameter",
        "wedge_length",
        "wedge_height",
        "axle_rise",
        "lay_distance",
        "pull_direction",
        "raise",
    )
    for name in sorted(inputs):
        if name not in known:
            raise WorkingError(name, given_text(inputs[name]), "one of the inputs " + listed(list(known)))
    for name in known[:3]:
        value = inputs.get(name)
        if not is_number(value) or not 0 < value < 1e6:
            raise WorkingError(name, given_text(value, "length"), "a length above 0")
    texts = texts or {}
    for name in sorted(texts):
        if name not in TEXTS:
            raise WorkingError(name, given_text(texts[name]), "one of the texts " + listed(list(TEXTS)))
    title, alt, width, height, parts = _wheel_on_wedge(inputs, texts, prefix)
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="{0}-title {0}-desc" '
        'viewBox="0 0 {1} {2}" font-family="{3}" fill="currentColor"><title id="{0}-title">{4}</title>'
        '<desc id="{0}-desc">{5}</desc>{6}</svg>'
    ).format(prefix, px(width), px(height), FONT, escaped(title), escaped(alt), "".join(parts))
    return {"title": title, "alt": alt, "svg": svg}
