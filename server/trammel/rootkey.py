"""The shop's root key: made at set-up, it begins the crew register and signs what the server adds."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec
from sqlalchemy import Connection, func, select
from workings import entries as form

from trammel import clock, config, log, signing
from trammel.errors import SetUpError
from trammel.models import Entry

PERSON = "root"


class RootKey:
    """Signs register entries. One writer at a time: number and heads are read under the log's lock."""

    def __init__(self, key: ec.EllipticCurvePrivateKey) -> None:
        self.key = key
        self.jwk = signing.jwk(key)
        self.kid = signing.thumbprint(self.jwk)

    @property
    def fingerprint(self) -> str:
        return signing.fingerprint(self.kid)

    def write(self, connection: Connection, kind: str, body: dict[str, Any], now: float) -> str:
        """Signs one register entry and appends it; inside a transaction of `log.writing`."""
        lines = log.register(connection)
        number = connection.scalar(select(func.max(Entry.number)).where(Entry.kid == self.kid)) or 0
        here = max((line.number_here for line in lines if line.kid == self.kid), default=0)
        payload = {
            "kind": kind,
            "about": "register",
            "number": number + 1,
            "number_here": here + 1,
            "before": _heads(lines),
            "register": [],
            "at": clock.text(now),
            "body": body,
        }
        jws = signing.sign(self.key, form.signing_input(self.kid, payload))
        answer = log.append(connection, [jws], now)[0]
        if answer.answer != "appended":
            raise RuntimeError(f"the log refused an entry of the root key: {answer.message}")
        return jws


def make(path: Path) -> RootKey:
    """A new key in a new file that only its owner can read."""
    key = signing.new_key()
    pem = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    config.write_private(path, pem)
    return RootKey(key)


def load(path: Path) -> RootKey:
    if not path.is_file():
        raise SetUpError(
            "root key",
            str(path),
            f"The root key is not at {path}; bring it back, or name its place in TRAMMEL_ROOT_KEY.",
        )
    config.refuse_if_open(path)
    try:
        key = serialization.load_pem_private_key(path.read_bytes(), None)
    except (ValueError, TypeError) as error:
        raise SetUpError("root key", str(path), f"{path} does not hold a private key in PEM form.") from error
    if not isinstance(key, ec.EllipticCurvePrivateKey) or not isinstance(key.curve, ec.SECP256R1):
        raise SetUpError("root key", str(path), f"The key in {path} is not a P-256 key.")
    return RootKey(key)


def _heads(lines: list[Any]) -> list[str]:
    """The register entries that no other one leads back to; the newest where there are very many."""
    named = {hash for line in lines for hash in line.before}
    latest = {line.kid: line.number_here for line in sorted(lines, key=lambda line: line.number_here)}
    heads = [line.hash for line in lines if line.hash not in named and line.number_here == latest[line.kid]]
    return sorted(heads[-form.MOST_BEFORE :])
