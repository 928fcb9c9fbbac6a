"""Counts refused tries by address, in the database, so that all server processes count together.

Only refusals count: a crew that enrols behind one address is never held up.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from flask import request
from sqlalchemy import delete, insert, select, update

from trammel.errors import TrammelError
from trammel.models import Tries, db
from trammel.parts import parts

STRETCH = 600
COUNTED = ("code-refused", "proof-refused")


@contextmanager
def counted() -> Iterator[None]:
    """Refuses an address that was refused too often; counts a refusal that comes out of what is inside."""
    held = parts()
    now = int(held.now())
    address, stretch = (request.remote_addr or "unknown")[:64], now // STRETCH
    refused = (
        db.session.scalar(select(Tries.refused).where(Tries.address == address, Tries.stretch == stretch))
        or 0
    )
    if refused >= held.config.refused_tries:
        wait = (stretch + 1) * STRETCH - now
        raise TrammelError(
            "too-many-tries",
            f"Too many refused tries from here; try again in {wait} seconds.",
            headers={"Retry-After": str(wait)},
        )
    try:
        yield
    except TrammelError as error:
        if error.code in COUNTED:
            _count(address, stretch)
        raise


def _count(address: str, stretch: int) -> None:
    db.session.rollback()
    with db.engine.begin() as connection:
        more = (
            update(Tries)
            .where(Tries.address == address, Tries.stretch == stretch)
            .values(refused=Tries.refused + 1)
        )
        connection.execute(delete(Tries).where(Tries.stretch < stretch - 1))
        if connection.execute(more).rowcount == 0:
            # Two first refusals at the very same moment would collide here: one of them is then not counted.
            connection.execute(insert(Tries).values(address=address, stretch=stretch, refused=1))
