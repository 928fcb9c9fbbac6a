"""Trammel: job cards for heritage locomotive workshops. The web application and the command line."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask

    from trammel.clock import Clock
    from trammel.config import Config

try:
    VERSION = version("trammel")
except PackageNotFoundError:
    # Run from the source tree without an installation.
    VERSION = "0"


def create_app(config: Config | None = None, clock: Clock | None = None) -> Flask:
    """The application for these settings (the environment's where none are given): the only place
    where the parts are joined."""
    # Imported here, so that commands that only calculate start without the web framework.
    from flask import Flask
    from flask_migrate import Migrate
    from werkzeug.middleware.proxy_fix import ProxyFix

    from trammel import clock as clocks
    from trammel import config as settings
    from trammel import errors, pages, routes, web
    from trammel.models import db, set_up_sqlite
    from trammel.parts import Parts

    config = config or settings.read()
    app = Flask("trammel", static_folder=None)
    app.request_class = web.Request
    app.json.sort_keys = False  # type: ignore[attr-defined]
    app.config.update(
        SQLALCHEMY_DATABASE_URI=config.database_url,
        MAX_CONTENT_LENGTH=config.body_limit,
        API_TITLE="Trammel",
        API_VERSION=VERSION,
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX="/api",
        OPENAPI_JSON_PATH="openapi.json",
    )
    app.extensions["trammel"] = Parts(config, clock or clocks.now, config.require_secret())
    db.init_app(app)
    with app.app_context():
        set_up_sqlite(db.engine)
    Migrate(app, db, directory=str(settings.PACKAGE / "migrations"))
    errors.install(app)
    routes.install(app)
    app.before_request(web.json_only)
    app.after_request(pages.guard)
    if config.proxies:
        app.wsgi_app = ProxyFix(app.wsgi_app, config.proxies, config.proxies, config.proxies)  # type: ignore[method-assign]
    return app
