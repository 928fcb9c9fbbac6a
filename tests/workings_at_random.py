"""Seeded inputs for every working, as a workshop might give them, and some that make no sense."""

import math
import random

import workings_at_random_boiler

QUARTER = math.pi / 2


def wedge(rng):
    """Wheel and wedge; one in ten cannot be rolled on to."""
    long, high = rng.uniform(0.2, 1.0), rng.uniform(0.01, 0.05)
    if rng.random() < 0.1:
        long = rng.uniform(0.02, 0.15)
    return {"wheel_diameter": rng.uniform(0.8, 2.0), "wedge_length": long, "wedge_height": high}


def some(rng, **optional):
    """Each optional input is there or not."""
    return {name: value for name, value in optional.items() if rng.random() < 0.6}


def wheel_on_wedge(rng):
    optional = some(rng, axle_rise=rng.uniform(0, 0.03), crank_throw=rng.uniform(0.15, 0.39), axle_load=2e5)
    return {**wedge(rng), **optional}


def wedge_pass(rng):
    return {
        **wedge(rng),
        **some(rng, crank_throw=rng.uniform(0.15, 0.39), turn_needed=rng.uniform(-0.02, 0.02)),
    }


def haul_force(rng):
    optional = some(rng, grade=rng.uniform(-0.02, 0.02), rolling_coefficient=rng.uniform(0, 0.03))
    return {
        **{k: v for k, v in wedge(rng).items() if k != "wheel_diameter"},
        **optional,
        "total_weight": rng.uniform(2e5, 2e6),
        "axle_load": rng.uniform(1e5, 2.5e5),
    }


def roll_drift(rng):
    front = rng.uniform(0.8, 2.0)
    return {
        "front_diameter": front,
        "rear_diameter": front + rng.choice([0, rng.uniform(-0.003, 0.003)]),
        "travel": rng.uniform(-10, 10),
        **some(rng, turn_error=rng.uniform(-0.005, 0.005), crank_throw=rng.uniform(0.15, 0.39)),
    }


def pin_spacing(rng):
    return {
        "axle_spacing": rng.uniform(1.0, 2.4),
        "crank_throw": rng.uniform(0.15, 0.39),
        "crank_angle": rng.uniform(-7, 7),
        **some(rng, turn_error=rng.uniform(-0.01, 0.01), axle_rise=rng.uniform(-0.03, 0.03)),
    }


def measured(rng, throw, spacing, angle, across, turn):
    """What a man would read between the pins of both sides, to the hundredth of a millimetre."""
    found = []
    for theta in (angle, angle + across):
        along = spacing + throw * (math.cos(theta) - math.cos(theta + turn))
        up = throw * (math.sin(theta + turn) - math.sin(theta))
        found.append(round(math.hypot(along, up) + rng.gauss(0, 3e-5), 5))
    return found


def wedge_setting(rng):
    spacing, throw = rng.uniform(1.0, 2.4), rng.uniform(0.15, 0.39)
    angle, leads = rng.uniform(-1, 7), rng.random() < 0.5
    across = QUARTER if rng.random() < 0.8 else 2 * math.pi / 3
    left, right = measured(rng, throw, spacing, angle, across if leads else -across, rng.gauss(0, 0.0015))
    optional = some(
        rng,
        setting_crank_angle=rng.uniform(0, 6.28),
        present_crank_angle=rng.uniform(-6, 6),
        may_raise=rng.choice(["both", "front", "rear"]),
        may_pull=rng.choice(["forward", "either"]),
        flange_height=0.028,
        rise_room=rng.uniform(0, 0.04),
        box_rise_share=rng.uniform(0.3, 1),
    )
    spacings = rng.choice(
        [
            {},
            {"axle_spacing": spacing},
            {"axle_spacing": spacing},
            {"left_axle_spacing": spacing + 1e-4, "right_axle_spacing": spacing - 5e-5},
        ]
    )
    return {
        **wedge(rng),
        "crank_throw": throw,
        "crank_angle": angle,
        "right_pin_leads": leads,
        "left_pin_distance": left,
        "right_pin_distance": right,
        "left_rod_centres": spacing + rng.gauss(0, 2e-4),
        "right_rod_centres": spacing + rng.gauss(0, 2e-4),
        "front_clearance": rng.uniform(0.0001, 0.001),
        "rear_clearance": rng.uniform(0.0001, 0.001),
        "crank_spacing": across,
        **spacings,
        **optional,
    }


def rods_all_round(rng):
    spacing, throw = rng.uniform(1.0, 2.4), rng.uniform(0.15, 0.39)
    across = QUARTER if rng.random() < 0.8 else 2 * math.pi / 3
    near = {
        name: spacing + rng.gauss(0, 1e-4)
        for name in ("left_axle_spacing", "right_axle_spacing", "left_rod_centres", "right_rod_centres")
    }
    throws = {
        name: throw + rng.gauss(0, 5e-5)
        for name in ("front_left_throw", "front_right_throw", "rear_left_throw", "rear_right_throw")
    }
    return {
        **near,
        **throws,
        "left_clearance": rng.uniform(0.0004, 0.002),
        "right_clearance": rng.uniform(0.0004, 0.002),
        "front_crank_spacing": across + rng.gauss(0, 5e-4),
        "rear_crank_spacing": across + rng.gauss(0, 5e-4),
        "right_pin_leads": rng.random() < 0.5,
        "steps": rng.choice([8, 12, 16]),
    }


def quartering(rng):
    throw, angle = rng.uniform(0.15, 0.39), rng.uniform(0, 6.28)
    across = rng.choice([1, -1]) * (QUARTER + rng.gauss(0, 0.002))
    return {
        "left_x": throw * math.cos(angle),
        "left_y": throw * math.sin(angle),
        "right_x": throw * math.cos(angle + across),
        "right_y": throw * math.sin(angle + across),
    }


def rod_bush_clearance(rng):
    kind = rng.choice(["main_rod", "side_rod_main_pin", "side_rod_other_pin"])
    pin = rng.uniform(0.09, 0.2)
    return {
        "pin_diameter": pin,
        "bush_bore": pin + rng.uniform(-0.0005, 0.006),
        "kind": kind,
        **some(rng, side_motion=rng.uniform(0, 0.01)),
        **({"other_end_clearance": 0.002} if rng.random() < 0.4 else {}),
    }


def tractive_effort(rng):
    return {
        "bore": rng.uniform(0.2, 0.7),
        "stroke": rng.uniform(0.3, 0.8),
        "pressure": rng.uniform(8e5, 2e6),
        "wheel_diameter": rng.uniform(0.8, 2),
        **some(rng, factor=rng.uniform(0.5, 1.02)),
    }


def sling_legs(rng):
    return {"load": rng.uniform(1e3, 2e5), "legs": rng.randint(0, 4), "angle": rng.uniform(0.48, 1.6)}


def lift_points(rng):
    front, back = rng.uniform(-1, 1), rng.uniform(2, 4)
    return {
        "load": rng.uniform(1e3, 2e5),
        "pick_front": front,
        "pick_back": back,
        "centre_of_gravity": rng.uniform(front - 0.1, back + 0.1),
    }


def reading_verdict(rng):
    lower = rng.uniform(0.1, 0.3)
    limits = some(rng, lower=lower, upper=lower + rng.uniform(0, 0.001))
    return {
        "value": lower + rng.uniform(-0.0005, 0.0015),
        "expanded_uncertainty": rng.choice([0, 1e-5, 1e-4]),
        **limits,
        **some(rng, guard_factor=rng.uniform(0, 2)),
    }


def nearest_fraction(rng):
    if rng.random() < 0.3:
        text = rng.choice(["{} {}/{}", '{}-{}/{}"', "+{}.{}{}", "{}{}{} mm"])
        return {"text": text.format(rng.randint(0, 40), rng.randint(1, 9), rng.randint(1, 9))}
    return {
        "length": rng.uniform(-0.01, 2),
        **some(rng, denominator=rng.choice([1, 2, 8, 16, 32, 64, 128, 48])),
    }


def uncertainty_budget(rng):
    working = rng.choice(
        [wheel_on_wedge, pin_spacing, sling_legs, lift_points, tractive_effort, wedge_setting]
    )
    output = {
        "wheel_on_wedge": "travel",
        "pin_spacing": "pin_distance",
        "sling_legs": "leg_tension",
        "lift_points": "reaction_front",
        "tractive_effort": "tractive_effort",
        "wedge_setting": "turn_error",
    }[working.__name__]
    inputs = working(rng)
    plain = sorted(name for name in inputs if isinstance(inputs[name], float))
    return {
        "working": working.__name__,
        "inputs": inputs,
        "output": output,
        "uncertainties": {
            name: abs(inputs[name]) * rng.choice([0, 1e-4, 1e-3])
            for name in rng.sample(plain, min(3, len(plain)))
        },
    }


ALL = {
    make.__name__: make
    for make in (
        wheel_on_wedge,
        wedge_pass,
        haul_force,
        roll_drift,
        pin_spacing,
        wedge_setting,
        rods_all_round,
        quartering,
        rod_bush_clearance,
        tractive_effort,
        sling_legs,
        lift_points,
        reading_verdict,
        nearest_fraction,
        uncertainty_budget,
    )
}
ALL.update(workings_at_random_boiler.ALL)

NONSENSE = (None, "12", "near a foot", True, [], {}, math.nan, math.inf, -math.inf, 1e300, -1e-3, 0, 10**400)


def asked(working, count, seed=20):
    """`count` asks of one working; one in eight with one input spoilt."""
    rng = random.Random(f"{working} {seed}")
    for k in range(count):
        inputs = ALL[working](rng)
        if k % 8 == 7:
            name = rng.choice(sorted(inputs))
            inputs[name] = rng.choice(NONSENSE)
            if rng.random() < 0.2:
                inputs["no_such_input"] = 1
        yield {"working": working, "inputs": inputs}
