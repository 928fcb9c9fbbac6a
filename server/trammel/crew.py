"""The crew as the register tells it: names, roles, keys. Folded from the log, never kept beside it."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, select
from workings.knowing import Knowing
from workings.register import Register, people

from trammel import log
from trammel.models import Log


def crew(connection: Connection) -> dict[str, dict[str, Any]]:
    """person -> {"person", "name", "roles", "keys"}, as the whole register stands now."""
    root = connection.execute(select(Log.root)).scalar_one()
    lines = log.register(connection)
    return {line["person"]: line for line in people(Register(Knowing(lines), root))}
