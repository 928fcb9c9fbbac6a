"""Published procedure versions, by digest. A version that is published never changes and never goes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from flask import Response, current_app
from sqlalchemy import insert, select
from workings import procedure as reader
from workings import vocabulary

from trammel import schemas
from trammel.errors import TrammelError
from trammel.models import Procedure, db
from trammel.parts import parts
from trammel.sessions import session_needed
from trammel.web import Blueprint

blueprint = Blueprint(
    "procedures", __name__, url_prefix="/api/procedures", description="Published procedures."
)
DIGEST = schemas.in_path("digest", schemas.DIGEST, "SHA-256 of the file in base64url")
PACKED = Path(__file__).resolve().parent / "procedures"


@blueprint.route("", methods=["GET"])
@session_needed
@blueprint.response(200, schemas.ProcedureLine(many=True))
@blueprint.may_fail(401)
def listed() -> Any:
    """Every published version, the oldest first."""
    return lines()


@blueprint.route("/<digest>", methods=["GET"], parameters=[DIGEST])
@session_needed
@blueprint.response(
    200,
    content_type="application/json",
    schema={"type": "object"},
    description="The file, byte for byte as it was published.",
)
@blueprint.may_fail(401, 404)
def get(digest: str) -> Response:
    """The exact bytes of one version."""
    found = text(digest)
    if found is None:
        raise TrammelError("not-found", f"The procedure version {digest[:60]} is not here.", "digest")
    response = Response(found, mimetype="application/json")
    response.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return response


def lines() -> list[dict[str, str]]:
    query = select(Procedure.procedure.label("id"), Procedure.title, Procedure.version, Procedure.digest)
    return [
        row._asdict() for row in db.session.execute(query.order_by(Procedure.published, Procedure.digest))
    ]


def text(digest: str) -> bytes | None:
    return db.session.scalar(select(Procedure.text).where(Procedure.digest == digest))


def digests() -> list[str]:
    return list(db.session.scalars(select(Procedure.digest)))


def check(source: bytes) -> tuple[Any, list[dict[str, str]]]:
    """The procedure (None where its form is wrong) and everything found about it."""
    made, found = reader.problems(source)
    return made, list(found)


def publish(source: bytes) -> tuple[Any, bool]:
    """Puts a version where every phone will find it; (procedure, whether it is new here).

    Safe to repeat. A version with an error, or other bytes under a version's number, is refused.
    """
    made, found = check(source)
    wrong = [problem for problem in found if problem["level"] == "error"]
    if made is None or wrong:
        more = (
            f" (And {len(wrong) - 1} more; `trammel check-procedure` lists them.)" if len(wrong) > 1 else ""
        )
        raise TrammelError("not-accepted", reader.sentence(wrong[0]) + more, "procedure")
    with db.engine.begin() as connection:
        if connection.execute(select(Procedure.digest).where(Procedure.digest == made.digest)).first():
            return made, False
        same = connection.scalar(
            select(Procedure.digest).where(Procedure.procedure == made.id, Procedure.version == made.version)
        )
        if same is not None:
            raise TrammelError(
                "conflict",
                f"Version {made.version} of {made.id} is published with another text,"
                " and a published version never changes; give this one a new number.",
                "version",
                "a number not yet used",
            )
        connection.execute(
            insert(Procedure).values(
                digest=made.digest,
                procedure=made.id,
                version=made.version,
                title=title_of(made),
                text=source,
                published=int(parts().now()),
            )
        )
    return made, True


def title_of(made: Any) -> str:
    """A title may hold words of the trade that differ by country; without an engine the file's own stand."""
    return str(vocabulary.say(made.title, "american"))


def seed() -> list[Any]:
    """Publishes the procedures that come with the server and gives those that are new here.

    A newer server's versions come beside the older ones. A file that was changed under the same number
    changes nothing: cards may stand on what was published, so that stays, and the log says so.
    """
    new = []
    for path in sorted(PACKED.glob("*.json")):
        try:
            made, first = publish(path.read_bytes())
        except TrammelError as error:
            if error.code != "conflict":
                raise
            current_app.logger.warning("%s is left aside: %s", path.name, error.message)
        else:
            new += [made] if first else []
    return new
