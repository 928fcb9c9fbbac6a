"""Leaf springs over an axle."""

from workings.working import Input, Output, Working, length, number


def spring_lift(
    axle_load, leaves, leaf_width, leaf_thickness, span, elasticity, lift, springs, jacks=2
):
    """What jacks carry when an axle is lifted against its springs.

    Takes axle_load [N] on the rail, leaves [-] of one spring, leaf_width [m], leaf_thickness [m],
    span [m] eye to eye, elasticity [Pa], lift [m] of the axle towards the frame, springs [-] on that
    axle, jacks [-]. stiffness = 8 E n b t^3/(3 L^3) [N/m] of one spring; jack_force = axle_load +
    springs stiffness lift [N]; force_per_jack = jack_force/jacks [N].
    Source: beam of even strength, all leaves graduated, as machine design books give it (from memory).
    """
    stiffness = 8 * elasticity * leaves * leaf_width * leaf_thickness**3 / (3 * span**3)
    force = axle_load + springs * stiffness * lift
    return {"stiffness": stiffness, "jack_force": force, "force_per_jack": force / jacks}


def _lines(i, o):
    return [
        ("k", "8*E*n*b*t^3/(3*L^3)", o["stiffness"], "force per length"),
        ("F", "W + m*k*y", o["jack_force"], "force"),
        ("F_1", "F/j", o["force_per_jack"], "force"),
    ]


WORKINGS = [
    Working(
        "spring_lift",
        "Lifting an axle against its springs",
        spring_lift,
        [
            number("axle_load", "force", "on the rail, wheels and axle included", "W", above=0),
            Input("leaves", "plain", "of one spring", "whole number", "n", least=1),
            length("leaf_width", "of a leaf", "b"),
            length("leaf_thickness", "of a leaf", "t"),
            length("span", "eye to eye", "L"),
            number("elasticity", "pressure", "of the spring steel", "E", above=0),
            length("lift", "axle towards the frame", "y", least=0),
            Input("springs", "plain", "on that axle", "whole number", "m", least=1),
            Input("jacks", "plain", "under the axle", "whole number", "j", default=2, least=1),
        ],
        [
            Output("stiffness", "force per length", "of one spring"),
            Output("jack_force", "force", "all jacks together"),
            Output("force_per_jack", "force", "each"),
        ],
        _lines,
        ["Leaves are graduated and slide without friction; the jacks share evenly; the frame does not rise."],
        ["Friction between dry leaves can add a good part to the force: choose jacks with room to spare."],
        ["Leaf spring formula of machine design books, from memory."],
    ),
]
