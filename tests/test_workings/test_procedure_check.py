"""A procedure file wrong in many ways: each message names the place and the remedy."""

import copy

import pytest
from small_procedure import reading, small, text_of
from workings import procedure


def found_in(raw):
    """Everything that is found wrong, one sentence each."""
    return [procedure.sentence(one) for one in procedure.problems(text_of(raw))[1] if one["level"] == "error"]


def step(raw, section=1, index=0):
    return raw["sections"][section]["steps"][index]


def change(path, value):
    """A spoiler that puts a value at a path; a path's last part may be a new key."""

    def spoil(raw):
        at = raw
        for part in path[:-1]:
            at = at[part]
        at[path[-1]] = value

    return spoil


def remove(*path):
    def spoil(raw):
        at = raw
        for part in path[:-1]:
            at = at[part]
        del at[path[-1]]

    return spoil


MEASURE = ("sections", 1, "steps", 0)
PRESS = ("sections", 1, "steps", 1)
PIN = (*MEASURE, "readings", 0)
FEEL = (*MEASURE, "readings", 1)
PLAY = (*MEASURE, "values", 0)
LEG = (*MEASURE, "values", 1)
JUDGED = (*MEASURE, "judged", 0)
HERE = 'section "each", step "measure"'


def both(*spoilers):
    def spoil(raw):
        for one in spoilers:
            one(raw)

    return spoil


def no_hold_but_first(raw):
    raw["sections"][0]["steps"].append(raw["sections"][1]["steps"].pop())


def circle(raw):
    raw["sections"][0]["after"] = ["each"]


def value_circle(raw):
    step(raw)["values"].append(
        {"name": "gap", "label": "Gap", "dimension": "length", "show": "in 0.001", "formula": "play"}
    )
    step(raw)["values"][0]["formula"] = "bore - gap"


def draw(raw, inputs=None, texts=None):
    step(raw)["drawing"] = {
        "kind": "wheel_on_wedge",
        "inputs": inputs or {"wheel_diameter": "bore", "wedge_length": "bore", "wedge_height": "bore"},
        "texts": texts or {},
    }


# Each line: what is spoiled, the place that the message must name, and the words of its remedy.
WRONG = [
    # --- form ---
    ("another format", change(["format"], "other/2"), "", "give trammel-procedure/1"),
    ("no title", remove("title"), "", '"title" is missing; add it'),
    ("an unknown field", change(["colour"], "red"), "", '"colour" is not a field here; the fields are'),
    (
        "an unknown field deep inside",
        change([*PIN, "limit"], "3"),
        f'{HERE}, reading "pin"',
        "is not a field here",
    ),
    (
        "a title that is a number",
        change([*MEASURE, "title"], 3),
        HERE,
        "is not a text; put it in quotation marks",
    ),
    ("an empty title", change([*MEASURE, "title"], " "), HERE, '"title" is empty; write it'),
    ("a text too long for a phone", change([*MEASURE, "text"], ["x" * 900]), HERE, "keep it to 700"),
    ("a line break", change([*MEASURE, "text"], ["a\nb"]), HERE, "holds a line break"),
    ("text that is no list", change([*MEASURE, "text"], "Do it."), HERE, '"text" is not a list; write ['),
    ("no steps", change(["sections", 0, "steps"], []), 'section "first"', "is not a list of 1 to 80 steps"),
    ("a step that is a text", change(["sections", 0, "steps", 0], "look"), "step 1", "this is not an object"),
    (
        "any_time as a word",
        change(["sections", 0, "steps", 0, "any_time"], "yes"),
        'step "look"',
        "write true",
    ),
    ("a name with a capital", change([*PIN, "name"], "Pin"), f'{HERE}, reading "Pin"', "use small letters"),
    (
        "a name of the formula language",
        change([*PIN, "name"], "min"),
        HERE,
        "is a word of the formula language",
    ),
    ("an id with a space", change([*MEASURE, "id"], "the pin"), "section", "is not an id; use small letters"),
    ("an id with @", change([*MEASURE, "id"], "pin@1"), "section", "is not an id"),
    ("an unknown kind", change([*PIN, "kind"], "colour"), f'{HERE}, reading "pin"', "give number or words"),
    (
        "an unknown signal word",
        change([*MEASURE, "cautions", 0, "signal"], "hey"),
        HERE,
        "give danger, warning",
    ),
    (
        "an unknown symbol",
        change([*MEASURE, "cautions", 0, "symbol"], "skull"),
        HERE,
        "give crush, suspended-load",
    ),
    (
        "a role that cannot sign",
        change(["sections", 1, "steps", 2, "hold", "role"], "keeper"),
        "pin-in",
        "give lead",
    ),
    ("a word twice", change([*FEEL, "words"], ["free", "free"]), HERE, 'has "free" twice; take one out'),
    (
        "an order that is none",
        change(["repeats", "pin", "order"], "random"),
        'repeat "pin"',
        "give in order or any",
    ),
    (
        "a brace not closed",
        change([*MEASURE, "text"], ["The {side rod"]),
        HERE,
        'is not closed; write "}" after it',
    ),
    ("a brace not opened", change([*MEASURE, "text"], ["The side rod}"]), HERE, "closes nothing"),
    (
        "a woven value not closed",
        change([*MEASURE, "text"], ["It is ‹play"]),
        HERE,
        'is not closed; write "›"',
    ),
    (
        "a woven value without a name",
        change([*MEASURE, "text"], ["‹: in/16›"]),
        HERE,
        "does not begin with a name",
    ),
    (
        "a woven value without its format",
        change([*MEASURE, "text"], ["‹play :›"]),
        HERE,
        "no format after the colon",
    ),
    (
        "a term not in the vocabulary",
        change([*MEASURE, "text"], ["The {flux rod}."]),
        HERE,
        "is not in the vocabulary",
    ),
    (
        "a value woven into a caution",
        change([*MEASURE, "cautions", 0, "words"], "‹play›"),
        HERE,
        "may hold no woven",
    ),
    (
        "a value woven into a title",
        change([*MEASURE, "title"], "Fit ‹play›"),
        HERE,
        "may hold no woven value",
    ),
    # --- order and hold points ---
    ("two steps of one id", change([*PRESS, "id"], "measure"), "", 'two steps are called "measure"'),
    ("two sections of one id", change(["sections", 1, "id"], "first"), "", 'two sections are called "first"'),
    ("a name given twice", change([*FEEL, "name"], "bore"), "", 'the name "bore" is given twice'),
    (
        "two checks of one id",
        change([*PRESS, "checks", 1, "id"], "clear"),
        'step "press"',
        "two checks are called",
    ),
    (
        "after a section that is none",
        change(["sections", 1, "after"], ["zero"]),
        'section "each"',
        "is no section",
    ),
    ("sections in a circle", circle, 'section "first"', "stands after itself"),
    (
        "a repeat not declared",
        change(["sections", 1, "repeat"], "rod"),
        'section "each"',
        'add it to "repeats"',
    ),
    ("no hold point", remove("sections", 1, "steps", 2), "", "there is no hold point; add one"),
    (
        "a step after the last hold point",
        no_hold_but_first,
        HERE,
        "no hold point comes after this step; add one",
    ),
    (
        "two hold points in a row",
        lambda raw: raw["sections"][1]["steps"].append(
            {"id": "again", "title": "Again", "hold": {"role": "lead", "words": "Again."}}
        ),
        'hold point "again"',
        "no step stands between this hold point and the one before it",
    ),
    (
        "a hold where nobody may stop",
        change(["sections", 1, "no_stopping"], True),
        "pin-in",
        "work stands safe",
    ),
    (
        "typing where nobody may stop",
        change([*MEASURE, "no_stopping"], True),
        HERE,
        "nothing is typed where nobody",
    ),
    ("a check at any time", change([*PRESS, "any_time"], True), 'step "press"', 'take "any_time" out'),
    ("order without checks", change([*MEASURE, "in_order"], True), HERE, '"in_order" stands without checks'),
    (
        "a bare wedge",
        change([*MEASURE, "text"], ["Drive the wedge."]),
        HERE,
        "say rail wedge, {pedestal wedge}",
    ),
    # --- names, formulas, formats ---
    (
        "a dimension that is none",
        change([*PIN, "dimension"], "lenght"),
        'reading "pin"',
        "is no dimension; give",
    ),
    ("no dimension", remove(*PIN, "dimension"), 'reading "pin"', '"dimension" is missing'),
    (
        "a unit of another dimension",
        change([*PIN, "units"], ["psi"]),
        'reading "pin"',
        "is no unit of length; give in",
    ),
    ("no units", remove(*PIN, "units"), 'reading "pin"', '"units" is missing'),
    ("no format", remove(*PIN, "show"), 'reading "pin"', '"show" is missing'),
    ("a format of another dimension", change([*PIN, "show"], "psi 1"), 'reading "pin"', "psi 1"),
    ("a format that is none", change([*PIN, "show"], "in/7"), 'reading "pin"', "in/8"),
    ("words without any", remove(*FEEL, "words"), 'reading "feel"', 'add "words"'),
    (
        "a good word that is none",
        change([*FEEL, "good_words"], ["loose"]),
        'reading "feel"',
        'add it to "words"',
    ),
    ("a limit on words", change([*FEEL, "upper"], "1"), 'reading "feel"', "belongs to a number"),
    ("a gauge not declared", change([*PIN, "gauge"], "tape"), 'reading "pin"', 'add it to "gauges"'),
    ("a gauge of another dimension", change(["gauges", 0, "dimension"], "angle"), 'gauge "mic"', ""),
    (
        "a gauge that reads nothing",
        change(["gauges", 0, "resolution"], "0 in"),
        'gauge "mic"',
        "more than nothing",
    ),
    ("a limit of nobody", remove(*PIN, "limit_source"), 'reading "pin"', 'without "limit_source"; say whose'),
    (
        "settling without a limit",
        both(remove(*PIN, "upper"), change([*PIN, "settle"], True)),
        '"pin"',
        "without a limit",
    ),
    (
        "a limit of another dimension",
        change([*PIN, "upper"], "60[deg]"),
        '"pin"',
        "gives angle; here stands length",
    ),
    ("a name that is none", change([*PLAY, "formula"], "bore - pim"), 'value "play"', '"pim" is not defined'),
    ("a formula cut short", change([*PLAY, "formula"], "bore -"), 'value "play"', "formula"),
    ("adding lengths to angles", change([*PLAY, "formula"], "bore + 60[deg]"), 'value "play"', "formula"),
    (
        "a result of another dimension",
        change([*PLAY, "formula"], "bore*pin"),
        "play",
        "gives area; here stands length",
    ),
    ("values in a circle", value_circle, 'value "', "it rests on itself"),
    (
        "a formula and a working",
        change([*PLAY, "working"], "sling_legs"),
        'value "play"',
        "not both and not neither",
    ),
    (
        "a working that is none",
        change([*LEG, "working"], "sling"),
        'value "leg"',
        '"sling" is no working; take',
    ),
    (
        "an input that is none",
        change([*LEG, "inputs", "weight"], "1"),
        'value "leg"',
        "is no input of sling_legs",
    ),
    (
        "an input left out",
        remove(*LEG, "inputs", "load"),
        'value "leg"',
        '"load" of sling_legs is missing; add it',
    ),
    (
        "an input of another dimension",
        change([*LEG, "inputs", "load"], "bore"),
        'input "load"',
        "here stands force",
    ),
    (
        "words for a number",
        change([*LEG, "inputs", "legs"], "fit_kind"),
        'input "legs"',
        "gives words; here stands",
    ),
    (
        "an output that is none",
        change([*MEASURE, "text"], ["‹leg.pull›"]),
        HERE,
        "is no output of sling_legs; take",
    ),
    (
        "a working woven whole",
        change([*MEASURE, "text"], ["‹leg›"]),
        HERE,
        "is a working; name one of its outputs",
    ),
    ("an output of no working", change([*MEASURE, "text"], ["‹play.length›"]), HERE, "has no outputs"),
    ("a woven name that is none", change([*MEASURE, "text"], ["‹plya›"]), HERE, '"plya" is not defined'),
    (
        "a woven output without a format",
        change([*MEASURE, "text"], ["‹leg.leg_tension›"]),
        HERE,
        "has no format",
    ),
    ("a woven format that does not fit", change([*MEASURE, "text"], ["‹play : psi 1›"]), HERE, "psi 1"),
    ("a format on words", change([*MEASURE, "text"], ["‹fit_kind : in/16›"]), HERE, "is no number"),
    (
        "a word compared wrongly",
        change([*PRESS, "when"], "how = 'by pres'"),
        'step "press"',
        "none of the words here",
    ),
    ("a condition that is a number", change([*PRESS, "when"], "bore"), 'step "press"', "write a comparison"),
    (
        "a condition on its own step",
        change([*MEASURE, "when"], "how = 'by hand'"),
        HERE,
        "does not stand before this",
    ),
    (
        "a value before it can exist",
        change(["sections", 0, "steps", 0, "readings", 0, "upper"], "play_limit + 0*later"),
        'step "look"',
        '"later" is not defined',
    ),
    (
        "a reading of a later step",
        both(
            change([*PRESS, "no_stopping"], False),
            change([*PRESS, "readings"], [reading("pressed")]),
            change([*PLAY, "formula"], "bore - pressed"),
        ),
        'value "play"',
        'comes from step "press", which does not stand before this',
    ),
    (
        "a position's value outside its repeat",
        change(["sections", 0, "steps", 0, "text"], ["‹pin›"]),
        "look",
        "repeated",
    ),
    (
        "per position without a repeat",
        both(remove("repeats"), remove("sections", 1, "repeat")),
        "rod_weight",
        "repeat",
    ),
    ("judged against nothing", remove(*JUDGED, "upper"), 'judged "play"', 'add "lower" or "upper"'),
    (
        "judged in words without a good one",
        change([*JUDGED, "value"], "feel"),
        'judged "feel"',
        'add "good_words"',
    ),
    (
        "judged twice",
        lambda raw: step(raw)["judged"].append(copy.copy(step(raw)["judged"][0])),
        HERE,
        "judged twice",
    ),
    (
        "a drawing's input that is none",
        lambda raw: draw(raw, {"size": "bore"}),
        "drawing",
        "is no input of this",
    ),
    (
        "a drawing's input left out",
        lambda raw: draw(raw, {"wheel_diameter": "bore"}),
        "drawing",
        "is missing; add it",
    ),
    (
        "a drawing's text that is none",
        lambda raw: draw(raw, None, {"size": "x"}),
        "drawing",
        "is no text of this",
    ),
    (
        "a drawing that is none",
        change([*MEASURE, "drawing"], {"kind": "boat", "inputs": {}}),
        HERE,
        "give wheel_on",
    ),
]


@pytest.mark.parametrize(
    ("spoil", "place", "remedy"), [line[1:] for line in WRONG], ids=[line[0] for line in WRONG]
)
def test_a_wrong_file_is_told_the_place_and_the_remedy(spoil, place, remedy):
    raw = small()
    spoil(raw)
    found = found_in(raw)
    assert found, "nothing was found wrong"
    assert [one for one in found if place in one and remedy in one], found
    for one in found:
        assert one.endswith(".") and "None" not in one and "object at" not in one


def test_there_are_many_ways_to_be_wrong():
    assert len(WRONG) >= 40
