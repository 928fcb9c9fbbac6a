"""Sets a shop up, and brings its database to the version of the programs. Safe to repeat."""

from __future__ import annotations

import logging
import os
from dataclasses import dataclass

from flask import Flask
from sqlalchemy import select

import trammel
from trammel import blobs, config, log, procedures, rootkey
from trammel.clock import Clock
from trammel.errors import SetUpError
from trammel.models import Entry, Log, db


@dataclass(frozen=True)
class SetUp:
    app: Flask
    kid: str
    fingerprint: str
    new: bool
    published: list[str]


def init(settings: config.Config, clock: Clock | None = None) -> SetUp:
    """Data folder, secret, root key, database, the first line of the crew register, the packed procedures."""
    old = os.umask(0o077)
    try:
        settings.data.mkdir(parents=True, exist_ok=True)
        settings.blobs.mkdir(exist_ok=True)
        config.make_secret(settings)
        app = trammel.create_app(settings, clock)
        with app.app_context():
            migrate()
            key, new = _root_key(settings)
            log.begin(key.kid)
            if log.state().root != key.kid:
                raise SetUpError(
                    "root key",
                    str(settings.root_key),
                    f"The root key in {settings.root_key} is not the one that this database's register"
                    f" begins with ({log.state().root}); bring the right one back.",
                )
            with log.writing() as connection:
                if (
                    connection.execute(select(Entry.hash).where(Entry.kid == key.kid).limit(1)).first()
                    is None
                ):
                    body = {"key": key.jwk, "person": rootkey.PERSON, "device": "set-up"}
                    key.write(connection, "key", body, app.extensions["trammel"].now())
            published = [
                f"{procedures.title_of(made)} (version {made.version})" for made in procedures.seed()
            ]
    finally:
        os.umask(old)
    return SetUp(app, key.kid, key.fingerprint, new, published)


def ready(settings: config.Config) -> Flask:
    """An application on a database that is up to date; SetUpError where `trammel init` has not run."""
    app = trammel.create_app(settings)
    with app.app_context():
        migrate()
        log.state()
        procedures.seed()
        blobs.sweep(settings.blobs)
    return app


def migrate() -> None:
    from flask_migrate import upgrade

    # Alembic tells every step; at a start that changes nothing that is noise.
    logging.getLogger("alembic").setLevel(logging.WARNING)
    upgrade()


def _root_key(settings: config.Config) -> tuple[rootkey.RootKey, bool]:
    if settings.root_key.exists():
        return rootkey.load(settings.root_key), False
    with db.engine.connect() as connection:
        root = connection.scalar(select(Log.root))
    if root is not None:
        # A second key could never sign in this register; making one would only hide the loss of the first.
        raise SetUpError(
            "root key",
            str(settings.root_key),
            f"This shop's root key {root} is not at {settings.root_key}; bring it back, or name its place"
            " in TRAMMEL_ROOT_KEY.",
        )
    return rootkey.make(settings.root_key), True
