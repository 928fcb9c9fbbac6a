"""Seeded inputs, as a workshop might give them, for cylinder, stays, boiler, springs and repeated jobs."""

import math


def some(rng, **optional):
    return {name: value for name, value in optional.items() if rng.random() < 0.6}


def bore_survey(rng):
    bore, count, clocks = rng.uniform(0.2, 0.75), rng.randint(2, 8), rng.randint(1, 6)
    z, stations, diameters, radii = 0.05, [], [], []
    for _ in range(count):
        stations.append(round(z, 4))
        z += rng.uniform(0.05, 0.2)
        wear = rng.uniform(0, 0.0012)
        diameters.append([round(bore + wear + rng.uniform(0, 0.0005), 5) for _ in range(clocks)])
        radii.append([round((bore + wear) / 2 + rng.uniform(0, 0.001), 5) for _ in range(rng.randint(1, 8))])
    if rng.random() < 0.1:
        stations.reverse()
    if rng.random() < 0.05:
        diameters[-1] = diameters[-1][1:]
    return {
        "stations": stations,
        "diameters": diameters,
        **some(rng, ridge_step=rng.choice([0, 0.0002, 0.0005]), condemning_diameter=bore + 0.0014, radii=radii),
    }


def hone_plan(rng):
    stone = rng.uniform(0.05, 0.4)
    found = {
        "bore": rng.uniform(0.15, 0.75),
        "bore_length": rng.uniform(0.2, 1.2),
        "stone_length": stone,
        "rotation_rate": rng.uniform(0.3, 2),
        "stroke_rate": rng.uniform(0.1, 1.2),
        **some(rng, overrun=stone * rng.uniform(0, 0.5)),
    }
    if rng.random() < 0.6:
        found.update(stock=rng.uniform(0, 0.001), removal_rate=rng.uniform(1e-8, 1e-6))
    elif rng.random() < 0.1:
        found["stock"] = 0.0002
    return found


def ring_gap(rng):
    bore = rng.uniform(0.15, 0.75)
    found = {
        "bore": bore,
        "expansion": rng.uniform(1e-5, 1.3e-5),
        "temperature_rise": rng.uniform(0, 300),
        **some(rng, allowance=rng.uniform(0, 0.002), largest_bore=bore + rng.uniform(-0.0002, 0.003)),
    }
    if rng.random() < 0.6:
        found.update(cylinder_expansion=rng.uniform(1e-5, 1.3e-5), cylinder_rise=rng.uniform(0, 300))
    return found


def stay_row(rng):
    crown = rng.uniform(0.3, 1.0)
    return {
        "wrapper_radius": crown + rng.uniform(0.02, 0.3),
        "crown_radius": crown,
        "centre_offset": rng.uniform(-0.1, 0.1),
        "row_angles": [rng.uniform(-1.5, 1.5) for _ in range(rng.randint(1, 15))],
    }


def sleeve_trim(rng):
    optional = some(rng, wrapper_radius=rng.uniform(0.04, 1.2), points=rng.choice([4, 7, 12, 36]))
    tilt = rng.choice([0, rng.uniform(-0.5, 0.5), rng.uniform(-1.6, 1.6)])
    return {"sleeve_diameter": rng.uniform(0.02, 0.08), "tilt": tilt, **optional}


def stay_load(rng):
    body = rng.uniform(0.015, 0.035)
    return {
        "pitch_row": rng.uniform(0.07, 0.13),
        "pitch_column": rng.uniform(0.07, 0.13),
        "pressure": rng.uniform(5e5, 2e6),
        "body_diameter": body,
        **some(rng, telltale_diameter=rng.choice([0.0048, body]), deduct_stay=rng.random() < 0.5),
    }


def stayed_sheet(rng):
    found = {
        "pitch": rng.uniform(0.07, 0.15),
        "allowable_stress": rng.uniform(7e7, 1.2e8),
        "constant": rng.choice([2.1, 2.2, 2.5, 2.8, 3.2]),
    }
    found.update(rng.choice([{"thickness": rng.uniform(0.005, 0.02)}, {"pressure": rng.uniform(5e5, 2e6)}]))
    return found


def groove_weld(rng):
    wall = rng.uniform(0.006, 0.016)
    path = rng.choice(
        [{"path_length": rng.uniform(0.1, 2)}]
        + [{"diameter": rng.uniform(0.03, 0.08), "tilt": rng.uniform(0, 1.2)}] * 2
        + [{"diameter": 0.05}]
    )
    return {
        "wall": wall,
        "bevel_angle": rng.uniform(0, 1),
        "root_opening": rng.uniform(0, 0.004),
        "root_face": rng.choice([0, rng.uniform(0, 0.004), wall, wall * 1.01]),
        "cap_height": rng.uniform(0, 0.003),
        "deposition_efficiency": rng.uniform(0.5, 1),
        "deposition_rate": rng.uniform(1e-4, 1e-3),
        "operating_factor": rng.uniform(0.1, 0.6),
        **path,
        **some(rng, joints=rng.randint(1, 1500), density=rng.uniform(7700, 8000)),
    }


def broken_stays(rng):
    rows, columns, pitch = rng.randint(2, 7), rng.randint(2, 10), rng.uniform(0.08, 0.13)
    stays = []
    for row in range(rows):
        for column in range(columns):
            one = {
                "id": f"{chr(65 + row)}{column + 1}",
                "x": round(column * pitch + rng.gauss(0, 0.002), 4),
                "y": round(row * pitch + rng.gauss(0, 0.002), 4),
                "row": row + 1,
                "column": column + 1,
            }
            if rng.random() < 0.05:
                del one[rng.choice(["row", "column"])]
            stays.append(one)
    ids = [one["id"] for one in stays] + (["Z99"] if rng.random() < 0.05 else [])
    return {
        "stays": stays,
        "broken": rng.sample(ids, min(len(ids), rng.choice([0, 1, 2, 3, 4, 6, 12]))),
        **some(
            rng,
            circle_diameter=rng.choice([0.2, 0.4, 1.2192]),
            telltale_faults=rng.sample(ids, min(len(ids), rng.randint(0, 3))),
        ),
    }


def steam_temperature(rng):
    return {
        "gauge_pressure": rng.choice([rng.uniform(-1.2e5, 2.5e6), rng.uniform(0, 2.4e7)]),
        **some(rng, atmospheric=rng.uniform(6e4, 1.1e5)),
    }


def boiler_growth(rng):
    return {
        "length": rng.uniform(1, 15),
        "expansion": rng.uniform(1e-5, 1.3e-5),
        "cold": rng.uniform(260, 310),
        "hot": rng.uniform(280, 520),
    }


def hydro_test(rng):
    return {"mawp": rng.uniform(3e5, 2.5e6)}


def repeat_cost(rng):
    return {
        "units": rng.randint(1, 2000),
        "hardware_each": rng.uniform(0, 200),
        "hours_each": rng.uniform(0, 20000),
        "hourly_rate": rng.uniform(0, 0.05),
        **some(rng, consumables_each=rng.uniform(0, 20), spoilage_fraction=rng.uniform(-0.02, 0.3)),
    }


def repeat_forecast(rng):
    count, slope, first = rng.randint(1, 20), rng.uniform(-0.35, 0.1), rng.uniform(1800, 20000)
    spread = rng.choice([0.02, 0.1])
    hours = [first * (n + 1) ** slope * math.exp(rng.gauss(0, spread)) for n in range(count)]
    if rng.random() < 0.1:
        hours = [first] * count
    return {
        "logged_hours": [float(round(one)) for one in hours],
        "remaining": rng.randint(1, 400),
        "weekly_hours": rng.uniform(36000, 300000),
        **some(rng, hourly_rate=rng.uniform(0, 0.05)),
    }


def spring_lift(rng):
    return {
        "axle_load": rng.uniform(3e4, 2.5e5),
        "leaves": rng.randint(0, 20),
        "leaf_width": rng.uniform(0.06, 0.15),
        "leaf_thickness": rng.uniform(0.008, 0.016),
        "span": rng.uniform(0.5, 1.3),
        "elasticity": rng.uniform(1.9e11, 2.1e11),
        "lift": rng.uniform(-0.001, 0.05),
        "springs": rng.randint(1, 4),
        **some(rng, jacks=rng.randint(1, 4)),
    }


ALL = {
    make.__name__: make
    for make in (
        bore_survey,
        hone_plan,
        ring_gap,
        stay_row,
        sleeve_trim,
        stay_load,
        stayed_sheet,
        groove_weld,
        broken_stays,
        steam_temperature,
        boiler_growth,
        hydro_test,
        repeat_cost,
        repeat_forecast,
        spring_lift,
    )
}
