# What one field of a procedure file may hold, and how a finding about it is worded.
#
# Every finding names its place in the file and the remedy, because the person who reads it is
# writing a procedure and wants to know where to put the pen.

from workings import vocabulary, weaving
from workings.weaving import is_name

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
            '"'
            + field
            + '" is '
            + str(len(value))
            + " characters long; keep it to "
            + str(longest)
            + " so that it fits a phone",
        )
        return False
    for char in value:
        if ord(char) < 32:
            found.add(
                place, '"' + field + '" holds a line break or a tab; write one line, or a list of texts'
            )
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
            found.add(
                place,
                '"'
                + field
                + '" may hold no woven value ‹…›; only the text, the checks and the drawing of a step may',
            )
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
                found.add(
                    place, '"' + key + '" in "' + field + '" is not a name; use small letters, digits and _'
                )
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
