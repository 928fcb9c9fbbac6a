"""Checks of stays, sheets, sleeves, welds, steam and the boiler from outside the project."""

import math

import iapws.iapws97
import numpy as np
import scipy.integrate
import scipy.spatial
import scipy.special
import shapely
from outside_check import FOOT, HOUR, INCH, POUND, PSI, Check, fahrenheit, run
from workings import boiler, sleeves, stay_map, stays

CFR = "49 CFR 230 (64 FR 62865, 17 Nov 1999), {}"


def limits():
    inputs = {"pitch_row": 4 * INCH, "pitch_column": 4 * INCH, "pressure": 200 * PSI, "body_diameter": INCH}
    found = run("stay_load", **inputs)
    allowed = found["stress"] / found["share_of_allowable"] / PSI
    yield Check("stay_load", "stress allowed on stays, psi", CFR.format("230.25"), "text", allowed, 7500, 1e-9)
    found = run("hydro_test", mawp=200 * PSI)
    where = CFR.format("230.36(b)")
    yield Check("hydro_test", "test pressure over MAWP", where, "text", found["test_pressure"] / 200 / PSI, 1.25, 1e-12)
    for name, degrees in (("metal_temperature_low", 70), ("metal_temperature_high", 120)):
        yield Check("hydro_test", name + ", °F", where, "text", fahrenheit(found[name]), degrees, 1e-9)
    yield Check(
        "hydro_test",
        "least metal temperature in Canada, °F",
        "Railway Association of Canada, Circular MC-3, section 36(b)",
        "text",
        fahrenheit(found["metal_temperature_low"]),
        70,
        1e-9,
    )
    yield Check(
        "hydro_test",
        "older rule: test pressure over working pressure",
        "New York 17 NYCRR 922.9(a), which keeps the ICC wording",
        "text",
        found["test_pressure"] / 200 / PSI,
        1.25,
        1e-12,
    )
    # Two broken stays at a distance; five far apart; a telltale fault.
    where = CFR.format("230.39(a)")
    for apart, near in ((23.9, 1), (24, 1), (24.1, 0)):
        two = [{"id": "a", "x": 0.0, "y": 0.0}, {"id": "b", "x": 0.6 * apart * INCH, "y": 0.8 * apart * INCH}]
        found = run("broken_stays", stays=two, broken=["a", "b"])
        yield Check("broken_stays", f"close pairs at {apart} in", where, "text", len(found["close_pairs"]), near, 0)
    for count, barred in ((4, 0), (5, 1)):
        far = [{"id": str(k), "x": 2.0 * k, "y": 0.0} for k in range(9)]
        found = run("broken_stays", stays=far, broken=[str(k) for k in range(count)])
        what = f"{count} broken far apart: barred"
        yield Check("broken_stays", what, where, "text", int(found["too_many"]), barred, 0)
    found = run("broken_stays", stays=far, broken=["0"], telltale_faults=["0", "3", "5"])
    what = "stays with a leaking, plugged or missing telltale hole count, once each"
    yield Check("broken_stays", what, CFR.format("230.39(c)"), "text", found["total"], 3, 0)
    for side, threes in ((4.05 * math.cos(math.pi / 6), 0), (3.95 * math.cos(math.pi / 6), 1)):
        three = [
            {"id": str(k), "x": side * FOOT / math.sqrt(3) * math.cos(k * 2.0943951), "y": side * FOOT
             / math.sqrt(3) * math.sin(k * 2.0943951)} for k in range(3)
        ]
        found = run("broken_stays", stays=three, broken=["0", "1", "2"], circle_diameter=4 * FOOT)
        what = f"three on a circle of {side / math.cos(math.pi / 6):.2f} ft, asked with 4 ft"
        where = "ICC rules, before 1999; Jung's theorem for the circle"
        yield Check("broken_stays", what, where, "memory", len(found["triples_in_circle"]), threes, 0)


# (pitch, thickness, MAWP in psi) with S = 13800 psi: NBIC Part 2, Supplement 2, table S2.10.4.
NBIC = [
    (3.5, 0.19, 85), (3.5, 0.2, 95), (3.5, 0.25, 148), (3.5, 0.35, 290), (3.5, 0.38, 342), (3.5, 0.43, 437),
    (3.5, 0.44, 480), (3.5, 0.48, 571), (3.75, 0.19, 74), (3.75, 0.25, 129), (3.75, 0.3, 185), (3.75, 0.37, 282),
]


def sheets():
    for pitch, thick, psi in NBIC:
        constant = 2.1 if thick < 0.4375 else 2.2
        inputs = {"pitch": pitch * INCH, "allowable_stress": 13800 * PSI, "constant": constant}
        found = run("stayed_sheet", thickness=thick * INCH, **inputs)["pressure"] / PSI
        what = f"MAWP of {thick} in plate at {pitch} in pitch, psi"
        where = "National Board Inspection Code, Part 2, Supplement 2, table S2.10.4 (committee paper NB12-1201)"
        yield Check("stayed_sheet", what, where, "secondary", found, psi, 0.5)
        back = run("stayed_sheet", pressure=found * PSI, **inputs)["thickness"] / INCH
        yield Check("stayed_sheet", f"and back: {thick} in", "P = t²SC/p² solved for t", "hand", back, thick, 1e-12)
    where = "ASME Section I (2007), PG-46.1"
    for constant, published in zip((2.1, 2.2, 2.5, 2.8, 3.2), boiler.PG46_CONSTANTS, strict=True):
        yield Check("stayed_sheet", "C for a way of fastening", where, "secondary", published.value, constant, 0)


# Degrees of bevel -> pounds a foot, by depth in inches.
TRIANGLES = {
    0.125: {5: 0.002, 10: 0.005, 15: 0.007, 22.5: 0.011, 30: 0.015, 45: 0.027},
    0.1875: {5: 0.005, 10: 0.011, 15: 0.016, 22.5: 0.025, 30: 0.035, 45: 0.06},
    0.25: {5: 0.009, 10: 0.019, 15: 0.028, 22.5: 0.044, 30: 0.061, 45: 0.106},
    0.375: {5: 0.021, 10: 0.042, 15: 0.064, 22.5: 0.099, 30: 0.138, 45: 0.239},
    # 22.5 degrees is printed 0.129 there, which its own formula does not give: left out.
    0.4375: {5: 0.028, 10: 0.057, 15: 0.087, 30: 0.188, 45: 0.325},
    0.5: {5: 0.037, 10: 0.075, 15: 0.114, 22.5: 0.176, 30: 0.245, 45: 0.425},
}
RECTANGLES = {
    0.5: {0.0625: 0.106, 0.125: 0.212, 0.1875: 0.318, 0.25: 0.425, 0.375: 0.637, 0.5: 0.849},
    0.25: {0.0625: 0.053, 0.125: 0.106, 0.1875: 0.159, 0.25: 0.212, 0.375: 0.318, 0.5: 0.425},
}
ESAB = "ESAB Welding Handbook, filler metal consumption, {}"
STEEL = 0.283 * POUND / INCH**3


def weld(**given):
    inputs = {
        "bevel_angle": 0.0,
        "root_opening": 0.0,
        "root_face": 0.0,
        "cap_height": 0.0,
        "path_length": FOOT,
        "deposition_efficiency": 1.0,
        "deposition_rate": 5 * POUND / HOUR,
        "operating_factor": 1.0,
        "density": STEEL,
        **given,
    }
    if "diameter" in given:
        del inputs["path_length"]
    return run("groove_weld", **inputs)


def welds():
    for depth, row in TRIANGLES.items():
        for degrees, printed in row.items():
            found = weld(wall=depth * INCH, bevel_angle=math.radians(degrees))["deposit_mass"] / POUND
            what = f"{depth} in deep, {degrees}° bevel, lb a foot"
            where = ESAB.format("weight per foot, triangle B")
            yield Check("groove_weld", what, where, "text", found, printed, 0.0006)
    for plate, row in RECTANGLES.items():
        for gap, printed in row.items():
            found = weld(wall=plate * INCH, root_opening=gap * INCH)["deposit_mass"] / POUND
            what = f"{plate} in plate, {gap} in root opening, lb a foot"
            where = ESAB.format("weight per foot, rectangle A")
            yield Check("groove_weld", what, where, "text", found, printed, 0.0006)
    found = weld(wall=INCH / 2, bevel_angle=math.pi / 4)["deposit_mass"] / POUND
    where = ESAB.format("worked example")
    yield Check("groove_weld", "1/2 in equal-leg fillet, lb a foot", where, "text", found, 0.424, 0.0006)
    found = weld(wall=INCH / 2, bevel_angle=math.pi / 4, deposition_efficiency=0.62)
    where = ESAB.format("P = W L/E, 14 in stick electrodes")
    ratio = found["deposit_mass"] / found["filler_mass"]
    yield Check("groove_weld", "deposit over filler", where, "text", ratio, 0.62, 1e-12)
    cap = weld(wall=INCH / 2, root_opening=INCH, cap_height=INCH / 8)["area"] - INCH * INCH / 2
    bulge = scipy.integrate.quad(lambda x: INCH / 8 * (1 - (2 * x / INCH - 1) ** 2), 0, INCH)[0]
    yield Check("groove_weld", "cap as a parabola, m²", "scipy.integrate.quad", "library", cap, bulge, 1e-12)
    area = weld(wall=INCH / 2, bevel_angle=math.radians(30), root_opening=INCH / 8, root_face=INCH / 16)["area"]
    run_out = 7 / 16 * math.tan(math.radians(30))
    groove = shapely.Polygon([(0, 0), (1 / 8, 0), (1 / 8, 1 / 16), (1 / 8 + run_out, 1 / 2), (0, 1 / 2)])
    what = "30° bevel for full penetration, 1/16 in face, 1/8 in gap: area, in²"
    yield Check("groove_weld", what, "shapely; the bevel is common practice", "practice", area / INCH**2, groove.area,
                1e-12)
    for tilt in (0.0, 0.05, 0.3, 0.8, 1.2, 1.5):
        found = weld(wall=INCH / 2, root_opening=INCH / 8, diameter=2 * INCH, tilt=tilt)["path_length"] / INCH
        wanted = 4 / math.cos(tilt) * scipy.special.ellipe(math.sin(tilt) ** 2)
        what = f"path round a 2 in sleeve leaning {tilt} rad, in"
        yield Check("groove_weld", what, "scipy.special.ellipe", "library", found, wanted, 1e-11 * wanted)
    circle = sleeves.ellipse_perimeter(1.0, 1.0)
    yield Check("groove_weld", "perimeter of a circle", "2πr", "hand", circle, 2 * math.pi, 1e-14)


def rows():
    for wrapper, crown, offset in ((0.86, 0.71, 0.05), (0.45, 0.36, -0.03), (0.8, 0.6, 0.15)):
        angles = [-1.2, -0.4, 0.0, 0.3, 0.9, 1.4]
        found = run("stay_row", wrapper_radius=wrapper, crown_radius=crown, centre_offset=offset, row_angles=angles)
        # The wrapper as a polygon of very many sides about (0, 0), the stay as a ray from the crown's centre.
        sheet = shapely.LinearRing(
            [(wrapper * math.cos(k * math.tau / 200000), wrapper * math.sin(k * math.tau / 200000))
             for k in range(200000)]
        )
        for angle, between, tilt in zip(angles, found["between_sheets"], found["tilts"], strict=True):
            way = (math.sin(angle), math.cos(angle))
            ray = shapely.LineString([(0, offset), (3 * way[0], offset + 3 * way[1])])
            hit = sheet.intersection(ray)
            what = f"between sheets at {angle} rad, {wrapper}/{crown}/{offset} m"
            wanted = math.dist((hit.x, hit.y), (0, offset)) - crown
            yield Check("stay_row", what, "shapely: ray and circle", "library", between, wanted, 1e-8)
            square = math.atan2(hit.x, hit.y)
            what = f"tilt at {angle} rad, {wrapper}/{crown}/{offset} m"
            yield Check("stay_row", what, "shapely: ray and circle", "library", abs(tilt), abs(angle - square), 1e-7)


def trims():
    for diameter, tilt, radius in (
        (0.051, 0.21, None), (0.044, 0.15, 0.78), (0.06, 0.0, 0.5), (0.05, 0.01, 0.9), (0.05, -0.4, 0.3),
    ):
        inputs = {"sleeve_diameter": diameter, "tilt": tilt}
        if radius:
            inputs["wrapper_radius"] = radius
        found = run("sleeve_trim", **inputs)
        psi = np.linspace(0, 2 * math.pi, 200001)
        a = diameter / 2 * np.cos(psi)
        # Each line of the sleeve cut with the sheet by Newton's method on x² + y² = R².
        s = a * math.tan(tilt)
        if radius:
            for _ in range(50):
                # The sheet passes through the origin of s, its centre R below along its normal.
                x, y = a * math.cos(tilt) + s * math.sin(tilt), radius - a * math.sin(tilt) + s * math.cos(tilt)
                s = s - (x * x + y * y - radius**2) / (2 * (x * math.sin(tilt) + y * math.cos(tilt)))
        for name, wanted in (("longest", s.max()), ("shortest", s.min()), ("long_to_short", s.max() - s.min())):
            what = f"{name}, d {diameter}, tilt {tilt}, R {radius} m"
            yield Check("sleeve_trim", what, "numpy: every line of the sleeve cut with the sheet", "library",
                        found[name], float(wanted), 1e-9)


def loads():
    found = run("stay_load", pitch_row=4 * INCH, pitch_column=4 * INCH, pressure=200 * PSI, body_diameter=INCH,
                telltale_diameter=3 / 16 * INCH, deduct_stay=False)
    load = found["load"] / (POUND * 9.80665)
    yield Check("stay_load", "4 in × 4 in at 200 psi, lbf", "16 in² × 200 psi", "hand", load, 3200, 1e-9)
    section = math.pi / 4 * (1 - (3 / 16) ** 2)
    stress = found["stress"] / PSI
    yield Check("stay_load", "its stress, psi", "load over net section", "hand", stress, 3200 / section, 1e-9)
    # Feeding an answer back stands at the limit.
    inputs = {"pitch_row": 0.1, "pitch_column": 0.095, "telltale_diameter": 0.0048}
    for deduct in (True, False):
        found = run("stay_load", pressure=1.38e6, body_diameter=0.022, deduct_stay=deduct, **inputs)
        again = run("stay_load", pressure=found["largest_pressure"], body_diameter=0.022, deduct_stay=deduct, **inputs)
        share = again["share_of_allowable"]
        yield Check("stay_load", "share at the largest pressure", "fed back", "hand", share, 1, 1e-12)
        least = found["least_body_diameter"]
        again = run("stay_load", pressure=1.38e6, body_diameter=least, deduct_stay=deduct, **inputs)
        yield Check("stay_load", "share at the least body", "fed back", "hand", again["share_of_allowable"], 1, 1e-12)
    published = stays.STAY_STRESS.value / PSI
    yield Check("stay_load", "limit held as data, psi", CFR.format("230.25"), "text", published, 7500, 1e-9)


def maps():
    # x, y and the least circle round them.
    for points, radius, where, read in (
        ([(0, 0), (3, 0), (0, 4)], 2.5, "a 3-4-5 triangle", "hand"),
        ([(0, 0), (1, 0), (0.5, math.sqrt(3) / 2)], 1 / math.sqrt(3), "Jung (1901), equality", "memory"),
        ([(0, 0), (1, 0), (2, 0)], 1, "three in a line", "hand"),
        ([(0, 0), (2, 0), (2, 0)], 1, "two points: half their distance", "memory"),
        ([(0, 0), (5, 0), (1, 0.01)], 2.5, "an obtuse triangle", "hand"),
    ):
        a, b, c = (math.dist(points[k], points[k - 1]) for k in range(3))
        found = stay_map.enclosing_diameter(a, b, c) / 2
        yield Check("broken_stays", "radius of the least circle round three", where, read, found, radius, 1e-12)
    rng = np.random.default_rng(5)
    for k in range(6):
        points = rng.uniform(0, 1, (3, 2))
        a, b, c = (math.dist(points[n], points[n - 1]) for n in range(3))
        found = stay_map.enclosing_diameter(a, b, c) / 2
        wanted = shapely.minimum_bounding_radius(shapely.MultiPoint(points))
        yield Check("broken_stays", f"least circle, random three {k + 1}", "shapely", "library", found, wanted, 1e-12)
    for count in (20, 300):
        points = rng.uniform(0, 6, (count, 2))
        places = [{"id": str(k), "x": float(x), "y": float(y)} for k, (x, y) in enumerate(points)]
        found = run("broken_stays", stays=places, broken=[one["id"] for one in places])
        near = sorted(scipy.spatial.cKDTree(points).query_pairs(24 * INCH))
        same = [[str(a), str(b)] for a, b in near] == found["close_pairs"]
        yield Check("broken_stays", f"pairs within 24 in of {count}: the same list", "scipy.spatial.cKDTree",
                    "library", int(same), 1, 0)
        longest = max(abs(d - math.dist(points[a], points[b]))
                      for d, (a, b) in zip(found["close_pair_distances"], near, strict=True))
        yield Check("broken_stays", f"their distances, {count} stays", "math.dist", "library", float(longest), 0, 1e-12)


# psig -> (printed °F, IF97 by a library)
PRINTED = {
    0: (212.0, 211.95), 5.3: (227.96, 227.91), 10.3: (240.07, 240.02), 20.3: (259.28, 259.25), 50: (298, 297.65),
    80: (324, 323.89), 100: (338, 337.88), 125: (353, 352.87), 250: (406, 406.04),
}
BY_IF97 = {150: 365.87, 180: 379.57, 200: 387.8, 205: 389.77, 245: 404.35, 275: 414.17}


def steam():
    def degrees(psig):
        found = run("steam_temperature", gauge_pressure=psig * PSI, atmospheric=14.696 * PSI)
        return fahrenheit(found["saturation_temperature"])

    for psig, (printed, if97) in PRINTED.items():
        rounded = psig >= 50
        read = "secondary" if rounded else "text"
        where = "printed steam table (Keenan and Keyes; older temperature scale)"
        within = 0.51 if rounded else 0.06
        yield Check("steam_temperature", f"{psig} psig, °F", where, read, degrees(psig), printed, within)
        yield Check("steam_temperature", f"{psig} psig, °F", "IAPWS-IF97 by a library", "secondary", degrees(psig),
                    if97, 0.006)
    for psig, if97 in BY_IF97.items():
        yield Check("steam_temperature", f"{psig} psig, °F", "IAPWS-IF97 by a library", "secondary", degrees(psig),
                    if97, 0.006)
    for megapascal, kelvin in ((0.1, 372.755919), (1, 453.035632), (10, 584.149488)):
        found = run("steam_temperature", gauge_pressure=megapascal * 1e6, atmospheric=0)
        where = "IAPWS-IF97 release, table 36; the iapws package repeats it"
        yield Check("steam_temperature", f"{megapascal} MPa, K", where, "memory", found["saturation_temperature"],
                    kelvin, 5.1e-7)
    for megapascal in (0.000611213, 0.001, 0.01, 0.101325, 0.5, 1.2, 1.5, 1.7, 2.1, 3, 5, 15, 20, 22.064):
        found = run("steam_temperature", gauge_pressure=megapascal * 1e6, atmospheric=0)["saturation_temperature"]
        wanted = iapws.iapws97._TSat_P(megapascal)
        yield Check("steam_temperature", f"{megapascal} MPa, K", "iapws package", "library", found, wanted, 1e-9)
        # And back through the forward equation, which is another formula.
        wanted = iapws.iapws97._PSat_T(min(found, 647.096))
        yield Check("steam_temperature", f"{megapascal} MPa and back, MPa", "iapws package, equation 30", "library",
                    megapascal, wanted, 1e-6 * megapascal)


def growth():
    # Steel 1020 to the kelvin and to the degree Fahrenheit, as printed side by side.
    for material, kelvin, fahrenheits, read in (
        ("plain carbon steel 1020", 1.17e-5, 6.5e-6, "memory"),
        ("gray cast iron", 1.08e-5, 6e-6, "secondary"),
        ("copper C11000", 1.7e-5, 9.4e-6, "text"),
    ):
        found = run("boiler_growth", length=100 * INCH, expansion=kelvin, cold=(60 + 459.67) / 1.8,
                    hot=(380 + 459.67) / 1.8)
        wanted = 100 * fahrenheits * 320
        yield Check("boiler_growth", f"100 in of {material}, 60 to 380 °F, in", "engineering table, both units", read,
                    found["growth"] / INCH, wanted, 0.006 * wanted)
    for name, degree in (("wrought iron", 6.48e-6), ("cast iron", 5.56e-6), ("tempered steel", 6.89e-6)):
        found = run("boiler_growth", length=30 * FOOT, expansion=degree * 1.8, cold=293.15, hot=293.15 + 300 / 1.8)
        yield Check("boiler_growth", f"30 ft of {name} by 300 °F, in", "older coefficients (Dooley)", "text",
                    found["growth"] / INCH, 360 * degree * 300, 1e-9)


def checks():
    groups = (limits, sheets, welds, rows, trims, loads, maps, steam, growth)
    return [check for group in groups for check in group()]
