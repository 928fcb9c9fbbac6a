# The form of a procedure file: which fields each part has, and what each may hold.
#
# Only the form is judged here; whether the names, formulas and hold points make sense together
# is judged in procedure_check.py. Every finding names its place in the file and the remedy,
# because the person who reads it is writing a procedure and wants to know where to put the pen.

from workings import vocabulary, weaving
from workings.weaving import is_name

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

# What a formula means by these words; nothing else may be called so.
RESERVED = (
    "and or not if min max abs sqrt sin cos tan asin acos atan atan2 round floor ceil sum mean pi "
    "yes no true false all count"
).split()

MAX_LINE = 140
MAX_TEXT = 700
MAX_FORMULA = 500


class Findings:
    """What is wrong, in the order of the file."""

    def __init__(self):
        self.problems = []

    def add(self, place, message, level="error"):
        self.problems.append({"place": place, "message": message, "level": level})


def at(place, word, ident):
    """The place one step further in: 'section "rod", step "lay"'."""
    here = word + ' "' + ident + '"' if isinstance(ident, str) else word + " " + str(ident)
    return here if not place else place + ", " + here


def called(item, key, number):
    """What a list's item is called in a message: by its own name where it has one."""
    if isinstance(item, dict):
        name = item.get(key)
        if isinstance(name, str) and 0 < len(name) <= 60:
            return name
    return number


def listing(words):
    words = list(words)
    if len(words) == 1:
        return words[0]
    return ", ".join(words[:-1]) + " or " + words[-1]


# --- what one field may hold: each function adds its finding and answers whether all is well ---


def a_bool(found, place, field, value):
    if value is True or value is False:
        return True
    found.add(place, '"' + field + '" is neither true nor false; write true, or leave it out')
    return False


def _a_text(found, place, field, value, longest):
    if not isinstance(value, str):
        found.add(place, '"' + field + '" is not a text; put it in quotation marks')
        return False
    if not value.strip():
        found.add(place, '"' + field + '" is empty; write it, or leave the field out')
        return False
    if len(value) > longest:
        found.add(
            place,
            '"' + field + '" is ' + str(len(value)) + " characters long; keep it to " + str(longest)
            + " so that it fits a phone",
        )
        return False
    for char in value:
        if ord(char) < 32:
            found.add(place, '"' + field + '" holds a line break or a tab; write one line, or a list of texts')
            return False
    return True


def a_line(found, place, field, value):
    """A label or title: may hold {terms}, never a woven value."""
    if not _a_text(found, place, field, value, MAX_LINE):
        return False
    return _terms(found, place, field, value, False)


def a_sentence(found, place, field, value):
    """Longer words that stand as they are: cautions, notes, what to do when a reading is out."""
    if not _a_text(found, place, field, value, MAX_TEXT):
        return False
    return _terms(found, place, field, value, False)


def a_text(found, place, field, value):
    """Step text: may hold {terms} and woven values."""
    if not _a_text(found, place, field, value, MAX_TEXT):
        return False
    return _terms(found, place, field, value, True)


def a_word(found, place, field, value):
    """A plain word or code, taken as it stands."""
    return _a_text(found, place, field, value, MAX_LINE)


def a_formula(found, place, field, value):
    return _a_text(found, place, field, value, MAX_FORMULA)


def a_name(found, place, field, value):
    if not isinstance(value, str) or not is_name(value):
        found.add(
            place,
            '"' + field + '" is not a name; use small letters, digits and _, beginning with a letter, '
            "at most 40 of them",
        )
        return False
    if value in RESERVED:
        found.add(place, '"' + value + '" is a word of the formula language; choose another name')
        return False
    return True


def an_id(found, place, field, value):
    if not isinstance(value, str) or not is_name(value, "-"):
        found.add(
            place,
            '"' + field + '" is not an id; use small letters, digits, - and _, beginning with a letter, '
            "at most 40 of them",
        )
        return False
    return True


def _terms(found, place, field, value, values_too):
    try:
        runs = weaving.woven(value)
    except weaving.WeaveError as error:
        found.add(place, '"' + field + '": ' + error.message)
        return False
    for run in runs:
        if run[0] == "value" and not values_too:
            found.add(place, '"' + field + '" may hold no woven value ‹…›; only the text, the checks and the drawing of a step may')
            return False
        if run[0] == "term" and vocabulary.term(run[1]) is None:
            found.add(
                place,
                '"' + field + '": {' + run[1] + "} is not in the vocabulary; take a term that is, "
                "or write it without braces",
            )
            return False
    return True


def one_of(words):
    def judge(found, place, field, value):
        if isinstance(value, str) and value in words:
            return True
        shown = ' "' + value + '"' if isinstance(value, str) else ""
        found.add(place, '"' + field + '"' + shown + " is not accepted here; give " + listing(words))
        return False

    return judge


def list_of(judge, least=1, most=40):
    def judge_all(found, place, field, value):
        if not isinstance(value, list):
            found.add(place, '"' + field + '" is not a list; write [ … ]')
            return False
        if not least <= len(value) <= most:
            found.add(
                place,
                '"' + field + '" has ' + str(len(value)) + " items; give " + str(least) + " to " + str(most),
            )
            return False
        good = True
        for item in value:
            good = judge(found, place, field, item) and good
        return good

    return judge_all


def distinct(judge, most=40):
    inner = list_of(judge, 1, most)

    def judge_all(found, place, field, value):
        if not inner(found, place, field, value):
            return False
        seen = []
        for item in value:
            if item in seen:
                found.add(place, '"' + field + '" has "' + str(item) + '" twice; take one out')
                return False
            seen.append(item)
        return True

    return judge_all


def form(table):
    """A field that is an object of the given form."""

    def judge(found, place, field, value):
        return fields(found, at(place, field, "").replace(' ""', ""), value, table)

    return judge


def forms(word, key, table, least=1, most=60):
    """A field that is a list of objects of the given form, each called by its key in messages."""

    def judge(found, place, field, value):
        if not isinstance(value, list):
            found.add(place, '"' + field + '" is not a list; write [ … ]')
            return False
        if not least <= len(value) <= most:
            found.add(
                place,
                '"' + field + '" has ' + str(len(value)) + " items; give " + str(least) + " to " + str(most),
            )
            return False
        good = True
        for index in range(len(value)):
            item = value[index]
            good = fields(found, at(place, word, called(item, key, index + 1)), item, table) and good
        return good

    return judge


def names_to(word, judge, most=60):
    """A field that is an object from names to something."""

    def judge_all(found, place, field, value):
        if not isinstance(value, dict):
            found.add(place, '"' + field + '" is not an object; write { … }')
            return False
        if len(value) > most:
            found.add(place, '"' + field + '" has more than ' + str(most) + " entries; take some out")
            return False
        good = True
        for key in sorted(value):
            if not is_name(key):
                found.add(place, '"' + key + '" in "' + field + '" is not a name; use small letters, digits and _')
                good = False
            else:
                good = judge(found, at(place, word, key), field, value[key]) and good
        return good

    return judge_all


def fields(found, place, item, table):
    """Judges one object by its table: field -> (needed, what it may hold)."""
    if not isinstance(item, dict):
        found.add(place, "this is not an object; write { … } with " + listing(sorted(table)))
        return False
    good = True
    for key in sorted(item):
        if key not in table:
            found.add(place, '"' + key + '" is not a field here; the fields are ' + listing(sorted(table)))
            good = False
    for key in sorted(table):
        needed, judge = table[key]
        if key in item:
            good = judge(found, place, key, item[key]) and good
        elif needed:
            found.add(place, '"' + key + '" is missing; add it')
            good = False
    return good


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
    LIMITED, {"value": (MUST, a_word), "label": (MUST, a_line), "show": (MAY, a_word)}
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


def kind_of_step(step):
    """step, hold or witness: told by the field that makes it one."""
    if "hold" in step:
        return "hold"
    if "witness" in step:
        return "witness"
    return "step"


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
