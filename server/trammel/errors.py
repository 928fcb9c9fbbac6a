"""One family of errors, one JSON shape, stable codes.

{"error": {"code": CODE, "message": SENTENCE, "input": NAME or null, "accepted": TEXT or null}}
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from workings.errors import WorkingError

if TYPE_CHECKING:
    from flask import Flask, Response

# Code -> (status, meaning). A code is never given another meaning; the phone decides by it.
CODES = {
    "bad-request": (400, "The request is not HTTP or JSON that can be read."),
    "session-needed": (401, "No session, or one that has ended: open one with the device key."),
    "proof-refused": (401, "A signature or challenge does not prove what it should."),
    "code-refused": (403, "The enrolment code is not known, used, or too old."),
    "not-allowed": (403, "The register does not give this person the role that is needed."),
    "not-found": (404, "Nothing has this address."),
    "card-unknown": (404, "No card of this name has an opening entry here."),
    "method-not-allowed": (405, "The address does not take this method; Allow lists those it takes."),
    "conflict": (409, "What is here already stands in the way."),
    "too-large": (413, "The body is larger than this server takes."),
    "wrong-type": (415, "The body is of a type or encoding that is not taken here."),
    "range-refused": (416, "The asked range of bytes is not there."),
    "not-accepted": (422, "The body can be read, and something in it is not accepted."),
    "too-many-tries": (429, "Too many refused tries from this address; Retry-After says how long to wait."),
    "server-fault": (500, "A fault of the server; nothing was changed."),
    "cannot-now": (503, "Something that the server needs is missing; the message says what."),
}

# How a single entry of a push is refused; the others of the same push stand on their own.
ENTRY_CODES = {
    "entry-form": "It does not have the strict form of an entry.",
    "entry-too-large": "It is larger than an entry may be.",
    "entry-key-unknown": "Its key is not in the register: send the key's register entry first, or along.",
    "entry-signature": "Its signature is not its key's, or is not in the low-s form.",
}


class SetUpError(Exception):
    """Something about the installation that whoever runs the server can mend; the message says how."""

    def __init__(self, input: str, value: str, message: str) -> None:
        super().__init__(message)
        self.input, self.value, self.message = input, value, message


class TrammelError(Exception):
    """What goes back over HTTP as an error."""

    def __init__(
        self,
        code: str,
        message: str,
        input: str | None = None,
        accepted: str | None = None,
        headers: dict[str, str] | None = None,
    ) -> None:
        super().__init__(message)
        self.code, self.message, self.input, self.accepted = code, message, input, accepted
        self.headers = headers or {}
        self.status = CODES[code][0]


def body(code: str, message: str, input: str | None = None, accepted: str | None = None) -> dict[str, Any]:
    return {"error": {"code": code, "message": message, "input": input, "accepted": accepted}}


def install(app: Flask) -> None:
    """The one place where errors become HTTP."""
    from flask import current_app, jsonify, request
    from werkzeug.exceptions import HTTPException

    def answer(error: TrammelError) -> Response:
        response = jsonify(body(error.code, error.message, error.input, error.accepted))
        response.status_code = error.status
        response.headers.update(error.headers)
        return response

    @app.errorhandler(TrammelError)
    def ours(error: TrammelError) -> Response:
        return answer(error)

    @app.errorhandler(WorkingError)
    def of_the_workings(error: WorkingError) -> Response:
        return answer(TrammelError("not-accepted", error.message, error.input, error.accepted))

    @app.errorhandler(SetUpError)
    def of_the_installation(error: SetUpError) -> Response:
        current_app.logger.error("%s", error.message)
        return answer(TrammelError("cannot-now", error.message, error.input))

    @app.errorhandler(HTTPException)
    def of_http(error: HTTPException) -> Response:
        return answer(_from_http(error, request.method, request.path))

    @app.errorhandler(Exception)
    def unforeseen(error: Exception) -> Response:
        # The trace goes to the log, never to the caller.
        current_app.logger.exception("fault in %s %s", request.method, request.path)
        return answer(
            TrammelError(
                "server-fault", "The server has a fault here, and its log says more; nothing was changed."
            )
        )


def _from_http(error: Any, method: str, path: str) -> TrammelError:
    status = error.code or 500
    if status == 404:
        return TrammelError("not-found", f"There is nothing at {path}.", "path")
    if status == 405:
        allow = ", ".join(sorted(error.valid_methods or []))
        return TrammelError(
            "method-not-allowed",
            f"{path} does not take {method}; give {allow}.",
            "method",
            allow,
            {"Allow": allow},
        )
    if status == 413:
        return TrammelError(
            "too-large", "The body is larger than this server takes; send fewer entries at a time.", "body"
        )
    if status == 415:
        return TrammelError(
            "wrong-type",
            "The body is of a type that is not taken here; give application/json.",
            "Content-Type",
            "application/json",
        )
    if status == 422:
        return _from_schema(getattr(error, "data", None) or {})
    if status == 416:
        return TrammelError("range-refused", "The asked range of bytes is not there.", "Range")
    if status >= 500:
        return TrammelError(
            "server-fault", "The server has a fault here, and its log says more; nothing was changed."
        )
    return TrammelError(
        "bad-request",
        "The request cannot be read: give well-formed JSON in UTF-8.",
        "body",
        "well-formed JSON in UTF-8",
    )


def _from_schema(data: dict[str, Any]) -> TrammelError:
    """The first complaint of a marshmallow schema as a sentence; one thing to mend at a time."""
    place: list[str] = []
    messages: Any = data.get("messages") or {}
    while isinstance(messages, dict) and messages:
        key = next(iter(messages))
        # The outermost name is where the value was found (json, query …), which a path says better.
        if place or key not in ("json", "query", "headers", "path", "json_or_form"):
            if key != "_schema":
                place.append(str(key))
        messages = messages[key]
    text = str(messages[0] if isinstance(messages, list) and messages else messages or "is not accepted")
    name = ".".join(place) or "body"
    return TrammelError("not-accepted", f"{name}: {text}.", name)
