"""Every shape that crosses the wire. What a schema does not name is refused."""

from __future__ import annotations

from typing import Any

from marshmallow import INCLUDE, Schema, post_dump, validate
from marshmallow import fields as ma

from trammel.log import LARGEST_ENTRY, MOST_IN_A_PULL, MOST_IN_A_PUSH

WORDS = {
    "required": "is missing",
    "null": "must not be null",
    "invalid": "is not of the kind that is wanted here",
    "type": "must be a JSON object",
    "unknown": "is not a name that is known here",
}
Schema.error_messages = {"type": WORDS["type"], "unknown": WORDS["unknown"]}
ma.Field.default_error_messages = {
    "required": WORDS["required"],
    "null": WORDS["null"],
    "validator_failed": WORDS["invalid"],
}
ma.String.default_error_messages = {"invalid": "must be a text", "invalid_utf8": "must be a text in UTF-8"}
ma.Integer.default_error_messages = {"invalid": "must be a whole number", "too_large": "is too large"}
ma.List.default_error_messages = {"invalid": "must be a list"}
ma.Nested.default_error_messages = {"type": WORDS["type"]}
ma.Mapping.default_error_messages = {"invalid": WORDS["type"]}

DIGEST = r"^[A-Za-z0-9_-]{43}$"
IDENTIFIER = r"^[A-Za-z0-9_-]{1,64}$"
PLACE = r"^[A-Za-z0-9_-]{1,64}(@[A-Za-z0-9_-]{1,64})?$"


def text(least: int, most: int, what: str = "", **more: Any) -> ma.String:
    return ma.String(
        validate=validate.Length(least, most, error=f"must have {least} to {most} characters"),
        metadata={"description": what} if what else {},
        **more,
    )


def digest(what: str = "SHA-256 in base64url", **more: Any) -> ma.String:
    return ma.String(
        validate=validate.Regexp(DIGEST, error="must be 43 characters of base64url"),
        metadata={"description": what},
        **more,
    )


def identifier(what: str, **more: Any) -> ma.String:
    return ma.String(
        validate=validate.Regexp(IDENTIFIER, error="must be 1 to 64 letters, digits, - or _"),
        metadata={"description": what},
        **more,
    )


def in_path(name: str, pattern: str, what: str) -> dict[str, Any]:
    """A part of an address, for the description."""
    schema = {"type": "string", "pattern": pattern}
    return {"in": "path", "name": name, "required": True, "schema": schema, "description": what}


class ErrorInside(Schema):
    code = ma.String(required=True, metadata={"description": "Stable: decide by this."})
    message = ma.String(required=True, metadata={"description": "A sentence for people, with the way out."})
    input = ma.String(required=True, allow_none=True, metadata={"description": "What it is about."})
    accepted = ma.String(required=True, allow_none=True, metadata={"description": "What would be accepted."})


class Error(Schema):
    error = ma.Nested(ErrorInside, required=True)


class Health(Schema):
    ok = ma.Boolean(required=True)
    version = ma.String(required=True)


class Jwk(Schema):
    """A public P-256 key, these four members only (RFC 7517)."""

    kty = ma.String(required=True, validate=validate.OneOf(["EC"], error="must be EC"))
    crv = ma.String(required=True, validate=validate.OneOf(["P-256"], error="must be P-256"))
    x = digest("32 bytes in base64url", required=True)
    y = digest("32 bytes in base64url", required=True)


class Session(Schema):
    token = ma.String(required=True)
    expires_at = ma.String(required=True, metadata={"format": "date-time"})


class Enrolment(Schema):
    code = text(
        1, 40, "The one-time code, as printed; case, spaces and hyphens do not matter.", required=True
    )
    key = ma.Nested(Jwk, required=True)
    proof = text(
        1,
        4000,
        'JWS of typ "trammel-enrol" by the person\'s key over {"code", "device_key", "device"}.',
        required=True,
    )
    device_proof = text(
        1, 4000, 'JWS of typ "trammel-device" by the device key over {"code"}.', required=True
    )


class Enrolled(Schema):
    person = ma.String(required=True)
    name = ma.String(required=True)
    entries = ma.List(
        ma.String(), required=True, metadata={"description": "The crew register, entries as signed."}
    )
    root = digest("kid of the shop's root key", required=True)
    session = ma.Nested(Session, required=True)


class Challenge(Schema):
    nonce = ma.String(required=True)


class SessionProof(Schema):
    proof = text(
        1,
        4000,
        'JWS of typ "trammel-session" by the device key over {"nonce", "device_key_id"}.',
        required=True,
    )


class Invitation(Schema):
    person = identifier("Who is to enrol another phone.", required=True)
    proof = text(
        1,
        4000,
        'JWS of typ "trammel-invite" by the lead\'s own key (the PIN is asked for) over'
        ' {"nonce", "person"}; the nonce is that of a challenge.',
        required=True,
    )


class Invited(Schema):
    code = ma.String(required=True)
    link = ma.String(required=True)
    expires_at = ma.String(required=True, metadata={"format": "date-time"})


class Push(Schema):
    entries = ma.List(
        ma.String(metadata={"description": f"A compact JWS of at most {LARGEST_ENTRY} bytes."}),
        required=True,
        validate=validate.Length(
            0, MOST_IN_A_PUSH, error=f"must be at most {MOST_IN_A_PUSH}; send the rest after"
        ),
    )


class PushAnswer(Schema):
    hash = digest("null where the entry cannot be read", required=True, allow_none=True)
    answer = ma.String(required=True, validate=validate.OneOf(["appended", "here", "refused"]))
    code = ma.String(required=True, allow_none=True)
    message = ma.String(required=True, allow_none=True)
    position = ma.Integer(required=True, allow_none=True)


class Pushed(Schema):
    epoch = ma.String(required=True)
    answers = ma.List(ma.Nested(PushAnswer), required=True)


class PullAsk(Schema):
    after = ma.Integer(
        load_default=0,
        validate=validate.Range(0, 2**62, error="must be a whole number from 0"),
        metadata={"description": "The last position held; it is not sent again."},
    )
    limit = ma.Integer(
        load_default=MOST_IN_A_PULL,
        validate=validate.Range(1, MOST_IN_A_PULL, error=f"must be from 1 to {MOST_IN_A_PULL}"),
    )
    epoch = text(
        0,
        64,
        "The epoch that `after` belongs to; under another one the pull begins from nothing.",
        load_default="",
    )


class Positioned(Schema):
    position = ma.Integer(required=True)
    jws = ma.String(required=True)


class Pulled(Schema):
    epoch = ma.String(required=True)
    entries = ma.List(ma.Nested(Positioned), required=True)
    last = ma.Integer(required=True, metadata={"description": "Ask after this one next."})
    more = ma.Boolean(required=True)


class BlobKept(Schema):
    digest = ma.String(required=True)
    type = ma.String(required=True)
    size = ma.Integer(required=True)


class ProcedureLine(Schema):
    id = ma.String(required=True)
    title = ma.String(required=True)
    version = ma.String(required=True)
    digest = digest(required=True)


class Folded(Schema):
    """What the workings answer is passed on as it is; named here is what every such answer has."""

    class Meta:
        unknown = INCLUDE

    @post_dump(pass_original=True)
    def whole(self, _data: Any, original: Any, **_more: Any) -> Any:
        return original


class CardList(Folded):
    for_me = ma.List(ma.Dict(keys=ma.String()), required=True)
    engines = ma.List(ma.Dict(keys=ma.String()), required=True)


class Frame(Folded):
    card = ma.String(required=True)
    engine = ma.String(required=True)
    title = ma.String(required=True)
    version = ma.String(required=True, allow_none=True)
    line = ma.List(ma.Dict(keys=ma.String()), required=True)
    here = ma.String(required=True, allow_none=True)
    words = ma.String(required=True)
    closed = ma.Boolean(required=True)
    problems = ma.List(ma.String(), required=True)


class Place(Folded):
    place = ma.String(required=True)
    title = ma.String(required=True)


class PacketAsk(Schema):
    card = identifier("The card; for a blank packet it may be one without entries.", required=True)
    kind = ma.String(
        required=True, validate=validate.OneOf(["blank", "filled"], error="must be blank or filled")
    )
    paper = ma.String(
        load_default="A4", validate=validate.OneOf(["A4", "Letter"], error="must be A4 or Letter")
    )


class Unit(Schema):
    id = ma.String(required=True)
    dimension = ma.String(required=True)
    factor = ma.Float(required=True, metadata={"description": "How many of base SI one of it is."})
    offset = ma.Float(required=True)
    label = ma.String(required=True)
    names = ma.List(ma.String(), required=True)


class WorkingTold(Schema):
    id = ma.String(required=True)
    title = ma.String(required=True)
    inputs = ma.List(ma.Dict(keys=ma.String()), required=True)
    outputs = ma.List(ma.Dict(keys=ma.String()), required=True)
    assumptions = ma.List(ma.String(), required=True)
    cautions = ma.List(ma.String(), required=True)
    sources = ma.List(ma.String(), required=True)


class WorkingAsk(Schema):
    # What each input may be is the working's to say, in its own words.
    inputs = ma.Dict(
        keys=ma.String(),
        values=ma.Raw(allow_none=True),
        required=True,
        metadata={"description": 'By name: "3 5/16 in", a number in base SI, "yes", a word, a list.'},
    )


class WorkingAnswer(Schema):
    outputs = ma.Dict(keys=ma.String(), required=True)
    story = ma.Dict(keys=ma.String(), required=True)
