"""All workings by id, and the one way to run one: inputs in base SI in, outputs in base SI out."""

from workings.errors import WorkingError
from workings.working import accepted, check, given_text, is_finite, is_number

# A subject is loaded when one of its workings is first asked for: a phone starts with what its card needs.
SUBJECTS = {
    "boiler": ("boiler_growth", "hydro_test", "steam_temperature", "stayed_sheet"),
    "cylinder": ("bore_survey", "hone_plan", "ring_gap"),
    "handling": ("lift_points", "sling_legs"),
    "locomotive": ("tractive_effort",),
    "measuring": ("nearest_fraction", "reading_verdict", "uncertainty_budget"),
    "rail_wedge": ("haul_force", "wedge_pass", "wheel_on_wedge"),
    "repeats": ("repeat_cost", "repeat_forecast"),
    "rods": ("rod_bush_clearance", "rods_all_round"),
    "running_gear": ("pin_spacing", "quartering", "roll_drift"),
    "sleeves": ("groove_weld", "sleeve_trim"),
    "springs": ("spring_lift",),
    "stay_map": ("broken_stays",),
    "stays": ("stay_load", "stay_row"),
    "wedge_setting": ("wedge_setting",),
}
_SUBJECT_OF = {id: subject for subject, its in SUBJECTS.items() for id in its}
_loaded = {}


def ids():
    return sorted(_SUBJECT_OF)


def find(id):
    """The working of that id; an error on input "working" where there is none."""
    if not isinstance(id, str) or id not in _SUBJECT_OF:
        raise WorkingError("working", given_text(id), "one of " + ", ".join(ids()))
    if id not in _loaded:
        module = getattr(__import__("workings." + _SUBJECT_OF[id]), _SUBJECT_OF[id])
        for working in module.WORKINGS:
            _loaded[working.id] = working
    return _loaded[id]


def known(id):
    """The working of that id, or None."""
    return find(id) if isinstance(id, str) and id in _SUBJECT_OF else None


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
    if outputs is None or not is_finite(outputs):
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
