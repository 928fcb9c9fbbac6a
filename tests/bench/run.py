#!/usr/bin/env python3
"""Sizes and times of the phone app, as a table: python3 tests/bench/run.py

Sizes are those of the built files under brotli. Times are taken in Chromium at the size of a phone, with the
server killed, once at this machine's speed and once with the whole browser stopped and continued so that it
runs a quarter of the time. They are reported and nothing is asserted: a busy machine tells little.
"""

import os
import sys
from pathlib import Path

BENCH = Path(__file__).resolve().parent
sys.path.insert(0, str(BENCH.parent.parent / "deploy"))

import environment  # noqa: E402


def main():
    try:
        env = environment.prepare(tests=True)
    except environment.CannotGoOn as reason:
        sys.exit(f"\nThe bench cannot run. {reason}")
    folders = [BENCH, BENCH.parent / "browser", environment.ROOT / "demo", environment.ROOT / "deploy"]
    env["PYTHONPATH"] = os.pathsep.join(map(str, folders))
    program = [str(environment.PYTHON), str(BENCH / "phone_bench.py"), *sys.argv[1:]]
    os.execve(program[0], program, env)


if __name__ == "__main__":
    main()
