"""The time, in one place, so that a test can set it."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], float]
now: Clock = time.time


def text(seconds: float) -> str:
    """As entries and answers write it: UTC, to the second."""
    return datetime.fromtimestamp(int(seconds), UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
