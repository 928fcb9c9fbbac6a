"""The very same workings under MicroPython: the shared cases, and seeded ones at random."""

import json
import math
import shutil
import subprocess
from pathlib import Path

import pytest
import working_cases
import workings_at_random

HARNESS = Path(__file__).parent.parent / "run_micropython.mjs"
COUNT = 300
# A sensitivity is a small difference over a small step: it keeps fewer digits.
LOOSER = {"uncertainty_budget": {"relative": 1e-4, "absolute": 1e-7}}


def micropython(*arguments):
    node = shutil.which("node")
    assert node, "node is not on the PATH; tests/run.py puts one there"
    return subprocess.run([node, HARNESS, *arguments], capture_output=True, text=True, timeout=300)


def writable(inputs):
    """Inputs that JSON can carry: NaN, infinity and numbers beyond all floats are told by other tests."""
    if isinstance(inputs, (dict, list)):
        return all(writable(value) for value in (inputs.values() if isinstance(inputs, dict) else inputs))
    return not isinstance(inputs, (int, float)) or (abs(inputs) < 1e308 and math.isfinite(inputs))


def test_shared_cases_hold_under_micropython():
    ran = micropython()
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert "workings.json" in ran.stdout


def write_answers(path, working, count):
    lines = []
    for k, ask in enumerate(workings_at_random.asked(working, count)):
        if not writable(ask["inputs"]):
            continue
        answer = working_cases.answer(ask, k % 10 == 0)
        tolerance = {"tolerance": LOOSER[working]} if working in LOOSER else {}
        lines.append(json.dumps({**ask, "answer": answer, **tolerance}, ensure_ascii=False))
    path.write_text("\n".join(lines), encoding="utf-8")
    return [json.loads(line) for line in lines]


@pytest.mark.parametrize("working", sorted(workings_at_random.ALL))
def test_both_pythons_give_the_same_answers(working, tmp_path):
    asked = write_answers(tmp_path / "answers", working, COUNT)
    answered = [ask for ask in asked if "outputs" in ask["answer"]]
    assert len(asked) > COUNT * 0.9 and len(answered) > COUNT / 3
    ran = micropython("--compare", tmp_path / "answers")
    assert ran.returncode == 0, ran.stdout[:4000] + ran.stderr


def test_a_difference_between_the_pythons_is_noticed(tmp_path):
    ask = write_answers(tmp_path / "answers", "sling_legs", 3)[0]
    ask["answer"]["outputs"]["leg_tension"] *= 1 + 1e-8
    (tmp_path / "answers").write_text(json.dumps(ask), encoding="utf-8")
    assert micropython("--compare", tmp_path / "answers").returncode == 1
