"""The same entries fold to the same state under MicroPython: cards at random, and the demo engine's whole job."""

import json
import shutil
import subprocess
from pathlib import Path

import demo_job
from card_players import played
from crew import entry_states
from workings.book import Book

HARNESS = Path(__file__).parent.parent / "run_micropython.mjs"
SEEDS = range(7000, 7040)


def cards():
    """(what goes in, as JSON data; the state that CPython makes of it)."""
    for seed in SEEDS:
        play = played(seed, hostile=seed % 3 == 0)
        yield {"root": play.shop.root_kid, "procedure": play.shop.procedures[0], "card": "card1",
               "entries": play.everything()}
    job = demo_job.Job()
    job.set_up()
    job.play()
    path = demo_job.ROOT / "server" / "trammel" / "procedures" / "hang-side-rods.json"
    entries = [e.jws for lines in job.book.lines.values() for e in lines.values()]
    yield {"root": job.book.root, "procedure": path.read_text(encoding="utf-8"), "card": job.id, "entries": entries}


def test_both_pythons_fold_to_the_same_state(tmp_path):
    node = shutil.which("node")
    assert node, "node is not on the PATH; tests/run.py puts one there"
    given = list(cards())
    path = tmp_path / "cards"
    path.write_text("\n".join(json.dumps(c, ensure_ascii=False) for c in given), encoding="utf-8")
    out = tmp_path / "states"
    ran = subprocess.run([node, HARNESS, "--fold", path, out], capture_output=True, text=True, timeout=280)
    assert ran.returncode == 0, ran.stderr[-2000:]
    states = json.loads(out.read_text(encoding="utf-8"))
    assert len(states) == len(given) == len(SEEDS) + 1
    for n, card in enumerate(given):
        book = Book(card["root"])
        book.take_procedure(card["procedure"])
        for jws in card["entries"]:
            book.take(jws)
        assert states[n] == entry_states(book.card(card["card"])), f"card {n}"
