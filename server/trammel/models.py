"""Tables. Times are whole seconds since 1970 (UTC), so that every database keeps them alike.

Entries are insert only: the database itself refuses to change or delete one (see the migrations).
"""

from __future__ import annotations

from typing import Any

from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import (
    BigInteger,
    Engine,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    String,
    Text,
    UniqueConstraint,
    event,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column


class Base(DeclarativeBase):
    pass


db = SQLAlchemy(model_class=Base)


class Log(Base):
    """One row: whose log this is, its epoch, and the last position given out.

    Whoever appends updates this row first and so holds it until the commit: positions are given out
    in the order in which they become visible, and a pull never skips one.
    """

    __tablename__ = "log"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    epoch: Mapped[str] = mapped_column(String(43))
    last: Mapped[int] = mapped_column(BigInteger)
    root: Mapped[str] = mapped_column(String(43))


class Entry(Base):
    """A signed entry: the bytes as they came, and what is needed to find it."""

    __tablename__ = "entries"
    position: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    hash: Mapped[str] = mapped_column(String(43), unique=True)
    kid: Mapped[str] = mapped_column(String(43))
    number: Mapped[int] = mapped_column(Integer)
    number_here: Mapped[int] = mapped_column(Integer)
    about: Mapped[str] = mapped_column(String(80), index=True)
    kind: Mapped[str] = mapped_column(String(32))
    jws: Mapped[str] = mapped_column(Text)
    received: Mapped[int] = mapped_column(BigInteger)
    # Not unique: a phone restored from a copy uses a number twice, and both entries are kept.
    __table_args__ = (Index("entries_kid_number", "kid", "number"),)


class Key(Base):
    """A signing key that an entry of the register introduced; read off the log, to check signatures."""

    __tablename__ = "keys"
    kid: Mapped[str] = mapped_column(String(43), primary_key=True)
    jwk: Mapped[str] = mapped_column(Text)
    person: Mapped[str] = mapped_column(String(64))
    entry: Mapped[str] = mapped_column(ForeignKey("entries.hash"))


class EnrolmentCode(Base):
    """A one-time code for one person; only its hash is kept."""

    __tablename__ = "enrolment_codes"
    hash: Mapped[str] = mapped_column(String(43), primary_key=True)
    person: Mapped[str] = mapped_column(String(64))
    made_by: Mapped[str] = mapped_column(String(64))
    expires: Mapped[int] = mapped_column(BigInteger)
    used: Mapped[int | None] = mapped_column(BigInteger)
    used_kid: Mapped[str | None] = mapped_column(String(43))
    used_device: Mapped[str | None] = mapped_column(String(43))


class Device(Base):
    """A phone: the key that opens sessions for it, and the person's signing key that came with it."""

    __tablename__ = "devices"
    id: Mapped[str] = mapped_column(String(43), primary_key=True)
    jwk: Mapped[str] = mapped_column(Text)
    name: Mapped[str] = mapped_column(String(200))
    person: Mapped[str] = mapped_column(String(64))
    kid: Mapped[str] = mapped_column(ForeignKey("keys.kid"))
    enrolled: Mapped[int] = mapped_column(BigInteger)
    closed: Mapped[int | None] = mapped_column(BigInteger)


class Session(Base):
    """A bearer token; only its hash is kept."""

    __tablename__ = "sessions"
    hash: Mapped[str] = mapped_column(String(43), primary_key=True)
    device: Mapped[str] = mapped_column(ForeignKey("devices.id"), index=True)
    expires: Mapped[int] = mapped_column(BigInteger, index=True)


class SpentNonce(Base):
    """A challenge that has been answered: it cannot be answered again."""

    __tablename__ = "spent_nonces"
    nonce: Mapped[str] = mapped_column(String(120), primary_key=True)
    expires: Mapped[int] = mapped_column(BigInteger, index=True)


class Tries(Base):
    """Refused tries of one address in one stretch of time."""

    __tablename__ = "tries"
    address: Mapped[str] = mapped_column(String(64), primary_key=True)
    stretch: Mapped[int] = mapped_column(BigInteger, primary_key=True)
    refused: Mapped[int] = mapped_column(Integer)


class Blob(Base):
    """A photo or a recording, by the SHA-256 of its bytes; the bytes are a file in the data folder."""

    __tablename__ = "blobs"
    digest: Mapped[str] = mapped_column(String(43), primary_key=True)
    type: Mapped[str] = mapped_column(String(64))
    size: Mapped[int] = mapped_column(BigInteger)
    person: Mapped[str] = mapped_column(String(64))
    received: Mapped[int] = mapped_column(BigInteger)


class Procedure(Base):
    """A published version: the exact bytes of its file, under their digest. Never changed."""

    __tablename__ = "procedures"
    digest: Mapped[str] = mapped_column(String(43), primary_key=True)
    procedure: Mapped[str] = mapped_column(String(64))
    version: Mapped[str] = mapped_column(String(64))
    title: Mapped[str] = mapped_column(String(400))
    text: Mapped[bytes] = mapped_column(LargeBinary)
    published: Mapped[int] = mapped_column(BigInteger)
    __table_args__ = (UniqueConstraint("procedure", "version"),)


def set_up_sqlite(engine: Engine) -> None:
    """WAL lets readers read while one writes; synchronous FULL makes a commit outlive a power cut."""
    if engine.dialect.name != "sqlite":
        return

    @event.listens_for(engine, "connect")
    def connect(connection: Any, _record: Any) -> None:
        cursor = connection.cursor()
        cursor.execute("PRAGMA busy_timeout = 15000")
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.close()
