"""Blueprint: enrolment, sessions and invitations. What they decide is in people.py."""

from __future__ import annotations

from typing import Any

from flask import g

from trammel import people, schemas, sessions, tries
from trammel.web import Blueprint

blueprint = Blueprint("enrolment", __name__, url_prefix="/api", description="Phones and their sessions.")


@blueprint.route("/enrol", methods=["POST"])
@blueprint.arguments(schemas.Enrolment)
@blueprint.response(200, schemas.Enrolled)
@blueprint.may_fail(400, 401, 403, 409, 413, 415, 422, 429, 503)
def enrol(asked: dict[str, Any]) -> Any:
    """Enrol a phone with a one-time code; the same request again gets the same answer with a new session."""
    with tries.counted():
        return people.enrol(asked)


@blueprint.route("/session/challenge", methods=["GET"])
@blueprint.response(200, schemas.Challenge)
def challenge() -> Any:
    """A nonce to sign, good once and for a short time."""
    return {"nonce": sessions.challenge()}


@blueprint.route("/session", methods=["POST"])
@blueprint.arguments(schemas.SessionProof)
@blueprint.response(200, schemas.Session)
@blueprint.may_fail(400, 401, 413, 415, 422, 429)
def open_session(asked: dict[str, Any]) -> Any:
    """Open a session by signing a challenge with the device key."""
    with tries.counted():
        return sessions.open_session(asked["proof"])


@blueprint.route("/invitations", methods=["POST"])
@sessions.session_needed
@blueprint.arguments(schemas.Invitation)
@blueprint.response(200, schemas.Invited)
@blueprint.may_fail(400, 401, 403, 413, 415, 422, 429)
def invite(asked: dict[str, Any]) -> Any:
    """A code for one more phone of a person; a lead's or keeper's own key signs for it."""
    with tries.counted():
        return people.invite(asked, g.who)
