"""All workings by id, and the one way to run one: inputs in base SI in, outputs in base SI out."""

from workings import handling, locomotive, measuring, rail_wedge, rods, running_gear, wedge_setting
from workings.errors import WorkingError
from workings.working import accepted, check, given_text, is_number

WORKINGS = {}
for _module in (rail_wedge, running_gear, wedge_setting, rods, locomotive, handling, measuring):
    for _working in _module.WORKINGS:
        WORKINGS[_working.id] = _working


def ids():
    return sorted(WORKINGS)


def find(id):
    """The working of that id; an error on input "working" where there is none."""
    if not isinstance(id, str) or id not in WORKINGS:
        raise WorkingError("working", given_text(id), "one of " + ", ".join(ids()))
    return WORKINGS[id]


def checked(working, inputs):
    """Inputs with defaults put in, each checked; a name the working does not know is refused."""
    if not isinstance(inputs, dict):
        raise WorkingError("inputs", given_text(inputs), "an object with a value for each input")
    for name in sorted(inputs):
        if working.input(name) is None:
            names = ", ".join([one.name for one in working.inputs])
            raise WorkingError(
                name,
                given_text(inputs[name]),
                "only inputs that {} knows".format(working.id),
                "{}: {} has no such input; it takes {}.".format(name, working.id, names),
            )
    values = {}
    for spec in working.inputs:
        value = inputs.get(spec.name)
        if value is None:
            # A missing optional input and one that a step left without a value are the same.
            if not spec.optional:
                raise WorkingError(
                    spec.name,
                    "nothing",
                    accepted(spec),
                    "{}: is missing; give {}.".format(spec.name, accepted(spec)),
                )
            value = spec.default
        if value is not None:
            value = check(spec, value)
        values[spec.name] = value
    return values


def _most_extreme(working, values):
    """The number furthest from 1 in size: what to look at when a result is beyond all numbers."""
    worst, worst_size = working.inputs[0].name, 0.0
    for spec in working.inputs:
        value = values[spec.name]
        if is_number(value) and value:
            size = abs(value)
            size = size if size > 1 else 1 / size
            if size > worst_size:
                worst, worst_size = spec.name, size
    return worst


def run(id, inputs):
    """The outputs of a working for inputs in base SI; WorkingError for inputs that make no sense."""
    working = find(id)
    values = checked(working, inputs)
    try:
        outputs = working.function(**values)
    except (ZeroDivisionError, OverflowError, ValueError):
        outputs = None
    good = outputs is not None
    if good:
        for name in outputs:
            value = outputs[name]
            # Infinity is refused too: infinity less itself is not a number.
            if type(value) is float and value - value != 0:
                good = False
    if not good:
        name = _most_extreme(working, values)
        raise WorkingError(
            name,
            given_text(values[name], working.input(name).dimension),
            "a size that goes with the other inputs",
        )
    return outputs


def _described(spec, takes):
    row = {"name": spec.name, "dimension": spec.dimension, "shape": spec.shape, "meaning": spec.meaning}
    if takes:
        row["optional"] = spec.optional
        row["default"] = spec.default
        row["accepted"] = accepted(spec)
    return row


def describe(id):
    """What a working takes and gives, as plain JSON data."""
    working = find(id)
    return {
        "id": working.id,
        "title": working.title,
        "inputs": [_described(one, True) for one in working.inputs],
        "outputs": [_described(one, False) for one in working.outputs],
        "assumptions": list(working.assumptions),
        "cautions": list(working.cautions),
        "sources": list(working.sources),
    }


def story(id, inputs, outputs=None, shows=None, system="in"):
    """The story of a working; see workings/story.py."""
    working = find(id)
    values = checked(working, inputs)
    return working.story(values, run(id, inputs) if outputs is None else outputs, shows, system)
