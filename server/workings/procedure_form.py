# The form of a procedure file: which fields each part has, and what each may hold.
#
# Only the form is judged here; whether the names, formulas and hold points make sense together
# is judged in procedure_check.py.

from workings.procedure import kind_of_step
from workings.procedure_fields import (
    Findings,
    a_bool,
    a_formula,
    a_line,
    a_name,
    a_sentence,
    a_text,
    a_word,
    an_id,
    at,
    called,
    distinct,
    fields,
    form,
    forms,
    list_of,
    names_to,
    one_of,
)

FORMAT = "trammel-procedure/1"

# The symbols that a caution may carry; the README of the procedures tells what each one looks like.
SYMBOLS = (
    "crush",
    "suspended-load",
    "moving-engine",
    "pinch-hand",
    "trip",
    "pressure",
    "hot",
    "rope-under-tension",
    "no-hands",
    "no-standing",
)
SIGNALS = ("danger", "warning", "caution", "notice")
DRAWINGS = ("wheel_on_wedge",)
ROLES = ("lead",)
ORDERS = ("in order", "any")

MUST, MAY = True, False

LIMITED = {
    "lower": (MAY, a_formula),
    "upper": (MAY, a_formula),
    "limit_source": (MAY, a_line),
    "settle": (MAY, a_bool),
}


def _with(table, more):
    joined = {}
    for part in (table, more):
        for key in part:
            joined[key] = part[key]
    return joined


DATA = {
    "name": (MUST, a_name),
    "label": (MUST, a_line),
    "kind": (MUST, one_of(("number", "words", "yes/no"))),
    "dimension": (MAY, a_word),
    "units": (MAY, distinct(a_word, 8)),
    "show": (MAY, a_word),
    "per_position": (MAY, a_bool),
    "words": (MAY, distinct(a_word, 20)),
    "optional": (MAY, a_bool),
    "help": (MAY, a_line),
}
REPEAT = {"label": (MUST, a_line), "order": (MUST, one_of(ORDERS))}
GAUGE = {
    "id": (MUST, an_id),
    "label": (MUST, a_line),
    "dimension": (MUST, a_word),
    "resolution": (MUST, a_word),
    "uncertainty": (MUST, a_word),
}
CAUTION = {
    "signal": (MUST, one_of(SIGNALS)),
    "symbol": (MUST, one_of(SYMBOLS)),
    "words": (MUST, a_sentence),
}
READING = _with(
    LIMITED,
    {
        "name": (MUST, a_name),
        "label": (MUST, a_line),
        "kind": (MUST, one_of(("number", "words"))),
        "dimension": (MAY, a_word),
        "units": (MAY, distinct(a_word, 8)),
        "show": (MAY, a_word),
        "gauge": (MAY, an_id),
        "words": (MAY, distinct(a_word, 20)),
        "good_words": (MAY, distinct(a_word, 20)),
        "optional": (MAY, a_bool),
        "tries": (MAY, a_bool),
    },
)
WAY = {"name": (MUST, a_name), "label": (MUST, a_line), "words": (MUST, distinct(a_word, 20))}
VALUE = {
    "name": (MUST, a_name),
    "label": (MUST, a_line),
    "kind": (MAY, one_of(("number", "words", "yes/no"))),
    "dimension": (MAY, a_word),
    "show": (MAY, a_word),
    "formula": (MAY, a_formula),
    "working": (MAY, a_word),
    "inputs": (MAY, names_to("input", a_formula)),
}
JUDGED = _with(
    LIMITED,
    {
        "value": (MUST, a_word),
        "label": (MUST, a_line),
        "show": (MAY, a_word),
        "good_words": (MAY, distinct(a_word, 20)),
    },
)
CHECK = {"id": (MUST, an_id), "words": (MUST, a_text)}
DRAWING = {
    "kind": (MUST, one_of(DRAWINGS)),
    "inputs": (MUST, names_to("input", a_formula)),
    "texts": (MAY, names_to("text", a_text)),
}
STEP = {
    "id": (MUST, an_id),
    "title": (MUST, a_line),
    "any_time": (MAY, a_bool),
    "when": (MAY, a_formula),
    "no_stopping": (MAY, a_bool),
    "cautions": (MAY, forms("caution", "symbol", CAUTION, 1, 6)),
    "text": (MUST, list_of(a_text, 1, 6)),
    "notes": (MAY, list_of(a_sentence, 1, 8)),
    "if_out": (MAY, a_sentence),
    "readings": (MAY, forms("reading", "name", READING, 1, 24)),
    "way": (MAY, form(WAY)),
    "values": (MAY, forms("value", "name", VALUE, 1, 40)),
    "judged": (MAY, forms("judged", "value", JUDGED, 1, 16)),
    "checks": (MAY, forms("check", "id", CHECK, 1, 20)),
    "in_order": (MAY, a_bool),
    "drawing": (MAY, form(DRAWING)),
    "credit": (MAY, a_line),
}
HOLD = {
    "id": (MUST, an_id),
    "title": (MUST, a_line),
    "hold": (
        MUST,
        form(
            {
                "role": (MUST, one_of(ROLES)),
                "person": (MAY, a_word),
                "decided_by_another": (MAY, a_bool),
                "words": (MUST, a_sentence),
            }
        ),
    ),
}
WITNESS = {
    "id": (MUST, an_id),
    "title": (MUST, a_line),
    "witness": (MUST, form({"who": (MUST, a_line), "words": (MUST, a_sentence)})),
}


def _steps(found, place, field, value):
    if not isinstance(value, list) or not 1 <= len(value) <= 80:
        found.add(place, '"steps" is not a list of 1 to 80 steps; write [ { … } ]')
        return False
    tables = {"step": STEP, "hold": HOLD, "witness": WITNESS}
    words = {"step": "step", "hold": "hold point", "witness": "witness point"}
    good = True
    for index in range(len(value)):
        step = value[index]
        kind = kind_of_step(step) if isinstance(step, dict) else "step"
        here = at(place, words[kind], called(step, "id", index + 1))
        good = fields(found, here, step, tables[kind]) and good
    return good


SECTION = {
    "id": (MUST, an_id),
    "title": (MUST, a_line),
    "after": (MAY, distinct(an_id, 40)),
    "repeat": (MAY, a_name),
    "when": (MAY, a_formula),
    "no_stopping": (MAY, a_bool),
    "steps": (MUST, _steps),
}
PROCEDURE = {
    "format": (MUST, one_of((FORMAT,))),
    "id": (MUST, an_id),
    "version": (MUST, a_word),
    "title": (MUST, a_line),
    "summary": (MUST, a_sentence),
    "notice": (MUST, a_sentence),
    "data": (MAY, forms("data", "name", DATA, 1, 120)),
    "repeats": (
        MAY,
        names_to("repeat", lambda found, place, field, value: fields(found, place, value, REPEAT), 4),
    ),
    "tools": (MAY, list_of(a_line, 1, 60)),
    "materials": (MAY, list_of(a_line, 1, 60)),
    "gauges": (MAY, forms("gauge", "id", GAUGE, 1, 40)),
    "sections": (MUST, forms("section", "id", SECTION, 1, 60)),
    "sources": (MAY, list_of(a_line, 1, 40)),
}


def check_form(raw):
    """All that is wrong with the form of a procedure file, already read from JSON."""
    found = Findings()
    fields(found, "", raw, PROCEDURE)
    return found.problems
