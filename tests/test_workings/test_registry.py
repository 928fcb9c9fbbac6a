"""Every working: what it takes, what it refuses, and that what it tells of itself is true."""

import inspect
import json
import math
import re
from pathlib import Path

import pytest
import working_cases
import workings_at_random
from workings import formula, registry, story, typeset
from workings.errors import WorkingError

FILES = sorted((Path(__file__).parent.parent / "cases").glob("workings*.json"))
CASES = [case for file in FILES for case in json.loads(file.read_text(encoding="utf-8"))]
BY_NAME = {case["case"]: case for case in CASES}
GOOD = {}
for _case in CASES:
    if "outputs" in _case:
        GOOD.setdefault(_case["working"], _case["inputs"])
ALL = registry.ids()


def refused(id, inputs):
    with pytest.raises(WorkingError) as caught:
        registry.run(id, inputs)
    return caught.value


@pytest.mark.parametrize("name", BY_NAME)
def test_shared_case(name):
    assert working_cases.trouble(BY_NAME[name]) is None


def test_a_shared_case_that_is_wrong_is_noticed():
    right = BY_NAME["sling legs 1"]
    assert working_cases.trouble(right) is None
    assert working_cases.trouble({**right, "outputs": {**right["outputs"], "leg_tension": 12124.4}})
    assert working_cases.trouble({**right, "outputs": {"legs_counted": 2.5}})
    assert working_cases.trouble(
        {"case": "x", "working": "sling_legs", "inputs": {}, "error": {"input": ["angle"]}}
    )
    assert working_cases.trouble({**right, "error": {"input": ["load"]}})


def test_every_working_has_cases_and_random_inputs():
    assert set(GOOD) == set(ALL) == set(workings_at_random.ALL)


def test_an_unknown_working_is_an_error_on_working():
    for id in ("no_such_working", "", None, 3, ["quartering"]):
        assert refused(id, {}).input == "working"


@pytest.mark.parametrize("id", ALL)
def test_an_unknown_input_is_refused_by_name(id):
    error = refused(id, {**GOOD[id], "no_such_input": 1})
    assert error.input == "no_such_input" and id in error.message


@pytest.mark.parametrize("id", ALL)
def test_a_missing_input_is_named(id):
    for spec in registry.find(id).inputs:
        if not spec.optional:
            inputs = {name: value for name, value in GOOD[id].items() if name != spec.name}
            assert refused(id, inputs).input == spec.name
            assert refused(id, {**inputs, spec.name: None}).input == spec.name


@pytest.mark.parametrize("id", ALL)
def test_none_for_an_optional_input_is_the_same_as_leaving_it_out(id):
    for spec in registry.find(id).inputs:
        if spec.optional and spec.name not in GOOD[id]:
            assert registry.run(id, {**GOOD[id], spec.name: None}) == registry.run(id, GOOD[id])


@pytest.mark.parametrize("id", ALL)
@pytest.mark.parametrize(
    "nonsense",
    [math.nan, math.inf, -math.inf, "12", "near a foot", True, [1.0], {}, 1e300, -1e300, 10**400],
    ids=str,
)
def test_what_is_not_a_number_is_refused_by_name(id, nonsense):
    for spec in registry.find(id).inputs:
        if spec.shape in ("number", "whole number"):
            error = refused(id, {**GOOD[id], spec.name: nonsense})
            assert error.input == spec.name and spec.name in error.message and error.accepted


@pytest.mark.parametrize("id", ALL)
def test_words_and_yes_or_no_are_refused_where_they_are_none(id):
    for spec in registry.find(id).inputs:
        if spec.shape == "yes/no":
            for nonsense in ("yes", 1, 0, 1.0, []):
                assert refused(id, {**GOOD[id], spec.name: nonsense}).input == spec.name
        if spec.shape.startswith("choice"):
            for nonsense in ("sideways", 1, True, [], "choice: "):
                assert refused(id, {**GOOD[id], spec.name: nonsense}).input == spec.name


@pytest.mark.parametrize("id", ALL)
def test_a_length_that_must_be_positive_refuses_nought_and_less(id):
    for spec in registry.find(id).inputs:
        if spec.dimension == "length" and spec.above == 0:
            for value in (0, -0.3, -1e-9):
                error = refused(id, {**GOOD[id], spec.name: value})
                assert error.input == spec.name


def test_inputs_that_are_no_object_are_an_error_on_inputs():
    for inputs in (None, [], 5, "x"):
        assert refused("quartering", inputs).input == "inputs"


@pytest.mark.parametrize("id", ALL)
def test_nothing_returns_nan_or_infinity(id):
    # The farthest corners of what the inputs allow: an answer or a refusal, never NaN and no crash.
    for tiny in (1e-15, 1e-9, 1e15):
        for spec in registry.find(id).inputs:
            if spec.shape == "number":
                try:
                    outputs = registry.run(id, {**GOOD[id], spec.name: tiny})
                except WorkingError as error:
                    assert registry.find(id).input(error.input) or error.input == "inputs"
                    continue
                for value in outputs.values():
                    assert not isinstance(value, float) or math.isfinite(value)


@pytest.mark.parametrize("id", ALL)
def test_outputs_have_the_shapes_they_declare(id):
    for ask in workings_at_random.asked(id, 40, seed=3):
        try:
            outputs = registry.run(id, ask["inputs"])
        except WorkingError:
            continue
        about = registry.find(id)
        assert sorted(outputs) == sorted(one.name for one in about.outputs)
        for one in about.outputs:
            value, shape = outputs[one.name], one.shape
            if value is None:
                assert "null" in shape, one.name
            elif shape.startswith("number"):
                assert type(value) is float
            elif shape.startswith("whole"):
                assert type(value) is int
            elif shape == "yes/no":
                assert value in (True, False)
            elif shape.startswith("choice"):
                assert f"{value}," in shape.replace("choice: ", "") + ","


def test_a_default_is_what_the_working_uses():
    for id, name, value in (
        ("haul_force", "rolling_coefficient", 0.015),
        ("haul_force", "grade", 0),
        ("tractive_effort", "factor", 0.85),
        ("pin_spacing", "turn_error", 0),
        ("quartering", "crank_spacing", math.pi / 2),
        ("nearest_fraction", "denominator", 64),
        ("wedge_setting", "may_pull", "forward"),
        ("reading_verdict", "guard_factor", 1),
    ):
        inputs = {key: one for key, one in GOOD[id].items() if key != name}
        assert registry.run(id, inputs) == registry.run(id, {**inputs, name: value})


@pytest.mark.parametrize("id", ALL)
def test_the_docstring_names_every_input_and_output_with_its_unit(id):
    about = registry.find(id)
    text = inspect.getdoc(about.function)
    for spec in about.inputs:
        assert re.search(rf"\b{spec.name}\b", text), spec.name
    assert "Takes" in text and "Source:" in text
    named = sum(one.name in text for one in about.outputs)
    assert named >= len(about.outputs) / 3
    if any(spec.dimension in ("length", "force", "angle") for spec in about.inputs):
        assert re.search(r"\[(m|N|rad|Pa)\b", text)


@pytest.mark.parametrize("id", ALL)
def test_the_function_takes_exactly_the_declared_inputs(id):
    about = registry.find(id)
    assert sorted(inspect.signature(about.function).parameters) == sorted(one.name for one in about.inputs)
    for name, parameter in inspect.signature(about.function).parameters.items():
        spec = about.input(name)
        assert spec.optional == (parameter.default is not inspect.Parameter.empty), name
        if spec.default is not None:
            assert parameter.default == spec.default, name


@pytest.mark.parametrize("id", ALL)
def test_a_description_is_plain_data(id):
    described = registry.describe(id)
    assert json.loads(json.dumps(described)) == described
    assert described["title"] and described["sources"]


@pytest.mark.parametrize("id", ALL)
def test_every_formula_of_a_story_gives_the_result_beside_it(id):
    """The formulas that are shown are worked out again, with the values shown beside them."""
    about = registry.find(id)
    worked = 0
    for ask in workings_at_random.asked(id, 40, seed=5):
        try:
            inputs = registry.checked(about, ask["inputs"])
            outputs = registry.run(id, ask["inputs"])
        except WorkingError:
            continue
        values = {
            spec.symbol: inputs[spec.name]
            for spec in about.inputs
            if spec.symbol and inputs[spec.name] is not None
        }
        for line in about.lines(inputs, outputs):
            symbol, text, value = line[:3]
            if text is not None:
                kind, found = formula.compile_formula(text).evaluate(values)
                assert kind == "number" and found == pytest.approx(value, rel=1e-6, abs=1e-9), (symbol, text)
                worked += 1
            else:
                assert len(line) == 5 and line[4], symbol
            values[symbol] = value
    assert worked or not any(line[1] for line in about.lines(inputs, outputs))


@pytest.mark.parametrize("id", ALL)
def test_a_story_can_be_set_and_said(id):
    told = registry.story(id, GOOD[id])
    assert told["title"] == registry.find(id).title and told["lines"] and told["sources"]
    for line in told["lines"]:
        assert typeset.svg(story.formula_row(line), 18, 320).startswith("<svg")
        assert line["spoken"] and "_" not in line["spoken"]
        if line["formula"]:
            assert "<path" in typeset.svg(story.numbers_row(line)) or line["numbers"]


def test_a_story_shows_what_was_read_off_the_gauge():
    told = registry.story("wheel_on_wedge", GOOD["wheel_on_wedge"], shows={"wheel_diameter": "33 1/16 in"})
    first = story.numbers_row(told["lines"][0])
    assert "33 1/16 in" in json.dumps(first)
    assert "mm" in json.dumps(registry.story("wheel_on_wedge", GOOD["wheel_on_wedge"], system="mm")["lines"])
