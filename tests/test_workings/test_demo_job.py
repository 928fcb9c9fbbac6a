"""The demo engine's whole job, played reading by reading through the book, as the phones would."""

import pytest
from demo_job import Job
from workings.book import Refused

INCH = 0.0254


@pytest.fixture(scope="module")
def job():
    played = Job()
    played.set_up()
    played.play()
    return played


def test_the_job_is_played_to_its_end_and_the_card_closes(job):
    assert job.card.closed
    for hold, state in job.card.holds.items():
        assert state.signal == "clear", hold
    assert set(job.states().values()) == {"done", "off"}
    off = {place for place, state in job.states().items() if state == "off"}
    # Rod 1–2 is brought in by rolling alone: its rail wedge steps fall away, and only its.
    assert {place for place in off if place.startswith(("plan", "lay", "haul", "pull"))} == {
        step + "@rod-1-2" for step in ("plan", "lay", "haul", "pull")
    }


def test_every_datum_of_the_engine_is_on_its_sheet(job):
    for name, entry in job.card.procedure.names.items():
        if entry["kind"] == "data":
            for position in [p["id"] for p in job.engine["positions"]] if entry["repeat"] else [None]:
                assert job.get(name, position) is not None


def test_no_reading_and_no_value_is_outside_its_limit(job):
    for place in job.card.road.places:
        if place.kind == "step" and job.card.steps[place.id].state == "done":
            for name, judged in job.card.judged_at(place).items():
                assert judged.verdict in ("inside", "good", "none"), (place.id, name, judged.text)


def test_the_numbers_make_a_job_worth_showing(job):
    raised = [p["id"] for p in job.engine["positions"] if job.get("raised", p["id"])]
    assert raised == ["rod-2-3", "rod-3-4"]
    for rod in raised:
        misfit = max(abs(job.get("setting.misfit_" + side + "_before", rod)) for side in ("left", "right"))
        assert 0.020 * INCH < misfit < 0.060 * INCH
        assert 0.6 * INCH < job.get("setting.axle_rise", rod) < 1.1 * INCH
        assert job.get("setting.goes_on", rod)
        assert job.get("setting.flange_left", rod) > 0.25 * INCH
    assert job.get("how", "rod-1-2") == "rolling alone"
    assert 1.0 < job.get("roll_distance", "rod-1-2") < 3.0


def test_tries_are_kept_and_the_last_one_counts(job):
    read = [line for line in job.run if line.get("name") == "left_between_now"]
    tries = [line["text"] for line in read if line["place"] == "chocked@rod-2-3"]
    assert len(tries) == 3
    standing = job.card.standing[("left_between_now", "rod-2-3")]
    assert standing.entry.body["text"] == tries[-1]
    assert [entry.body["text"] for entry in standing.replaced] == tries[:-1]


def test_the_rods_do_not_go_on_by_the_first_try():
    """With only the first try read, the hold point before the rods cannot be signed."""
    played = Job()
    played.set_up()
    first = {}
    for line in played.run:
        first.setdefault((line["place"], line.get("name")), line)
    hold = first[("before-rods@rod-2-3", None)]
    played.run = list(first.values())[: list(first.values()).index(hold)]
    played.play()
    with pytest.raises(Refused, match="Left misfit"):
        played.finish(hold["place"])
    with pytest.raises(Refused):
        played.say("maren", "card:" + played.id, "sign-off", {}, hold["place"])


def test_where_the_pins_are_right_nothing_moves():
    """Two coupled pairs, another code, British words: no rail wedge, no roll, and no federal limit."""
    played = Job()
    played.engine["positions"] = played.engine["positions"][:1]
    new = {"jurisdiction": "another code", "vocabulary": "british"}
    for line in played.engine["data"]:
        line["text"] = new.get(line["name"], line["text"])
    right = {"left_between": "57.500", "right_between": "57.501", "left_tram": "64", "right_tram": "64"}
    right.update(how="as they stand", off_by="nothing is raised")
    unmoved = ("lay@", "gaps@")
    lines = []
    for line in played.run:
        position = line["place"].partition("@")[2]
        if position not in ("", "rod-2-3") or line["place"].startswith(unmoved):
            continue
        lines.append({**line, "text": right.get(line.get("name"), line.get("text"))})
    played.run = lines
    played.set_up()
    played.play()
    assert played.card.closed
    off = {place.partition("@")[0] for place, state in played.states().items() if state == "off"}
    assert off == {
        *("plan", "lay", "haul", "roll-plan", "rig", "pull", "roll", "gaps", "off-jack", "off-back", "law")
    }
    assert played.states()["guide@rod-2-3"] == "done"
    assert played.card.words("Hang the {side rods}") == "Hang the coupling rods"


def test_who_worked_cannot_sign(job):
    leads = {line["by"] for line in job.run if line["do"] == "sign-off"}
    workers = {line["by"] for line in job.run if line["do"] != "sign-off"}
    workers |= {line["measured_by"] for line in job.run if "measured_by" in line}
    assert leads == {"maren", "piet"} and not leads & workers
