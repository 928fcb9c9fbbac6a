"""Every setting, its environment variable, its default and the reason for it.

`python -m trammel.config` prints the table that deploy/settings.md carries.
"""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from trammel.errors import SetUpError

PACKAGE = Path(__file__).resolve().parent


@dataclass(frozen=True)
class Setting:
    field: str
    name: str
    default: str
    what: str
    reason: str
    least: int | None = None
    most: int | None = None


SETTINGS = (
    Setting(
        "data",
        "TRAMMEL_DATA",
        "trammel-data",
        "Folder that holds the database, the blobs, the root key and the secret.",
        "One folder to back up, and nothing of the shop's outside it.",
    ),
    Setting(
        "database_url",
        "TRAMMEL_DATABASE_URL",
        "",
        "SQLAlchemy URL of the database. Empty: an SQLite file in the data folder.",
        "SQLite is enough for one shop; a larger one can name its own database server.",
    ),
    Setting(
        "secret",
        "TRAMMEL_SECRET",
        "",
        "Secret under which session tokens, enrolment codes and challenges are hashed; 32 characters or more."
        " Empty: the file `secret` in the data folder, made by `trammel init`.",
        "There is no default, because a secret that everybody knows is none.",
    ),
    Setting(
        "root_key",
        "TRAMMEL_ROOT_KEY",
        "",
        "PEM file of the shop's root key. Empty: `root-key.pem` in the data folder.",
        "A shop may keep it on a stick; without it nobody can be enrolled, and all else works.",
    ),
    Setting(
        "host",
        "TRAMMEL_HOST",
        "127.0.0.1",
        "Address that `trammel serve` listens on.",
        "Loopback: a server opens to a network only when somebody says so.",
    ),
    Setting(
        "port",
        "TRAMMEL_PORT",
        "8460",
        "Port that `trammel serve` listens on.",
        "A port that no common service takes.",
        1,
        65535,
    ),
    Setting(
        "public_url",
        "TRAMMEL_PUBLIC_URL",
        "",
        "Address under which phones reach this server, as printed in enrolment links and QR codes."
        " Empty: http, the host and the port.",
        "Behind a TLS proxy the server cannot know the name that phones use.",
    ),
    Setting(
        "proxies",
        "TRAMMEL_PROXIES",
        "0",
        "How many proxies stand before the server and set X-Forwarded-For, -Proto and -Host.",
        "Zero trusts no such header, since anybody can send one; tries are counted by address.",
        0,
        5,
    ),
    Setting(
        "workers",
        "TRAMMEL_WORKERS",
        "2",
        "Server processes.",
        "Two: one long packet never stops the pushes.",
        1,
        64,
    ),
    Setting(
        "threads",
        "TRAMMEL_THREADS",
        "4",
        "Threads in each process.",
        "Phones on a weak network hold their connections long.",
        1,
        64,
    ),
    Setting(
        "pwa",
        "TRAMMEL_PWA",
        "",
        "Folder of the built phone app. Empty: the one packed in the server, or pwa/dist of the sources.",
        "Lets a shop try another build without touching the installation.",
    ),
    Setting(
        "enrolment_seconds",
        "TRAMMEL_ENROLMENT_SECONDS",
        "600",
        "How long an enrolment code can be used, in seconds; it works once.",
        "Ten minutes: long enough to walk over with the phone, short enough to be useless when found.",
        30,
        86400,
    ),
    Setting(
        "session_seconds",
        "TRAMMEL_SESSION_SECONDS",
        "43200",
        "How long a session with the server lasts, in seconds.",
        "Half a day: the device key opens the next one by itself, so a lost token is soon worth nothing.",
        60,
        2592000,
    ),
    Setting(
        "challenge_seconds",
        "TRAMMEL_CHALLENGE_SECONDS",
        "120",
        "How long a challenge can be answered, in seconds; it works once.",
        "Allows for a slow network and no more.",
        5,
        3600,
    ),
    Setting(
        "refused_tries",
        "TRAMMEL_REFUSED_TRIES",
        "20",
        "Refused enrolments and proofs from one address in ten minutes, after which it must wait.",
        "Nobody mistypes so often, and a guesser gets nowhere.",
        1,
        10000,
    ),
    Setting(
        "body_limit",
        "TRAMMEL_BODY_LIMIT",
        "16777216",
        "Largest request body in bytes, counted after unzipping; photos and voice have their own limit.",
        "Two hundred entries of the largest size fit in.",
        65536,
        268435456,
    ),
    Setting(
        "blob_limit",
        "TRAMMEL_BLOB_LIMIT",
        "33554432",
        "Largest photo or voice recording in bytes.",
        "A large photo has 8 MB, ten minutes of speech about 5 MB.",
        65536,
        1073741824,
    ),
)

BY_FIELD = {setting.field: setting for setting in SETTINGS}


@dataclass(frozen=True)
class Config:
    """The settings as read; every field is one line of SETTINGS."""

    data: Path
    database_url: str
    secret: str
    root_key: Path
    host: str
    port: int
    public_url: str
    proxies: int
    workers: int
    threads: int
    pwa: Path
    enrolment_seconds: int
    session_seconds: int
    challenge_seconds: int
    refused_tries: int
    body_limit: int
    blob_limit: int

    @property
    def blobs(self) -> Path:
        return self.data / "blobs"

    @property
    def secret_file(self) -> Path:
        return self.data / "secret"

    def require_secret(self) -> bytes:
        """The session-token secret; SetUpError with the remedy where there is none."""
        text = self.secret
        if not text:
            if not self.secret_file.is_file():
                raise SetUpError(
                    "secret",
                    str(self.secret_file),
                    f"There is no secret in {self.secret_file}; run `trammel init`, or give TRAMMEL_SECRET.",
                )
            refuse_if_open(self.secret_file)
            text = self.secret_file.read_text("ascii").strip()
        if len(text) < 32:
            raise SetUpError(
                "secret",
                "",
                "The secret (TRAMMEL_SECRET) is shorter than 32 characters;"
                " make one with `openssl rand -base64 48`.",
            )
        return text.encode("utf-8")


def refuse_if_open(path: Path) -> None:
    """A secret that other users of the machine can read is none: say the command that mends it."""
    mode = stat.S_IMODE(path.stat().st_mode)
    if mode & 0o077:
        raise SetUpError(path.name, oct(mode), f"{path} can be read by other users; run `chmod 600 {path}`.")


def write_private(path: Path, data: bytes) -> None:
    """Writes a new file that only its owner can read; never over one that is there."""
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def make_secret(config: Config) -> None:
    if not config.secret and not config.secret_file.exists():
        write_private(config.secret_file, secrets.token_urlsafe(48).encode("ascii") + b"\n")


def read(environ: Mapping[str, str] | None = None, **given: Any) -> Config:
    """The settings from the environment; `given` ones (tests, command line) come before it."""
    environ = os.environ if environ is None else environ
    values: dict[str, Any] = {}
    for setting in SETTINGS:
        value = given.pop(setting.field, None)
        if value is None:
            value = environ.get(setting.name, "").strip() or setting.default
        values[setting.field] = _whole(setting, value) if setting.least is not None else value
    if given:
        raise TypeError(f"no such setting: {', '.join(given)}")
    data = Path(values["data"]).expanduser().absolute()
    values["data"] = data
    values["root_key"] = (
        Path(values["root_key"]).expanduser().absolute() if values["root_key"] else data / "root-key.pem"
    )
    values["database_url"] = str(values["database_url"] or f"sqlite:///{data / 'trammel.sqlite'}")
    values["pwa"] = Path(values["pwa"]).expanduser().absolute() if values["pwa"] else _packed_pwa()
    values["public_url"] = _address(values["public_url"] or _own_address(values["host"], values["port"]))
    return Config(**values)


def unknown(environ: Mapping[str, str]) -> list[str]:
    """Names that look like settings and are none: most likely misspelt."""
    names = {setting.name for setting in SETTINGS}
    return sorted(name for name in environ if name.startswith("TRAMMEL_") and name not in names)


def table() -> str:
    """The settings as a Markdown table."""
    lines = ["| setting | default | what it is | why |", "|---|---|---|---|"]
    for setting in SETTINGS:
        default = f"`{setting.default}`" if setting.default else "empty"
        lines.append(f"| `{setting.name}` | {default} | {setting.what} | {setting.reason} |")
    return "\n".join(lines) + "\n"


def _whole(setting: Setting, value: Any) -> int:
    try:
        number = int(str(value))
    except ValueError:
        number = None
    if number is None or not setting.least <= number <= setting.most:  # type: ignore[operator]
        raise SetUpError(
            setting.name,
            str(value),
            f"{setting.name}: {value} is not accepted here;"
            f" give a whole number from {setting.least} to {setting.most}.",
        )
    return number


def _own_address(host: str, port: int) -> str:
    # 0.0.0.0 and :: are places to listen, not addresses to call.
    name = {"0.0.0.0": "127.0.0.1", "::": "[::1]"}.get(host, f"[{host}]" if ":" in host else host)
    return f"http://{name}:{port}"


def _address(text: str) -> str:
    parts = urlsplit(text)
    if (
        parts.scheme not in ("http", "https")
        or not parts.netloc
        or parts.query
        or parts.fragment
        or parts.path.strip("/")
    ):
        raise SetUpError(
            "TRAMMEL_PUBLIC_URL",
            text,
            f"TRAMMEL_PUBLIC_URL: {text} is not accepted here;"
            " give http or https and a host, such as https://trammel.shop.lan.",
        )
    return f"{parts.scheme}://{parts.netloc}"


def _packed_pwa() -> Path:
    packed = PACKAGE / "pwa"
    return packed if packed.is_dir() else PACKAGE.parent.parent / "pwa" / "dist"


# A field without a line in the table would be a setting that nobody can find.
assert [field.name for field in fields(Config)] == [setting.field for setting in SETTINGS]

if __name__ == "__main__":
    print(table(), end="")
