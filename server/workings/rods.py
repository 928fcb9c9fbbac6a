"""Rods on their pins: clearance against the federal limits, and one turn of coupled wheels."""

import math

from workings.errors import WorkingError
from workings.running_gear import separation
from workings.wedge_setting import roots
from workings.working import GRACE, Input, Output, Working, choice, given_text, in_words, length, number

INCH = 0.0254
# 49 CFR 230.96(f) and (g): how far the bore may exceed the pin.
LIMITS = {
    "main_rod": 3 / 32 * INCH,
    "side_rod_main_pin": 5 / 32 * INCH,
    "side_rod_other_pin": 3 / 16 * INCH,
}
LOST_MOTION = 5 / 32 * INCH
SIDE_MOTION = 1 / 4 * INCH


def within(value, limit):
    return "inside" if value <= limit + GRACE else "outside"


def rod_bush_clearance(pin_diameter, bush_bore, kind, other_end_clearance=None, side_motion=None):
    """Clearance of a rod bush on its pin against 49 CFR 230.96.

    Takes pin_diameter [m], bush_bore [m], kind (main_rod, side_rod_main_pin, side_rod_other_pin),
    other_end_clearance [m] (main rod only), side_motion [m]. clearance = bore - pin [m]; limit [m]:
    main rod 3/32 in, side rod on the main pin 5/32 in, on other pins 3/16 in; wear_left = limit -
    clearance [m]; main rod: lost_motion of both ends [m] against 5/32 in; side motion against 1/4 in.
    Source: 49 CFR 230.96(d), (f), (g).
    """
    if bush_bore < pin_diameter - GRACE:
        raise WorkingError(
            "bush_bore",
            given_text(bush_bore, "length"),
            "a bore not less than pin_diameter, " + in_words(pin_diameter),
        )
    if other_end_clearance is not None and kind != "main_rod":
        raise WorkingError(
            "other_end_clearance",
            given_text(other_end_clearance, "length"),
            "nothing: the clearance of the other end counts for a main rod only",
        )
    clearance = max(0.0, bush_bore - pin_diameter)
    limit = LIMITS[kind]
    lost = None if other_end_clearance is None else clearance + other_end_clearance
    return {
        "clearance": clearance,
        "limit": limit,
        "wear_left": limit - clearance,
        "verdict": within(clearance, limit),
        "lost_motion": lost,
        "lost_motion_limit": LOST_MOTION if kind == "main_rod" else None,
        "lost_motion_verdict": None if lost is None else within(lost, LOST_MOTION),
        "side_motion_limit": SIDE_MOTION,
        "side_motion_verdict": None if side_motion is None else within(side_motion, SIDE_MOTION),
    }


def _clearance_lines(i, o):
    lines = [
        ("c", "B - d", o["clearance"], "length"),
        ("c_max", None, o["limit"], "length", "49 CFR 230.96 limit for this kind of bearing"),
        ("w", "c_max - c", o["wear_left"], "length"),
    ]
    if o["lost_motion"] is not None:
        lines.append(("c_both", "c + c_o", o["lost_motion"], "length"))
        lines.append(
            ("c_lim", None, o["lost_motion_limit"], "length", "49 CFR 230.96(f) limit for both ends")
        )
    if i["side_motion"] is not None:
        lines.append(
            ("z_max", None, o["side_motion_limit"], "length", "49 CFR 230.96(d) limit of side motion")
        )
    return lines


FARTHEST_TURN = 0.2


class Rod:
    """One side of two coupled wheelsets, with the misfit counted in half clearances."""

    def __init__(self, spacing, rod, clearance, front_throw, rear_throw):
        self.spacing = spacing
        self.rod = rod
        self.scale = 2 / clearance
        self.front_throw = front_throw
        self.rear_throw = rear_throw

    def ratio(self, front, rear):
        """(signed ratio, first and second derivative by the turn of the rear wheelset)."""
        dx, dy = separation(self.spacing, self.front_throw, front, self.rear_throw, rear)
        sine, cosine = self.rear_throw * math.sin(rear), self.rear_throw * math.cos(rear)
        distance = math.sqrt(dx * dx + dy * dy)
        slope = (dx * sine + dy * cosine) / distance
        curve = (sine * sine + cosine * cosine + dx * cosine - dy * sine - slope * slope) / distance
        return (self.rod - distance) * self.scale, -slope * self.scale, -curve * self.scale


def best_turn(left, right):
    """(larger ratio, left less right in size) at the turn of the rear wheelset that suits both best.

    left(turn), right(turn) give (ratio, slope, curve). Within the turns that matter a ratio is
    nearly a parabola, so the best place is where both are alike in size, or where one turns.
    """
    a, b = left(0.0), right(0.0)
    near = []
    for sign in (-1, 1):
        value, slope, curve = a[0] + sign * b[0], a[1] + sign * b[1], a[2] + sign * b[2]
        starts = roots(value, slope, curve / 2)
        if abs(curve) > 1e-9 * abs(slope):
            starts.append(-slope / curve)
        for turn in starts:
            near.append((turn, sign))
    for one in (a, b):
        if abs(one[2]) > 1e-9 * abs(one[1]):
            near.append((-one[1] / one[2], 0 if one is a else 2))

    def larger(turn):
        return max(abs(left(turn)[0]), abs(right(turn)[0]))

    def about(turn):
        return max([abs(one[0] + one[1] * turn + one[2] * turn * turn / 2) for one in (a, b)])

    near += [(FARTHEST_TURN, None), (-FARTHEST_TURN, None)]
    starts = []
    for turn, sign in near:
        if -1.5 * FARTHEST_TURN <= turn <= 1.5 * FARTHEST_TURN:
            turn = min(max(turn, -FARTHEST_TURN), FARTHEST_TURN)
            starts.append((about(turn), turn, sign))
    # The parabola is good to a tenth; a start that lies far behind by it cannot win.
    good = min([start[0] for start in starts])
    good += 0.25 * max(1.0, good)
    best, best_at = None, 0.0
    for size, turn, sign in starts:
        if size > good:
            continue
        for _ in range(0 if sign is None else 6):
            p, q = left(turn), right(turn)
            if sign in (-1, 1):
                value, steep = p[0] + sign * q[0], p[1] + sign * q[1]
            else:
                value, steep = (p[1], p[2]) if sign == 0 else (q[1], q[2])
            if steep == 0:
                break
            step = value / steep
            turn = min(max(turn - step, -FARTHEST_TURN), FARTHEST_TURN)
            if abs(step) < 1e-9:
                # Newton's next step would be this one squared: nothing.
                break
        size = larger(turn)
        if best is None or size < best:
            best, best_at = size, turn
    return best, abs(left(best_at)[0]) - abs(right(best_at)[0])


def rods_all_round(
    left_axle_spacing,
    right_axle_spacing,
    left_rod_centres,
    right_rod_centres,
    left_clearance,
    right_clearance,
    front_left_throw,
    front_right_throw,
    rear_left_throw,
    rear_right_throw,
    front_crank_spacing,
    rear_crank_spacing,
    right_pin_leads,
    steps=360,
):
    """Whether the rods of both sides run all the way round one turn of the wheels.

    Takes left_axle_spacing, right_axle_spacing, left_rod_centres, right_rod_centres [m];
    left_clearance, right_clearance [m], diametral, both ends added; front_left_throw,
    front_right_throw, rear_left_throw, rear_right_throw [m]; front_crank_spacing,
    rear_crank_spacing [rad]; right_pin_leads (yes/no); steps [-], angles tried in one turn.
    At each crank angle the rear wheelset takes the turn that makes the larger of 2 |rod centres -
    pin distance|/clearance of the two sides least; worst_ratio [-] is the greatest of these, with
    worst_angle [rad] and worst_side; runs where it is at most 1.
    Source: plane geometry.
    """
    left = Rod(left_axle_spacing, left_rod_centres, left_clearance, front_left_throw, rear_left_throw)
    right = Rod(right_axle_spacing, right_rod_centres, right_clearance, front_right_throw, rear_right_throw)
    sign = 1 if right_pin_leads else -1
    front_across, rear_across = sign * front_crank_spacing, sign * rear_crank_spacing

    def at(angle):
        return best_turn(
            lambda turn: left.ratio(angle, angle + turn),
            lambda turn: right.ratio(angle + front_across, angle + rear_across + turn),
        )

    found = [at(2 * math.pi * k / steps) for k in range(steps)]
    worst = max([one[0] for one in found])
    k = 0
    while found[k][0] < worst - 1e-6:
        k += 1
    difference = found[k][1]
    return {
        "worst_ratio": worst,
        "worst_angle": 2 * math.pi * k / steps,
        "worst_side": "both" if abs(difference) <= 1e-6 else ("left" if difference > 0 else "right"),
        "runs": worst <= 1 + 2 * GRACE / min(left_clearance, right_clearance),
    }


def _round_lines(i, o):
    return [
        (
            "rho",
            None,
            o["worst_ratio"],
            "plain",
            "greatest over {} crank angles of the least, over the turn of the rear wheelset, of the larger "
            "of 2·|rod centres − pin distance| ÷ clearance on the two sides".format(i["steps"]),
        ),
        ("theta", None, o["worst_angle"], "angle", "left front crank angle where it stands"),
    ]


CFR = "49 CFR 230.96, read in law text; it holds where the engine's data sheet names that jurisdiction."

WORKINGS = [
    Working(
        "rod_bush_clearance",
        "Clearance of a rod bush",
        rod_bush_clearance,
        [
            length("pin_diameter", "where the bush runs", "d"),
            length("bush_bore", "not less than pin_diameter", "B"),
            choice("kind", "which bearing", "main_rod, side_rod_main_pin, side_rod_other_pin"),
            length(
                "other_end_clearance",
                "main rod only: clearance at its other end",
                "c_o",
                least=0,
                optional=True,
            ),
            length("side_motion", "total, of the rod on its pin", "z", least=0, optional=True),
        ],
        [
            Output("clearance", "length", "bore less pin"),
            Output("limit", "length", "49 CFR 230.96(f), (g)"),
            Output("wear_left", "length", "limit less clearance"),
            Output("verdict", "plain", "clearance against its limit", "choice: inside, outside"),
            Output("lost_motion", "length", "main rod: both ends together", "number or null"),
            Output("lost_motion_limit", "length", "main rod: 49 CFR 230.96(f)", "number or null"),
            Output("lost_motion_verdict", "plain", "", "choice: inside, outside, or null"),
            Output("side_motion_limit", "length", "49 CFR 230.96(d)"),
            Output("side_motion_verdict", "plain", "", "choice: inside, outside, or null"),
        ],
        _clearance_lines,
        [],
        ["These are limits of wear in service, not clearances for a new fit."],
        [CFR],
    ),
    Working(
        "rods_all_round",
        "Rods over one turn of the wheels",
        rods_all_round,
        [
            length("left_axle_spacing", "level, on the left"),
            length("right_axle_spacing", "level, on the right"),
            length("left_rod_centres", "bush centre to bush centre"),
            length("right_rod_centres", "bush centre to bush centre"),
            length("left_clearance", "diametral, both ends of the left rod added"),
            length("right_clearance", "diametral, both ends of the right rod added"),
            length("front_left_throw", "pin centre to axle centre"),
            length("front_right_throw", "pin centre to axle centre"),
            length("rear_left_throw", "pin centre to axle centre"),
            length("rear_right_throw", "pin centre to axle centre"),
            number(
                "front_crank_spacing", "angle", "left to right pin, front wheelset", above=0, most=math.pi
            ),
            number("rear_crank_spacing", "angle", "left to right pin, rear wheelset", above=0, most=math.pi),
            Input(
                "right_pin_leads",
                "plain",
                "yes: each right pin stands its crank spacing further on",
                "yes/no",
            ),
            Input(
                "steps",
                "plain",
                "crank angles tried in one turn",
                "whole number",
                default=360,
                least=8,
                most=36000,
            ),
        ],
        [
            Output("worst_ratio", "plain", "misfit over half the clearance, at its worst"),
            Output("worst_angle", "angle", "left front crank angle where it stands"),
            Output("worst_side", "plain", "", "choice: left, right, both"),
            Output("runs", "plain", "worst_ratio at most 1", "yes/no"),
        ],
        _round_lines,
        ["Wheels level, axles parallel; the rear wheelset takes the turn that suits both rods best."],
        ["Going on at one angle proves nothing about running: turn once, slowly, and feel every rod."],
        ["Plane geometry of the four pins."],
    ),
]
