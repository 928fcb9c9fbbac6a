"""Serves the built phone app: precompressed, typed in code, under one strict policy."""

from __future__ import annotations

import posixpath
from pathlib import Path

from flask import Blueprint, Response, request, send_file
from flask.blueprints import BlueprintSetupState
from werkzeug.routing import PathConverter
from werkzeug.security import safe_join

from trammel.errors import TrammelError
from trammel.parts import parts

blueprint = Blueprint("pages", __name__)

# Everything from our own origin, WebAssembly allowed for the interpreter, nothing framed or posted.
POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; style-src 'self';"
    " img-src 'self' blob: data:; media-src 'self' blob:; connect-src 'self'; manifest-src 'self';"
    " font-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'"
)

# In code, because a machine's own list of types may lack or misname them, and nosniff forbids guessing.
# Flask adds the charset to texts.
TYPES = {
    ".html": "text/html",
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".css": "text/css",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".wasm": "application/wasm",
    ".py": "text/plain",
    ".txt": "text/plain",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".ico": "image/x-icon",
    ".jpg": "image/jpeg",
    ".webp": "image/webp",
    ".woff2": "font/woff2",
    ".map": "application/json",
}
# Best first; the files stand beside the plain one since the build.
PACKED = (("br", ".br"), ("gzip", ".gz"))


class PageName(PathConverter):
    """Any path outside the API, whose addresses answer for themselves."""

    regex = r"(?!api(?:/|$))[^/].*?"


@blueprint.record
def know_page_names(state: BlueprintSetupState) -> None:
    state.app.url_map.converters["page"] = PageName


@blueprint.route("/")
@blueprint.route("/<page:name>")
def page(name: str = "index.html") -> Response:
    folder = parts().config.pwa
    # One spelling for one file: no slash at the end, no dots on the way.
    found = safe_join(str(folder), name) if name == posixpath.normpath(name) else None
    path = Path(found) if found else None
    # What packs a file is no page of its own, and neither is anything hidden.
    if (
        path is None
        or path.suffix not in TYPES
        or not path.is_file()
        or any(p.startswith(".") for p in Path(name).parts)
    ):
        if name == "index.html":
            raise TrammelError(
                "cannot-now",
                f"The phone app is not built: {folder} holds no index.html."
                " Build it with `npm ci && npm run build` in pwa, or name its folder in"
                " TRAMMEL_PWA.",
                "TRAMMEL_PWA",
            )
        raise TrammelError("not-found", f"There is nothing at /{name[:200]}.", "path")
    return _packed(path, name)


def _packed(path: Path, name: str) -> Response:
    for encoding, suffix in PACKED:
        packed = path.with_name(path.name + suffix)
        if request.accept_encodings[encoding] > 0 and packed.is_file():
            response = send_file(packed, mimetype=TYPES[path.suffix], conditional=True)
            response.headers["Content-Encoding"] = encoding
            break
    else:
        response = send_file(path, mimetype=TYPES[path.suffix], conditional=True)
    response.vary.add("Accept-Encoding")
    # Names under assets carry a digest of what they hold; all else is asked after each time.
    hashed = name.startswith("assets/")
    response.headers["Cache-Control"] = "public, max-age=31536000, immutable" if hashed else "no-cache"
    return response


def guard(response: Response) -> Response:
    """Headers for every answer."""
    headers = response.headers
    headers.setdefault("Content-Security-Policy", POLICY)
    headers["X-Content-Type-Options"] = "nosniff"
    headers["Referrer-Policy"] = "no-referrer"
    headers["Cross-Origin-Opener-Policy"] = "same-origin"
    headers["Cross-Origin-Resource-Policy"] = "same-origin"
    headers["Permissions-Policy"] = "camera=(self), microphone=(self), geolocation=(), payment=(), usb=()"
    # What the API answers is the shop's, and stale the moment after.
    headers.setdefault("Cache-Control", "no-store")
    return response
