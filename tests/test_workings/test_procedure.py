"""The reader of procedure files: what it takes, what it refuses, and what it makes of one."""

import copy
import hashlib
from base64 import urlsafe_b64encode
from pathlib import Path

import pytest
import shared_cases
from small_procedure import small, text_of
from workings import drawings, procedure, procedure_formulas, vocabulary
from workings.errors import WorkingError


def step(raw, section=1, index=0):
    return raw["sections"][section]["steps"][index]


def errors_in(raw):
    found = procedure.problems(text_of(raw))[1]
    return [procedure.sentence(one) for one in found if one["level"] == "error"]


def test_the_small_procedure_is_sound():
    made, found = procedure.problems(text_of(small()))
    assert found == []
    assert made.title == "Fit a pin"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('{"format": "trammel-procedure/1", "format": "x"}', "procedure: "),
        ('{"title": 1.5}', "procedure: "),
        ("[", "procedure: "),
        (r'{"title": "\u00e9"}', "write the character itself"),
        (b"\xff", "UTF-8"),
        ("x" * 500000, "at most 400000 bytes"),
        ("[]", "this is not an object"),
        ('"hello"', "this is not an object"),
    ],
)
def test_what_is_no_procedure_at_all_is_refused(text, words):
    made, found = procedure.problems(text)
    assert made is None
    assert words in procedure.sentence(found[0])
    with pytest.raises(WorkingError) as refused:
        procedure.read(text)
    assert refused.value.input == "procedure"


def test_reading_names_the_first_fault_and_counts_the_others():
    raw = small()
    raw["colour"] = "red"
    del raw["title"]
    with pytest.raises(WorkingError) as refused:
        procedure.read(text_of(raw))
    assert '"colour" is not a field here' in refused.value.message
    assert refused.value.message.endswith("(And 1 more.)")


def test_the_digest_is_of_the_exact_bytes():
    text = text_of(small())
    for given in (text, text.encode()):
        expected = urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).decode().rstrip("=")
        assert procedure.read(given).digest == expected
    assert procedure.read(text + "\n").digest != procedure.read(text).digest


def test_a_steps_digest_does_not_hang_on_the_order_of_its_fields():
    one = step(small())
    other = dict(reversed(list(one.items())))
    assert procedure.step_digest(one) == procedure.step_digest(other)
    other["title"] = "Measure the pins"
    assert procedure.step_digest(one) != procedure.step_digest(other)


def test_names_say_what_they_are_and_where():
    made = procedure.read(text_of(small()))
    assert made.names["play_limit"]["kind"] == "data" and not made.names["play_limit"]["repeat"]
    assert made.names["rod_weight"]["repeat"]
    assert made.names["bore"]["step"] == "look" and not made.names["bore"]["repeat"]
    assert made.names["pin"]["kind"] == "reading" and made.names["pin"]["repeat"]
    assert made.names["how"]["kind"] == "way"
    assert made.names["leg"]["kind"] == "value" and made.names["leg"]["section"] == "each"


def test_before_is_a_partial_order():
    raw = small()
    raw["sections"].append(copy.deepcopy(raw["sections"][0]))
    raw["sections"][2]["id"] = "beside"
    raw["sections"][2]["steps"][0]["id"] = "aside"
    made = procedure.read(text_of(raw))
    assert made.after("each") == {"first"}
    assert made.after("first") == set()
    assert made.stands_before("look", "press") and not made.stands_before("press", "look")
    assert made.stands_before("measure", "press")
    assert not made.stands_before("aside", "press") and not made.stands_before("press", "aside")


def test_a_repeat_one_at_a_time_cannot_wait_for_all_its_positions():
    raw = small()
    raw["sections"].append(
        {
            "id": "all",
            "title": "All of them",
            "after": ["each"],
            "steps": [{"id": "turn", "title": "Turn", "text": ["Turn."]}],
        }
    )
    again = copy.deepcopy(raw["sections"][1])
    again.update(id="again", after=["all"])
    again["steps"] = [
        {"id": "look-again", "title": "Look again", "text": ["Look."]},
        {"id": "end", "title": "End", "hold": {"role": "lead", "words": "Done."}},
    ]
    raw["sections"].append(again)
    assert [one for one in errors_in(raw) if 'give this section a repeat with the order "any"' in one]
    raw["repeats"]["every_pin"] = {"label": "Pin", "order": "any"}
    again["repeat"] = "every_pin"
    assert errors_in(raw) == []


def test_a_text_is_taken_apart():
    assert procedure.woven("Raise it ‹setting.axle_rise : in/16›; mind {Side rods} and ‹pin›.") == [
        ["text", "Raise it "],
        ["value", "setting.axle_rise", "in/16"],
        ["text", "; mind "],
        ["term", "side rod", True, True],
        ["text", " and "],
        ["value", "pin", None],
        ["text", "."],
    ]
    assert procedure.woven("") == []


def test_a_drawing_takes_what_the_checker_says_it_takes():
    """The checker's list of a drawing's inputs and texts against what the drawing itself refuses."""
    for kind, inputs in procedure_formulas.DRAWN.items():
        given = {name: 0.1 for name in procedure_formulas.DRAWN_ALWAYS}
        drawings.draw(kind, given)
        for name, dimension in inputs.items():
            word = {"pull_direction": "forward", "raise": "rear"}.get(name)
            drawings.draw(kind, {**given, name: word if dimension is None else 0.1})
        for name in procedure_formulas.DRAWN_TEXTS:
            drawings.draw(kind, given, {name: "1 in"})
        with pytest.raises(WorkingError):
            drawings.draw(kind, {**given, "size": 1.0})


def test_the_vocabulary_follows_the_shop():
    assert (
        vocabulary.say("The {side rod} and its {driving boxes}.", "american")
        == "The side rod and its driving boxes."
    )
    assert (
        vocabulary.say("The {side rod} and its {driving boxes}.", "british")
        == "The coupling rod and its axleboxes."
    )
    assert vocabulary.say("{Main rods} down.", "british") == "Connecting rods down."
    assert vocabulary.say("Put up the {blue signal}.", "british") == "Put up the “Not to be Moved” board."
    assert vocabulary.say("‹pin› stays", "british") == "‹pin› stays"
    for ident, term in vocabulary.TERMS.items():
        for words in vocabulary.VOCABULARIES:
            assert len(term[words]) == 2 and all(term[words])
        assert vocabulary.recognise(ident)[0] == ident
        assert ident not in ("wedge", "shoe")


def test_the_example_in_the_documentation_is_sound():
    readme = Path(__file__).resolve().parents[2] / "server" / "trammel" / "procedures" / "README.md"
    example = readme.read_text(encoding="utf-8").split("```json")[1].split("```")[0]
    assert procedure.problems(example)[1] == []


CASES = shared_cases.read(Path(__file__).parent.parent / "cases" / "procedures.json")


@pytest.mark.parametrize("case", CASES, ids=[case["case"] for case in CASES])
def test_shared_case_holds(case):
    assert shared_cases.trouble(case) is None
