"""What the whole engine can do."""

from workings.working import Output, Working, length, number


def tractive_effort(bore, stroke, pressure, wheel_diameter, factor=0.85):
    """Starting tractive effort of a two-cylinder simple engine.

    Takes bore [m], stroke [m], pressure [Pa], wheel_diameter [m], factor [-].
    tractive_effort = factor p d^2 s/D [N].
    Source: the formula in common use by locomotive builders; factor 0.85 is their custom.
    """
    return {"tractive_effort": factor * pressure * bore * bore * stroke / wheel_diameter}


def _lines(i, o):
    return [("F", "k*p*d^2*s/D", o["tractive_effort"], "force")]


WORKINGS = [
    Working(
        "tractive_effort",
        "Tractive effort",
        tractive_effort,
        [
            length("bore", "of one cylinder", "d"),
            length("stroke", "of the piston", "s"),
            number("pressure", "pressure", "in the boiler, above atmosphere", "p", above=0),
            length("wheel_diameter", "over the tread", "D"),
            number(
                "factor", "plain", "mean pressure over boiler pressure", "k", default=0.85, above=0, most=1
            ),
        ],
        [Output("tractive_effort", "force", "at the rims of the driving wheels")],
        _lines,
        ["Two cylinders, simple expansion."],
        ["What the rails can hold may be less."],
        ["Formula in common use by locomotive builders; factor 0.85 by custom."],
    ),
]
