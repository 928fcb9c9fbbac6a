"""Units and workings over HTTP: the answers of the workings, and their messages, unchanged."""

import pytest
from workings import registry
from workings.units_table import UNITS

WEDGE = {"wheel_diameter": "66 in", "wedge_length": "30 in", "wedge_height": "2 in"}


def test_texts_with_units_and_base_si_give_the_same(phone):
    in_text = phone.post("/api/workings/wheel_on_wedge", {"inputs": WEDGE}).json
    metres = {name: float(text.split()[0]) * 0.0254 for name, text in WEDGE.items()}
    in_si = phone.post("/api/workings/wheel_on_wedge", {"inputs": metres}).json
    assert in_text["outputs"] == pytest.approx(in_si["outputs"])
    assert in_text["outputs"]["slope"] == pytest.approx(0.06656816377)
    assert in_text["story"]["lines"]


@pytest.mark.parametrize(
    ("inputs", "named"),
    [
        ({**WEDGE, "wheel_diameter": "66"}, "wheel_diameter"),
        ({**WEDGE, "wheel_diameter": "66 lb"}, "wheel_diameter"),
        ({**WEDGE, "wheel_diameter": -1}, "wheel_diameter"),
        ({**WEDGE, "wheel_diameter": None}, "wheel_diameter"),
        ({**WEDGE, "wheel_diameter": [1]}, "wheel_diameter"),
        ({**WEDGE, "axle_load": "40 ton"}, "axle_load"),
        ({**WEDGE, "wheel": "66 in"}, "wheel"),
        ({}, "wheel_diameter"),
    ],
)
def test_a_bad_input_is_named_with_what_is_accepted(phone, inputs, named):
    answer = phone.post("/api/workings/wheel_on_wedge", {"inputs": inputs})
    assert (answer.status_code, answer.json["error"]["code"]) == (422, "not-accepted")
    assert answer.json["error"]["input"] == named
    assert answer.json["error"]["accepted"]


def test_a_working_that_does_not_exist_is_404(phone):
    answer = phone.post("/api/workings/perpetual_motion", {"inputs": {}})
    assert (answer.status_code, answer.json["error"]["code"]) == (404, "not-found")


def test_every_unit_of_the_phone_is_there_with_its_factor(client):
    told = {unit["id"]: (unit["factor"], unit["offset"]) for unit in client.get("/api/units").json}
    assert told == {id: (row[1], row[2]) for id, row in UNITS.items()}


def test_every_working_tells_of_itself(client):
    told = client.get("/api/workings").json
    assert [working["id"] for working in told] == registry.ids()
    assert all(working["sources"] is not None and working["inputs"] for working in told)
