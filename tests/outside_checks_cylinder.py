"""Checks of the cylinder, springs and repeated jobs from outside the project."""

import math

import numpy as np
import scipy.integrate
import scipy.stats
import shapely
from outside_check import HOUR, INCH, Check, run
from workings import repeats


def bores():
    rng = np.random.default_rng(8)
    for count, clocks in ((2, 2), (5, 3), (9, 8)):
        z = np.cumsum(rng.uniform(0.05, 0.2, count))
        d = 28 * INCH + rng.uniform(0, 0.001, (count, clocks))
        found = run("bore_survey", stations=z.tolist(), diameters=d.tolist(), ridge_step=0.0002)
        missing = math.pi / 4 * (d.max() ** 2 - (d**2).mean(axis=1))
        what = f"28 in bore, {count} stations × {clocks}"
        yield Check("bore_survey", what + ": volume, m³", "numpy.trapezoid", "library", found["volume_to_remove"],
                    float(np.trapezoid(missing, z)), 1e-14)
        yield Check("bore_survey", what + ": taper, m", "numpy", "library", found["taper"],
                    float(np.ptp(d.mean(axis=1))), 1e-15)
        yield Check("bore_survey", what + ": worst out of round, m", "numpy", "library", max(found["out_of_round"]),
                    float(np.ptp(d, axis=1).max()), 1e-15)
        steps = int((abs(np.diff(d.mean(axis=1))) > 0.0002).sum())
        yield Check("bore_survey", what + ": ridges", "numpy", "library", len(found["ridges"]), steps, 0)
    # A cone, bored out straight: its volume is known.
    z = np.linspace(0, 1, 201)
    d = 0.5 + 0.002 * z
    found = run("bore_survey", stations=z.tolist(), diameters=[[float(one)] for one in d])
    cone = math.pi / 4 * 0.502**2 - math.pi / 12 * (0.5**2 + 0.5 * 0.502 + 0.502**2)
    yield Check("bore_survey", "metal round a cone, m³", "volume of a frustum", "hand", found["volume_to_remove"],
                cone, 1e-10)
    # A round bore whose centre stands off the trammed axis needs twice the offset more.
    clock = np.arange(12) * math.pi / 6
    radii = shapely.Point(0.001, 0).buffer(0.25, 4096).exterior
    read = [radii.intersection(shapely.LineString([(0, 0), (math.cos(t), math.sin(t))])) for t in clock]
    around = [math.hypot(p.x, p.y) for p in read]
    found = run("bore_survey", stations=[0, 1], diameters=[[0.5], [0.5]], radii=[around, around])
    yield Check("bore_survey", "clean up on an axis 1 mm off, m", "shapely; 2(r + e)", "library",
                found["clean_up_on_axis"], 0.502, 1e-7)
    # Common practice: pits are harmless, ridges break rings. A pit is one low reading, a ridge a step in means.
    pit = [[0.5, 0.5, 0.5, 0.5]] * 2
    found = run("bore_survey", stations=[0, 0.1], diameters=pit, ridge_step=0.0001)
    yield Check("bore_survey", "no ridge where nothing steps", "pits harmless, ridges break rings", "practice",
                len(found["ridges"]), 0, 0)
    step = [[0.5] * 4, [0.5003] * 4]
    found = run("bore_survey", stations=[0, 0.1], diameters=step, ridge_step=0.0001)
    yield Check("bore_survey", "a ridge where all step", "pits harmless, ridges break rings", "practice",
                len(found["ridges"]), 1, 0)


def hones():
    where = "two public honing calculators: 2 atan(Va/Vt), Vt = πDN, Va = 2 L strokes"
    for rpm, strokes in ((30, 20), (60, 30), (45, 45)):
        inputs = {"bore": 28 * INCH, "bore_length": 40 * INCH, "stone_length": 12 * INCH}
        found = run("hone_plan", rotation_rate=rpm / 60, stroke_rate=strokes / 60, **inputs)
        length = 40 + 2 * 4 - 12
        wanted = 2 * math.degrees(math.atan(2 * length * strokes / (math.pi * 28 * rpm)))
        what = f"28 in bore, {rpm} rpm, {strokes} strokes a minute: cross-hatch, degrees"
        yield Check("hone_plan", what, where, "secondary", math.degrees(found["cross_hatch"]), wanted, 1e-9)
        other = 2 * math.degrees(math.atan(math.pi * 28 * rpm / (2 * length * strokes)))
        what = "and the angle about the bore's axis make 180 degrees"
        yield Check("hone_plan", what, where, "secondary", math.degrees(found["cross_hatch"]) + other, 180, 1e-9)
    # The stroke rate that other calculator gives for 45 degrees: stroke speed = πDN tan(22.5°).
    rate = math.pi * 28 * INCH * 0.5 * math.tan(math.radians(22.5)) / 2 / (36 * INCH)
    found = run("hone_plan", bore=28 * INCH, bore_length=40 * INCH, stone_length=12 * INCH, rotation_rate=0.5,
                stroke_rate=rate)
    what = "stroke speed for the usual 45 degrees, in a 28 in bore"
    yield Check("hone_plan", what, "honing calculator and a maker's page", "secondary",
                math.degrees(found["cross_hatch"]), 45, 1e-9)
    yield Check("hone_plan", "surface speed at 30 rpm within a maker's 45 to 90 m/min", "honing machine maker's page",
                "secondary", found["peripheral_speed"] * 60, 67.5, 22.5)


def rings():
    # The ring as a thin circle that grows: its length less the cylinder's.
    for bore, ring, rise, cylinder, warm in ((28, 6.0, 300, 6.0, 200), (20, 6.0, 250, 5.9, 0)):
        found = run("ring_gap", bore=bore * INCH, expansion=ring * 1.8e-6, temperature_rise=rise / 1.8,
                    cylinder_expansion=cylinder * 1.8e-6, cylinder_rise=warm / 1.8)["gap"] / INCH
        wanted = math.pi * bore * 1e-6 * (ring * rise - cylinder * warm)
        what = f"{bore} in cast iron ring {rise} °F warmer, cylinder {warm} °F, in"
        yield Check("ring_gap", what, "gray cast iron 6.0e-6 per °F; length of a circle", "secondary", found, wanted,
                    1e-12)
    ring = shapely.Point(0, 0).buffer(14, 8192).exterior.length
    found = run("ring_gap", bore=28 * INCH, expansion=1.08e-5, temperature_rise=100.0)["gap"] / INCH
    yield Check("ring_gap", "28 in ring 100 K warmer, in", "shapely: circumference × strain", "library", found,
                ring * 1.08e-3, 1e-7)
    found = run("ring_gap", bore=28 * INCH, expansion=1.08e-5, temperature_rise=0.0, largest_bore=28.05 * INCH)
    yield Check("ring_gap", "gap opened by 0.05 in of wear, in", "π × 0.05", "hand", found["widest_gap"] / INCH,
                0.157079632679, 1e-11)


def springs():
    # A beam whose width falls evenly to the ends, which is what graduated leaves laid side by side make.
    young, width, thick, half = 2e11, 14 * 0.127, 0.0111, 0.495
    bend = scipy.integrate.quad(lambda x: x / (young * width * (x / half) * thick**3 / 12) * x, 0, half)[0]
    inputs = {"leaves": 14, "leaf_width": 0.127, "leaf_thickness": 0.0111, "span": 0.99, "elasticity": young}
    found = run("spring_lift", axle_load=1.0, lift=0.02, springs=1, jacks=1, **inputs)
    yield Check("spring_lift", "stiffness, N/m", "scipy: bending of a beam of even strength", "library",
                found["stiffness"], 2 / bend, 1e-6 * 2 / bend)
    # delta = 6 W L^3/(n E b t^3), W and L half the load and half the span.
    found = run("spring_lift", axle_load=1.0, lift=0.0, springs=1, leaves=7, leaf_width=0.065, leaf_thickness=0.009,
                span=1.02, elasticity=2.1e11)
    wanted = 6000 / (6 * 3000 * 0.51**3 / (7 * 2.1e11 * 0.065 * 0.009**3))
    yield Check("spring_lift", "stiffness of a vehicle spring, N/m", "machine design books (Khurmi; Shigley)",
                "memory", found["stiffness"], wanted, 1e-6)
    # Two of the seven leaves are full length: delta = 12 W L^3/(E b t^3 (2 nG + 3 nF)), printed 30 mm.
    graduated = 6000 / found["stiffness"] * 2 * 7 / (2 * 5 + 3 * 2)
    yield Check("spring_lift", "its deflection with two full leaves, mm", "Khurmi and Gupta, ch. 23", "memory",
                graduated * 1000, 30, 0.5)
    for lift in (0.0, 0.01):
        found = run("spring_lift", axle_load=1e5, lift=lift, springs=2, **inputs)
        force = 1e5 + 2 * found["stiffness"] * lift
        yield Check("spring_lift", f"jack force at {lift} m, N", "statics", "hand", found["jack_force"], force, 1e-6)
        yield Check("spring_lift", "two jacks", "statics", "hand", found["force_per_jack"], force / 2, 1e-6)


STUDENT = {1: 6.314, 2: 2.920, 3: 2.353, 4: 2.132, 5: 2.015, 10: 1.812, 20: 1.725, 30: 1.697, 60: 1.671, 100: 1.660}


def students():
    for freedom, printed in STUDENT.items():
        where = "t tables, as in NIST/SEMATECH e-Handbook 1.3.6.7.2"
        found = repeats.student_95(freedom)
        yield Check("repeat_forecast", f"t(0.95; {freedom})", where, "memory", found, printed, 0.00051)
    for freedom in [*range(1, 41), 99, 100, 199, 200, 201, 202, 500, 5000, 100000]:
        wanted = float(scipy.stats.t.ppf(0.95, freedom))
        found = repeats.student_95(freedom)
        yield Check("repeat_forecast", f"t(0.95; {freedom})", "scipy.stats.t", "library", found, wanted, 1e-10)


def by_numpy(hours, remaining):
    """Expected rest and its 90 % interval, by numpy's least squares and the covariance of its parameters."""
    count = len(hours)
    x = np.column_stack([np.ones(count), np.log(np.arange(1, count + 1))])
    y = np.log(hours)
    parameters, residual, _, _ = np.linalg.lstsq(x, y, rcond=None)
    s2 = float(residual[0]) / (count - 2)
    n = np.arange(count + 1, count + remaining + 1)
    each = np.exp(parameters[0] + parameters[1] * np.log(n) + s2 / 2)
    g = np.array([each.sum(), (each * np.log(n)).sum()])
    variance = g @ (s2 * np.linalg.inv(x.T @ x)) @ g + (each**2).sum() * s2
    wide = scipy.stats.t.ppf(0.95, count - 2) * math.sqrt(variance)
    return float(parameters[1]), float(each.sum()), max(0.0, float(each.sum() - wide)), float(each.sum() + wide)


def forecasts():
    rng = np.random.default_rng(11)
    for count, slope in ((5, -0.2), (8, -0.32), (30, -0.1), (200, -0.15)):
        hours = (9000 * np.arange(1, count + 1) ** slope * np.exp(rng.normal(0, 0.05, count))).tolist()
        found = run("repeat_forecast", logged_hours=hours, remaining=50, weekly_hours=40 * HOUR)
        names = ("exponent", "remaining_hours", "low_hours", "high_hours")
        for name, wanted in zip(names, by_numpy(hours, 50), strict=True):
            yield Check("repeat_forecast", f"{name}, {count} units logged", "numpy.linalg.lstsq and scipy.stats.t",
                        "library", found[name], wanted, 1e-8 * abs(wanted))
    hours = [5400.0, 5200.0, 6000.0, 5900.0]
    found = run("repeat_forecast", logged_hours=hours, remaining=10, weekly_hours=40 * HOUR)
    wide = scipy.stats.t.ppf(0.95, 3) * np.std(hours, ddof=1) * math.sqrt(10 + 100 / 4)
    for name, sign in (("low_hours", -1), ("high_hours", 1)):
        yield Check("repeat_forecast", f"{name} of a plain mean", "numpy and scipy.stats.t", "library", found[name],
                    float(np.mean(hours) * 10 + sign * wide), 1e-6)
    # Units exactly on a curve give it back.
    for percent, exponent in ((80, -0.3219281), (85, -0.2344653), (90, -0.1520031)):
        hours = [HOUR * 100 * n ** (math.log(percent / 100) / math.log(2)) for n in range(1, 7)]
        found = run("repeat_forecast", logged_hours=hours, remaining=119, weekly_hours=40 * HOUR)
        where = "learning-curve package article, natural slope"
        yield Check("repeat_forecast", f"exponent of {percent} %", where, "secondary", found["exponent"],
                    exponent, 6e-8)
        yield Check("repeat_forecast", f"learning rate of {percent} %", where, "secondary", found["learning_rate"],
                    percent / 100, 1e-12)
        if percent == 85:
            where = "learning-curve package article, unit model (Crawford), first unit 100 h"
            total = (sum(hours) + found["remaining_hours"]) / HOUR
            yield Check("repeat_forecast", "units 1 to 125 in all, h", where, "secondary", total, 5201.085, 0.0006)
            less = run("repeat_forecast", logged_hours=hours, remaining=118, weekly_hours=40 * HOUR)
            last = (found["remaining_hours"] - less["remaining_hours"]) / HOUR
            yield Check("repeat_forecast", "unit 125, h", where, "secondary", last, 32.236, 0.0006)
    # Wright's curve of the cumulative average is another: with 80 % its second unit takes 0.6, ours 0.8.
    second = run("repeat_forecast", logged_hours=[1.0], remaining=1, weekly_hours=1.0)["remaining_hours"]
    yield Check("repeat_forecast", "one unit logged: the next takes as long", "plain mean", "hand", second, 1, 0)


def costs():
    found = run("repeat_cost", units=1000, hardware_each=75.0, hours_each=HOUR, hourly_rate=75 / HOUR)
    where = "about 75 dollars of hardware and an hour of welding at 75 dollars, a thousand times"
    yield Check("repeat_cost", "a thousand stays, dollars", where, "practice", found["total"], 150000, 1e-6)
    yield Check("repeat_cost", "one stay, dollars", where, "practice", found["cost_each"], 150, 1e-9)
    yield Check("repeat_cost", "welding, h", where, "practice", found["labour_hours"] / HOUR, 1000, 1e-9)
    spoiled = run("repeat_cost", units=1000, hardware_each=75.0, hours_each=HOUR, hourly_rate=75 / HOUR,
                  spoilage_fraction=0.02)
    yield Check("repeat_cost", "with one in fifty spoiled, dollars", "everything again", "hand", spoiled["total"],
                153000, 1e-6)


def checks():
    return [check for group in (bores, hones, rings, springs, students, forecasts, costs) for check in group()]
