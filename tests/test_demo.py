"""The demo by its own command: the rehearsal plays to its end, and the seeded shop is what its page says."""

import subprocess
import sys

import environment
import pytest
from railway import Railway
from seed import seed
from serving import Server

CARDS = {
    "63-side-rods": "at 1 of",
    "58-side-rods": "stopped at Before the first pull",
    "61-side-rods": "Between the pins, chocked",
}


@pytest.fixture(scope="module")
def rehearsal(tmp_path_factory):
    out = tmp_path_factory.mktemp("rehearsal")
    program = [sys.executable, environment.ROOT / "demo" / "workshop.py", "--rehearse", out]
    return subprocess.run(program, capture_output=True, text=True), out


def test_the_rehearsal_ends_well_and_says_what_it_found(rehearsal):
    done, _ = rehearsal
    assert done.returncode == 0, done.stdout + done.stderr
    for found in ("As measured the pins are out by", "Raise the rear pair", "Lay both toes", "Misfit now",
                  "the signal is clear", "The card is closed.", "Phone and server agree"):  # fmt: skip
        assert found in done.stdout


def test_the_rehearsal_writes_both_packets_on_both_papers(rehearsal):
    _, out = rehearsal
    names = sorted(file.name for file in out.iterdir())
    assert names == sorted(
        f"63-side-rods-{kind}-{paper}.pdf" for kind in ("blank", "filled") for paper in ("A4", "Letter")
    )
    assert all(file.read_bytes().startswith(b"%PDF-") for file in out.iterdir())


def test_the_seeded_cards_stand_where_the_page_about_the_demo_says(tmp_path):
    with_shop = Server(tmp_path / "shop")
    with_shop.command("init")
    with with_shop:
        seed(with_shop)
        lead = Railway(with_shop)
        said = with_shop.command("card", "list")
        for card, words in CARDS.items():
            line = next(line for line in said.splitlines() if card in line)
            assert words in line
        assert "/#/enrol/" in lead.invite("maren")
