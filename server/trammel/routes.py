"""Every blueprint, and the description of them all at /api/openapi.json."""

from __future__ import annotations

from typing import Any

from flask import Flask

import trammel
from trammel import blobs, calculations, cards, enrolment, pages, procedures, schemas, shelf, sync
from trammel.web import Api, Blueprint

service = Blueprint("service", __name__, url_prefix="/api", description="The server itself.")


@service.route("/health", methods=["GET"])
@service.response(200, schemas.Health)
def health() -> Any:
    """Whether the server answers; needs no session."""
    return {"ok": True, "version": trammel.VERSION}


def install(app: Flask) -> None:
    shelf.install(app)
    api = Api(app)
    api.spec.components.security_scheme(
        "session",
        {
            "type": "http",
            "scheme": "bearer",
            "description": "The token that /api/session or /api/enrol gave.",
        },
    )
    api.register_blueprint(service)
    for module in (enrolment, sync, blobs, procedures, cards, calculations):
        api.register_blueprint(module.blueprint)
    app.register_blueprint(pages.blueprint)
