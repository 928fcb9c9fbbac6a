"""The packet of the whole demo job, blank and filled."""

import json
import re
from pathlib import Path

import pytest
from packets.jobs import ROOT, Job, read
from packets.paper import printed
from trammel import packets
from workings import entries as form


@pytest.fixture(scope="module")
def job():
    return Job().play()


@pytest.fixture(scope="module")
def blank(job):
    return printed(job.book, job.card_id, "blank", "Letter")


@pytest.fixture(scope="module")
def filled(job):
    return printed(job.book, job.card_id)


def test_a_blank_for_three_rods_keeps_to_forty_pages_or_so(blank):
    # Letter is shorter than A4.
    assert len(blank.pages) <= 44


def test_a_filled_one_keeps_to_seventy(filled):
    assert len(filled.pages) <= 70


def test_every_reading_of_the_rehearsal_is_printed(filled, blank):
    numbers = set()
    for line in read("rehearsal.json")["run"]:
        if line["do"] == "reading" and re.fullmatch(r"\d+\.\d{3}", line["text"]):
            numbers.add(line["text"])
    assert len(numbers) > 40
    assert filled.has(*sorted(numbers))
    assert not blank.says("57.473")


def test_every_step_and_hold_point_has_its_number_and_title(blank, job):
    card = job.mechanic.card()
    for number, place in enumerate(card.road.places, 1):
        assert blank.has(f"{number} {card.words(place.item['title'])}"), place.id


def test_every_signature_is_printed_with_its_key(filled, job):
    signed = [h for h in job.mechanic.card().holds.values() if not h.off]
    assert len(signed) == 10
    assert filled.close.count("SignedbyMarenOake") == 10
    assert filled.has(form.fingerprint(job.lead.kid), form.fingerprint(job.mechanic.kid))


def test_the_drawing_stands_in_both(filled, blank):
    assert filled.has("first touch", "at the stop") and blank.has("first touch", "write its numbers in")


def test_ways_not_taken_say_so(filled):
    assert filled.has("The roll: not on this way")


def test_the_safety_signs_are_those_of_the_phone():
    screen = ROOT / "pwa" / "src" / "pieces" / "caution.tsx"
    drawn = set(re.findall(r'\bd="([^"]+)"', screen.read_text(encoding="utf-8")))
    signs = json.loads((Path(packets.TEMPLATES) / "signs.json").read_text(encoding="utf-8"))
    pictures = {**signs["pictograms"], **signs["prohibitions"]}
    for name, paths in pictures.items():
        # Circles are paths here and circles there.
        own = [d for d in paths if not re.fullmatch(r"M\S+ \S+a\S+ \S+ 0 1 0 \S+ 0a\S+ \S+ 0 1 0 \S+ 0z", d)]
        assert own and set(own) <= drawn, name
    placed = re.findall(r'"?([\w-]+)"?: \(\s*<g transform="([^"]+)"', screen.read_text(encoding="utf-8"))
    assert dict(placed) == signs["placed"]
