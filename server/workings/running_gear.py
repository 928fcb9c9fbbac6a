"""Wheelsets and their crank pins: how far apart the pins stand, drift, quartering.

Signs: x forward, y up. A crank angle counts from forward dead centre in the direction the wheel
turns going forward: the pin stands at (r cos a, -r sin a), so 90 degrees is the bottom quarter.
"""

import math

from workings.errors import WorkingError
from workings.working import GRACE, Output, Working, given_text, length, number

RIGHT_ANGLE = math.pi / 2


def separation(spacing, front_throw, front_angle, rear_throw, rear_angle, rise=0.0):
    """(dx, dy) from the rear pin to the front pin; the rear axle stands `spacing` behind [m, rad]."""
    return (
        spacing + front_throw * math.cos(front_angle) - rear_throw * math.cos(rear_angle),
        rear_throw * math.sin(rear_angle) - front_throw * math.sin(front_angle) - rise,
    )


def pin_spacing(axle_spacing, crank_throw, crank_angle, turn_error=0.0, axle_rise=0.0):
    """Distance between the pins of two wheelsets on one side, and what a turn does to it.

    Takes axle_spacing [m], crank_throw [m], crank_angle [rad] of the front wheelset, turn_error
    [rad] of the rear one over the front one, axle_rise [m] of the rear axle over the front one.
    Pins at (r cos a, -r sin a) and (-C + r cos(a + p), h - r sin(a + p)); pin_distance [m] between
    them; sensitivity [m/rad] = its derivative by turn_error.
    Source: plane geometry.
    """
    rear = crank_angle + turn_error
    dx, dy = separation(axle_spacing, crank_throw, crank_angle, crank_throw, rear, axle_rise)
    distance = math.sqrt(dx * dx + dy * dy)
    if distance < GRACE:
        raise WorkingError(
            "axle_spacing", given_text(axle_spacing, "length"), "a spacing that keeps the two pins apart"
        )
    slope = crank_throw * (dx * math.sin(rear) + dy * math.cos(rear)) / distance
    return {"pin_distance": distance, "sensitivity": slope}


def _pin_lines(i, o):
    rear = i["crank_angle"] + i["turn_error"]
    dx, dy = separation(
        i["axle_spacing"], i["crank_throw"], i["crank_angle"], i["crank_throw"], rear, i["axle_rise"]
    )
    return [
        ("theta_r", "theta + phi", rear, "angle"),
        ("x", "C + r*cos(theta) - r*cos(theta_r)", dx, "length"),
        ("y", "r*sin(theta_r) - r*sin(theta) - h", dy, "length"),
        ("d", "sqrt(x^2 + y^2)", o["pin_distance"], "length"),
        ("k", "x*sin(theta_r) + y*cos(theta_r)", dx * math.sin(rear) + dy * math.cos(rear), "length"),
        ("S", "r*k/d", o["sensitivity"], "length per angle"),
    ]


def roll_drift(front_diameter, rear_diameter, travel, turn_error=None, crank_throw=None):
    """Wheels of unlike diameter drift as they roll; often that alone brings the pins right.

    Takes front_diameter [m], rear_diameter [m], travel [m] (forward positive), turn_error [rad]
    (for travel_to_cure), crank_throw [m] (for pin_shift). turn_gained = 2 x (1/D_rear - 1/D_front)
    [rad]; pin_shift = r turn_gained [m]; travel_to_cure = -turn_error x/turn_gained [m], None where
    the diameters agree within a nanometre.
    Source: rolling without slip.
    """
    rate = 2 * (front_diameter - rear_diameter) / (front_diameter * rear_diameter)
    gained = travel * rate
    cure = None
    if turn_error is not None and abs(front_diameter - rear_diameter) > GRACE * 1.000001:
        cure = 0.0 if turn_error == 0 else -turn_error / rate
    return {
        "turn_gained": gained,
        "pin_shift": None if crank_throw is None else crank_throw * gained,
        "travel_to_cure": cure,
    }


def _drift_lines(i, o):
    lines = [("gamma", "2*x*(1/D_r - 1/D_f)", o["turn_gained"], "angle")]
    if o["pin_shift"] is not None:
        lines.append(("s", "r*gamma", o["pin_shift"], "length"))
    if o["travel_to_cure"] is not None:
        lines.append(("x_cure", "-phi/(2*(1/D_r - 1/D_f))", o["travel_to_cure"], "length"))
    return lines


def quartering(left_x, left_y, right_x, right_y, crank_spacing=RIGHT_ANGLE):
    """The angle between the two pins of a wheelset against the angle wanted.

    Takes left_x, left_y, right_x, right_y [m], pin centres from the axle centre in one view, and
    crank_spacing [rad]. left_throw, right_throw [m]; angle_between [rad], 0 to pi;
    quartering_error = angle_between - crank_spacing [rad]; pin_error = mean throw x error [m];
    throw_difference = left less right [m].
    Source: plane geometry.
    """
    left = math.sqrt(left_x * left_x + left_y * left_y)
    right = math.sqrt(right_x * right_x + right_y * right_y)
    for name, throw, across in (("left_x", left, left_x), ("right_x", right, right_x)):
        if throw < GRACE:
            raise WorkingError(
                name, given_text(across, "length"), "a pin that does not stand on the axle centre"
            )
    # atan2 of cross and dot keeps its digits at every angle; acos would lose them near 0 and 180.
    between = math.atan2(abs(left_x * right_y - left_y * right_x), left_x * right_x + left_y * right_y)
    error = between - crank_spacing
    return {
        "left_throw": left,
        "right_throw": right,
        "angle_between": between,
        "quartering_error": error,
        "pin_error": (left + right) / 2 * error,
        "throw_difference": left - right,
    }


def _quartering_lines(i, o):
    return [
        ("r_l", "sqrt(x_l^2 + y_l^2)", o["left_throw"], "length"),
        ("r_r", "sqrt(x_r^2 + y_r^2)", o["right_throw"], "length"),
        ("p", "x_l*x_r + y_l*y_r", i["left_x"] * i["right_x"] + i["left_y"] * i["right_y"], "area"),
        ("theta", "acos(p/(r_l*r_r))", o["angle_between"], "angle"),
        ("delta", "theta - theta_0", o["quartering_error"], "angle"),
        ("e", "(r_l + r_r)/2*delta", o["pin_error"], "length"),
    ]


def crank_spacing(meaning):
    return number("crank_spacing", "angle", meaning, "theta_0", default=RIGHT_ANGLE, above=0, most=math.pi)


WORKINGS = [
    Working(
        "pin_spacing",
        "Distance between crank pins",
        pin_spacing,
        [
            length("axle_spacing", "level distance between the axle centres", "C"),
            length("crank_throw", "the same on both wheelsets", "r"),
            number("crank_angle", "angle", "of the front wheelset's pin", "theta"),
            number("turn_error", "angle", "how much further the rear wheelset is turned", "phi", default=0.0),
            length("axle_rise", "how much higher the rear axle stands", "h", default=0.0, any_sign=True),
        ],
        [
            Output("pin_distance", "length", "centre to centre"),
            Output("sensitivity", "length per angle", "change of pin_distance with turn_error"),
        ],
        _pin_lines,
        ["Both throws are alike; the axles are parallel."],
        [],
        ["Plane geometry."],
    ),
    Working(
        "roll_drift",
        "Drift of wheels of unlike diameter",
        roll_drift,
        [
            length("front_diameter", "over the tread, mean of both wheels", "D_f"),
            length("rear_diameter", "over the tread, mean of both wheels", "D_r"),
            length("travel", "of the engine, forward positive", "x", any_sign=True),
            number(
                "turn_error", "angle", "as found, rear over front; for travel_to_cure", "phi", optional=True
            ),
            length("crank_throw", "for pin_shift", "r", optional=True),
        ],
        [
            Output("turn_gained", "angle", "rear over front"),
            Output("pin_shift", "length", "what it moves the pin", "number or null"),
            Output(
                "travel_to_cure", "length", "forward travel that brings turn_error to zero", "number or null"
            ),
        ],
        _drift_lines,
        ["Both pairs roll without slip on clean, dry, straight rails."],
        [
            "A sixteenth of an inch in diameter moves the pins more in one turn than a wedge does: measure "
            "with a tape round the tread."
        ],
        ["Rolling without slip: turn = travel ÷ radius."],
    ),
    Working(
        "quartering",
        "Quartering of a wheelset",
        quartering,
        [
            length("left_x", "left pin centre from the axle centre", "x_l", any_sign=True),
            length("left_y", "left pin centre from the axle centre", "y_l", any_sign=True),
            length("right_x", "right pin centre, same view", "x_r", any_sign=True),
            length("right_y", "right pin centre, same view", "y_r", any_sign=True),
            crank_spacing("the angle wanted between the two pins; 120° on many three-cylinder engines"),
        ],
        [
            Output("left_throw", "length", "pin centre to axle centre"),
            Output("right_throw", "length", "pin centre to axle centre"),
            Output("angle_between", "angle", "0 to 180°"),
            Output("quartering_error", "angle", "angle_between less crank_spacing"),
            Output("pin_error", "length", "mean throw × quartering_error"),
            Output("throw_difference", "length", "left less right"),
        ],
        _quartering_lines,
        ["All four coordinates are taken in one view, looking along the axle."],
        [],
        ["Plane geometry."],
    ),
]
