"""Every blueprint, and the description of them all at /api/openapi.json."""

from __future__ import annotations

from typing import Any

from flask import Flask

import trammel
from trammel import blobs, enrolment, pages, procedures, schemas, sync
from trammel.web import Api, Blueprint

service = Blueprint("service", __name__, url_prefix="/api", description="The server itself.")


@service.route("/health", methods=["GET"])
@service.response(200, schemas.Health)
def health() -> Any:
    """Whether the server answers; needs no session."""
    return {"ok": True, "version": trammel.VERSION}


def install(app: Flask) -> None:
    api = Api(app)
    api.spec.components.security_scheme(
        "session",
        {
            "type": "http",
            "scheme": "bearer",
            "description": "The token that /api/session or /api/enrol gave.",
        },
    )
    for blueprint in (service, enrolment.blueprint, sync.blueprint, blobs.blueprint, procedures.blueprint):
        api.register_blueprint(blueprint)
    app.register_blueprint(pages.blueprint)
