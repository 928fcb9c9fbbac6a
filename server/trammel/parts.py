"""What the factory joins and every part may need: the settings, the clock, the secret's hash."""

from __future__ import annotations

import hashlib
import hmac
from dataclasses import dataclass

from flask import current_app

from trammel import rootkey, signing
from trammel.clock import Clock
from trammel.config import Config
from trammel.rootkey import RootKey


@dataclass(frozen=True)
class Parts:
    config: Config
    clock: Clock
    secret: bytes

    def now(self) -> float:
        return self.clock()

    def hash(self, purpose: str, text: str) -> str:
        """Under the secret, so that a copy of the database alone opens nothing and tests no guess."""
        return signing.to_base64url(hmac.digest(self.secret, f"{purpose}:{text}".encode(), hashlib.sha256))

    def root_key(self) -> RootKey:
        return rootkey.load(self.config.root_key)


def parts() -> Parts:
    held: Parts = current_app.extensions["trammel"]
    return held
