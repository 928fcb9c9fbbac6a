"""Sessions of enrolled phones, opened by proof of the device key.

A session proves no more than "this phone was enrolled"; bearer tokens are kept as hashes only.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, TypeVar, cast

from flask import g, request
from sqlalchemy import Connection, delete, insert, select, update

from trammel import clock, log, signing
from trammel.errors import TrammelError
from trammel.models import Device, Session, SpentNonce, db
from trammel.parts import Parts, parts

View = TypeVar("View", bound=Callable[..., Any])


@dataclass(frozen=True)
class Who:
    """Whose phone opened this session."""

    person: str
    device: str
    kid: str


def read_proof(jws: str, typ: str, key: signing.Jwk, input: str) -> dict[str, Any]:
    try:
        return signing.read(jws, typ, key)
    except ValueError as error:
        raise TrammelError(
            "proof-refused", f"{input}: {error}.", input, f'a JWS of typ "{typ}" by that key'
        ) from error


def challenge() -> str:
    """A nonce that this server will know for its own; nothing is kept until it is answered."""
    held = parts()
    text = f"{int(held.now()) + held.config.challenge_seconds}.{secrets.token_urlsafe(16)}"
    return f"{text}.{held.hash('challenge', text)}"


def open_session(proof: str) -> dict[str, Any]:
    """A session for a phone that proves its device key over a fresh challenge."""
    held = parts()
    now = held.now()
    device = db.session.execute(
        select(Device.__table__).where(Device.id == signing.claimed_kid(proof))
    ).first()
    if device is None or device.closed is not None:
        raise TrammelError(
            "proof-refused", "This phone is not enrolled here, or no longer; ask a lead for a code.", "proof"
        )
    signed = read_proof(proof, "trammel-session", json.loads(device.jwk), "proof")
    if signed.get("device_key_id") != device.id or set(signed) != {"nonce", "device_key_id"}:
        raise TrammelError(
            "proof-refused",
            "proof: its payload must hold nonce and this device's device_key_id.",
            "proof",
            '{"nonce", "device_key_id"}',
        )
    check_nonce(held, signed["nonce"], now)
    with log.writing() as connection:
        spend_nonce(connection, signed["nonce"], now)
        return begin(connection, held, device.id, now)


def check_nonce(held: Parts, nonce: Any, now: float) -> None:
    text, _, mac = nonce.rpartition(".") if isinstance(nonce, str) else ("", "", "")
    if not secrets.compare_digest(mac.encode(), held.hash("challenge", text).encode()):
        raise TrammelError(
            "proof-refused", "nonce: not a challenge of this server.", "nonce", "a fresh challenge"
        )
    if now >= int(text.split(".")[0]):
        raise TrammelError(
            "proof-refused",
            "nonce: this challenge is too old; ask for a new one.",
            "nonce",
            "a fresh challenge",
        )


def spend_nonce(connection: Connection, nonce: str, now: float) -> None:
    connection.execute(delete(SpentNonce).where(SpentNonce.expires < int(now)))
    if connection.execute(select(SpentNonce.nonce).where(SpentNonce.nonce == nonce)).first() is not None:
        raise TrammelError(
            "proof-refused",
            "nonce: this challenge has been answered; ask for a new one.",
            "nonce",
            "a fresh challenge",
        )
    connection.execute(insert(SpentNonce).values(nonce=nonce, expires=int(nonce.split(".")[0])))


def begin(connection: Connection, held: Parts, device_id: str, now: float) -> dict[str, Any]:
    token = secrets.token_urlsafe(32)
    expires = int(now) + held.config.session_seconds
    connection.execute(delete(Session).where(Session.expires <= int(now)))
    connection.execute(
        insert(Session).values(hash=held.hash("session", token), device=device_id, expires=expires)
    )
    return {"token": token, "expires_at": clock.text(expires)}


def session_needed(view: View) -> View:
    """Lets only a phone with a session in; who it is stands in `g.who` afterwards."""

    @wraps(view)
    def guarded(*args: Any, **kwargs: Any) -> Any:
        g.who = _whose_session()
        return view(*args, **kwargs)

    described: Any = guarded
    described._apidoc = {**getattr(view, "_apidoc", {}), "manual_doc": {"security": [{"session": []}]}}
    return cast(View, guarded)


def _whose_session() -> Who:
    held = parts()
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    row = None
    if scheme.lower() == "bearer" and token:
        row = db.session.execute(
            select(Device.id, Device.person, Device.kid)
            .join(Session, Session.device == Device.id)
            .where(
                Session.hash == held.hash("session", token.strip()),
                Session.expires > int(held.now()),
                Device.closed.is_(None),
            )
        ).first()
    if row is None:
        raise TrammelError(
            "session-needed",
            "This needs a session; open one with the device key at /api/session.",
            "Authorization",
            "Bearer and a token",
            {"WWW-Authenticate": "Bearer"},
        )
    return Who(row.person, row.id, row.kid)


def devices() -> list[Any]:
    return list(db.session.execute(select(Device.__table__).order_by(Device.person, Device.enrolled)))


def close_device(beginning: str) -> Any:
    found = [device for device in devices() if device.id.startswith(beginning)]
    if len(found) != 1 or not beginning:
        raise TrammelError(
            "not-found",
            f"{beginning}: {len(found)} phones begin so; give more of the name that"
            " `trammel device list` prints.",
            "device",
        )
    with log.writing() as connection:
        connection.execute(
            update(Device)
            .where(Device.id == found[0].id, Device.closed.is_(None))
            .values(closed=int(parts().now()))
        )
    return found[0]
