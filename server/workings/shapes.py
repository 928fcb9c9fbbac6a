"""Lists and objects as inputs: every number and text inside is checked as if it stood alone.

The shape says what is inside, in the words of the contract: "list of numbers", "list of lists of
numbers", "list of texts", "list of objects: z, inner, outer". An object whose parts are inputs of their
own (line of guide_survey) is declared with them: Input(..., fields=[...]). Bounds of the input hold for
each number. The error names the whole input and says which of its parts is meant.
"""

from workings.errors import WorkingError
from workings.working import Input, accepted, check, given_text

# A survey or a map of stays is far below this; what is longer would keep a phone waiting.
MOST = 20000
# Parts of an object that are no plain number of the input's dimension: their shape, and if they may be left out.
_OTHERS = {"id": ("text", False), "row": ("whole number", True), "column": ("whole number", True)}


def _part(spec, name, shape, optional=False):
    """What one part of a list or object takes: the bounds are those of the whole."""
    if shape != "number":
        return Input(name, "plain", "", shape, optional=optional)
    bounds = {"above": spec.above, "least": spec.least, "below": spec.below, "most": spec.most}
    return Input(name, spec.dimension, "", shape, optional=optional, **bounds)


def fields(spec):
    """The parts of an object or of the objects of a list, as inputs of their own."""
    if spec.fields is None:
        names = spec.shape.split(": ")[1].split(", ")
        spec.fields = []
        for name in names:
            shape, optional = _OTHERS.get(name, ("number", False))
            spec.fields.append(_part(spec, name, shape, optional))
    return spec.fields


def _refuse(spec, place, given, wanted):
    if not place:
        raise WorkingError(spec.name, given, wanted)
    raise WorkingError(
        spec.name, given, wanted, "{}: {} is {}; give {}.".format(spec.name, place, given, wanted)
    )


def _one(spec, part, value, place):
    if value is None:
        _refuse(spec, place, "missing", accepted(part))
    try:
        return check(part, value)
    except WorkingError as error:
        _refuse(spec, place, error.value, error.accepted)


def _list(spec, value, place=""):
    if not isinstance(value, list):
        _refuse(spec, place, given_text(value), accepted(spec))
    if len(value) > MOST:
        _refuse(spec, place, "a list of {}".format(len(value)), "at most {} of them".format(MOST))
    return value


def object_of(spec, value, place="", parts=None):
    """An object with each of its parts checked; None stands for an optional one left out."""
    parts = fields(spec) if parts is None else parts
    where = " of " + place if place else ""
    if not isinstance(value, dict):
        _refuse(spec, place, given_text(value), "an object with " + _named(parts))
    found = {}
    known = 0
    for part in parts:
        given = value.get(part.name)
        if part.name in value:
            known += 1
        if given is None and part.optional:
            given = part.default
        if given is None and part.optional:
            found[part.name] = None
        else:
            found[part.name] = _one(spec, part, given, part.name + where)
    if len(value) > known:
        names = [part.name for part in parts]
        for name in sorted([str(name) for name in value]):
            if name not in names:
                given = given_text(name)
                _refuse(spec, "a part" + where, given, "only " + _named(parts))
    return found


def _named(parts):
    return ", ".join(["[" + part.name + "]" if part.optional else part.name for part in parts])


def list_of(spec, value):
    """A list of the spec's shape with everything in it checked."""
    shape = spec.shape
    _list(spec, value)
    if shape.startswith("list of objects: "):
        parts = fields(spec)
        return [object_of(spec, value[k], "number {}".format(k + 1), parts) for k in range(len(value))]
    number = _part(spec, spec.name, "text" if shape == "list of texts" else "number")
    if shape == "list of lists of numbers":
        rows = []
        for k in range(len(value)):
            row = _list(spec, value[k], "list {}".format(k + 1))
            rows.append(
                [
                    _one(spec, number, row[n], "number {} of list {}".format(n + 1, k + 1))
                    for n in range(len(row))
                ]
            )
        return rows
    return [_one(spec, number, value[k], "number {}".format(k + 1)) for k in range(len(value))]
