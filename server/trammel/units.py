"""Every unit the tool knows, and its factor as pint has it: the authority on units.

The phone has no pint. `python -m trammel.units --write` works the factors out here, exactly, and
writes them to workings/units_table.py, which both ends read; a test holds the file to this page.

Three things pint would decide otherwise, so they are written out below: a rate is turns or cycles a
second, so rpm is 1/minute and not 2π of it; where a force is asked, lb and kg mean lbf and kgf (an
alias that only the dimension "force" knows); money has no rates of exchange.
"""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

import pint

# Powers of length, mass, time, temperature, angle, money.
DIMENSIONS: dict[str, tuple[int, ...]] = {
    "length": (1, 0, 0, 0, 0, 0),
    "area": (2, 0, 0, 0, 0, 0),
    "volume": (3, 0, 0, 0, 0, 0),
    "angle": (0, 0, 0, 0, 1, 0),
    "mass": (0, 1, 0, 0, 0, 0),
    "force": (1, 1, -2, 0, 0, 0),
    "torque": (2, 1, -2, 0, 0, 0),
    "pressure": (-1, 1, -2, 0, 0, 0),
    "time": (0, 0, 1, 0, 0, 0),
    "speed": (1, 0, -1, 0, 0, 0),
    "acceleration": (1, 0, -2, 0, 0, 0),
    "rate": (0, 0, -1, 0, 0, 0),
    "density": (-3, 1, 0, 0, 0, 0),
    "temperature": (0, 0, 0, 1, 0, 0),
    "temperature difference": (0, 0, 0, 1, 0, 0),
    "per temperature": (0, 0, 0, -1, 0, 0),
    "length per angle": (1, 0, 0, 0, -1, 0),
    "force per length": (0, 1, -2, 0, 0, 0),
    "mass per length": (-1, 1, 0, 0, 0, 0),
    "mass per time": (0, 1, -1, 0, 0, 0),
    "pressure times speed": (0, 1, -3, 0, 0, 0),
    "money": (0, 0, 0, 0, 0, 1),
    "money per mass": (0, -1, 0, 0, 0, 1),
    "money per time": (0, 0, -1, 0, 0, 1),
    "plain": (0, 0, 0, 0, 0, 0),
}

# dimension: id ; pint's expression ; label ; one ; many ; other names, by commas ; unit of the other system
# In the order in which people expect to be offered them.
ROWS = """
length: in ; inch ; in ; inch ; inches ; inch,inches,",in. ; mm
length: ft ; foot ; ft ; foot ; feet ; foot,feet,',ft. ; m
length: thou ; thou ; thou ; thou ; thou ; thousandth,thousandths,mil,mils ; mm
length: mm ; millimeter ; mm ; millimetre ; millimetres ; millimetre,millimetres,millimeter,millimeters ; in
length: cm ; centimeter ; cm ; centimetre ; centimetres ; centimetre,centimetres,centimeter,centimeters ; in
length: m ; meter ; m ; metre ; metres ; metre,metres,meter,meters ; ft
length: um ; micrometer ; µm ; micrometre ; micrometres ; µm,micron,microns ; thou
length: yd ; yard ; yd ; yard ; yards ; yard,yards ; m
length: mile ; mile ; mile ; mile ; miles ; miles,mi ; km
length: km ; kilometer ; km ; kilometre ; kilometres ; ; mile
area: in2 ; inch**2 ; in² ; square inch ; square inches ; in^2,sq in,sq. in.,square inches ; mm2
area: ft2 ; foot**2 ; ft² ; square foot ; square feet ; ft^2,sq ft,square feet ; m2
area: mm2 ; millimeter**2 ; mm² ; square millimetre ; square millimetres ; mm^2,sq mm ; in2
area: cm2 ; centimeter**2 ; cm² ; square centimetre ; square centimetres ; cm^2,sq cm ; in2
area: m2 ; meter**2 ; m² ; square metre ; square metres ; m^2,sq m ; ft2
volume: in3 ; inch**3 ; in³ ; cubic inch ; cubic inches ; in^3,cu in,cubic inches ; cm3
volume: ft3 ; foot**3 ; ft³ ; cubic foot ; cubic feet ; ft^3,cu ft,cubic feet ; m3
volume: US gal ; gallon ; US gal ; US gallon ; US gallons ; us gallon,us gallons ; L
volume: imp gal ; imperial_gallon ; imp gal ; imperial gallon ; imperial gallons ; imperial gallons ; L
volume: mm3 ; millimeter**3 ; mm³ ; cubic millimetre ; cubic millimetres ; mm^3 ; in3
volume: cm3 ; centimeter**3 ; cm³ ; cubic centimetre ; cubic centimetres ; cm^3,cc,ml ; in3
volume: L ; liter ; L ; litre ; litres ; litre,litres,liter,liters ; US gal
volume: m3 ; meter**3 ; m³ ; cubic metre ; cubic metres ; m^3 ; ft3
angle: deg ; degree ; ° ; degree ; degrees ; °,degree,degrees ;
angle: arcmin ; arcminute ; ′ ; minute of arc ; minutes of arc ; ',min ; deg
angle: arcsec ; arcsecond ; ″ ; second of arc ; seconds of arc ; ",sec ; deg
angle: rad ; radian ; rad ; radian ; radians ; radian,radians ; deg
angle: turn ; turn ; turns ; turn ; turns ; turns ; deg
mass: lb ; pound ; lb ; pound ; pounds ; lbs,lb.,pound,pounds ; kg
mass: oz ; ounce ; oz ; ounce ; ounces ; ounce,ounces ; g
mass: kg ; kilogram ; kg ; kilogram ; kilograms ; kilogram,kilograms,kilo,kilos ; lb
mass: g ; gram ; g ; gram ; grams ; gram,grams ; oz
mass: short ton ; short_ton ; short ton ; short ton ; short tons ; short tons,us ton,us tons ; kg
mass: long ton ; long_ton ; long ton ; long ton ; long tons ; long tons,imperial ton,imperial tons ; kg
mass: metric ton ; metric_ton ; metric ton ; metric ton ; metric tons ; metric tons,tonne,tonnes ; lb
force: lbf ; lbf ; lbf ; pound force ; pounds force ; lb,lbs,lb.,pound,pounds ; kN
force: kgf ; kgf ; kgf ; kilogram force ; kilograms force ; kg,kp ; lbf
force: N ; newton ; N ; newton ; newtons ; newton,newtons ; lbf
force: kN ; kilonewton ; kN ; kilonewton ; kilonewtons ; ; lbf
force: kip ; kip ; kip ; kip ; kips ; kips ; kN
force: short tonf ; short_ton * standard_gravity ; short tonf ; short ton force ; short tons force ; \
short ton,short tons ; kN
force: long tonf ; long_ton * standard_gravity ; long tonf ; long ton force ; long tons force ; \
long ton,long tons ; kN
force: metric tonf ; metric_ton * standard_gravity ; metric tonf ; metric ton force ; metric tons force ; \
metric ton,metric tons,tonne,tonnes ; lbf
torque: lbf ft ; lbf * foot ; lbf·ft ; pound foot ; pound feet ; lbf·ft,ft lbf,ft lb,lb ft,lb-ft,ft-lb ; N m
torque: lbf in ; lbf * inch ; lbf·in ; pound inch ; pound inches ; lbf·in,in lb,lb in,in lbf ; N m
torque: N m ; newton * meter ; N·m ; newton metre ; newton metres ; n·m,nm ; lbf ft
pressure: psi ; psi ; psi ; pound per square inch ; pounds per square inch ; psig,lb/in2,lbf/in2,\
lb/sq in ; bar
pressure: ksi ; ksi ; ksi ; thousand psi ; thousand psi ; ; MPa
pressure: bar ; bar ; bar ; bar ; bar ; bars ; psi
pressure: kPa ; kilopascal ; kPa ; kilopascal ; kilopascals ; ; psi
pressure: MPa ; megapascal ; MPa ; megapascal ; megapascals ; n/mm2,n/mm^2 ; psi
pressure: Pa ; pascal ; Pa ; pascal ; pascals ; ; psi
pressure: kgf/cm2 ; kgf / centimeter**2 ; kgf/cm² ; kilogram per square centimetre ; \
kilograms per square centimetre ; kg/cm2,kg/cm^2 ; psi
pressure: inHg ; inch_Hg ; inHg ; inch of mercury ; inches of mercury ; in hg ; kPa
time: s ; second ; s ; second ; seconds ; sec,secs,second,seconds ;
time: min ; minute ; min ; minute ; minutes ; mins,minute,minutes ;
time: h ; hour ; h ; hour ; hours ; hr,hrs,hour,hours ;
time: day ; day ; days ; day ; days ; days,d ;
time: week ; week ; weeks ; week ; weeks ; weeks ;
speed: mph ; mile / hour ; mph ; mile an hour ; miles an hour ; mi/h ; km/h
speed: km/h ; kilometer / hour ; km/h ; kilometre an hour ; kilometres an hour ; kph,kmh ; mph
speed: ft/min ; foot / minute ; ft/min ; foot a minute ; feet a minute ; fpm ; m/s
speed: ft/s ; foot / second ; ft/s ; foot a second ; feet a second ; fps ; m/s
speed: in/s ; inch / second ; in/s ; inch a second ; inches a second ; ; mm/s
speed: mm/s ; millimeter / second ; mm/s ; millimetre a second ; millimetres a second ; ; in/s
speed: m/min ; meter / minute ; m/min ; metre a minute ; metres a minute ; ; ft/min
speed: m/s ; meter / second ; m/s ; metre a second ; metres a second ; ; ft/s
acceleration: ft/s2 ; foot / second**2 ; ft/s² ; foot a second squared ; feet a second squared ; \
ft/s^2 ; m/s2
acceleration: m/s2 ; meter / second**2 ; m/s² ; metre a second squared ; metres a second squared ; \
m/s^2 ; ft/s2
acceleration: gravity ; standard_gravity ; g ; gravity ; gravities ; g ; m/s2
rate: rpm ; 1 / minute ; rpm ; turn a minute ; turns a minute ; rev/min,/min,1/min,per minute,strokes/min,\
cycles/min ; per s
rate: per s ; 1 / second ; /s ; a second ; a second ; /s,1/s,hz,rev/s,rps,cycles/s,per second ; rpm
density: lb/in3 ; pound / inch**3 ; lb/in³ ; pound per cubic inch ; pounds per cubic inch ; \
lb/in^3,lb/cu in ; kg/m3
density: lb/ft3 ; pound / foot**3 ; lb/ft³ ; pound per cubic foot ; pounds per cubic foot ; \
lb/ft^3,lb/cu ft ; kg/m3
density: kg/m3 ; kilogram / meter**3 ; kg/m³ ; kilogram per cubic metre ; kilograms per cubic metre ; \
kg/m^3 ; lb/in3
density: g/cm3 ; gram / centimeter**3 ; g/cm³ ; gram per cubic centimetre ; grams per cubic centimetre ; \
g/cm^3,g/cc ; lb/in3
temperature: degF ; degF ; °F ; degree Fahrenheit ; degrees Fahrenheit ; f,°f,deg f,degrees f ; degC
temperature: degC ; degC ; °C ; degree Celsius ; degrees Celsius ; c,°c,deg c,degrees c ; degF
temperature: K ; kelvin ; K ; kelvin ; kelvins ; kelvin ; degC
temperature difference: degF-diff ; delta_degF ; °F ; Fahrenheit degree ; Fahrenheit degrees ; \
f,degf,°f,deg f,degrees f ; degC-diff
temperature difference: degC-diff ; delta_degC ; °C ; Celsius degree ; Celsius degrees ; \
c,degc,°c,deg c,degrees c ; degF-diff
temperature difference: K-diff ; kelvin ; K ; kelvin ; kelvins ; k ; degF-diff
per temperature: per degF ; 1 / delta_degF ; /°F ; per degree Fahrenheit ; per degree Fahrenheit ; \
/°f,/f,1/°f,per °f,in/in/°f ; per degC
per temperature: per degC ; 1 / delta_degC ; /°C ; per degree Celsius ; per degree Celsius ; \
/°c,/c,1/°c,per °c ; per degF
per temperature: per K ; 1 / kelvin ; /K ; per kelvin ; per kelvin ; /k,1/k ; per degF
length per angle: in/deg ; inch / degree ; in/° ; inch a degree ; inches a degree ; in/° ; mm/deg
length per angle: thou/deg ; thou / degree ; thou/° ; thou a degree ; thou a degree ; thou/° ; mm/deg
length per angle: mm/deg ; millimeter / degree ; mm/° ; millimetre a degree ; millimetres a degree ; \
mm/° ; in/deg
length per angle: m/rad ; meter / radian ; m/rad ; metre a radian ; metres a radian ; ; in/deg
force per length: lbf/in ; lbf / inch ; lbf/in ; pound force per inch ; pounds force per inch ; lb/in ; N/mm
force per length: lbf/ft ; lbf / foot ; lbf/ft ; pound force per foot ; pounds force per foot ; lb/ft ; N/m
force per length: N/mm ; newton / millimeter ; N/mm ; newton per millimetre ; newtons per millimetre ; \
; lbf/in
force per length: N/m ; newton / meter ; N/m ; newton per metre ; newtons per metre ; ; lbf/ft
mass per length: lb/ft ; pound / foot ; lb/ft ; pound per foot ; pounds per foot ; ; kg/m
mass per length: lb/in ; pound / inch ; lb/in ; pound per inch ; pounds per inch ; ; kg/m
mass per length: kg/m ; kilogram / meter ; kg/m ; kilogram per metre ; kilograms per metre ; ; lb/ft
mass per length: g/m ; gram / meter ; g/m ; gram per metre ; grams per metre ; ; lb/ft
mass per time: lb/h ; pound / hour ; lb/h ; pound an hour ; pounds an hour ; lb/hr ; kg/h
mass per time: lb/min ; pound / minute ; lb/min ; pound a minute ; pounds a minute ; ; kg/h
mass per time: kg/h ; kilogram / hour ; kg/h ; kilogram an hour ; kilograms an hour ; kg/hr ; lb/h
mass per time: kg/s ; kilogram / second ; kg/s ; kilogram a second ; kilograms a second ; ; lb/h
pressure times speed: psi ft/min ; psi * foot / minute ; psi·ft/min ; psi foot a minute ; \
psi feet a minute ; psi·ft/min,psi fpm ; MPa m/s
pressure times speed: MPa m/s ; megapascal * meter / second ; MPa·m/s ; megapascal metre a second ; \
megapascal metres a second ; mpa·m/s ; psi ft/min
pressure times speed: Pa m/s ; pascal * meter / second ; Pa·m/s ; pascal metre a second ; \
pascal metres a second ; pa·m/s ; psi ft/min
money: $ ; ; $ ; dollar ; dollars ; dollar,dollars ;
money: £ ; ; £ ; pound ; pounds ; ;
money: € ; ; € ; euro ; euros ; euro,euros ;
money per mass: $/lb ; 1 / pound ; $/lb ; dollar a pound ; dollars a pound ; ; $/kg
money per mass: $/kg ; 1 / kilogram ; $/kg ; dollar a kilogram ; dollars a kilogram ; ; $/lb
money per mass: £/lb ; 1 / pound ; £/lb ; pound a pound ; pounds a pound ; ; £/kg
money per mass: £/kg ; 1 / kilogram ; £/kg ; pound a kilogram ; pounds a kilogram ; ; £/lb
money per mass: €/kg ; 1 / kilogram ; €/kg ; euro a kilogram ; euros a kilogram ; ;
money per time: $/h ; 1 / hour ; $/h ; dollar an hour ; dollars an hour ; $/hr ;
money per time: £/h ; 1 / hour ; £/h ; pound an hour ; pounds an hour ; £/hr ;
money per time: €/h ; 1 / hour ; €/h ; euro an hour ; euros an hour ; ;
plain: number ; ; ; ; ; ;
plain: % ; percent ; % ; per cent ; per cent ; percent,per cent ; number
plain: ppm ; ppm ; ppm ; part in a million ; parts in a million ; ;
"""

TARGET = Path(__file__).resolve().parent.parent / "workings" / "units_table.py"
HEADER = '''# ruff: noqa: E501
"""Written by `python -m trammel.units --write` from pint's definitions; do not edit by hand.

UNITS: id -> (dimension, factor, offset, label, spoken, name of the dimension, spoken for one, all its
names in small letters by commas, unit of the other system). A number x in the unit is x * factor + offset
in base SI.
"""

'''


class Unit(NamedTuple):
    """One unit; a number x in it is x * factor + offset in base SI."""

    id: str
    dimension_name: str
    expression: str
    label: str
    one: str
    many: str
    names: tuple[str, ...]
    other: str
    factor: float
    offset: float


def base_value(expression: str, number: Fraction) -> Fraction:
    """number of the unit that pint calls expression, in base SI, exactly."""
    if not expression:
        return number
    unit: Any = _REGISTRY.parse_expression(expression)
    if isinstance(unit, Fraction | int):
        return number * unit
    quantity = _REGISTRY.Quantity(number * unit.magnitude, unit.units)
    return Fraction(quantity.to_base_units().magnitude)


# Fractions keep pint's definitions exact; one rounding, to a float, is made at the end.
_REGISTRY: Any = pint.UnitRegistry(non_int_type=Fraction, autoconvert_offset_to_baseunit=False)


def units() -> list[Unit]:
    """All units, with pint's factors."""
    found = []
    for line in ROWS.strip().splitlines():
        dimension_name, _, rest = line.partition(": ")
        id_, expression, label, one, many, names, other = (part.strip() for part in rest.split(";"))
        offset = base_value(expression, Fraction(0))
        factor = base_value(expression, Fraction(1)) - offset
        # All that a person may type for it, in small letters, so that the phone need not make them.
        listed = tuple(dict.fromkeys(n.lower() for n in (id_, label, *names.split(",")) if n))
        found.append(Unit(id_, dimension_name, expression, label, one, many, listed, other,
                          float(factor), float(offset)))
    return found


def table() -> str:
    """The text of workings/units_table.py."""
    lines = [HEADER, "DIMENSIONS = {\n"]
    lines += [f"    {_quoted(name)}: {powers!r},\n" for name, powers in DIMENSIONS.items()]
    lines.append("}\n\n# In the order in which units are offered; MicroPython keeps no order in a dict.\n")
    lines.append("ORDER = [\n")
    for unit in units():
        row = [_quoted(unit.id), _quoted(unit.dimension_name), repr(unit.factor), repr(unit.offset),
               _quoted(unit.label), _quoted(unit.many), _quoted(unit.one), _quoted(",".join(unit.names)),
               _quoted(unit.other)]
        lines.append(f"    ({', '.join(row)}),\n")
    lines.append("]\n\nUNITS = {r[0]: (DIMENSIONS[r[1]],) + r[2:6] + (r[1],) + r[6:] for r in ORDER}\n")
    return "".join(lines)


def described() -> list[dict[str, object]]:
    """The units as data, for whoever asks the server."""
    return [{"id": unit.id, "dimension": unit.dimension_name, "factor": unit.factor, "offset": unit.offset,
             "label": unit.label, "names": list(unit.names)} for unit in units()]


def _quoted(text: str) -> str:
    return "'" + text + "'" if '"' in text else '"' + text + '"'


def main(arguments: list[str]) -> int:
    if arguments == ["--write"]:
        TARGET.write_text(table(), encoding="utf-8")
        print(f"wrote {len(units())} units to {TARGET.name}")
        return 0
    if arguments == ["--check"]:
        same = TARGET.exists() and TARGET.read_text(encoding="utf-8") == table()
        print("the table is as pint has it" if same else "the table differs; run it with --write")
        return 0 if same else 1
    print("usage: python -m trammel.units --write | --check")
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
