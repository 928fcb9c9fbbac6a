"""The workings on the command line: units typed, one answer a line, errors that name one input."""

import io
import json

import pytest
from trammel import cli, cli_workings
from workings import registry

SLING = {"working": "sling_legs", "inputs": {"load": 30000, "legs": 2, "angle": 1.0}}


def batch(*lines):
    source = io.BytesIO(
        b"".join((line if isinstance(line, bytes) else json.dumps(line).encode()) + b"\n" for line in lines)
    )
    sink = io.BytesIO()
    cli_workings.run_batch(source, sink)
    return [json.loads(line) for line in sink.getvalue().splitlines()]


def test_a_batch_answers_line_by_line_in_order():
    lines = [{**SLING, "inputs": {**SLING["inputs"], "load": n}} for n in range(1, 50)]
    answers = batch(*lines)
    assert [one["outputs"]["leg_tension"] for one in answers] == [
        registry.run("sling_legs", one["inputs"])["leg_tension"] for one in lines
    ]
    assert all(set(one) == {"working", "outputs"} and one["working"] == "sling_legs" for one in answers)


@pytest.mark.parametrize(
    "line, name",
    [
        (b"nope", "line"),
        (b"", "line"),
        (b"5", "line"),
        (b"[]", "line"),
        (b"null", "line"),
        (b"\xff\xfe", "line"),
        (b"[" * 100_000, "line"),
        (b'{"working": "sling_legs"', "line"),
        ({"working": "no_such"}, "working"),
        ({}, "working"),
        ({"working": None}, "working"),
        ({"working": ["sling_legs"]}, "working"),
        ({"working": "sling_legs"}, "inputs"),
        ({"working": "sling_legs", "inputs": []}, "inputs"),
        ({"working": "sling_legs", "inputs": {}}, "load"),
        (b'{"working": "sling_legs", "inputs": {"load": NaN, "legs": 2, "angle": 1}}', "load"),
        (b'{"working": "sling_legs", "inputs": {"load": -Infinity, "legs": 2, "angle": 1}}', "load"),
        (b'{"working": "sling_legs", "inputs": {"load": 1e999, "legs": 2, "angle": 1}}', "load"),
        ({"working": "sling_legs", "inputs": {"load": "30000", "legs": 2, "angle": 1}}, "load"),
        ({"working": "sling_legs", "inputs": {"load": 3, "legs": True, "angle": 1}}, "legs"),
        ({"working": "sling_legs", "inputs": {"load": 3, "legs": 2, "angle": 1, "colour": 2}}, "colour"),
    ],
    ids=str,
)
def test_a_bad_line_is_an_error_on_one_input_and_the_next_line_is_answered(line, name):
    bad, good = batch(line, SLING)
    assert set(bad) == {"working", "error"} and set(bad["error"]) == {"input", "message"}
    assert bad["error"]["input"] == name and bad["error"]["message"].startswith(name)
    assert "outputs" in good


def test_a_batch_writes_plain_json():
    source = io.BytesIO(
        json.dumps(
            {
                "working": "wheel_on_wedge",
                "inputs": {"wheel_diameter": 1.5, "wedge_length": 0.4, "wedge_height": 0.02},
            }
        ).encode()
    )
    sink = io.BytesIO()
    cli_workings.run_batch(source, sink)
    assert sink.getvalue().count(b"\n") == 1 and b'"pull":null' in sink.getvalue()


def run(capsys, *words):
    code = cli.main(["workings", *words])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_run_takes_units_and_shows_both_systems(capsys):
    code, out, _ = run(
        capsys,
        "run",
        "wheel_on_wedge",
        "wheel_diameter=66in",
        "wedge_length=14 1/8 in",
        "wedge_height=13/16 in",
        "crank_throw=13in",
        "axle_load=40000 lb",
    )
    assert code == 0 and "2300.9 lbf = 10.235 kN" in out and "19.254 mm" in out and "source:" in out


def test_run_as_json_gives_base_si(capsys):
    code, out, _ = run(capsys, "run", "sling_legs", "load=2000lb", "legs=4", "angle=60deg", "--json")
    told = json.loads(out)
    assert code == 0 and told["inputs"]["load"] == pytest.approx(8896.443230521)
    assert told["outputs"]["leg_tension"] == pytest.approx(8896.443230521 / 3 / 0.75**0.5)


def test_run_reads_values_of_any_dimension_and_yes_or_no_and_words(capsys):
    code, out, _ = run(
        capsys, "run", "reading_verdict", "value=8.002in", "upper=8.003in", "expanded_uncertainty=0.0005in"
    )
    assert code == 0 and "inside" in out and "8.0025 in" in out
    code, _, err = run(
        capsys, "run", "reading_verdict", "value=8.002in", "upper=8.003psi", "expanded_uncertainty=0"
    )
    assert code == 1 and err.startswith("upper:")
    code, out, _ = run(capsys, "run", "nearest_fraction", "text=84 mm")
    assert code == 0 and "3 5/16 in" in out
    code, _, err = run(capsys, "run", "rods_all_round", "right_pin_leads=perhaps")
    assert code == 1 and err.startswith("right_pin_leads:")


@pytest.mark.parametrize(
    "words, name",
    [
        (["no_such"], "working"),
        (["quartering", "left_x=12"], "left_x"),
        (["quartering", "left_x"], "left_x"),
        (["quartering", "left_x=3 lb"], "left_x"),
        (["quartering", "colour=3"], "colour"),
        (["sling_legs", "load=1 lbf", "load=2 lbf"], "load"),
        (["sling_legs", "load=2 ton"], "load"),
        (["sling_legs", "load=1000 lbf", "legs=2", "angle=20deg"], "angle"),
    ],
)
def test_run_says_in_one_sentence_what_stopped_it(capsys, words, name):
    code, out, err = run(capsys, "run", *words)
    assert code == 1 and not out and err.startswith(f"{name}:") and err.count("\n") == 1


def test_list_names_every_working_and_what_one_takes(capsys):
    code, out, _ = run(capsys, "list")
    assert code == 0 and all(id in out for id in registry.ids())
    code, out, _ = run(capsys, "list", "wedge_setting")
    assert code == 0 and "[axle_spacing]" in out and "lay_distance" in out
