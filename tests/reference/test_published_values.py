"""Values that others printed. How each was read stands beside it: in its own text, quoted by others, or
from memory (a check that the result is plausible, never the authority)."""

import math

import pytest
from uncertainties import ufloat, umath
from workings import measuring, registry
from workings.errors import WorkingError

INCH, POUND, PSI = 0.0254, 4.4482216152605, 6894.757293168


# 49 CFR 230.96 (64 FR 62865, 17 Nov 1999), read in the 2015 annual edition of the law text.
@pytest.mark.parametrize(
    "kind, limit",
    [
        ("main_rod", 0.09375),  # (f): bore may exceed pin by 3/32 in, front or back end
        ("side_rod_main_pin", 0.15625),  # (g): 5/32 in on the main pin
        ("side_rod_other_pin", 0.1875),  # (g): 3/16 in on other pins
    ],
)
def test_rod_bearings_have_the_limits_of_49_cfr_230_96(kind, limit):
    for over, verdict in ((0, "inside"), (0.00001, "outside"), (-0.00001, "inside")):
        found = registry.run(
            "rod_bush_clearance",
            {"pin_diameter": 6 * INCH, "bush_bore": (6 + limit + over) * INCH, "kind": kind},
        )
        assert found["limit"] == pytest.approx(limit * INCH, rel=1e-12)
        assert found["verdict"] == verdict


def test_lost_motion_and_side_motion_have_the_limits_of_49_cfr_230_96():
    # (f): 5/32 in lost motion at both ends of a main rod; (d): 1/4 in side motion on the pin. Law text.
    for over, verdict in ((0, "inside"), (0.00001, "outside")):
        found = registry.run(
            "rod_bush_clearance",
            {
                "pin_diameter": 6 * INCH,
                "bush_bore": 6.0625 * INCH,
                "kind": "main_rod",
                "other_end_clearance": (0.09375 + over) * INCH,
                "side_motion": (0.25 + over) * INCH,
            },
        )
        assert found["lost_motion_limit"] == pytest.approx(0.15625 * INCH)
        assert found["side_motion_limit"] == pytest.approx(0.25 * INCH)
        assert (found["lost_motion_verdict"], found["side_motion_verdict"]) == (verdict, verdict)


# A sling maker's chart, the same figures as ASME B30.9 and OSHA guidance; quoted by others. The chart cuts
# 35 and 40 degrees off in the third place (1.742 for 1.7434, 1.555 for 1.5557).
@pytest.mark.parametrize(
    "degrees, factor",
    [
        (90, 1.000),
        (85, 1.004),
        (80, 1.015),
        (75, 1.035),
        (70, 1.064),
        (65, 1.104),
        (60, 1.155),
        (55, 1.221),
        (50, 1.305),
        (45, 1.414),
        (40, 1.555),
        (35, 1.742),
        (30, 2.000),
    ],
)
def test_sling_tension_follows_the_makers_chart(degrees, factor):
    found = registry.run("sling_legs", {"load": 1000.0, "legs": 1, "angle": math.radians(degrees)})
    assert found["leg_tension"] / 1000 == pytest.approx(factor, abs=0.0015)


def test_sling_tension_of_a_two_leg_sling():
    # A university safety page: 2000 lb on two legs at 30 and 60 degrees from the VERTICAL; quoted by others.
    for from_vertical, tension in ((30, 1154), (60, 2000)):
        found = registry.run(
            "sling_legs", {"load": 2000 * POUND, "legs": 2, "angle": math.radians(90 - from_vertical)}
        )
        assert found["leg_tension"] / POUND == pytest.approx(tension, rel=1e-3)
    # A sling maker's page: 84 in high on a 96 in leg rates an 8000 lb sling at 7000 lb.
    found = registry.run("sling_legs", {"load": 7000 * POUND, "legs": 1, "angle": math.asin(84 / 96)})
    assert found["leg_tension"] / POUND == pytest.approx(8000)


def test_a_fourth_leg_does_not_count():
    three, four = (registry.run("sling_legs", {"load": 9e4, "legs": n, "angle": 1.0}) for n in (3, 4))
    assert three["leg_tension"] == four["leg_tension"] and four["legs_counted"] == 3


@pytest.mark.parametrize(
    "bore, stroke, pressure, driver, published",
    [
        (18.5, 28, 225, 72, 25455),  # LMS Stanier class 5; encyclopedia articles
        (
            20,
            24,
            195,
            44,
            36163.6,
        ),  # D&RGW K-36; a forum example printed with two digits exchanged, corrected here
    ],
)
def test_tractive_effort_of_known_engines(bore, stroke, pressure, driver, published):
    # Formula: Ludy, Locomotive Boilers and Engines (1920), p. 128, quoted by others.
    found = registry.run(
        "tractive_effort",
        {
            "bore": bore * INCH,
            "stroke": stroke * INCH,
            "pressure": pressure * PSI,
            "wheel_diameter": driver * INCH,
        },
    )
    assert found["tractive_effort"] / POUND == pytest.approx(published, rel=2e-5)


def test_the_three_zones_of_iso_14253():
    # Rule as summarised by others. 10.00 +/- 0.05 mm, U = 0.04 mm: 10.03 lies between 10.01 and 10.09,
    # where neither is proved. (One summary page says "reject"; that is not what its own rule gives.)
    given = {"lower": 9.95e-3, "upper": 10.05e-3, "expanded_uncertainty": 0.04e-3}
    for value, verdict in (
        (10.03, "too_close"),
        (10.01, "inside"),
        (10.0, "inside"),
        (10.0101, "too_close"),
        (10.09, "too_close"),
        (10.0901, "outside"),
        (9.9, "outside"),
    ):
        assert registry.run("reading_verdict", {**given, "value": value * 1e-3})["verdict"] == verdict, value
    # Guard band w = r U: JCGM 106:2012, 8.3, from memory.
    found = registry.run("reading_verdict", {**given, "value": 0.01, "guard_factor": 0.5})
    assert found["guarded_upper"] == pytest.approx(10.03e-3)


def test_the_end_gauge_of_the_gum():
    # JCGM 100:2008, H.1, from memory: l = 50 000 838 nm, u = 32 nm; contributions 25, 9.7, 2.9, 16.6 nm.
    def length(q):
        temperature, expansion = q["theta"], q["alpha"]
        return q["ls"] + q["d"] - q["ls"] * (q["d_alpha"] * temperature + expansion * q["d_theta"])

    values = {"ls": 50000623e-9, "d": 215e-9, "alpha": 11.5e-6, "d_alpha": 0.0, "theta": -0.1, "d_theta": 0.0}
    mixed = math.sqrt(5.8**2 + 3.9**2 + 6.7**2) * 1e-9
    unsure = {
        "ls": 25e-9,
        "d": mixed,
        "alpha": 2e-6 / math.sqrt(3),
        "d_alpha": 1e-6 / math.sqrt(3),
        "theta": math.hypot(0.2, 0.5 / math.sqrt(2)),
        "d_theta": 0.05 / math.sqrt(3),
    }
    found = measuring.propagate(length, values, unsure)
    assert found["value"] == pytest.approx(50000838e-9, abs=1e-12)
    assert found["combined"] * 1e9 == pytest.approx(32, abs=0.5)
    parts = {one["input"]: one["contribution"] * 1e9 for one in found["shares"]}
    assert parts["ls"] == pytest.approx(25, abs=0.05) and parts["d"] == pytest.approx(9.7, abs=0.05)
    assert parts["d_alpha"] == pytest.approx(2.9, abs=0.05) and parts["d_theta"] == pytest.approx(
        16.6, abs=0.05
    )
    assert parts["alpha"] == pytest.approx(0, abs=1e-6) and parts["theta"] == pytest.approx(0, abs=1e-6)
    assert [one["input"] for one in found["shares"]][:3] == ["ls", "d_theta", "d"]


# The uncertainties library (3.2), which propagates by exact derivatives.
def budget(working, inputs, unsure, output):
    return registry.run(
        "uncertainty_budget",
        {"working": working, "inputs": inputs, "uncertainties": unsure, "output": output},
    )


def test_budget_of_a_sling_agrees_with_the_uncertainties_library():
    load, angle = ufloat(30000, 900), ufloat(1.0, 0.01)
    exact = load / (2 * umath.sin(angle))
    found = budget(
        "sling_legs", {"load": 30000, "legs": 2, "angle": 1.0}, {"load": 900, "angle": 0.01}, "leg_tension"
    )
    assert found["value"] == pytest.approx(exact.n, rel=1e-12)
    assert found["combined"] == pytest.approx(exact.s, rel=1e-6)
    assert found["expanded"] == pytest.approx(2 * exact.s, rel=1e-6)
    for one in found["shares"]:
        part = exact.error_components()[load if one["input"] == "load" else angle]
        assert one["contribution"] == pytest.approx(part, rel=1e-6)
        assert one["share"] == pytest.approx((part / exact.s) ** 2, rel=1e-6)


def test_budget_of_the_pin_distance_agrees_with_the_uncertainties_library():
    spacing, throw, turn = ufloat(1.83, 0.0002), ufloat(0.305, 0.0001), ufloat(0.002, 0.0003)
    angle, rise = 2.1, 0.012
    along = spacing + throw * umath.cos(angle) - throw * umath.cos(angle + turn)
    up = throw * umath.sin(angle + turn) - throw * umath.sin(angle) - rise
    exact = umath.sqrt(along**2 + up**2)
    found = budget(
        "pin_spacing",
        {
            "axle_spacing": 1.83,
            "crank_throw": 0.305,
            "crank_angle": angle,
            "turn_error": 0.002,
            "axle_rise": rise,
        },
        {"axle_spacing": 0.0002, "crank_throw": 0.0001, "turn_error": 0.0003},
        "pin_distance",
    )
    assert found["value"] == pytest.approx(exact.n, rel=1e-12)
    assert found["combined"] == pytest.approx(exact.s, rel=1e-6)


def test_budget_at_the_edge_of_a_range_takes_the_difference_to_one_side():
    # A sling at its least angle: 30 degrees less a little is refused, so the step goes up.
    angle = ufloat(math.pi / 6, 0.01)
    exact = 1000 / (2 * umath.sin(angle))
    found = budget(
        "sling_legs", {"load": 1000, "legs": 2, "angle": math.pi / 6}, {"angle": 0.01}, "leg_tension"
    )
    assert found["combined"] == pytest.approx(exact.s, rel=1e-5)
    upright = budget(
        "sling_legs", {"load": 1000, "legs": 2, "angle": math.pi / 2}, {"angle": 0.01}, "leg_tension"
    )
    assert upright["combined"] == pytest.approx(0, abs=1e-3)


def test_lift_points_by_moments():
    # By hand: 42 kN, 1.5 m from one pick and 1.7 m from the other.
    found = registry.run(
        "lift_points", {"load": 42000, "centre_of_gravity": 1.9, "pick_front": 0.4, "pick_back": 3.6}
    )
    assert found["reaction_front"] == pytest.approx(42000 * 1.7 / 3.2)
    assert found["reaction_back"] == pytest.approx(42000 * 1.5 / 3.2)


def test_quartering_by_hand():
    # A right pin 1/64 in off the square at a 12 in throw: 1/64/12 of a radian.
    found = registry.run(
        "quartering", {"left_x": 12 * INCH, "left_y": 0.0, "right_x": -INCH / 64, "right_y": 12 * INCH}
    )
    assert found["quartering_error"] == pytest.approx(math.atan(1 / 64 / 12), rel=1e-12)
    assert found["pin_error"] == pytest.approx(INCH / 64, rel=1e-5)


def test_a_sixteenth_in_diameter_moves_the_pins_more_than_a_wedge():
    # One turn of 60 in wheels that differ by 1/16 in, 13 in throw: 2 pi x 13 x (1/16)/60 = 0.085 in.
    found = registry.run(
        "roll_drift",
        {
            "front_diameter": 60.0625 * INCH,
            "rear_diameter": 60 * INCH,
            "travel": math.pi * 60.0625 * INCH,
            "crank_throw": 13 * INCH,
        },
    )
    assert found["pin_shift"] / INCH == pytest.approx(2 * math.pi * 13 / 16 / 60, rel=1e-12)
    wedge = registry.run(
        "wheel_on_wedge",
        {
            "wheel_diameter": 60 * INCH,
            "wedge_length": 14 * INCH,
            "wedge_height": 0.8125 * INCH,
            "crank_throw": 13 * INCH,
        },
    )
    assert wedge["pin_shift"] < found["pin_shift"] / 5


def test_below_thirty_degrees_a_sling_is_refused():
    with pytest.raises(WorkingError) as caught:
        registry.run("sling_legs", {"load": 1000.0, "legs": 2, "angle": math.radians(29.9)})
    assert caught.value.input == "angle" and "30°" in caught.value.message
