#!/usr/bin/env python3
"""Builds the phone app and one wheel with everything a shop's server needs: python3 deploy/make_wheel.py

Plain Python 3.11 or newer. The wheel lands in dist/.
"""

import sys

import environment


def main():
    try:
        environment.prepare()
        with environment.part("Making the wheel"):
            command = [*environment.PIP, "wheel", "--no-deps", "--wheel-dir", environment.ROOT / "dist"]
            environment.run([*command, environment.ROOT], "pip wheel")
    except environment.CannotGoOn as reason:
        sys.exit(f"\nThe wheel cannot be made. {reason}")


if __name__ == "__main__":
    main()
