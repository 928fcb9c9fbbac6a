#!/usr/bin/env python3
"""Sets up and runs every check: python3 tests/run.py

    python3 tests/run.py --list                the parts, by name
    python3 tests/run.py server packets        only these parts
    python3 tests/run.py browser -- -k signs   what follows -- goes to pytest
    python3 tests/run.py --no-setup ...        trusts that everything is installed and built

Prints a table at the end, and fails when any part fails. A part left out, and a test skipped, show there.
"""

import os
import re
import subprocess
import sys
import time
from pathlib import Path

TESTS = Path(__file__).resolve().parent
sys.path.insert(0, str(TESTS.parent / "deploy"))

import environment  # noqa: E402

BIN = environment.VENV / "bin"
ROOT = environment.ROOT
PWA = environment.PWA

# name -> (what it checks, the command, where it runs). "pytest" parts name their folders.
TOOLS = {
    "style": ("Python style", [BIN / "ruff", "check", "."], ROOT),
    "types": ("Python types", [BIN / "mypy"], ROOT),
    "pwa-style": ("phone app, style", ["npm", "run", "--silent", "lint"], PWA),
    "pwa-types": ("phone app, types", ["npm", "run", "--silent", "types"], PWA),
    "pwa": ("phone app, units", ["npm", "run", "--silent", "test"], PWA),
}
PYTEST = {
    "workings": ("workings, under both Pythons", ["tests/test_workings"]),
    "reference": ("values from published sources", ["tests/reference"]),
    "server": ("server, API, log", ["tests/test_trammel"]),
    "packets": ("packets", ["tests/packets"]),
    "browser": ("the real browser", ["tests/browser"]),
}
# Whatever stands in tests/ and in no part above, so that no test is left out by its place.
REST = "rest"


class Result:
    def __init__(self, name, what):
        self.name, self.what = name, what
        self.passed = self.failed = self.skipped = 0
        self.seconds = 0.0
        self.note = ""

    @property
    def word(self):
        return "FAILED" if self.failed else "passed"


def main(arguments):
    if {"-h", "--help"} & set(arguments):
        print(__doc__)
        return 0
    arguments, to_pytest = split_at_dashes(arguments)
    names = [*TOOLS, *PYTEST, REST]
    if "--list" in arguments:
        for name in names:
            print(f"{name:12} {what_of(name)}")
        return 0
    setup = "--no-setup" not in arguments
    chosen = [word for word in arguments if word != "--no-setup"] or names
    for word in chosen:
        if word not in names:
            print(f"{word}: there is no such part. The parts are: {', '.join(names)}.")
            return 2
    began = time.monotonic()
    try:
        env = environment.prepare(tests=True) if setup else environment.environment_with_node()
    except environment.CannotGoOn as reason:
        print(f"\nThe tests cannot run. {reason}")
        return 1
    set_up_in = time.monotonic() - began
    env["PATH"] = os.pathsep.join([str(BIN), env["PATH"]])
    results = [run_part(name, env, to_pytest) for name in names if name in chosen]
    left_out = [name for name in names if name not in chosen]
    return report(results, left_out, set_up_in, time.monotonic() - began)


def split_at_dashes(arguments):
    if "--" not in arguments:
        return arguments, []
    at = arguments.index("--")
    return arguments[:at], arguments[at + 1 :]


def what_of(name):
    if name == REST:
        return "everything else in tests/"
    return (TOOLS.get(name) or PYTEST.get(name))[0]


def run_part(name, env, to_pytest):
    result = Result(name, what_of(name))
    command, cwd, counts = command_of(name, to_pytest)
    print(f"\n== {name}: {result.what}", flush=True)
    began = time.monotonic()
    code, lines = follow([str(word) for word in command], cwd, env)
    result.seconds = time.monotonic() - began
    judge(result, code, counts(lines))
    return result


def command_of(name, to_pytest):
    if name in TOOLS:
        _, command, cwd = TOOLS[name]
        return command, cwd, count_vitest if name == "pwa" else count_nothing
    if name == REST:
        named = [folder for _, folders in PYTEST.values() for folder in folders]
        where = ["tests", *(f"--ignore={folder}" for folder in named)]
    else:
        where = PYTEST[name][1]
    return [BIN / "python", "-m", "pytest", *where, *to_pytest], ROOT, count_pytest


def follow(command, cwd, env):
    """Runs it with its output in sight; returns its exit code and its last lines."""
    last = []
    try:
        # Its own words as it goes: a long part must be seen to move.
        process = subprocess.Popen(
            command, cwd=cwd, env=env, text=True, errors="replace",
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        )  # fmt: skip
    except OSError as problem:
        print(f"{command[0]} could not start: {problem}", flush=True)
        return 127, []
    with process:
        for line in process.stdout:
            print(line, end="", flush=True)
            last = [*last[-40:], line]
    return process.returncode, last


def count_nothing(lines):
    return None


def count_pytest(lines):
    return count_words(next((line for line in reversed(lines) if re.search(r" in [\d.]+s", line)), ""))


def count_vitest(lines):
    plain = [re.sub(r"\x1b\[[\d;]*m", "", line) for line in lines]
    return count_words(next((line for line in reversed(plain) if line.strip().startswith("Tests ")), ""))


def count_words(line):
    """'2 failed, 10 passed, 1 skipped in 3.2s' -> counts; xfailed and xpassed are named as skipped."""
    found = {word: int(number) for number, word in re.findall(r"(\d+) ([a-z]+)", line)}
    failed = sum(found.get(word, 0) for word in ("failed", "error", "errors"))
    skipped = sum(found.get(word, 0) for word in ("skipped", "xfailed", "xpassed", "todo"))
    return found.get("passed", 0), failed, skipped


def judge(result, code, counts):
    if counts is None:
        counts = (int(code == 0), int(code != 0), 0)
    result.passed, result.failed, result.skipped = counts
    if code == 5 and not any(counts):
        result.note = "no test found"
    elif code != 0 and not result.failed:
        result.note = f"exit code {code}"
    elif code == 0 and not any(counts):
        result.note = "ran no test"
    if result.note:
        result.failed = 1


def report(results, left_out, set_up_in, seconds):
    print(f"\n{'part':12} {'result':8} {'passed':>7} {'failed':>7} {'skipped':>8} {'seconds':>8}")
    print(f"{'(set-up)':12} {'done':8} {'':>7} {'':>7} {'':>8} {set_up_in:8.1f}")
    for one in results:
        row = f"{one.name:12} {one.word:8} {one.passed:7} {one.failed:7} {one.skipped:8} {one.seconds:8.1f}"
        print(f"{row}  {one.note}".rstrip())
    for name in left_out:
        print(f"{name:12} {'left out':8}")
    print(f"{'all':12} {'':8} {'':>7} {'':>7} {'':>8} {seconds:8.1f}\n")
    failed = sum(one.failed for one in results)
    passed, skipped = sum(one.passed for one in results), sum(one.skipped for one in results)
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit("\nStopped.")
