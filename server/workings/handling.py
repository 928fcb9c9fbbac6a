"""Lifting: slings and the two points a piece hangs from."""

import math

from workings.errors import WorkingError
from workings.working import GRACE, Input, Output, Working, given_text, length, number

THIRTY_DEGREES = math.pi / 6


def sling_legs(load, legs, angle):
    """Tension in each leg of a sling.

    Takes load [N], legs [-], angle [rad] from the horizontal, 30 to 90 degrees.
    legs_counted = min(legs, 3) [-]; leg_tension = load/(n sin angle) [N].
    Source: statics; that a fourth leg is not counted is common rigging practice.
    """
    counted = min(legs, 3)
    return {"legs_counted": counted, "leg_tension": load / (counted * math.sin(angle))}


def _sling_lines(i, o):
    return [
        ("n", "min(N, 3)", o["legs_counted"], "plain"),
        ("T", "F/(n*sin(theta))", o["leg_tension"], "force"),
    ]


def lift_points(load, centre_of_gravity, pick_front, pick_back):
    """What each of two lifting points carries.

    Takes load [N], centre_of_gravity [m], pick_front [m], pick_back [m], all along the piece from
    one datum. reaction_front = load (back - cg)/(back - front) [N]; reaction_back the rest [N].
    A negative one is refused: the piece would tip.
    Source: statics.
    """
    span = pick_back - pick_front
    if abs(span) < GRACE:
        raise WorkingError("pick_back", given_text(pick_back, "length"), "a place other than pick_front's")
    low, high = min(pick_front, pick_back), max(pick_front, pick_back)
    if centre_of_gravity < low - GRACE or centre_of_gravity > high + GRACE:
        raise WorkingError(
            "centre_of_gravity",
            given_text(centre_of_gravity, "length"),
            "a place between the two picks",
            "centre_of_gravity: {} lies outside the two picks, so the piece would tip; pick it up on both "
            "sides of its centre of gravity.".format(given_text(centre_of_gravity, "length")),
        )
    place = min(max(centre_of_gravity, low), high)
    front = load * (pick_back - place) / span
    return {"reaction_front": front, "reaction_back": load * (place - pick_front) / span}


def _lift_lines(i, o):
    return [
        ("F_f", "F*(x_b - x_g)/(x_b - x_f)", o["reaction_front"], "force"),
        ("F_b", "F*(x_g - x_f)/(x_b - x_f)", o["reaction_back"], "force"),
    ]


WORKINGS = [
    Working(
        "sling_legs",
        "Tension in sling legs",
        sling_legs,
        [
            number("load", "force", "weight of the piece with its tackle", "F", above=0),
            Input("legs", "plain", "legs of the sling", "whole number", "N", least=1),
            number(
                "angle",
                "angle",
                "of a leg from the horizontal",
                "theta",
                least=THIRTY_DEGREES,
                most=math.pi / 2,
            ),
        ],
        [
            Output("legs_counted", "plain", "three at most", "whole number"),
            Output("leg_tension", "force", "in each leg"),
        ],
        _sling_lines,
        ["The legs are alike and share the load evenly; of four legs three are counted."],
        [
            "Charts in the trade count the angle from the horizontal, some pages from the vertical.",
            "Never sling below 30° from the horizontal.",
        ],
        ["Statics. Counting three legs of four is common rigging practice."],
    ),
    Working(
        "lift_points",
        "Load on two lifting points",
        lift_points,
        [
            number("load", "force", "weight of the piece", "F", above=0),
            length("centre_of_gravity", "along the piece, from any datum", "x_g", any_sign=True),
            length("pick_front", "same datum", "x_f", any_sign=True),
            length("pick_back", "same datum, another place", "x_b", any_sign=True),
        ],
        [
            Output("reaction_front", "force", "carried at pick_front"),
            Output("reaction_back", "force", "carried at pick_back"),
        ],
        _lift_lines,
        ["The piece hangs still and level."],
        ["Find the balance by measuring, not from the drawing: bushes and brasses shift it."],
        ["Statics: moments about each pick."],
    ),
]
