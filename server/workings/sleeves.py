"""Stay sleeves: cut to sit on the sheet, and welded round."""

import math

from workings.errors import WorkingError
from workings.working import GRACE, Input, Output, Working, given_text, in_words, length, number

HALF_TURN = math.pi / 2
MOST_POINTS = 3600


def sleeve_trim(sleeve_diameter, tilt, wrapper_radius=None, points=72):
    """How the end of a sleeve is cut to sit on the sheet.

    Takes sleeve_diameter [m] outside, tilt [rad] from square to the sheet, wrapper_radius [m] (left
    out: flat sheet), points [-] round the template. At psi round the sleeve a = d/2 cos(psi), s =
    -R cos(tilt) + sqrt(R^2 cos(tilt)^2 - a^2 + 2 R a sin(tilt)) [m] along the sleeve from where its
    axis meets the sheet; flat: s = a tan(tilt). longest and shortest are the extremes over the whole
    round [m], long_to_short their difference [m]; template: angle = psi, x = psi d/2, y = s [m].
    Source: line and cylinder; on a curved sheet s is greatest at a = R sin(tilt), where the sleeve
    reaches that far.
    """
    half = sleeve_diameter / 2
    sine, cosine = math.sin(tilt), math.cos(tilt)
    if wrapper_radius is not None:
        widest = wrapper_radius * (1 - abs(sine))
        if half > widest + GRACE:
            raise WorkingError(
                "sleeve_diameter",
                given_text(sleeve_diameter, "length"),
                "at most {}, or it passes the sheet at that tilt".format(in_words(2 * widest)),
            )

    def along(a):
        if wrapper_radius is None:
            return a * sine / cosine
        # Multiplied through, so that no digits are lost on a sheet of large radius.
        u = wrapper_radius * sine - a
        root = math.sqrt(max(0.0, (wrapper_radius - u) * (wrapper_radius + u)))
        return a * (2 * wrapper_radius * sine - a) / (root + wrapper_radius * cosine)

    low, high = sorted([along(half), along(-half)])
    if wrapper_radius is not None and wrapper_radius * abs(sine) < half:
        high = 2 * wrapper_radius * math.sin(tilt / 2) ** 2
    template = []
    for k in range(points + 1):
        psi = 2 * math.pi * k / points
        template.append({"angle": psi, "x": psi * half, "y": along(half * math.cos(psi))})
    return {"longest": high, "shortest": low, "long_to_short": high - low, "template": template}


def _trim_lines(i, o):
    curved = i["wrapper_radius"] is not None
    lines = []
    if not curved:
        lines = [
            ("s_max", "abs(d/2*tan(tau))", o["longest"], "length"),
            ("s_min", "-abs(d/2*tan(tau))", o["shortest"], "length"),
        ]
    else:
        top = i["wrapper_radius"] * abs(math.sin(i["tilt"])) < i["sleeve_diameter"] / 2
        lines = [
            (
                "s_max",
                "R*(1 - cos(tau))"
                if top
                else "sqrt((R*cos(tau))^2 - d^2/4 + R*d*sin(abs(tau))) - R*cos(tau)",
                o["longest"],
                "length",
            ),
            (
                "s_min",
                "sqrt((R*cos(tau))^2 - d^2/4 - R*d*sin(abs(tau))) - R*cos(tau)",
                o["shortest"],
                "length",
            ),
        ]
    return lines + [("h", "s_max - s_min", o["long_to_short"], "length")]


def ellipse_perimeter(semi_a, semi_b):
    """Perimeter [m] of an ellipse, exact: complete elliptic integral by the arithmetic-geometric mean."""
    a, b = max(semi_a, semi_b), min(semi_a, semi_b)
    x, y, power, rest = a, b, 0.5, a * a - (a - b) * (a + b) / 2
    # Legendre: E/K = 1 - sum of 2^(n-1) c_n^2, all scaled by a.
    while x - y > 1e-12 * x:
        x, y, gap = (x + y) / 2, math.sqrt(x * y), (x - y) / 2
        power *= 2
        rest -= power * gap * gap
    return 2 * math.pi * rest / x


def groove_weld(
    wall,
    bevel_angle,
    root_opening,
    root_face,
    cap_height,
    deposition_efficiency,
    deposition_rate,
    operating_factor,
    path_length=None,
    diameter=None,
    tilt=None,
    joints=1,
    density=7850,
):
    """Metal and time of a groove weld, one side bevelled, round a sleeve or along a path.

    Takes wall [m], bevel_angle [rad], root_opening [m], root_face [m], cap_height [m], path_length [m]
    or diameter [m] with tilt [rad], deposition_efficiency [-], deposition_rate [kg/s] of arc time,
    operating_factor [-], joints [-], density [kg/m3]. area = g t + (t - f)^2 tan(beta)/2 + 2/3 cap (g +
    (t - f) tan(beta)) [m2]; path_length round a tilted sleeve = perimeter of the ellipse with semi-axes
    d/2 and d/2/cos(tilt) [m]; deposit_volume [m3]; deposit_mass, filler_mass = deposit/efficiency [kg];
    arc_time = deposit/rate, clock_time = arc/operating factor [s]; the same for all joints.
    Source: geometry; filler = deposit/efficiency as in the ESAB Welding Handbook.
    """
    if root_face > wall + GRACE:
        raise WorkingError(
            "root_face", given_text(root_face, "length"), "at most the wall, " + in_words(wall)
        )
    if path_length is not None:
        for name, value, dimension in (("diameter", diameter, "length"), ("tilt", tilt, "angle")):
            if value is not None:
                raise WorkingError(
                    name, given_text(value, dimension), "path_length, or diameter with tilt, not both"
                )
    else:
        if diameter is None and tilt is None:
            raise WorkingError("path_length", "nothing", "path_length, or diameter with tilt")
        if diameter is None or tilt is None:
            name = "diameter" if diameter is None else "tilt"
            raise WorkingError(name, "nothing", "diameter and tilt both, or path_length")
        path_length = ellipse_perimeter(diameter / 2, diameter / 2 / math.cos(tilt))
    deep = max(0.0, wall - root_face)
    wide = deep * math.tan(bevel_angle)
    area = root_opening * wall + deep * wide / 2 + 2 / 3 * cap_height * (root_opening + wide)
    volume = area * path_length
    mass = volume * density
    filler, arc = mass / deposition_efficiency, mass / deposition_rate
    clock = arc / operating_factor
    return {
        "area": area,
        "path_length": path_length,
        "deposit_volume": volume,
        "deposit_mass": mass,
        "filler_mass": filler,
        "arc_time": arc,
        "clock_time": clock,
        "deposit_mass_all": joints * mass,
        "filler_mass_all": joints * filler,
        "arc_time_all": joints * arc,
        "clock_time_all": joints * clock,
    }


def _weld_lines(i, o):
    lines = [
        ("w", "max(0, t - f)*tan(beta)", max(0.0, i["wall"] - i["root_face"]) * math.tan(i["bevel_angle"]), "length"),
        ("A", "g*t + max(0, t - f)*w/2 + 2/3*c*(g + w)", o["area"], "area"),
    ]
    if i["path_length"] is None:
        lines.append(
            ("l", None, o["path_length"], "length", "perimeter of the ellipse that the leaning sleeve cuts")
        )
    lines += [
        ("V", "A*l", o["deposit_volume"], "volume"),
        ("m", "rho*V", o["deposit_mass"], "mass"),
        ("m_f", "m/eta", o["filler_mass"], "mass"),
        ("t_a", "m/q", o["arc_time"], "time"),
        ("t_c", "t_a/k", o["clock_time"], "time"),
    ]
    if i["joints"] > 1:
        lines += [
            ("M_f", "n*m_f", o["filler_mass_all"], "mass"),
            ("T_c", "n*t_c", o["clock_time_all"], "time"),
        ]
    return lines


_NUMBERS = (
    ("deposit_mass", "mass"),
    ("filler_mass", "mass"),
    ("arc_time", "time"),
    ("clock_time", "time"),
)

WORKINGS = [
    Working(
        "sleeve_trim",
        "Cutting a sleeve to the sheet",
        sleeve_trim,
        [
            length("sleeve_diameter", "outside", "d"),
            number(
                "tilt",
                "angle",
                "of the sleeve from square to the sheet",
                "tau",
                above=-HALF_TURN,
                below=HALF_TURN,
            ),
            length("wrapper_radius", "left out: flat sheet", "R", optional=True),
            Input(
                "points",
                "plain",
                "equal divisions of the round",
                "whole number",
                default=72,
                least=4,
                most=MOST_POINTS,
            ),
        ],
        [
            Output("longest", "length", "greatest over the whole round"),
            Output("shortest", "length", "least over the whole round"),
            Output("long_to_short", "length"),
            Output("template", "length", "to wrap round the sleeve", "list of objects: angle, x, y"),
        ],
        _trim_lines,
        ["The sleeve leans in the plane across the wrapper; ψ = 0 is the side leaned to."],
        ["A sleeve square to a curved sheet still needs a saddle cut.", "Check the printed scale first."],
        ["Geometry of a line and a cylinder."],
    ),
    Working(
        "groove_weld",
        "Groove weld round a sleeve",
        groove_weld,
        [
            length("wall", "thickness welded through", "t"),
            number("bevel_angle", "angle", "of the one side bevelled", "beta", least=0, below=HALF_TURN),
            length("root_opening", "gap at the root", "g", least=0),
            length("root_face", "left square at the root", "f", least=0),
            length("cap_height", "above the wall", "c", least=0),
            length("path_length", "this, or diameter with tilt", "l", optional=True),
            length("diameter", "of the sleeve", "d", optional=True),
            number("tilt", "angle", "of the sleeve", "tau", least=0, below=HALF_TURN, optional=True),
            number("deposition_efficiency", "plain", "deposit over filler", "eta", above=0, most=1),
            number("deposition_rate", "mass per time", "deposit a time of arc", "q", above=0),
            number("operating_factor", "plain", "arc time over clock time", "k", above=0, most=1),
            Input("joints", "plain", "alike", "whole number", "n", default=1, least=1),
            number("density", "density", "of the deposit", "rho", default=7850, above=0),
        ],
        [
            Output("area", "area"),
            Output("path_length", "length"),
            Output("deposit_volume", "volume", "one joint"),
        ]
        + [Output(name, of, "one joint") for name, of in _NUMBERS]
        + [Output(name + "_all", of, "all joints") for name, of in _NUMBERS],
        _weld_lines,
        ["The groove is alike all round; the cap is a parabola."],
        ["Welding on a boiler is for a qualified welder by a qualified procedure."],
        ["Geometry. Filler = deposit/efficiency, ESAB Welding Handbook; read in the handbook's text."],
    ),
]
