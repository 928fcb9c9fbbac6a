"""Broken stays on the map of a firebox."""

import math

from workings.errors import WorkingError
from workings.published import INCH, Published, cfr
from workings.working import GRACE, Input, Output, Working, given_text, length

APART = cfr(24 * INCH, "230.39(a)", "no two broken stays within 24 in of each other on a straight line")
MOST_BROKEN = cfr(4, "230.39(a)", "no more than 4 broken in firebox and combustion chamber")
COUNTED = cfr(None, "230.39(c)", "a telltale hole leaking, plugged or missing counts as broken")
OLDER = Published(
    None,
    "two adjacent, three in a circle of 4 ft, or five in all",
    "ICC rules and 49 CFR 230,",
    "on staybolts",
    "before 1999",
    "memory",
)
# A tape is not read closer: a distance within a micrometre of the limit counts as within it.
READ_TO = 1e-6
# More than any boiler shows; beyond it a phone would run out of room.
MOST_GROUPS = 400000


class Buckets:
    """Points sorted into squares of one size, so that near ones are found without asking all."""

    def __init__(self, points, size):
        self.points = points
        self.size = size
        self.squares = {}
        self.keys = []
        for k in range(len(points)):
            key = (int(math.floor(points[k][0] / size)), int(math.floor(points[k][1] / size)))
            self.keys.append(key)
            if key not in self.squares:
                self.squares[key] = []
            self.squares[key].append(k)

    def after(self, k):
        """[(index, distance)] of the points after k that lie within size of it, in their order."""
        x, y = self.points[k]
        column, row = self.keys[k]
        points, most, found = self.points, self.size * self.size, []
        for across in (-1, 0, 1):
            for up in (-1, 0, 1):
                for j in self.squares.get((column + across, row + up), ()):
                    if j > k:
                        dx, dy = points[j][0] - x, points[j][1] - y
                        square = dx * dx + dy * dy
                        if square <= most:
                            found.append((j, math.sqrt(square)))
        found.sort()
        return found


def apart(one, other):
    dx, dy = one[0] - other[0], one[1] - other[1]
    return math.sqrt(dx * dx + dy * dy)


def enclosing_diameter(a, b, c):
    """Diameter [m] of the least circle round three points, from the distances between them [m]."""
    c, b, a = sorted([a, b, c])
    if b * b + c * c <= a * a:
        return a
    # Heron, in Kahan's order, which keeps its digits for a thin triangle.
    area = math.sqrt((a + (b + c)) * (c - (a - b)) * (c + (a - b)) * (a + (b - c))) / 4
    return a * b * c / (2 * area)


def _known(ids, places, name):
    for id in ids:
        if id not in places:
            raise WorkingError(name, given_text(id), "ids that stand in stays")


def _too_near(name, count):
    if count > MOST_GROUPS:
        raise WorkingError(
            name, "more than {} groups of broken stays".format(MOST_GROUPS), "a smaller map, or a smaller circle"
        )


def broken_stays(stays, broken, circle_diameter=None, telltale_faults=None):
    """Broken stays against 49 CFR 230.39.

    Takes stays (id, x [m], y [m] on the sheet, row, column), broken (ids), telltale_faults (ids, which
    count as broken too), circle_diameter [m]. close_pairs: within 24 in on a straight line, with
    close_pair_distances [m]; total counted as broken; too_many: more than 4; not_barred: neither. As
    information, the rule before 1999: adjacent_pairs (row and column each differ by at most 1) and
    triples_in_circle (least enclosing circle at most circle_diameter).
    Source: 49 CFR 230.39(a) and (c).
    """
    places = {}
    for k in range(len(stays)):
        id = stays[k]["id"]
        if id in places:
            raise WorkingError("stays", given_text(id) + " twice", "ids that are all different")
        places[id] = k
    faults = telltale_faults or []
    _known(broken, places, "broken")
    _known(faults, places, "telltale_faults")
    order = sorted(set([places[id] for id in broken] + [places[id] for id in faults]))
    counted = [stays[k] for k in order]
    ids = [one["id"] for one in counted]
    points = [(one["x"], one["y"]) for one in counted]

    close, distances = [], []
    buckets = Buckets(points, APART.value + READ_TO)
    for k in range(len(points)):
        for j, distance in buckets.after(k):
            close.append([ids[k], ids[j]])
            distances.append(distance)
        _too_near("broken", len(close))
    return {
        "adjacent_pairs": _adjacent(counted),
        "close_pairs": close,
        "close_pair_distances": distances,
        "triples_in_circle": None if circle_diameter is None else _triples(ids, points, circle_diameter + GRACE),
        "total": len(ids),
        "too_many": len(ids) > MOST_BROKEN.value,
        "not_barred": not close and len(ids) <= MOST_BROKEN.value,
    }


def _adjacent(counted):
    """Pairs of ids whose row and column each differ by at most one, in the order of stays."""
    squares, pairs = {}, []
    for k in range(len(counted)):
        row, column = counted[k].get("row"), counted[k].get("column")
        if row is not None and column is not None:
            key = (row, column)
            if key not in squares:
                squares[key] = []
            squares[key].append(k)
    for k in range(len(counted)):
        row, column = counted[k].get("row"), counted[k].get("column")
        if row is None or column is None:
            continue
        near = []
        for across in (-1, 0, 1):
            for up in (-1, 0, 1):
                near += [j for j in squares.get((row + across, column + up), ()) if j > k]
        pairs += [[counted[k]["id"], counted[j]["id"]] for j in sorted(near)]
        _too_near("broken", len(pairs))
    return pairs


def _triples(ids, points, diameter):
    buckets, triples = Buckets(points, diameter), []
    for k in range(len(points)):
        near = buckets.after(k)
        for m in range(len(near)):
            j, first = near[m]
            for n in range(m + 1, len(near)):
                i, second = near[n]
                third = apart(points[i], points[j])
                if third <= diameter and enclosing_diameter(first, second, third) <= diameter:
                    triples.append([ids[k], ids[j], ids[i]])
            _too_near("circle_diameter", len(triples))
    return triples


def _lines(i, o):
    lines = [
        ("n", None, float(o["total"]), "plain", "stays counted as broken; 49 CFR 230.39 allows 4"),
        ("m", None, float(len(o["close_pairs"])), "plain", "pairs within 24 in of each other; none is allowed"),
    ]
    if o["close_pair_distances"]:
        nearest = min(o["close_pair_distances"])
        pair = o["close_pairs"][o["close_pair_distances"].index(nearest)]
        lines.append(("a", None, nearest, "length", "the nearest pair, " + " and ".join(pair)))
    lines.append(("m_a", None, float(len(o["adjacent_pairs"])), "plain", "adjacent pairs, for information"))
    if o["triples_in_circle"] is not None:
        lines.append(
            (
                "m_c",
                None,
                float(len(o["triples_in_circle"])),
                "plain",
                "threes within the circle, for information",
            )
        )
    return lines


_PAIRS = "list of lists of two texts"

WORKINGS = [
    Working(
        "broken_stays",
        "Broken stays",
        broken_stays,
        [
            Input(
                "stays",
                "length",
                "x and y on the sheet; row and column whole numbers, where known; ids all different",
                "list of objects: id, x, y, row, column",
            ),
            Input("broken", "plain", "ids; an empty list: none broken", "list of texts"),
            length(
                "circle_diameter",
                "where threes in a circle are to be reported (older rule: 4 ft)",
                "D",
                optional=True,
            ),
            Input(
                "telltale_faults",
                "plain",
                "ids of stays whose telltale hole leaks, is plugged or is missing; they count as broken",
                "list of texts",
                optional=True,
            ),
        ],
        [
            Output("adjacent_pairs", "plain", "row, column and diagonal neighbours", _PAIRS),
            Output("close_pairs", "plain", "within 24 in of each other", _PAIRS),
            Output("close_pair_distances", "length", "in the order of close_pairs", "list of numbers"),
            Output("triples_in_circle", "plain", "threes", "list of lists of three texts, or null"),
            Output("total", "plain", "counted as broken", "whole number"),
            Output("too_many", "plain", "more than 4", "yes/no"),
            Output("not_barred", "plain", "no close pair and not too many", "yes/no"),
        ],
        _lines,
        ["Distances are those of the map."],
        [
            "On a curved sheet or across a corner the straight line is shorter than the map shows: measure pairs "
            "near the limit inside the firebox.",
            "Whether the boiler may be steamed is for the responsible inspector to decide.",
        ],
        [APART.told(), MOST_BROKEN.told(), COUNTED.told(), OLDER.told()],
    ),
]
