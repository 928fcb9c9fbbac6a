"""Enrolment by one-time code: how a person's phone gets its key into the crew register.

Who a person is and what he may do comes from the register alone; kept here are only codes and phones.
"""

from __future__ import annotations

import json
import secrets
import unicodedata
from typing import Any

from sqlalchemy import Connection, insert, select, update

from trammel import clock, crew, log, sessions, signing
from trammel.errors import TrammelError
from trammel.models import Device, EnrolmentCode, Key
from trammel.parts import Parts, parts
from trammel.rootkey import PERSON
from trammel.sessions import Who, check_nonce, read_proof, spend_nonce

# Crockford's base 32: no letter that is taken for another when read aloud or written by hand.
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
CODE_LENGTH = 10
# The answer to an enrolment may be lost on the way; the same phone may ask again for so long.
REPEATED_SECONDS = 86400


# --- codes -------------------------------------------------------------------------------------------


def plain_code(text: str) -> str:
    """A code as it is hashed: what people write for one another's 0, O, 1, I and l made one."""
    letters = "".join(text.split()).replace("-", "").upper()
    return letters.translate(str.maketrans("OIL", "011"))


def make_code(connection: Connection, person: str, made_by: str) -> tuple[str, int]:
    """A new code for a person of the register, and when it ends."""
    held = parts()
    letters = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
    expires = int(held.now()) + held.config.enrolment_seconds
    connection.execute(
        insert(EnrolmentCode).values(
            hash=held.hash("enrolment", letters), person=person, made_by=made_by, expires=expires
        )
    )
    return f"{letters[:5]}-{letters[5:]}", expires


def link(code: str) -> str:
    return f"{parts().config.public_url}/#/enrol/{code}"


# --- enrolment ---------------------------------------------------------------------------------------


def enrol(asked: dict[str, Any]) -> dict[str, Any]:
    """Writes the phone's key into the register and opens its first session, or does nothing at all.

    Safe to repeat: the same phone asking again with the same code and keys gets its answer again.
    """
    held = parts()
    now = held.now()
    kid, device_id, device = _checked_request(asked)
    with log.writing() as connection:
        code = _usable_code(connection, held, asked["code"], kid, device_id, now)
        names = crew.crew(connection)
        if code.person not in names:
            raise TrammelError("code-refused", "The person of this code is not in the crew register.", "code")
        if code.used is None:
            _bring_in(connection, held, code, asked["key"], kid, device, device_id, now)
        session = sessions.begin(connection, held, device_id, now)
        entries = [line.jws for line in log.register(connection)]
    return {
        "person": code.person,
        "name": names[code.person]["name"],
        "entries": entries,
        "root": log.state().root,
        "session": session,
    }


def _checked_request(asked: dict[str, Any]) -> tuple[str, str, dict[str, Any]]:
    """kid, device id and the signed payload, once both keys have proved themselves."""
    key = _key(asked["key"], "key")
    signed = read_proof(asked["proof"], "trammel-enrol", key, "proof")
    if set(signed) != {"code", "device_key", "device"}:
        raise TrammelError(
            "not-accepted",
            "proof: its payload must hold code, device_key and device, nothing else.",
            "proof",
            '{"code", "device_key", "device"}',
        )
    device_key = _key(signed["device_key"], "device_key")
    of_device = read_proof(asked["device_proof"], "trammel-device", device_key, "device_proof")
    if signed["code"] != asked["code"] or of_device != {"code": asked["code"]}:
        raise TrammelError("proof-refused", "The proofs are over another code than the one given.", "proof")
    name = signed["device"]
    if not isinstance(name, str) or not 1 <= len(name) <= 200 or not name.isprintable():
        raise TrammelError("not-accepted", "device: give the phone a name of 1 to 200 characters.", "device")
    kid, device_id = signing.thumbprint(key), signing.thumbprint(device_key)
    if kid == device_id:
        raise TrammelError(
            "not-accepted",
            "device_key: the device key must be another key than the person's.",
            "device_key",
            "a key of its own",
        )
    return kid, device_id, {"name": name, "jwk": device_key}


def _usable_code(connection: Connection, held: Parts, text: str, kid: str, device_id: str, now: float) -> Any:
    row = connection.execute(
        select(EnrolmentCode.__table__).where(EnrolmentCode.hash == held.hash("enrolment", plain_code(text)))
    ).first()
    if row is None:
        raise TrammelError(
            "code-refused",
            "This enrolment code is not known here; check it, or ask for a new one.",
            "code",
            "the code as printed",
        )
    if row.used is not None:
        if (row.used_kid, row.used_device) == (kid, device_id) and now < row.used + REPEATED_SECONDS:
            return row
        raise TrammelError("code-refused", "This enrolment code has been used; ask for a new one.", "code")
    if now >= row.expires:
        raise TrammelError("code-refused", "This enrolment code is too old; ask for a new one.", "code")
    return row


def _bring_in(
    connection: Connection,
    held: Parts,
    code: Any,
    key: signing.Jwk,
    kid: str,
    device: dict[str, Any],
    device_id: str,
    now: float,
) -> None:
    owner = connection.scalar(select(Key.person).where(Key.kid == kid))
    if owner not in (None, code.person):
        raise TrammelError("conflict", "key: this key already belongs to somebody else.", "key", "a new key")
    if connection.scalar(select(Device.person).where(Device.id == device_id)) is not None:
        raise TrammelError(
            "conflict",
            "device_key: a phone with this device key is enrolled already.",
            "device_key",
            "a new device key",
        )
    if owner is None:
        held.root_key().write(
            connection, "key", {"key": key, "person": code.person, "device": device["name"]}, now
        )
    connection.execute(
        insert(Device).values(
            id=device_id,
            jwk=json.dumps(device["jwk"], sort_keys=True),
            name=device["name"],
            person=code.person,
            kid=kid,
            enrolled=int(now),
        )
    )
    connection.execute(
        update(EnrolmentCode)
        .where(EnrolmentCode.hash == code.hash)
        .values(used=int(now), used_kid=kid, used_device=device_id)
    )


def _key(value: Any, input: str) -> signing.Jwk:
    try:
        signing.public_key(value)
    except ValueError as error:
        raise TrammelError(
            "not-accepted", f"{input}: not a public P-256 key: {error}.", input, "a public P-256 key as JWK"
        ) from error
    key: signing.Jwk = value
    return key


# --- invitations -------------------------------------------------------------------------------------


def invite(asked: dict[str, Any], who: Who) -> dict[str, Any]:
    """A code for another phone of a person, given out by a lead.

    The session alone is not enough: a found phone has one without a PIN, and could enrol itself in
    its owner's name. So the lead's own key signs for it.
    """
    held = parts()
    now = held.now()
    with log.writing() as connection:
        people = crew.crew(connection)
        lead = people.get(who.person, {"roles": [], "keys": []})
        if not {"lead", "keeper"} & set(lead["roles"]):
            raise TrammelError("not-allowed", "Only a lead or a keeper gives out enrolment codes.", "person")
        kid = signing.claimed_kid(asked["proof"])
        if kid not in lead["keys"]:
            raise TrammelError(
                "proof-refused", "proof: not signed by a key of the person whose phone this is.", "proof"
            )
        key = json.loads(connection.execute(select(Key.jwk).where(Key.kid == kid)).scalar_one())
        signed = read_proof(asked["proof"], "trammel-invite", key, "proof")
        if set(signed) != {"nonce", "person"} or signed["person"] != asked["person"]:
            raise TrammelError(
                "proof-refused",
                "proof: it must be over a nonce and the person asked for.",
                "proof",
                '{"nonce", "person"}',
            )
        check_nonce(held, signed["nonce"], now)
        spend_nonce(connection, signed["nonce"], now)
        if asked["person"] not in people:
            raise TrammelError(
                "not-accepted",
                f"person: {asked['person']} is not in the crew register.",
                "person",
                "a person of the crew",
            )
        code, expires = make_code(connection, asked["person"], who.person)
    return {"code": code, "link": link(code), "expires_at": clock.text(expires)}


# --- from the command line ---------------------------------------------------------------------------


def add(name: str, roles: list[str], person: str | None = None) -> tuple[str, str, int]:
    """Writes a person and the roles into the register with the root key; (person, code, when it ends)."""
    held = parts()
    now = held.now()
    key = held.root_key()
    name = " ".join(name.split())
    with log.writing() as connection:
        taken = set(crew.crew(connection)) | {PERSON}
        if person is None:
            person = _free(_short(name), taken)
        elif person in taken:
            raise TrammelError(
                "conflict", f"--id: {person} is in the crew register already.", "id", "another id"
            )
        key.write(connection, "person", {"person": person, "name": name}, now)
        for role in roles:
            key.write(connection, "role-given", {"person": person, "role": role}, now)
        code, expires = make_code(connection, person, PERSON)
    return person, code, expires


def invite_from_here(person: str) -> tuple[str, int]:
    """A code given out by whoever runs the server."""
    with log.writing() as connection:
        people = crew.crew(connection)
        if person not in people:
            raise TrammelError(
                "not-accepted",
                f"{person} is not in the crew register; `trammel person list` lists it.",
                "person",
                "a person of the crew",
            )
        return make_code(connection, person, PERSON)


def _short(name: str) -> str:
    """ada-finch from "Ada Finch": what hashes and procedures name a person by."""
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    short = "-".join("".join(c if c.isalnum() else " " for c in letters).split())[:48].strip("-")
    return short or "person"


def _free(short: str, taken: set[str]) -> str:
    """Two people of one name are told apart by a number."""
    number = 1
    while (person := short if number == 1 else f"{short}-{number}") in taken:
        number += 1
    return person
