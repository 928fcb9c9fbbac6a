"""Blueprint: photos and recordings, each under the SHA-256 of its bytes.

A blob is on disk, whole and flushed, before its row is written and before anybody is told so; what a
failure on the way leaves behind is a temporary file, which the next start sweeps.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from pathlib import Path
from typing import Any

from flask import Response, g, request, send_file
from sqlalchemy import insert, select
from sqlalchemy.exc import IntegrityError

from trammel import schemas, signing
from trammel.errors import TrammelError
from trammel.models import Blob, db
from trammel.parts import parts
from trammel.sessions import session_needed
from trammel.web import Blueprint

blueprint = Blueprint("blobs", __name__, url_prefix="/api/blobs", description="Photos and recordings.")

# What phones make; nothing here can carry a script.
TYPES = (
    "image/jpeg",
    "image/png",
    "image/webp",
    "image/heic",
    "image/avif",
    "audio/webm",
    "audio/ogg",
    "audio/mp4",
    "audio/mpeg",
    "audio/wav",
)
PIECE = 1 << 16
DIGEST = schemas.in_path("digest", schemas.DIGEST, "SHA-256 of the bytes in base64url")
BYTES: dict[str, Any] = {type: {"schema": {"type": "string", "format": "binary"}} for type in TYPES}


@blueprint.route("/<digest>", methods=["PUT"], parameters=[DIGEST])
@session_needed
@blueprint.doc(requestBody={"required": True, "content": BYTES})
@blueprint.response(201, schemas.BlobKept)
@blueprint.alt_response(200, schema=schemas.BlobKept, description="It was here already.")
@blueprint.may_fail(400, 401, 404, 413, 415, 422)
def put(digest: str) -> Any:
    """Keep a blob; safe to repeat."""
    folder, limit = parts().config.blobs, parts().config.blob_limit
    _named(digest)
    here = _find(digest)
    if here is not None and _path(folder, digest).is_file():
        return {"digest": digest, "type": here.type, "size": here.size}, 200
    if request.mimetype not in TYPES:
        raise TrammelError(
            "wrong-type",
            f"A blob of type {request.mimetype or 'none'} is not taken here; give {', '.join(TYPES)}.",
            "Content-Type",
            ", ".join(TYPES),
        )
    if "Content-Encoding" in request.headers:
        raise TrammelError(
            "wrong-type", "A blob is sent as it is, without Content-Encoding.", "Content-Encoding"
        )
    request.max_content_length = limit
    size = _receive(folder, digest, limit)
    try:
        with db.engine.begin() as connection:
            connection.execute(
                insert(Blob).values(
                    digest=digest,
                    type=request.mimetype,
                    size=size,
                    person=g.who.person,
                    received=int(parts().now()),
                )
            )
    except IntegrityError:
        # The same blob came twice at once; the bytes are the same.
        return {"digest": digest, "type": request.mimetype, "size": size}, 200
    return {"digest": digest, "type": request.mimetype, "size": size}


@blueprint.route("/<digest>", methods=["GET"], parameters=[DIGEST])
@session_needed
@blueprint.response(
    200,
    content_type="application/octet-stream",
    schema={"type": "string", "format": "binary"},
    description="The bytes, under their own type.",
)
@blueprint.may_fail(401, 404, 416)
def get(digest: str) -> Response:
    """The bytes of a blob; HEAD tells whether it is here."""
    _named(digest)
    here = _find(digest)
    path = _path(parts().config.blobs, digest)
    if here is None or not path.is_file():
        raise TrammelError("not-found", f"The blob {digest} is not here.", "digest")
    response = send_file(path, mimetype=here.type, conditional=True, etag=digest)
    response.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    response.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


def sweep(folder: Path) -> None:
    """Drops what unfinished uploads of a server that was killed have left."""
    for left in folder.glob("*.part"):
        left.unlink(missing_ok=True)


def read(digest: str) -> tuple[str, bytes] | None:
    """Type and bytes, for the packet."""
    here = _find(digest)
    path = _path(parts().config.blobs, digest)
    return (here.type, path.read_bytes()) if here is not None and path.is_file() else None


def _named(digest: str) -> None:
    if not re.fullmatch(schemas.DIGEST, digest):
        raise TrammelError(
            "not-found", f"{digest[:60]} is not the digest of a blob.", "digest", "43 characters of base64url"
        )


def _find(digest: str) -> Any:
    return db.session.execute(select(Blob.type, Blob.size).where(Blob.digest == digest)).first()


def _path(folder: Path, digest: str) -> Path:
    return folder / digest[:2] / digest


def _receive(folder: Path, digest: str, limit: int) -> int:
    folder.mkdir(parents=True, exist_ok=True)
    descriptor, name = tempfile.mkstemp(".part", "", folder)
    part = Path(name)
    try:
        sha, size = hashlib.sha256(), 0
        with os.fdopen(descriptor, "wb") as file:
            while piece := request.stream.read(PIECE):
                size += len(piece)
                if size > limit:
                    raise TrammelError(
                        "too-large", f"A blob has at most {limit} bytes here.", "body", f"{limit} bytes"
                    )
                sha.update(piece)
                file.write(piece)
            file.flush()
            os.fsync(file.fileno())
        if signing.to_base64url(sha.digest()) != digest:
            raise TrammelError(
                "not-accepted",
                "digest: these bytes have another SHA-256; send them again whole.",
                "digest",
                "the SHA-256 of the body",
            )
        path = _path(folder, digest)
        path.parent.mkdir(exist_ok=True)
        os.replace(part, path)
        for changed in (path.parent, folder):
            flush_folder(changed)
    finally:
        part.unlink(missing_ok=True)
    return size


def flush_folder(folder: Path) -> None:
    """A new name outlives a power cut only once its folder is on disk."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
