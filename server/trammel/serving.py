"""gunicorn as a Python object: one command, no file of its own settings."""

from __future__ import annotations

from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication

from trammel.config import Config
from trammel.models import db


class Server(BaseApplication):  # type: ignore[misc]
    def __init__(self, app: Flask, config: Config) -> None:
        self.app, self.settings = app, config
        super().__init__()

    def load_config(self) -> None:
        settings = self.settings
        host = f"[{settings.host}]" if ":" in settings.host else settings.host
        values: dict[str, Any] = {
            "bind": [f"{host}:{settings.port}"],
            "workers": settings.workers,
            "worker_class": "gthread",
            "threads": settings.threads,
            # A long packet may take its time; a worker that hangs is replaced all the same.
            "timeout": 120,
            "graceful_timeout": 20,
            "keepalive": 15,
            "proc_name": "trammel",
            "loglevel": "warning",
            # Who sends forwarded headers is settled by TRAMMEL_PROXIES, inside the application.
            "forwarded_allow_ips": "127.0.0.1,::1",
            "post_fork": _after_fork,
            "control_socket_disable": True,
        }
        for name, value in values.items():
            if name in self.cfg.settings:
                self.cfg.set(name, value)

    def load(self) -> Flask:
        return self.app


def _after_fork(server: Any, worker: Any) -> None:
    # A connection opened before the fork must not be shared between processes.
    with worker.app.app.app_context():
        db.engine.dispose(close=False)


def run(app: Flask, config: Config) -> None:
    with app.app_context():
        db.engine.dispose()
    Server(app, config).run()
