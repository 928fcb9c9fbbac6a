"""The rail wedge: a wheel that rolls up it, right over it, and the pull that takes it there.

All in base SI: m, rad, N. R is the wheel's radius, alpha the slope of the wedge's face.
"""

import math

from workings.errors import WorkingError
from workings.working import GRACE, Output, Working, given_text, in_words, length, number


def half_tangent(slope):
    """tan(slope/2), the number that everything about a wheel on a wedge hangs on."""
    return math.tan(slope / 2)


def angle_less_sine(angle):
    """angle - sin(angle); by its series where the plain difference would lose its digits."""
    if angle > 0.3:
        return angle - math.sin(angle)
    term = angle * angle * angle / 6
    total = 0.0
    for n in (4, 6, 8, 10, 12, 14):
        total += term
        term *= -angle * angle / (n * (n + 1))
    return total


def below_radius(crank_throw, wheel_diameter):
    """Refuse a pin that would stand outside its wheel."""
    if crank_throw is not None and crank_throw >= wheel_diameter / 2:
        raise WorkingError(
            "crank_throw",
            given_text(crank_throw, "length"),
            "less than half of wheel_diameter, {}".format(in_words(wheel_diameter / 2)),
        )


def geometry(wheel_diameter, wedge_length, wedge_height):
    """(radius, slope, touch offset, rise limit) of a wheel on a wedge it can roll on to."""
    radius = wheel_diameter / 2
    if wedge_height >= radius:
        raise WorkingError(
            "wedge_height",
            given_text(wedge_height, "length"),
            "a height below the wheel's radius, {}".format(in_words(radius)),
        )
    slope = math.atan2(wedge_height, wedge_length)
    rise_limit = wedge_height - radius * 2 * math.sin(slope / 2) ** 2
    if rise_limit <= 0:
        shortest = wedge_height / math.tan(math.acos(1 - wedge_height / radius))
        raise WorkingError(
            "wedge_length",
            given_text(wedge_length, "length"),
            "more than " + in_words(shortest),
            "wedge_length: {} is too short for this wheel, which would meet the heel edge before the face; "
            "a wedge {} high must be longer than {}.".format(
                in_words(wedge_length), in_words(wedge_height), in_words(shortest)
            ),
        )
    return radius, slope, radius * half_tangent(slope), rise_limit


def three(i):
    """The wheel and the wedge out of a working's inputs."""
    return dict([(name, i[name]) for name in ("wheel_diameter", "wedge_length", "wedge_height")])


def face_turn(i):
    """Extra turn [rad] gained on the face of the wedge alone, toe to heel, without the two edges."""
    radius, slope, touch, _ = geometry(**three(i))
    return (i["wedge_height"] / math.sin(slope) - touch) * 2 * math.sin(slope / 2) ** 2 / radius


def wheel_on_wedge(
    wheel_diameter, wedge_length, wedge_height, axle_rise=None, crank_throw=None, axle_load=None
):
    """A wheel rolls without slip from level rail on to a straight wedge with a thin toe.

    Takes wheel_diameter [m], wedge_length [m], wedge_height [m], axle_rise [m] (left out: the
    rise limit), crank_throw [m] (for pin_shift), axle_load [N] (for pull). With R = D/2:
    slope = atan(H/L) [rad]; touch_offset = R tan(slope/2) [m]; rise_limit = H - R (1 - cos slope)
    [m]; travel = h/tan slope [m]; extra_turn = (h/R) tan(slope/2) [rad]; pin_shift = r extra_turn
    [m]; over_heel_turn = [(H/sin a - R tan(a/2)) (1 - cos a)]/R + (a + b) - (sin a + sin b) [rad]
    with cos b = (R - H)/R; pull = W tan slope [N].
    Behind all of it: extra turn = (length of the axle centre's path - level travel)/R.
    Source: plane geometry of a rolling circle; checked against the path's length from shapely.
    """
    radius, slope, touch, rise_limit = geometry(wheel_diameter, wedge_length, wedge_height)
    below_radius(crank_throw, wheel_diameter)
    rise = rise_limit if axle_rise is None else axle_rise
    if rise > rise_limit + GRACE:
        raise WorkingError(
            "axle_rise",
            given_text(rise, "length"),
            "from 0 to the rise limit of this wedge, " + in_words(rise_limit),
        )
    rise = min(rise, rise_limit)
    turn = rise / radius * half_tangent(slope)
    heel = math.acos((radius - wedge_height) / radius)
    over = (
        (wedge_height / math.sin(slope) - touch) * 2 * math.sin(slope / 2) ** 2 / radius
        + angle_less_sine(slope)
        + angle_less_sine(heel)
    )
    return {
        "slope": slope,
        "touch_offset": touch,
        "rise_limit": rise_limit,
        "axle_rise": rise,
        "travel": rise * wedge_length / wedge_height,
        "extra_turn": turn,
        "pin_shift": None if crank_throw is None else crank_throw * turn,
        "over_heel_turn": over,
        "pull": None if axle_load is None else axle_load * wedge_height / wedge_length,
    }


def _wheel_lines(i, o):
    radius = i["wheel_diameter"] / 2
    lines = [
        ("R", "D/2", radius, "length"),
        ("alpha", "atan(H/L)", o["slope"], "angle"),
        ("a", "R*tan(alpha/2)", o["touch_offset"], "length"),
        ("h_max", "H - R*(1 - cos(alpha))", o["rise_limit"], "length"),
    ]
    if i["axle_rise"] is None:
        lines.append(("h", None, o["axle_rise"], "length", "no rise asked for: the rise limit"))
    lines.append(("x", "h/tan(alpha)", o["travel"], "length"))
    lines.append(("epsilon", "h/R*tan(alpha/2)", o["extra_turn"], "angle"))
    if o["pin_shift"] is not None:
        lines.append(("s", "r*epsilon", o["pin_shift"], "length"))
    lines.append(("beta", "acos((R - H)/R)", math.acos((radius - i["wedge_height"]) / radius), "angle"))
    lines.append(("gamma", "(H/sin(alpha) - a)*(1 - cos(alpha))/R", face_turn(i), "angle"))
    over = "gamma + (alpha - sin(alpha)) + (beta - sin(beta))"
    lines.append(("epsilon_over", over, o["over_heel_turn"], "angle"))
    if o["pull"] is not None:
        lines.append(("P", "W*tan(alpha)", o["pull"], "force"))
    return lines


def wedge_pass(wheel_diameter, wedge_length, wedge_height, crank_throw=None, turn_needed=None):
    """A rail wedge with a ramp up and a like ramp down, run right over by one pair of wheels.

    Takes wheel_diameter [m], wedge_length [m] of one ramp, wedge_height [m], crank_throw [m],
    turn_needed [rad] (any sign). turn = (2/R) [(H/sin a - R tan(a/2)) (1 - cos a) + R (a - sin a)]
    [rad] for one pass; pin_shift = r turn [m]; passes = whole passes in |turn_needed|/turn;
    remainder [rad] keeps turn_needed's sign and never goes past zero.
    Source: as wheel_on_wedge, the path up and its mirror image down.
    """
    radius, slope, touch, _ = geometry(wheel_diameter, wedge_length, wedge_height)
    below_radius(crank_throw, wheel_diameter)
    turn = 2 * (
        (wedge_height / math.sin(slope) - touch) * 2 * math.sin(slope / 2) ** 2 / radius
        + angle_less_sine(slope)
    )
    passes = remainder = None
    if turn_needed is not None:
        size = abs(turn_needed)
        passes = int(math.floor(size / turn + 1e-9))
        rest = max(0.0, size - passes * turn)
        remainder = -rest if turn_needed < 0 else rest
    return {
        "turn": turn,
        "pin_shift": None if crank_throw is None else crank_throw * turn,
        "passes": passes,
        "remainder": remainder,
    }


def _pass_lines(i, o):
    radius = i["wheel_diameter"] / 2
    lines = [
        ("R", "D/2", radius, "length"),
        ("alpha", "atan(H/L)", math.atan2(i["wedge_height"], i["wedge_length"]), "angle"),
        ("a", "R*tan(alpha/2)", geometry(**three(i))[2], "length"),
        ("gamma", "(H/sin(alpha) - a)*(1 - cos(alpha))/R", face_turn(i), "angle"),
        ("tau", "2*(gamma + (alpha - sin(alpha)))", o["turn"], "angle"),
    ]
    if o["pin_shift"] is not None:
        lines.append(("s", "r*tau", o["pin_shift"], "length"))
    if o["passes"] is not None:
        lines.append(("n", "floor(abs(phi)/tau)", o["passes"], "plain"))
        lines.append(
            ("phi_rest", "phi - n*tau" if i["turn_needed"] >= 0 else "phi + n*tau", o["remainder"], "angle")
        )
    return lines


def haul_force(total_weight, axle_load, wedge_length, wedge_height, grade=0.0, rolling_coefficient=0.015):
    """The level pull that takes one pair of wheels up its wedges, and what the chocks must hold.

    Takes total_weight [N], grade [-] (rise over run in the direction of the pull),
    rolling_coefficient [-], axle_load [N], wedge_length [m], wedge_height [m].
    pull = total_weight (k + grade) + axle_load H/L [N]; roll_back = axle_load H/L +
    total_weight grade [N], rolling resistance left out.
    Source: statics on small slopes; the coefficient for plain bearings from rest is common practice.
    """
    # Feet or newtons, the axle's share cannot exceed the whole; the last bit of a sum may.
    if axle_load > total_weight * (1 + 1e-12):
        raise WorkingError(
            "axle_load",
            given_text(axle_load, "force"),
            "at most total_weight, " + given_text(total_weight, "force"),
        )
    climb = axle_load * wedge_height / wedge_length
    return {
        "pull": total_weight * (rolling_coefficient + grade) + climb,
        "roll_back": climb + total_weight * grade,
    }


def _haul_lines(i, o):
    return [
        ("P", "G*(k + g) + W*H/L", o["pull"], "force"),
        ("B", "W*H/L + G*g", o["roll_back"], "force"),
    ]


def wheel_and_wedge():
    """The three inputs every working on a rail wedge begins with."""
    return [
        length("wheel_diameter", "over the tread", "D"),
        length("wedge_length", "along the rail, toe to heel", "L"),
        length("wedge_height", "at the heel; less than the wheel's radius", "H"),
    ]


ROLLS = "The wheel rolls without slip on a straight, rigid wedge with a thin toe."
PATH = "Plane geometry: extra turn = (length of the axle centre's path − level travel) ÷ R."

WORKINGS = [
    Working(
        "wheel_on_wedge",
        "Wheel on a rail wedge",
        wheel_on_wedge,
        wheel_and_wedge()
        + [
            length(
                "axle_rise",
                "how far the axle is to rise; left out: the rise limit",
                "h",
                least=0,
                optional=True,
            ),
            length("crank_throw", "pin centre to axle centre; for pin_shift", "r", optional=True),
            number(
                "axle_load",
                "force",
                "on the wheels that stand on the wedges; for pull",
                "W",
                above=0,
                optional=True,
            ),
        ],
        [
            Output("slope", "angle", "of the wedge's face"),
            Output("touch_offset", "length", "how far short of the toe the axle stands at first touch"),
            Output("rise_limit", "length", "rise at which the contact reaches the heel"),
            Output("axle_rise", "length", "the rise used"),
            Output("travel", "length", "level travel of the axle from first touch to the rise"),
            Output("extra_turn", "angle", "turned more than a wheel on level rail over the same travel"),
            Output("pin_shift", "length", "what the extra turn moves the pin", "number or null"),
            Output("over_heel_turn", "angle", "extra turn after running over the heel and down to the rail"),
            Output("pull", "force", "level pull that holds the load on the slope", "number or null"),
        ],
        _wheel_lines,
        [ROLLS, "Friction is left out of the pull."],
        ["Never run over the heel: the wheel drops and turns on the edge."],
        [PATH],
    ),
    Working(
        "wedge_pass",
        "Running right over a two-sided rail wedge",
        wedge_pass,
        wheel_and_wedge()
        + [
            length("crank_throw", "pin centre to axle centre; for pin_shift", "r", optional=True),
            number("turn_needed", "angle", "what the wheelset is still to gain", "phi", optional=True),
        ],
        [
            Output("turn", "angle", "gained in one pass, rail to rail"),
            Output("pin_shift", "length", "what one pass moves the pin", "number or null"),
            Output("passes", "plain", "whole passes", "whole number or null"),
            Output("remainder", "angle", "what is left for wedge_setting", "number or null"),
        ],
        _pass_lines,
        [ROLLS, "The ramp down is like the ramp up."],
        [
            "Only one pair may cross: a second pair crossing cancels the turn.",
            "Go back on bare rail: recrossing undoes it.",
        ],
        [PATH],
    ),
    Working(
        "haul_force",
        "Pull that takes the wheels up the wedges",
        haul_force,
        [
            number("total_weight", "force", "all that is hauled, the raised pair included", "G", above=0),
            number(
                "grade",
                "plain",
                "rise over run in the direction of the pull; negative downhill",
                "g",
                default=0.0,
                above=-1,
                below=1,
            ),
            number(
                "rolling_coefficient",
                "plain",
                "plain bearings from rest: 0.015, common practice",
                "k",
                default=0.015,
                least=0,
                below=1,
            ),
            number(
                "axle_load",
                "force",
                "on the pair of wheels on the wedges; at most total_weight",
                "W",
                above=0,
            ),
            length("wedge_length", "toe to heel, along the rail", "L"),
            length("wedge_height", "at the heel", "H"),
        ],
        [
            Output("pull", "force", "level; negative: it runs by itself and must be held"),
            Output("roll_back", "force", "what the chocks must hold; negative: it would run on"),
        ],
        _haul_lines,
        ["Small slopes; the pull is level and along the track."],
        [
            "A jerk in the rope can double the pull: take up the slack first.",
            "Chock for the roll-back before anything is let go.",
        ],
        ["Statics. Rolling coefficient 0.015, plain bearings from rest: common practice."],
    ),
]
