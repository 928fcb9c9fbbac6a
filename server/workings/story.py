"""What a working tells of itself: each line as a formula, the same with numbers, and the result.

A working gives its lines as (symbol, formula, value in SI, dimension[, note]); a line whose value
was searched for and not calculated has no formula but a note in words. Everything after that is
made here: numbers put in as they were read off the gauge, nodes for typeset.py, words to be said.
"""

from workings import formula as formulas
from workings import quantities, rounding, typeset

UNITS = {
    "in": {
        "length": "in",
        "angle": "deg",
        "force": "lbf",
        "pressure": "psi",
        "length per angle": "in/deg",
        "speed": "ft/min",
    },
    "mm": {
        "length": "mm",
        "area": "mm2",
        "volume": "cm3",
        "angle": "deg",
        "mass": "kg",
        "force": "kN",
        "pressure": "bar",
        "length per angle": "mm/deg",
        "force per length": "N/mm",
        "speed": "m/min",
        "density": "kg/m3",
        "mass per time": "kg/h",
        "temperature": "degC",
        "temperature difference": "degC-diff",
        "per temperature": "per degC",
    },
}
# Times are told in the largest of these that leaves two or more: unit, seconds from which it is used.
TIMES = (("min", 120), ("h", 7200))
DIGITS = 5


def shown(value, dimension, system="in"):
    """A value as a story shows it: five figures and a unit. For dimension a line may give a unit of its
    own instead ("ft/min"): that one, or in "mm" its companion of the other system."""
    if isinstance(value, str):
        return value
    if dimension in ("plain", "any", "as value", "as that output"):
        return rounding.number_text(float(value), DIGITS).replace("-", "−")
    if dimension in quantities.UNITS:
        unit = (quantities.UNITS[dimension][8] if system == "mm" else "") or dimension
    else:
        unit = UNITS[system].get(dimension) or quantities.units_for(dimension)[0]
    if dimension == "time":
        for longer, least in TIMES:
            if value >= least * (1 - 1e-9):
                unit = longer
    return quantities.text_in(value, unit, DIGITS)


def _held(text):
    """A number on its way into a formula: a negative one goes in brackets."""
    return "(" + text + ")" if text[:1] == "−" else text


def _line(line, texts, words, labels, text):
    symbol, formula = line[0], line[1]
    note = line[4] if len(line) > 4 else ""
    told = {
        "symbol": ["name", symbol],
        "formula": None,
        "numbers": None,
        "result": ["num", text],
        "note": note,
    }
    if formula is not None:
        compiled = formulas.compile_formula(formula)
        # Every name keeps its sign: typeset.py makes Greek and lowered letters of it.
        told["formula"] = compiled.typeset(dict([(name, name) for name in compiled.names]))
        told["numbers"] = compiled.tree_with(texts)
        told["spoken"] = "{} equals {}, that is {}".format(
            labels.get(symbol) or typeset.spoken(told["symbol"]),
            typeset.spoken(told["formula"], words),
            typeset.spoken(told["result"]),
        )
    else:
        told["spoken"] = "{}: {}".format(
            note or typeset.spoken(told["symbol"]), typeset.spoken(told["result"])
        )
    return told


def tell(working, inputs, outputs, shows=None, system="in", dimension="plain"):
    """The story of a working for checked inputs and its outputs.

    shows: how inputs were shown on the card, by name ("3 5/16 in"); others are shown in the units of
    system ("in" or "mm"). dimension: that of a working whose inputs may be of any.
    Returns title, lines (symbol, formula, numbers, result as nodes, note, spoken), assumptions,
    cautions, sources.
    """
    texts, words, labels = {}, {}, {}
    for spec in working.inputs:
        value = inputs.get(spec.name)
        if spec.symbol and value is not None:
            of = dimension if spec.dimension in ("any", "as value") else spec.dimension
            texts[spec.symbol] = _held((shows or {}).get(spec.name) or shown(value, of, system))
            words[spec.symbol] = spec.name.replace("_", " ")
    lines = []
    for line in working.lines(inputs, outputs):
        of = dimension if line[3] in ("as value", "as that output") else line[3]
        text = shown(line[2], of, system)
        lines.append(_line(line, texts, words, labels, text))
        texts[line[0]] = _held(text)
    return {
        "title": working.title,
        "lines": lines,
        "assumptions": list(working.assumptions),
        "cautions": list(working.cautions),
        "sources": list(working.sources),
    }


def formula_row(line):
    """The first row of a line, as a node: the formula, or the result and what it is in words."""
    if line["formula"] is None:
        notes = [["text", ","]] + [["word", word] for word in line["note"].split(" ")] if line["note"] else []
        return ["row", line["symbol"], ["text", " = "], line["result"]] + notes
    return ["row", line["symbol"], ["text", " = "], line["formula"]]


def numbers_row(line):
    """The second row, as a node: the same with numbers, and the result; None where there is none."""
    if line["formula"] is None:
        return None
    return ["row", ["text", "= "], line["numbers"], ["text", " = "], line["result"]]
