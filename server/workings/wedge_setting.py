"""Which pair of wheels to raise on rail wedges, how high and how far, so that both rods go on.

Every distance of this job is nearly a parabola in the rise, so the best rise is one of a few
places: an end of the range, a turning point of one side's misfit, or a place where the two
misfits are alike in size. Each is taken from the parabola, put exact by Newton's steps, and the
best of them is the best of all. A search by brute force confirms it in tests/reference.
"""

import math

from workings.pins_as_found import Side, as_found, chosen_spacings
from workings.rail_wedge import below_radius, geometry, half_tangent, wheel_and_wedge
from workings.running_gear import RIGHT_ANGLE, separation
from workings.running_gear import crank_spacing as crank_spacing_input
from workings.working import GRACE, Input, Output, Working, choice, length, number

# Ways that differ by less than this are alike: nobody can set rails to a micrometre.
ALIKE = 1e-6
WAYS = (("rear", "forward"), ("rear", "backward"), ("front", "forward"), ("front", "backward"))


def roots(a, b, c):
    """Where a + b x + c x^2 is nought, or nearest to it."""
    if c == 0 or abs(c) < 1e-14 * abs(b):
        return [] if b == 0 else [-a / b]
    square = b * b - 4 * a * c
    if square <= 0:
        return [-b / (2 * c)]
    # The form that subtracts no two like numbers.
    q = -0.5 * (b + (math.sqrt(square) if b >= 0 else -math.sqrt(square)))
    return [q / c] + ([a / q] if q else [])


def best_rise(misfits, cap):
    """(rise, larger misfit): the least rise that makes the larger of two misfits least, 0 to cap.

    misfits(rise) gives ((left, slope), (right, slope)).
    """

    def larger(rise):
        left, right = misfits(rise)
        return max(abs(left[0]), abs(right[0]))

    def parts(rise):
        (a, da), (b, db) = misfits(rise)
        return (a - b, da - db), (a + b, da + db), (a, da), (b, db)

    start, middle, end = parts(0.0), parts(cap / 2), parts(cap)
    places = [0.0, cap]
    for k in range(4):
        p, q, r = start[k][0], middle[k][0], end[k][0]
        curve = 2 * (p - 2 * q + r)
        slope = 4 * q - 3 * p - r
        near = [-slope / (2 * curve)] if curve else []
        if k < 2:
            near += roots(p, slope, curve)
        for share in near:
            if not -0.05 <= share <= 1.05:
                continue
            rise = min(max(share, 0.0), 1.0) * cap
            places.append(rise)
            if k < 2:
                for _ in range(3):
                    value, steep = parts(rise)[k]
                    if steep == 0:
                        break
                    rise = min(max(rise - value / steep, 0.0), cap)
            else:
                for _ in range(3):
                    if curve:
                        rise = min(max(rise - parts(rise)[k][1] * cap * cap / (2 * curve), 0.0), cap)
            places.append(rise)
    sizes = [larger(rise) for rise in places]
    least = min(sizes)
    return min([places[k] for k in range(len(places)) if sizes[k] <= least + 1e-12]), least


def wedge_setting(
    crank_throw,
    wheel_diameter,
    wedge_length,
    wedge_height,
    crank_angle,
    right_pin_leads,
    left_pin_distance,
    right_pin_distance,
    left_rod_centres,
    right_rod_centres,
    front_clearance,
    rear_clearance,
    axle_spacing=None,
    left_axle_spacing=None,
    right_axle_spacing=None,
    setting_crank_angle=None,
    present_crank_angle=None,
    may_raise="both",
    may_pull="forward",
    crank_spacing=RIGHT_ANGLE,
    flange_height=None,
    rise_room=None,
    box_rise_share=1.0,
):
    """Which pair to raise on rail wedges, how high, how far to pull, and what is left on each side.

    Takes crank_throw, wheel_diameter, wedge_length, wedge_height [m]; crank_angle [rad], left side,
    front wheelset, where measured; right_pin_leads (yes/no); left_pin_distance, right_pin_distance,
    left_rod_centres, right_rod_centres, front_clearance, rear_clearance [m]; axle_spacing [m], or
    left_axle_spacing and right_axle_spacing [m], or neither; setting_crank_angle [rad] (left out:
    crank_angle); present_crank_angle [rad], for the lay; may_raise (both, front, rear); may_pull
    (forward, either); crank_spacing [rad]; flange_height, rise_room [m]; box_rise_share [-].

    As found: turn_error by least squares on both sides, or spacing and turn from both distances.
    Setting: for each allowed way the rise from 0 to the cap that makes the larger |rod centres -
    pin distance| least; rear raised: turn_error + gain, h = +share rise; front raised: turn_error -
    gain, h = -share rise; gain = (rise/R) tan(slope/2), its sign turned when pulling backward.
    lay_distance = R Delta - travel + touch_offset with the rear raised, R (Delta - extra_turn) -
    travel + touch_offset with the front raised, plus whole turns until touch_offset or more.
    Source: plane geometry, as wheel_on_wedge and pin_spacing; confirmed by brute force.
    """
    radius, slope, touch, rise_limit = geometry(wheel_diameter, wedge_length, wedge_height)
    below_radius(crank_throw, wheel_diameter)
    across = crank_spacing if right_pin_leads else -crank_spacing
    rods = (left_rod_centres, right_rod_centres)
    measured = (left_pin_distance, right_pin_distance)
    turn_error, spacings = as_found(
        crank_throw,
        (crank_angle, crank_angle + across),
        rods,
        measured,
        chosen_spacings(axle_spacing, left_axle_spacing, right_axle_spacing),
    )

    setting = crank_angle if setting_crank_angle is None else setting_crank_angle
    sides = [Side(crank_throw, spacings[k], rods[k], setting + k * across) for k in (0, 1)]
    gain = half_tangent(slope) / radius
    cap = rise_limit if rise_room is None else min(rise_limit, rise_room / box_rise_share)

    def misfits(rise, turn_sign, rise_sign):
        found = []
        for side in sides:
            distance, by_turn, by_rise = side.pins(
                turn_error + turn_sign * gain * rise, rise_sign * box_rise_share * rise
            )
            found.append(
                (side.rod - distance, -by_turn * turn_sign * gain - by_rise * rise_sign * box_rise_share)
            )
        return found

    def way(raised, pull):
        turn_sign = 1 if (raised == "rear") == (pull == "forward") else -1
        rise_sign = 1 if raised == "rear" else -1
        rise, size = best_rise(lambda rise: misfits(rise, turn_sign, rise_sign), cap)
        return raised, pull, rise, size, turn_sign, rise_sign

    level = misfits(0.0, 1, 1)
    ways = [("none", None, 0.0, max(abs(level[0][0]), abs(level[1][0])), 1, 1)]
    for raised, pull in WAYS:
        if may_raise not in ("both", raised) or (pull == "backward" and may_pull == "forward"):
            continue
        ways.append(way(raised, pull))
    least = min([way[3] for way in ways])
    raised, pull, rise, _, turn_sign, rise_sign = [way for way in ways if way[3] <= least + ALIKE][0]
    after = [one[0] for one in misfits(rise, turn_sign, rise_sign)]

    travel = rise * wedge_length / wedge_height
    extra = gain * rise
    lay = None
    if pull is not None and present_crank_angle is not None:
        onward = setting - present_crank_angle if pull == "forward" else present_crank_angle - setting
        lay = radius * (onward - (extra if raised == "front" else 0.0)) - travel + touch
        once_round = 2 * math.pi * radius
        lay += math.ceil((touch - GRACE - lay) / once_round) * once_round
    difference = abs(after[0]) - abs(after[1])
    return {
        "turn_error": turn_error,
        "axle_spacing": (spacings[0] + spacings[1]) / 2,
        "raise": raised,
        "axle_rise": rise,
        "travel": travel,
        "pull_direction": pull,
        "lay_distance": lay,
        "extra_turn": extra,
        "flange_left": None if flange_height is None else flange_height - rise,
        "misfit_left_before": left_rod_centres - left_pin_distance,
        "misfit_right_before": right_rod_centres - right_pin_distance,
        "misfit_left_after": after[0],
        "misfit_right_after": after[1],
        "goes_on": max(abs(after[0]), abs(after[1])) <= (front_clearance + rear_clearance) / 2 + GRACE,
        "governing_side": "both" if abs(difference) <= ALIKE else ("left" if difference > 0 else "right"),
    }


def _lines(i, o):
    radius, slope, touch, _ = geometry(i["wheel_diameter"], i["wedge_length"], i["wedge_height"])
    setting = i["crank_angle"] if i["setting_crank_angle"] is None else i["setting_crank_angle"]
    rear_up, forward = o["raise"] != "front", o["pull_direction"] != "backward"
    rise = i["box_rise_share"] * o["axle_rise"] * (1 if rear_up else -1)
    turn = o["turn_error"] + o["extra_turn"] * (1 if rear_up == forward else -1)
    lines = [
        ("m_l0", "l_l - d_l", o["misfit_left_before"], "length"),
        ("m_r0", "l_r - d_r", o["misfit_right_before"], "length"),
        ("phi", None, o["turn_error"], "angle", "turn as found, the one that fits both measured distances"),
    ]
    if i["axle_spacing"] is None:
        lines.append(
            ("C", None, o["axle_spacing"], "length", "axle spacing, given by side or found with the turn")
        )
    lines += [
        ("R", "D/2", radius, "length"),
        ("alpha", "atan(H/L)", slope, "angle"),
        ("h", None, o["axle_rise"], "length", "the rise that makes the larger misfit least"),
        ("x", "h/tan(alpha)", o["travel"], "length"),
        ("epsilon", "h/R*tan(alpha/2)", o["extra_turn"], "angle"),
        ("h_b", "b*h" if rear_up else "-b*h", rise, "length"),
        ("phi_s", "phi + epsilon" if rear_up == forward else "phi - epsilon", turn, "angle"),
    ]
    right = setting + (i["crank_spacing"] if i["right_pin_leads"] else -i["crank_spacing"])
    for side, angle, rod, spacing in (
        ("l", setting, "left_rod_centres", "left_axle_spacing"),
        ("r", right, "right_rod_centres", "right_axle_spacing"),
    ):
        mine = "C_" + side if i[spacing] is not None else "C"
        lines.append(("theta_" + side, None, angle, "angle", "crank angle of this side at the setting"))
        after = o["misfit_left_after" if side == "l" else "misfit_right_after"]
        wide = o["axle_spacing"] if i[spacing] is None else i[spacing]
        along, across = separation(wide, i["crank_throw"], angle, i["crank_throw"], angle + turn, rise)
        x_formula = "{0} + r*cos(theta_{1}) - r*cos(theta_{1} + phi_s)".format(mine, side)
        y_formula = "r*sin(theta_{0} + phi_s) - r*sin(theta_{0}) - h_b".format(side)
        lines += [
            ("x_" + side, x_formula, along, "length"),
            ("y_" + side, y_formula, across, "length"),
            ("p_" + side, "sqrt(x_{0}^2 + y_{0}^2)".format(side), i[rod] - after, "length"),
            ("m_" + side, "l_{0} - p_{0}".format(side), after, "length"),
        ]
    half = (i["front_clearance"] + i["rear_clearance"]) / 2
    lines.append(("c", "(c_f + c_r)/2", half, "length", "what each misfit may be at most"))
    if o["lay_distance"] is not None:
        lines.append(("a", "R*tan(alpha/2)", touch, "length"))
        front = 0.0 if rear_up else o["extra_turn"]
        onward = (o["lay_distance"] - touch + o["travel"]) / radius + front
        lines.append(("Delta", None, onward, "angle", "turn of the front wheelset from here to the setting"))
        lay = "R*Delta - x + a" if rear_up else "R*(Delta - epsilon) - x + a"
        lines.append(("lay", lay, o["lay_distance"], "length"))
    if o["flange_left"] is not None:
        lines.append(("f", "f_0 - h", o["flange_left"], "length"))
    return lines


WORKINGS = [
    Working(
        "wedge_setting",
        "Setting of the rail wedges",
        wedge_setting,
        [length("crank_throw", "the same on all four pins", "r")]
        + wheel_and_wedge()
        + [
            number(
                "crank_angle", "angle", "left side, front wheelset, where the pins were measured", "theta"
            ),
            Input("right_pin_leads", "plain", "yes: the right pin stands crank_spacing further on", "yes/no"),
            length("left_pin_distance", "measured, front pin to rear pin, engine level", "d_l"),
            length("right_pin_distance", "measured likewise", "d_r"),
            length("left_rod_centres", "bush centre to bush centre", "l_l"),
            length("right_rod_centres", "bush centre to bush centre", "l_r"),
            length("front_clearance", "diametral, pin to bush", "c_f", least=0),
            length("rear_clearance", "diametral, pin to bush", "c_r", least=0),
            length(
                "axle_spacing", "both sides alike; left out: found from the pin distances", "C", optional=True
            ),
            length(
                "left_axle_spacing", "with right_axle_spacing, in place of axle_spacing", "C_l", optional=True
            ),
            length(
                "right_axle_spacing", "with left_axle_spacing, in place of axle_spacing", "C_r", optional=True
            ),
            number(
                "setting_crank_angle",
                "angle",
                "where the rods are to be hung; left out: crank_angle",
                optional=True,
            ),
            number(
                "present_crank_angle",
                "angle",
                "as the engine stands before the pull; for lay_distance",
                optional=True,
            ),
            choice("may_raise", "which pair may go on the wedges", "both, front, rear", "both"),
            choice("may_pull", "either: backward too", "forward, either", "forward"),
            crank_spacing_input("between the left and the right pin of a wheelset"),
            length("flange_height", "flange below the tread; for flange_left", "f_0", optional=True),
            length(
                "rise_room", "what the raised pair's box can still rise in the frame", least=0, optional=True
            ),
            number(
                "box_rise_share",
                "plain",
                "how far the box rises over the wheel's rise; 1: level frame",
                "b",
                default=1.0,
                above=0,
                most=1,
            ),
        ],
        [
            Output("turn_error", "angle", "as found, rear over front"),
            Output("axle_spacing", "length", "given or found; the mean where two were given"),
            Output("raise", "plain", "which pair to run on to the wedges", "choice: front, rear, none"),
            Output("axle_rise", "length", "of the wheels on the rail"),
            Output("travel", "length", "level, from first touch to the stop"),
            Output("pull_direction", "plain", "", "choice: forward, backward, or null"),
            Output(
                "lay_distance",
                "length",
                "from the raised wheels' contact to the toes, along the pull",
                "number or null",
            ),
            Output("extra_turn", "angle", "gained by the raised pair in the direction of the pull"),
            Output(
                "flange_left", "length", "of the raised flange, still below the rail head", "number or null"
            ),
            Output("misfit_left_before", "length", "rod centres less pin distance, as measured"),
            Output("misfit_right_before", "length", "rod centres less pin distance, as measured"),
            Output("misfit_left_after", "length", "rod centres less pin distance, in the setting"),
            Output("misfit_right_after", "length", "rod centres less pin distance, in the setting"),
            Output("goes_on", "plain", "both misfits within half the clearances", "yes/no"),
            Output("governing_side", "plain", "the side with the larger misfit", "choice: left, right, both"),
        ],
        _lines,
        [
            "The frame stays level, or its boxes rise by the given share of the wheel's rise.",
            "The wheels are alike in diameter and roll without slip; the wedge is straight, its toe thin.",
            "The rise itself lengthens the distance by about h² ÷ 2C.",
        ],
        [
            "The prediction guides; the distance measured at the stop decides.",
            "A pair whose rod is already hung is not raised.",
            "Come off the wedges backwards, or jack the pair and draw the wedges; never over the heel.",
        ],
        ["Plane geometry, as wheel_on_wedge and pin_spacing. The way of working is old shop practice."],
    ),
]
