"""What a working declares of itself, and the checks that every input goes through.

A working is a plain function of plain numbers in base SI. Around it stands a Working: the
inputs it takes, the outputs it gives, and what it tells of itself. Inputs are checked here, in
one place, so that the functions only refuse what their own geometry refuses.
"""

from workings import rounding
from workings.errors import WorkingError

# Lengths that people set to the very edge must not fall off it: one nanometre.
GRACE = 1e-9
# Nothing in a workshop needs more; it keeps every product of a few numbers finite.
LARGEST = 1e15
DEGREES = 57.29577951308232  # in a radian

SI_UNITS = {
    "length": "m",
    "area": "m²",
    "volume": "m³",
    "angle": "rad",
    "mass": "kg",
    "force": "N",
    "pressure": "Pa",
    "time": "s",
    "speed": "m/s",
    "acceleration": "m/s²",
    "rate": "/s",
    "density": "kg/m³",
    "temperature": "K",
    "temperature difference": "K",
    "length per angle": "m/rad",
    "force per length": "N/m",
    "mass per length": "kg/m",
    "mass per time": "kg/s",
    "per temperature": "/K",
}


class Input:
    """One input: its name, dimension, shape, default, bounds and the sign it has in formulas."""

    def __init__(
        self,
        name,
        dimension,
        meaning,
        shape="number",
        symbol="",
        default=None,
        optional=False,
        above=None,
        least=None,
        below=None,
        most=None,
        fields=None,
    ):
        self.name = name
        self.dimension = dimension
        self.meaning = meaning
        self.shape = shape
        self.symbol = symbol
        self.default = default
        self.optional = optional or default is not None
        self.above = above
        self.least = least
        self.below = below
        self.most = most
        self.fields = fields  # the parts of an object, as inputs of their own; see shapes.py


class Output:
    """One output: its name, dimension, shape ("... or null" where it may be missing), meaning."""

    def __init__(self, name, dimension, meaning="", shape="number", symbol=""):
        self.name = name
        self.dimension = dimension
        self.meaning = meaning
        self.shape = shape
        self.symbol = symbol


class Working:
    """A calculation with its inputs, outputs, function and story (see workings/story.py)."""

    def __init__(self, id, title, function, inputs, outputs, lines, assumptions=(), cautions=(), sources=()):
        self.id = id
        self.title = title
        self.function = function
        self.inputs = inputs
        self.outputs = outputs
        self.lines = lines
        self.assumptions = assumptions
        self.cautions = cautions
        self.sources = sources

    def input(self, name):
        for one in self.inputs:
            if one.name == name:
                return one
        return None

    def output(self, name):
        for one in self.outputs:
            if one.name == name:
                return one
        return None

    def story(self, inputs, outputs, shows=None, system="in"):
        from workings import story  # not at the top: a card that tells no story need not load it

        return story.tell(self, inputs, outputs, shows, system)


def number(name, dimension, meaning, symbol="", **bounds):
    return Input(name, dimension, meaning, "number", symbol, **bounds)


def length(name, meaning, symbol="", **bounds):
    """A length above 0, which most lengths are; give other bounds to have others."""
    if not ("above" in bounds or "least" in bounds or "any_sign" in bounds):
        bounds["above"] = 0
    bounds.pop("any_sign", None)
    return Input(name, "length", meaning, "number", symbol, **bounds)


def choice(name, meaning, words, default=None, symbol=""):
    return Input(name, "plain", meaning, "choice: " + words, symbol, default=default)


def words_of(shape):
    """The words of a choice: "choice: both, front, rear" -> ["both", "front", "rear"]."""
    words = shape[len("choice: ") :].replace(", or null", "").replace(" or null", "")
    return words.split(", ")


def is_number(value):
    # type() and not isinstance(): True is an int on one Python and not on the other.
    return type(value) is int or type(value) is float


def given_text(value, dimension="plain"):
    """A value as it was given, for a message; the same text on both Pythons."""
    if value is None:
        return "nothing"
    if value is True or value is False:
        return "yes" if value else "no"
    if is_number(value):
        if value != value:
            return "not a number"
        if value > 1e300 or value < -1e300:
            return "infinite" if value > 0 else "minus infinite"
        unit = SI_UNITS.get(dimension, "")
        text = rounding.number_text(float(value)) + (" " + unit if unit else "")
        # People think in these; what came in base SI may have been typed in them.
        if dimension == "angle" and value:
            text += " (" + rounding.number_text(value * DEGREES, 5) + "°)"
        elif dimension == "length" and value:
            text += " (" + rounding.number_text(value / 0.0254, 5) + " in)"
        return text
    if isinstance(value, str):
        return "“" + (value if len(value) <= 60 else value[:60] + "…") + "”"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    return "an object"


def in_words(value):
    """A length for a message, in both systems: "19.353 mm (0.76194 in)"."""
    return rounding.number_text(value * 1000, 5) + " mm (" + rounding.number_text(value / 0.0254, 5) + " in)"


def listed(words):
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " or " + words[-1]


def bound_text(value, dimension):
    if dimension == "angle" and value:
        return rounding.number_text(value * DEGREES) + "°"
    unit = SI_UNITS.get(dimension, "")
    return rounding.number_text(float(value)) + (" " + unit if unit and value else "")


def accepted(spec):
    """What an input takes, in words: "a length above 0", "both, front or rear"."""
    if spec.shape.startswith("choice: "):
        return listed(words_of(spec.shape))
    if spec.shape == "yes/no":
        return "yes or no"
    if spec.shape == "text":
        return "a text"
    if spec.shape == "number":
        noun = spec.dimension if spec.dimension in SI_UNITS else "number"
        text = ("an " if noun[0] in "aeiou" else "a ") + noun
    elif spec.shape == "whole number":
        text = "a whole number"
    else:
        text = ("an " if spec.shape[0] in "aeiou" else "a ") + spec.shape
    bounds = []
    if spec.above is not None:
        bounds.append("above " + bound_text(spec.above, spec.dimension))
    if spec.least is not None:
        bounds.append("of " + bound_text(spec.least, spec.dimension) + " or more")
    if spec.below is not None:
        bounds.append("below " + bound_text(spec.below, spec.dimension))
    if spec.most is not None:
        bounds.append("at most " + bound_text(spec.most, spec.dimension))
    each = " each " if spec.shape.startswith("list") else " "
    return text + (each + ", ".join(bounds) if bounds else "")


def refuse(spec, value, message=None):
    raise WorkingError(spec.name, given_text(value, spec.dimension), accepted(spec), message)


def _number(spec, value):
    if not is_number(value) or value != value or not -LARGEST <= value <= LARGEST:
        refuse(spec, value)
    value = float(value)
    if (
        (spec.above is not None and not value > spec.above)
        or (spec.least is not None and value < spec.least - GRACE)
        or (spec.below is not None and not value < spec.below)
        or (spec.most is not None and value > spec.most + GRACE)
    ):
        refuse(spec, value)
    if spec.least is not None and value < spec.least:
        return float(spec.least)
    if spec.most is not None and value > spec.most:
        return float(spec.most)
    return value


def _whole(spec, value):
    # 2.0 is two: what comes out of a formula is a float.
    value = _number(spec, value)
    if value != int(value):
        refuse(spec, value)
    return int(value)


def check(spec, value):
    """The value of one input, checked against what the input takes."""
    shape = spec.shape
    if shape == "number":
        return _number(spec, value)
    if shape == "whole number":
        return _whole(spec, value)
    if shape == "yes/no":
        if value is not True and value is not False:
            refuse(spec, value)
    elif shape.startswith("choice: "):
        if not isinstance(value, str) or value not in words_of(shape):
            refuse(spec, value)
    elif shape == "text":
        if not isinstance(value, str) or len(value) > 200:
            refuse(spec, value)
    elif shape.startswith("list") or spec.fields:
        from workings import shapes  # not at the top: few workings take lists

        return shapes.list_of(spec, value) if shape.startswith("list") else shapes.object_of(spec, value)
    elif shape.startswith("object") and not isinstance(value, dict):
        refuse(spec, value)
    return value


def is_finite(value):
    """Whether every number in a value, however deep in lists and objects, is a finite one."""
    if isinstance(value, list):
        return all([is_finite(one) for one in value])
    if isinstance(value, dict):
        return all([is_finite(value[name]) for name in value])
    # Infinity less itself is not a number.
    return type(value) is not float or value - value == 0
