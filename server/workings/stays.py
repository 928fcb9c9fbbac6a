"""Firebox stays: where they stand, what they carry."""

import math

from workings.errors import WorkingError
from workings.published import PSI, cfr
from workings.working import GRACE, Input, Output, Working, given_text, in_words, length, number

STAY_STRESS = cfr(7500 * PSI, "230.25", "7500 psi at most on a stay's net section")


def stay_row(wrapper_radius, crown_radius, centre_offset, row_angles):
    """How far stays that stand square to the crown sheet lean at the wrapper, and their length.

    Takes wrapper_radius [m], crown_radius [m], centre_offset [m] of the crown's centre above the
    wrapper's, row_angles [rad] from the top about the crown's centre. tilts: asin(e sin(angle)/R_w)
    [rad]; between_sheets = -e cos(angle) + sqrt(R_w^2 - e^2 sin(angle)^2) - R_c [m].
    Source: geometry of two circles.
    """
    if not abs(centre_offset) < wrapper_radius:
        raise WorkingError(
            "centre_offset",
            given_text(centre_offset, "length"),
            "less than the wrapper's radius either way, " + in_words(wrapper_radius),
        )
    if not row_angles:
        raise WorkingError("row_angles", "an empty list", "one angle or more")
    tilts, between = [], []
    for angle in row_angles:
        across = centre_offset * math.sin(angle)
        reach = math.sqrt((wrapper_radius - across) * (wrapper_radius + across)) - centre_offset * math.cos(
            angle
        )
        room = reach - crown_radius
        if room <= GRACE:
            raise WorkingError(
                "crown_radius",
                given_text(crown_radius, "length"),
                "less than " + in_words(reach),
                "crown_radius: {} leaves no room between the sheets at a row angle of {}; give less than "
                "{}.".format(
                    given_text(crown_radius, "length"), given_text(angle, "angle"), in_words(reach)
                ),
            )
        tilts.append(math.asin(across / wrapper_radius))
        between.append(room)
    return {"tilts": tilts, "between_sheets": between}


MOST_ROWS_TOLD = 12


def _row_lines(i, o):
    lines, angles = [], i["row_angles"]
    for k in range(min(len(angles), MOST_ROWS_TOLD)):
        n = str(k + 1)
        phi = "phi_" + n
        lines += [
            (phi, None, angles[k], "angle", "row " + n + ", from the top"),
            ("tau_" + n, "asin(e*sin(" + phi + ")/R_w)", o["tilts"][k], "angle"),
            (
                "l_" + n,
                "sqrt(R_w^2 - (e*sin(" + phi + "))^2) - e*cos(" + phi + ") - R_c",
                o["between_sheets"][k],
                "length",
            ),
        ]
    return lines


def stay_load(pitch_row, pitch_column, pressure, body_diameter, telltale_diameter=0, deduct_stay=True):
    """What one stay carries, against the stress that 49 CFR 230.25 allows.

    Takes pitch_row [m], pitch_column [m], pressure [Pa], body_diameter [m] at the least section,
    telltale_diameter [m], deduct_stay (yes: the body's own area comes off the area it supports).
    supported_area = pitch_row pitch_column - pi/4 body^2 [m2]; load = pressure area [N]; least_section
    = pi/4 (body^2 - telltale^2) [m2]; stress = load/section [Pa]; share_of_allowable [-] of 7500 psi;
    largest_pressure [Pa] and least_body_diameter [m] at which the stress is just allowed.
    Source: 49 CFR 230.25; statics.
    """
    if telltale_diameter and telltale_diameter > body_diameter - GRACE:
        raise WorkingError(
            "telltale_diameter",
            given_text(telltale_diameter, "length"),
            "less than body_diameter, " + in_words(body_diameter),
        )
    narrower = min(pitch_row, pitch_column)
    if body_diameter > narrower - GRACE:
        raise WorkingError(
            "body_diameter",
            given_text(body_diameter, "length"),
            "less than the pitch, " + in_words(narrower),
        )
    quarter = math.pi / 4
    cell = pitch_row * pitch_column
    area = cell - (quarter * body_diameter**2 if deduct_stay else 0.0)
    # Taken apart, so that a thin wall round the telltale hole keeps its digits.
    section = quarter * (body_diameter - telltale_diameter) * (body_diameter + telltale_diameter)
    allowed = STAY_STRESS.value
    stress = pressure * area / section
    # Where the stay is deducted: p (cell - pi/4 d^2) = S pi/4 (d^2 - t^2), solved for d.
    least = (pressure * cell / quarter + allowed * telltale_diameter**2) / (
        allowed + (pressure if deduct_stay else 0.0)
    )
    return {
        "supported_area": area,
        "load": pressure * area,
        "least_section": section,
        "stress": stress,
        "share_of_allowable": stress / allowed,
        "largest_pressure": allowed * section / area,
        "least_body_diameter": math.sqrt(least),
    }


def _load_lines(i, o):
    off = " - pi/4*d^2" if i["deduct_stay"] else ""
    return [
        ("A", "p_r*p_c" + off, o["supported_area"], "area"),
        ("F", "P*A", o["load"], "force"),
        ("a", "pi/4*(d^2 - t^2)", o["least_section"], "area"),
        ("s", "F/a", o["stress"], "pressure"),
        ("S", None, STAY_STRESS.value, "pressure", "allowed by 49 CFR 230.25"),
        ("x", "s/S", o["share_of_allowable"], "plain"),
        ("P_max", "S*a/A", o["largest_pressure"], "pressure"),
        (
            "d_min",
            "sqrt((4/pi*P*p_r*p_c + S*t^2)/(S" + (" + P" if off else "") + "))",
            o["least_body_diameter"],
            "length",
        ),
    ]


WORKINGS = [
    Working(
        "stay_row",
        "A row of stays between crown and wrapper",
        stay_row,
        [
            length("wrapper_radius", "inside", "R_w"),
            length("crown_radius", "outside, on the water side", "R_c"),
            length("centre_offset", "crown's centre above the wrapper's; negative: below", "e", any_sign=True),
            Input(
                "row_angles",
                "angle",
                "from the top, about the crown's centre",
                "list of numbers",
                least=-math.pi,
                most=math.pi,
            ),
        ],
        [
            Output("tilts", "angle", "signed as centre_offset × sin(row angle)", "list of numbers"),
            Output("between_sheets", "length", "along the stay", "list of numbers"),
        ],
        _row_lines,
        ["Both sheets are round and the stays stand square to the crown sheet."],
        ["An old sheet is not where its drawing says: measure each stay's own length before cutting."],
        ["Geometry of two circles."],
    ),
    Working(
        "stay_load",
        "Load on a stay",
        stay_load,
        [
            length("pitch_row", "between stays along a row", "p_r"),
            length("pitch_column", "between rows", "p_c"),
            number("pressure", "pressure", "in the boiler, gauge", "P", above=0),
            length("body_diameter", "at the least section", "d"),
            length("telltale_diameter", "of the hole", "t", default=0, least=0),
            Input("deduct_stay", "plain", "take the body's own area off", "yes/no", default=True),
        ],
        [
            Output("supported_area", "area"),
            Output("load", "force"),
            Output("least_section", "area", "body less telltale"),
            Output("stress", "pressure"),
            Output("share_of_allowable", "plain", "stress over 7500 psi of 49 CFR 230.25"),
            Output("largest_pressure", "pressure", "at which the stress is just allowed"),
            Output("least_body_diameter", "length", "at which the stress is just allowed"),
        ],
        _load_lines,
        ["The stay carries its own cell of the pattern, straight along its axis."],
        [
            "The least section of a screwed stay is at the root of its thread.",
            "A leaning stay carries more than this; the engineer in charge decides.",
        ],
        [STAY_STRESS.told()],
    ),
]
