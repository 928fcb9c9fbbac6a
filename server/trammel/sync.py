"""Blueprint: push and pull, nothing else."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from trammel import log, schemas
from trammel.parts import parts
from trammel.sessions import session_needed
from trammel.web import Blueprint

blueprint = Blueprint("entries", __name__, url_prefix="/api", description="The log of entries.")


@blueprint.route("/entries", methods=["POST"])
@session_needed
@blueprint.arguments(schemas.Push)
@blueprint.response(200, schemas.Pushed)
@blueprint.may_fail(400, 401, 413, 415, 422)
def push(asked: dict[str, Any]) -> Any:
    """Give the log entries, whoever wrote them; safe to repeat. The body may be gzipped.

    One answer for each entry, in order. `appended` and `here` mean that it is on the server's disk.
    """
    answers = log.push(asked["entries"], parts().now())
    return {"epoch": log.state().epoch, "answers": [asdict(answer) for answer in answers]}


@blueprint.route("/entries", methods=["GET"])
@session_needed
@blueprint.arguments(schemas.PullAsk, location="query")
@blueprint.response(200, schemas.Pulled)
@blueprint.may_fail(401, 422)
def pull(asked: dict[str, Any]) -> Any:
    """The entries after a position, in the order of the log."""
    state = log.state()
    # Positions belong to their epoch: after a restore a phone reads from nothing.
    after = asked["after"] if asked["epoch"] in ("", state.epoch) else 0
    rows = log.pull(after, asked["limit"] + 1)
    more, rows = len(rows) > asked["limit"], rows[: asked["limit"]]
    return {
        "epoch": state.epoch,
        "entries": [{"position": row.position, "jws": row.jws} for row in rows],
        "last": rows[-1].position if rows else after,
        "more": more,
    }
