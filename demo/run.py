#!/usr/bin/env python3
"""Sets up and starts the demo workshop: python3 demo/run.py

Plain Python 3.11 or newer and git are all that a machine needs. See demo/README.md.
"""

import os
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "deploy"))

import environment  # noqa: E402


def main():
    if {"-h", "--help"} & set(sys.argv[1:]):
        # The words stand with the options, in workshop.py; its help needs nothing installed.
        os.execv(sys.executable, [sys.executable, str(HERE / "workshop.py"), "--help"])
    try:
        env = environment.prepare()
    except environment.CannotGoOn as reason:
        sys.exit(f"\nThe demo cannot start. {reason}")
    except KeyboardInterrupt:
        sys.exit("\nStopped.")
    program = [str(environment.PYTHON), str(HERE / "workshop.py"), *sys.argv[1:]]
    os.execve(program[0], program, env)


if __name__ == "__main__":
    main()
