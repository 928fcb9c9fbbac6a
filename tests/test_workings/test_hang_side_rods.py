"""The procedure that hangs the side rods: what a good foreman insists on stands in it."""

from pathlib import Path

import pytest
from workings import procedure, procedure_form, registry

ROOT = Path(__file__).resolve().parents[2]
TEXT = (ROOT / "server" / "trammel" / "procedures" / "hang-side-rods.json").read_text(encoding="utf-8")


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
    assert wanted <= set(registry.ids())


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
