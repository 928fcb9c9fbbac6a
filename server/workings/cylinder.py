"""The cylinder: a bore survey, honing it, the gap of its rings."""

import math

from workings.errors import WorkingError
from workings.working import GRACE, Input, Output, Working, given_text, in_words, length, number


def _a_list_for_each_station(stations, lists, name):
    if len(lists) != len(stations):
        raise WorkingError(
            name,
            "{} lists".format(len(lists)),
            "one list of readings for each of the {} stations".format(len(stations)),
        )


def bore_survey(
    stations, diameters, ridge_step=None, condemning_diameter=None, radii=None
):
    """What diameters read along a bore say of its wear, and what cleans it up.

    Takes stations [m], strictly growing; diameters [m], one list for each station, one reading for
    each clock position; ridge_step [m]; condemning_diameter [m]; radii [m] from the trammed axis, one
    list for each station. means and out_of_round = max - min [m] at each station; largest, smallest,
    taper = greatest less least mean, clean_up_diameter = largest, stock = largest - smallest [m];
    clean_up_on_axis = 2 x largest radius [m]; volume_to_remove = trapezium rule over the stations of
    pi/4 (clean_up_diameter^2 - mean of squares) [m3]; ridges: neighbours whose means differ by more
    than ridge_step; verdict against condemning_diameter.
    Source: definitions of the trade; a bore is honed to the least diameter that cleans it up.
    """
    if len(stations) < 2:
        raise WorkingError("stations", "{} of them".format(len(stations)), "two stations or more")
    for k in range(1, len(stations)):
        if not stations[k] > stations[k - 1]:
            raise WorkingError(
                "stations",
                given_text(stations[k], "length") + " after " + given_text(stations[k - 1], "length"),
                "places that grow from station to station",
            )
    _a_list_for_each_station(stations, diameters, "diameters")
    for row in diameters:
        if not row or len(row) != len(diameters[0]):
            raise WorkingError(
                "diameters",
                "{} readings at one station, {} at the first".format(len(row), len(diameters[0])),
                "one reading or more at each station, as many at each as at the first",
            )
    means = [sum(row) / len(row) for row in diameters]
    largest, smallest = max([max(row) for row in diameters]), min([min(row) for row in diameters])
    # largest^2 less the mean of squares, taken apart so that the digits of a small wear are kept.
    missing = [
        math.pi / 4 * sum([(largest - d) * (largest + d) for d in row]) / len(row) for row in diameters
    ]
    volume, ridges = 0.0, []
    for k in range(1, len(stations)):
        volume += (missing[k] + missing[k - 1]) / 2 * (stations[k] - stations[k - 1])
        step = means[k] - means[k - 1]
        if ridge_step is not None and abs(step) > ridge_step + GRACE:
            ridges.append({"z_from": stations[k - 1], "z_to": stations[k], "step": step})
    on_axis = None
    if radii is not None:
        _a_list_for_each_station(stations, radii, "radii")
        for row in radii:
            if not row:
                raise WorkingError("radii", "a station without radii", "one radius or more at each station")
        on_axis = 2 * max([max(row) for row in radii])
    verdict = None
    if condemning_diameter is not None:
        verdict = "inside" if largest <= condemning_diameter + GRACE else "outside"
    return {
        "means": means,
        "out_of_round": [max(row) - min(row) for row in diameters],
        "largest": largest,
        "smallest": smallest,
        "taper": max(means) - min(means),
        "clean_up_diameter": largest,
        "stock": largest - smallest,
        "volume_to_remove": volume,
        "ridges": None if ridge_step is None else ridges,
        "verdict": verdict,
        "clean_up_on_axis": on_axis,
    }


def _bore_lines(i, o):
    lines = [
        ("d_max", None, o["largest"], "length", "the largest reading: the least diameter that cleans up"),
        ("d_min", None, o["smallest"], "length", "the smallest reading"),
        ("s", "d_max - d_min", o["stock"], "length"),
        ("e", None, max(o["out_of_round"]), "length", "worst out of round at one station"),
        ("t", None, o["taper"], "length", "greatest less least station mean"),
        ("V", None, o["volume_to_remove"], "volume", "metal to remove, trapezium rule over the stations"),
    ]
    if o["clean_up_on_axis"] is not None:
        lines.append(
            ("r_max", None, o["clean_up_on_axis"] / 2, "length", "the largest radius from the trammed axis")
        )
        lines.append(("D_a", "2*r_max", o["clean_up_on_axis"], "length"))
    if o["ridges"] is not None:
        lines.append(("n_r", None, float(len(o["ridges"])), "plain", "ridges found; a ridge breaks rings"))
    if o["verdict"] is not None:
        lines.append(("left", "D_c - d_max", i["condemning_diameter"] - o["largest"], "length"))
    return lines


def hone_plan(
    bore,
    bore_length,
    stone_length,
    rotation_rate,
    stroke_rate,
    overrun=None,
    stock=None,
    removal_rate=None,
):
    """Stroke, speeds, cross-hatch and time of honing a bore.

    Takes bore [m], bore_length [m], stone_length [m], overrun [m] at each end (left out: a third of
    the stone), rotation_rate [1/s], stroke_rate [1/s] there and back, stock [m] on diameter,
    removal_rate [m/s]. stroke_length = bore_length + 2 overrun - stone_length [m]; axial_speed = 2
    stroke_length stroke_rate [m/s], the mean; peripheral_speed = pi bore rotation_rate [m/s];
    cross_hatch = 2 atan(axial/peripheral) [rad], included; time = stock/removal_rate [s].
    Source: geometry; overrun of a third of the stone is common practice.
    """
    if (stock is None) != (removal_rate is None):
        name = "stock" if stock is None else "removal_rate"
        raise WorkingError(name, "nothing", "stock and removal_rate both, or neither")
    over = stone_length / 3 if overrun is None else overrun
    stroke = bore_length + 2 * over - stone_length
    if stroke <= GRACE:
        raise WorkingError(
            "stone_length",
            given_text(stone_length, "length"),
            "a stone shorter than the bore with its overruns, " + in_words(bore_length + 2 * over),
            "stone_length: {} leaves no stroke; give a stone shorter than the bore with its overruns, "
            "{}.".format(given_text(stone_length, "length"), in_words(bore_length + 2 * over)),
        )
    axial, rim = 2 * stroke * stroke_rate, math.pi * bore * rotation_rate
    return {
        "stroke_length": stroke,
        "axial_speed": axial,
        "peripheral_speed": rim,
        "cross_hatch": 2 * math.atan(axial / rim),
        "time": None if stock is None else stock / removal_rate,
    }


def _hone_lines(i, o):
    lines = []
    if i["overrun"] is None:
        lines.append(("o", "l/3", i["stone_length"] / 3, "length"))
    lines += [
        ("s", "L + 2*o - l", o["stroke_length"], "length"),
        ("v_a", "2*s*f", o["axial_speed"], "speed"),
        ("v_p", "pi*D*n", o["peripheral_speed"], "speed"),
        ("alpha", "2*atan(v_a/v_p)", o["cross_hatch"], "angle"),
    ]
    if o["time"] is not None:
        lines.append(("t", "x/q", o["time"], "time"))
    return lines


def ring_gap(
    bore,
    expansion,
    temperature_rise,
    cylinder_expansion=None,
    cylinder_rise=None,
    allowance=0,
    largest_bore=None,
):
    """Gap of a piston ring, cold, so that its ends never meet hot.

    Takes bore [m], the smallest; expansion [1/K] and temperature_rise [K] of the ring;
    cylinder_expansion [1/K] and cylinder_rise [K], both or neither; allowance [m]; largest_bore [m].
    gap = pi bore (expansion temperature_rise - cylinder_expansion cylinder_rise) + allowance [m], not
    below the allowance; widest_gap = gap + pi (largest_bore - bore) [m].
    Source: linear expansion of the ring's length round the bore.
    """
    if (cylinder_expansion is None) != (cylinder_rise is None):
        name = "cylinder_expansion" if cylinder_expansion is None else "cylinder_rise"
        raise WorkingError(name, "nothing", "cylinder_expansion and cylinder_rise both, or neither")
    if largest_bore is not None and largest_bore < bore - GRACE:
        raise WorkingError(
            "largest_bore", given_text(largest_bore, "length"), "at least the smallest bore, " + in_words(bore)
        )
    strain = expansion * temperature_rise
    if cylinder_rise is not None:
        strain -= cylinder_expansion * cylinder_rise
    gap = max(0.0, math.pi * bore * strain) + allowance
    return {
        "gap": gap,
        "widest_gap": None if largest_bore is None else gap + math.pi * max(0.0, largest_bore - bore),
    }


def _ring_lines(i, o):
    growth = "alpha*T" if i["cylinder_rise"] is None else "(alpha*T - alpha_c*T_c)"
    lines = [("g", "max(0, pi*D*" + growth + ") + a", o["gap"], "length")]
    if o["widest_gap"] is not None:
        # Two bores alike to the last bit may differ below nought; the gap does not.
        lines.append(("g_w", "g + pi*max(0, D_w - D)", o["widest_gap"], "length"))
    return lines


WORKINGS = [
    Working(
        "bore_survey",
        "Survey of a bore",
        bore_survey,
        [
            Input("stations", "length", "places along the bore, growing", "list of numbers"),
            Input(
                "diameters",
                "length",
                "one list for each station, one reading for each clock position",
                "list of lists of numbers",
                above=0,
            ),
            length("ridge_step", "a step between stations that counts as a ridge", "h", least=0, optional=True),
            length("condemning_diameter", "of this cylinder", "D_c", optional=True),
            Input(
                "radii",
                "length",
                "from the trammed axis to the wall, one list for each station",
                "list of lists of numbers",
                optional=True,
                above=0,
            ),
        ],
        [
            Output("means", "length", "at each station", "list of numbers"),
            Output("out_of_round", "length", "at each station", "list of numbers"),
            Output("largest", "length"),
            Output("smallest", "length"),
            Output("taper", "length", "greatest less least station mean"),
            Output("clean_up_diameter", "length", "the least that can clean up"),
            Output("stock", "length", "on diameter"),
            Output("volume_to_remove", "volume", "between the first and the last station"),
            Output(
                "ridges",
                "length",
                "neighbouring stations whose means differ by more than ridge_step",
                "list of objects: z_from, z_to, step, or null",
            ),
            Output("verdict", "plain", "against condemning_diameter", "choice: inside, outside, or null"),
            Output("clean_up_on_axis", "length", "where the bore must stay on its axis", "number or null"),
        ],
        _bore_lines,
        ["The wear between two stations runs straight from one to the other."],
        [
            "clean_up_diameter takes a bore that follows its wear; one worn to one side needs "
            "clean_up_on_axis to stay on the trammed axis.",
            "Pits are recorded, not counted; ridges break rings.",
        ],
        ["Definitions of the trade."],
    ),
    Working(
        "hone_plan",
        "Honing a bore",
        hone_plan,
        [
            length("bore", "its diameter", "D"),
            length("bore_length", "of the bore", "L"),
            length("stone_length", "of the stones", "l"),
            length("overrun", "at each end; left out: a third of the stone", "o", least=0, optional=True),
            number("rotation_rate", "rate", "turns of the hone", "n", above=0),
            number("stroke_rate", "rate", "strokes there and back", "f", above=0),
            length("stock", "on diameter; with removal_rate", "x", least=0, optional=True),
            number("removal_rate", "speed", "diameter gained a second; with stock", "q", above=0, optional=True),
        ],
        [
            Output("stroke_length", "length"),
            Output("axial_speed", "speed", "mean"),
            Output("peripheral_speed", "speed"),
            Output("cross_hatch", "angle", "included"),
            Output("time", "time", "null without stock and removal_rate", "number or null"),
        ],
        _hone_lines,
        ["The hone strokes at an even speed and turns evenly."],
        [
            "The cross-hatch is counted about the line round the bore; from the bore's axis it is 180° less this.",
            "Let the bore cool before it is measured.",
        ],
        ["Geometry. An overrun of a third of the stone is common practice."],
    ),
    Working(
        "ring_gap",
        "Gap of a piston ring",
        ring_gap,
        [
            length("bore", "where it is smallest", "D"),
            number("expansion", "per temperature", "of the ring", "alpha", above=0),
            number("temperature_rise", "temperature difference", "of the ring", "T", least=0),
            number(
                "cylinder_expansion",
                "per temperature",
                "with cylinder_rise; left out: the cylinder stays cold",
                "alpha_c",
                above=0,
                optional=True,
            ),
            number(
                "cylinder_rise",
                "temperature difference",
                "of the cylinder; with cylinder_expansion",
                "T_c",
                least=0,
                optional=True,
            ),
            length("allowance", "added to the growth", "a", default=0, least=0),
            length("largest_bore", "where the gap stands widest; for widest_gap", "D_w", optional=True),
        ],
        [
            Output("gap", "length", "cold, in the smallest bore; not below the allowance"),
            Output("widest_gap", "length", "the same ring in largest_bore, cold", "number or null"),
        ],
        _ring_lines,
        ["Ring and cylinder are each at one temperature."],
        ["A ring can run much hotter than the wall, most of all where oil fails."],
        ["Linear expansion; no published table is used."],
    ),
]
