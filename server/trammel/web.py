"""What every blueprint shares: the API object, the parser of bodies, error responses in the description."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from typing import Any, Protocol, TypeVar, cast

import flask
import flask_smorest
from werkzeug.exceptions import RequestEntityTooLarge

from trammel import errors, schemas
from trammel.errors import TrammelError


class Api(flask_smorest.Api):  # type: ignore[misc]
    ERROR_SCHEMA = schemas.Error

    def _register_error_handlers(self) -> None:
        # errors.install does it, once for all; flask-smorest's own would lose Allow on a 405.
        pass


View = TypeVar("View", bound=Callable[..., Any])


class Decorator(Protocol):
    def __call__(self, view: View, /) -> View: ...


class Blueprint(flask_smorest.Blueprint):  # type: ignore[misc]
    """flask-smorest's, with the types that it does not carry."""

    def route(self, rule: str, **options: Any) -> Decorator:
        return cast(Decorator, super().route(rule, **options))

    def arguments(self, schema: Any, **options: Any) -> Decorator:
        return cast(Decorator, super().arguments(schema, **options))

    def response(self, status: int, schema: Any = None, **options: Any) -> Decorator:
        return cast(Decorator, super().response(status, schema, **options))

    def alt_response(self, status: int, **options: Any) -> Decorator:
        return cast(Decorator, super().alt_response(status, **options))

    def doc(self, **described: Any) -> Decorator:
        return cast(Decorator, super().doc(**described))

    def may_fail(self, *statuses: int) -> Decorator:
        """Names in the description the errors that an endpoint can answer with."""

        def decorate(view: View) -> View:
            for status in statuses:
                codes = [
                    f"`{code}`: {meaning}" for code, (of, meaning) in errors.CODES.items() if of == status
                ]
                view = self.alt_response(status, schema=schemas.Error, description=" ".join(codes))(view)
            return view

        return decorate


class Request(flask.Request):
    """A request whose JSON body may come gzipped: a phone on a weak network sends long texts."""

    _unzipped: bytes | None = None

    def get_data(self, cache: bool = True, as_text: bool = False, parse_form_data: bool = False) -> Any:
        data = super().get_data(cache=cache, as_text=False, parse_form_data=parse_form_data)
        if "Content-Encoding" in self.headers:
            if self._unzipped is None:
                self._unzipped = _unzip(data, self.headers["Content-Encoding"], self.max_content_length or 0)
            data = self._unzipped
        return data.decode("utf-8", "replace") if as_text else data


def _unzip(data: bytes, encoding: str, limit: int) -> bytes:
    if encoding.strip().lower() != "gzip":
        raise TrammelError(
            "wrong-type",
            f"A body in {encoding} is not taken here; give gzip or leave it plain.",
            "Content-Encoding",
            "gzip",
        )
    unzip = zlib.decompressobj(16 + zlib.MAX_WBITS)
    try:
        plain = unzip.decompress(data, limit + 1)
    except zlib.error as error:
        raise TrammelError(
            "bad-request",
            "The body is not gzip, though Content-Encoding says so.",
            "Content-Encoding",
            "gzip",
        ) from error
    # A small body that unpacks without end is cut off here, before it fills the memory.
    if len(plain) > limit:
        raise RequestEntityTooLarge()
    if not unzip.eof or unzip.unused_data:
        raise TrammelError(
            "bad-request", "The gzipped body is cut off or has something after its end.", "body"
        )
    return plain


def json_only() -> None:
    """Bodies of the API are JSON (a blob is what it is); said before anything is looked at."""
    request = flask.request
    if (
        request.method == "POST"
        and request.path.startswith("/api/")
        and request.mimetype != "application/json"
    ):
        if request.url_rule is not None:
            raise TrammelError(
                "wrong-type", "The body must be of type application/json.", "Content-Type", "application/json"
            )
