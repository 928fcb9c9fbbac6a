"""Lists and objects as inputs: what is inside is checked, and the error says where."""

import math

import pytest
from workings.errors import WorkingError
from workings.working import Input, check, is_finite

NUMBERS = Input("stock", "length", "", "list of numbers", above=0)
ROWS = Input("diameters", "length", "", "list of lists of numbers", above=0)
TEXTS = Input("broken", "plain", "", "list of texts")
OBJECTS = Input("stations", "length", "", "list of objects: z, inner, outer")
STAYS = Input("stays", "length", "", "list of objects: id, x, y, row, column")
LINE = Input(
    "line",
    "plain",
    "",
    "object: the inputs of wire_line without wanted",
    fields=[
        Input("span", "length", "", above=0),
        Input("share", "plain", "", default=0.5),
        Input("wire", "length", "", optional=True),
        OBJECTS,
    ],
)
STATION = {"z": 1, "inner": 0.1, "outer": -0.1}


def refused(spec, value):
    with pytest.raises(WorkingError) as caught:
        check(spec, value)
    assert caught.value.input == spec.name
    return caught.value.message


def test_what_is_right_comes_through_as_floats():
    found = check(NUMBERS, [1, 0.5])
    assert found == [1.0, 0.5] and type(found[0]) is float
    assert check(NUMBERS, []) == [] and check(TEXTS, []) == []
    assert check(ROWS, [[1, 2], [3.5]]) == [[1.0, 2.0], [3.5]]
    assert check(TEXTS, ["A1", "B2"]) == ["A1", "B2"]
    assert check(OBJECTS, [STATION]) == [STATION]
    assert check(LINE, {"span": 2, "stations": [STATION]}) == {
        "span": 2.0,
        "share": 0.5,
        "wire": None,
        "stations": [STATION],
    }


def test_what_was_checked_can_be_checked_again():
    once = check(LINE, {"span": 2, "stations": [STATION]})
    assert check(LINE, once) == once


def test_a_stay_may_leave_out_its_row_and_column():
    assert check(STAYS, [{"id": "A1", "x": 0, "y": 0.1}]) == [
        {"id": "A1", "x": 0.0, "y": 0.1, "row": None, "column": None}
    ]
    assert check(STAYS, [{"id": "A1", "x": 0, "y": 0.1, "row": 2.0, "column": None}])[0]["row"] == 2
    assert "row of number 1" in refused(STAYS, [{"id": "A1", "x": 0, "y": 0.1, "row": 2.5}])
    assert "id of number 1" in refused(STAYS, [{"id": 7, "x": 0, "y": 0.1}])


@pytest.mark.parametrize("nonsense", [math.nan, math.inf, -math.inf, "1", True, [], {}, 1e300, 10**400, None])
def test_what_is_no_number_is_refused_wherever_it_stands(nonsense):
    assert "number 2" in refused(NUMBERS, [1, nonsense])
    assert "number 1 of list 2" in refused(ROWS, [[1], [nonsense]])
    assert "z of number 2" in refused(OBJECTS, [STATION, {**STATION, "z": nonsense}])
    assert "span" in refused(LINE, {"span": nonsense, "stations": [STATION]})


@pytest.mark.parametrize("spec", [NUMBERS, ROWS, TEXTS, OBJECTS, LINE])
@pytest.mark.parametrize("nonsense", [1, "x", True, math.nan, (1,)])
def test_what_is_no_list_or_object_is_refused(spec, nonsense):
    assert spec.shape in refused(spec, nonsense) or spec is LINE
    if spec is not LINE:
        refused(spec, {"a": 1})
        refused(spec, [nonsense, None])
        refused(spec, [{}])
    else:
        refused(spec, [1])


def test_bounds_hold_for_each_number_and_are_told():
    message = refused(NUMBERS, [1, 0])
    assert "number 2" in message and "above 0" in message
    assert "each above 0" in refused(NUMBERS, 3)
    assert "number 1 of list 1" in refused(ROWS, [[-1]])


def test_parts_that_nobody_knows_and_parts_that_are_missing_are_named():
    message = refused(OBJECTS, [{**STATION, "middle": 1}])
    assert "middle" in message and "z, inner, outer" in message
    assert "outer of number 1 is missing" in refused(OBJECTS, [{"z": 1, "inner": 1}])
    assert "wanted" in refused(LINE, {"span": 1, "stations": [STATION], "wanted": [1]})
    assert "[share]" in refused(LINE, {"span": 1, "stations": [STATION], "wanted": [1]})


def test_a_list_beyond_any_survey_is_refused():
    assert "at most 20000" in refused(NUMBERS, [1.0] * 20001)
    assert "at most 20000" in refused(ROWS, [[1.0] * 20001])


def test_not_a_number_is_found_however_deep():
    assert is_finite({"a": [1.0, {"b": None}], "c": "inf", "d": [[True]]})
    for bad in (math.nan, math.inf, -math.inf):
        assert not is_finite({"a": [1.0, {"b": bad}]}) and not is_finite([[bad]])
