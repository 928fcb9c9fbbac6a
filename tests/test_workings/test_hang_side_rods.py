"""The procedure that hangs the side rods, and the demo engine's numbers in it."""

import json
from pathlib import Path

import pytest
from workings import procedure, procedure_form, readings, registry, steps, values

ROOT = Path(__file__).resolve().parents[2]
TEXT = (ROOT / "server" / "trammel" / "procedures" / "hang-side-rods.json").read_text(encoding="utf-8")
DATA = ROOT / "demo" / "data"


@pytest.fixture(scope="module")
def hang():
    return procedure.read(TEXT)


def of_kind(hang, kind):
    return [place for place in hang.steps if place["kind"] == kind]


def test_it_can_be_published(hang):
    assert hang.check() == []


def test_the_four_hold_points_stand_where_a_foreman_wants_them(hang):
    holds = of_kind(hang, "hold")
    assert [(h["id"], h["repeat"]) for h in holds] == [
        ("before-pull", "rod"),
        ("before-rods", "rod"),
        ("before-rolling", "rod"),
        ("after-turn", None),
    ]
    before = hang.stands_before
    assert before("plan", "before-pull") and before("before-pull", "pull") and before("before-pull", "roll")
    assert before("chocked", "before-rods") and before("before-rods", "hang")
    assert before("hang", "before-rolling") and before("before-rolling", "off-back")
    assert before("top-feel", "after-turn") and before("runs", "after-turn")


def test_as_found_readings_can_be_taken_at_any_time(hang):
    for place in hang.steps:
        if place["section_id"] == "found":
            assert place["step"]["any_time"]


def test_nothing_is_typed_while_a_rope_is_taut(hang):
    moving = [place["step"] for place in of_kind(hang, "step") if place["step"].get("no_stopping")]
    assert len(moving) == 8
    for step in moving:
        assert "readings" not in step and "way" not in step and step["in_order"]
        words = [check["words"] for check in step["checks"]]
        assert "heads counted" in words[0]
        assert words[-1] == "Only now: hands in"
        assert [caution for caution in step["cautions"] if caution["signal"] == "danger"]


def test_the_pull_is_held_until_the_chocks_are_home(hang):
    ids = [check["id"] for check in hang.place("pull")["step"]["checks"]]
    order = [
        "clear",
        "signal-off",
        "brakes-watched",
        "one-signals",
        "pull",
        "hold-pull",
        "chocks-home",
        "eased",
        "signal-back",
        "hands-in",
    ]
    assert ids == order


def test_the_readings_that_decide_are_settled_tables_of_tries(hang):
    chocked = hang.place("chocked")["step"]
    assert all(reading["tries"] for reading in chocked["readings"])
    assert [judged["value"] for judged in chocked["judged"]] == ["left_misfit", "right_misfit"]
    assert all(judged["settle"] and judged["upper"] == "half_play" for judged in chocked["judged"])


def test_federal_limits_are_law_only_where_the_data_sheet_says_so(hang):
    for place in of_kind(hang, "step"):
        for limited in place["step"].get("judged", []) + place["step"].get("readings", []):
            if "CFR" in limited.get("limit_source", ""):
                assert place["step"]["when"] == "jurisdiction = 'US 49 CFR 230'"
    assert hang.place("guide")["step"]["when"] == "jurisdiction <> 'US 49 CFR 230'"


def test_the_workings_of_the_job_are_all_asked(hang):
    used = {entry["definition"].get("working") for entry in hang.names.values()}
    wanted = {
        "wheel_on_wedge",
        "roll_drift",
        "wedge_setting",
        "haul_force",
        "quartering",
        "rod_bush_clearance",
        "rods_all_round",
        "sling_legs",
        "lift_points",
    }
    assert wanted <= used
    assert wanted <= set(registry.WORKINGS)


def test_every_text_fits_a_phone(hang):
    for place in of_kind(hang, "step"):
        step = place["step"]
        plain = [
            "".join(run[1] if run[0] != "value" else "12 3/16 in" for run in procedure.woven(t))
            for t in step["text"]
        ]
        assert sum(len(text) for text in plain) <= 400, place["id"]
        assert len(step["title"]) <= 32, place["id"]
        for caution in step.get("cautions", []):
            assert len(caution["words"]) <= 110, place["id"]
        for check in step.get("checks", []):
            assert len(check["words"]) <= 90, place["id"]
        for entry in step.get("readings", []) + step.get("judged", []) + step.get("values", []):
            assert len(entry["label"]) <= 48, entry


def test_every_caution_has_a_symbol_that_is_documented():
    readme = (ROOT / "server" / "trammel" / "procedures" / "README.md").read_text(encoding="utf-8")
    for symbol in procedure_form.SYMBOLS:
        assert "`" + symbol + "`" in readme
    for table in (procedure_form.STEP, procedure_form.READING, procedure_form.JUDGED, procedure_form.DATA):
        for field in table:
            assert "`" + field + "`" in readme, field


class _Entry:
    def __init__(self, kind, body):
        self.kind = kind
        self.body = body


class _Card:
    def __init__(self, hang):
        self.procedure = hang
        self.conceded = {}
        self.standing = {}
        engine = json.loads((DATA / "engine.json").read_text(encoding="utf-8"))
        run = json.loads((DATA / "rehearsal.json").read_text(encoding="utf-8"))["run"]
        gauges = json.loads((DATA / "gauges.json").read_text(encoding="utf-8"))["gauges"]
        self.gauges = {gauge["id"]: gauge for gauge in gauges}
        self.positions = [position["id"] for position in engine["positions"]]
        for line in engine["data"]:
            self.put(line["name"], line.get("position"), "data-value", line)
        for line in run:
            if line["do"] in ("reading", "way"):
                self.put(line["name"], line["place"].partition("@")[2] or None, line["do"], line)
        self.values = values.Values(hang, self.standing, {})

    def put(self, name, position, kind, line):
        known = self.procedure.names[name]
        body = {"text": line["text"], "unit": line.get("unit", "")}
        if "gauge" in line:
            body["gauge"] = self.gauges[line["gauge"]]
        kind_of, value, resolution, uncertainty = readings.typed(
            _Entry(kind, body), known["definition"], self.procedure
        )
        stands = readings.Standing()
        stands.value, stands.resolution, stands.uncertainty = (kind_of, value), resolution, uncertainty
        self.standing[(name, position if known["repeat"] else None)] = stands

    def get(self, name, position=None):
        return self.values.get(name, position)[1]


@pytest.fixture(scope="module")
def card(hang):
    return _Card(hang)


def test_the_demo_engine_has_all_the_data_that_the_procedure_asks(hang, card):
    for name, entry in hang.names.items():
        if entry["kind"] == "data":
            for position in card.positions if entry["repeat"] else [None]:
                assert (name, position) in card.standing, (name, position)


def test_the_demo_run_takes_every_reading_of_its_way(hang, card):
    """Every step of the way has its readings, and each of them is inside its limit."""
    for place in of_kind(hang, "step"):
        step = place["step"]
        for position in card.positions if place["repeat"] else [None]:
            if step.get("when") and card.values.evaluate(step["when"], position)[1] is not True:
                continue
            for reading in step.get("readings", []):
                verdict = steps.judge_reading(card, reading, position)
                assert verdict.verdict in ("inside", "good", "none"), (place["id"], position, verdict.blocks)
            for judged in step.get("judged", []):
                verdict = steps.judge_value(card, judged, position)
                assert verdict.verdict == "inside", (place["id"], position, judged["value"], verdict.blocks)


def test_the_demo_run_is_a_job_worth_showing(card):
    inch = 0.0254
    raised = [position for position in card.positions if card.get("raised", position)]
    assert raised == ["rod-2-3", "rod-3-4"]
    for position in raised:
        misfit = max(
            abs(card.get("setting.misfit_" + side + "_before", position)) for side in ("left", "right")
        )
        assert 0.020 * inch < misfit < 0.060 * inch
        assert 0.6 * inch < card.get("setting.axle_rise", position) < 1.1 * inch
        assert card.get("setting.goes_on", position)
        assert card.get("setting.flange_left", position) > 0.25 * inch
    assert card.get("how", "rod-1-2") == "rolling alone"
    assert 1.0 < card.get("roll_distance", "rod-1-2") < 3.0
