"""The log: verify, append, read after a position. Nothing else writes entries.

An entry is refused only when it cannot be trusted as an entry (form, size, key, signature). Whether
it counts on its card is the fold's to say, never the log's.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select, update
from workings import entries as form
from workings.errors import WorkingError

from trammel import signing
from trammel.errors import SetUpError
from trammel.models import Entry, Key, Log, db

LARGEST_ENTRY = form.LARGEST_ENTRY
MOST_IN_A_PUSH = 200
MOST_IN_A_PULL = 500


@dataclass(frozen=True)
class Answer:
    """What became of one entry of a push. `appended` and `here` both mean: kept on this server's disk."""

    hash: str | None
    answer: str
    code: str | None = None
    message: str | None = None
    position: int | None = None


@contextmanager
def writing() -> Iterator[Connection]:
    """The one writer: holds the log's row until the commit at the end, which is the point where
    everything written inside is kept or, after any failure, nothing is."""
    # A request may have read something already; a writer begins with a view of its own.
    db.session.rollback()
    with db.engine.begin() as connection:
        # The first statement takes the lock, so what is read after it is what is there.
        if connection.execute(update(Log).where(Log.id == 1).values(last=Log.last)).rowcount != 1:
            raise SetUpError("log", "", "This database holds no shop yet; run `trammel init`.")
        yield connection


def begin(root: str) -> None:
    """The empty log of a new shop; does nothing where one is."""
    with db.engine.begin() as connection:
        if connection.execute(select(Log.id)).first() is None:
            connection.execute(insert(Log).values(id=1, epoch=new_epoch(), last=0, root=root))


def new_epoch() -> str:
    return secrets.token_urlsafe(16)


def renew_epoch() -> str:
    """After a restore: every phone pulls from nothing and pushes all that it holds."""
    epoch = new_epoch()
    with writing() as connection:
        connection.execute(update(Log).where(Log.id == 1).values(epoch=epoch))
    return epoch


def state() -> Any:
    """epoch, last, root."""
    row = db.session.execute(select(Log.epoch, Log.last, Log.root).where(Log.id == 1)).first()
    if row is None:
        raise SetUpError("log", "", "This database holds no shop yet; run `trammel init`.")
    return row


def push(pushed: Sequence[str], now: float) -> list[Answer]:
    """Verifies and appends in one transaction; the answers stand in the order of what was pushed."""
    with writing() as connection:
        return append(connection, pushed, now)


def append(connection: Connection, pushed: Sequence[str], now: float) -> list[Answer]:
    """As push, inside a transaction of `writing`.

    A key's register entry may come later in the push than what the key signed: entries whose key is
    not known are tried again for as long as others bring new keys.
    """
    answers: list[Answer | None] = [None] * len(pushed)
    read: dict[int, Any] = {}
    for index, jws in enumerate(pushed):
        if len(jws.encode("utf-8", "replace")) > LARGEST_ENTRY:
            answers[index] = Answer(
                None,
                "refused",
                "entry-too-large",
                f"An entry has at most {LARGEST_ENTRY} bytes; this one has {len(jws)} characters.",
            )
            continue
        try:
            read[index] = form.take_apart(jws)
        except WorkingError as error:
            answers[index] = Answer(None, "refused", "entry-form", error.message)

    here = _find(connection, [entry.hash for entry in read.values()])
    keys = _keys(connection, {entry.kid for entry in read.values()})
    head = connection.execute(select(Log.last, Log.root).where(Log.id == 1)).one()
    last, root = head.last, head.root
    waiting = sorted(read)
    progress = True
    while waiting and progress:
        progress = False
        for index in list(waiting):
            entry = read[index]
            known = here.get(entry.hash)
            if known is not None and known[1] == entry.jws:
                answers[index] = Answer(entry.hash, "here", position=known[0])
                waiting.remove(index)
                continue
            key = keys.get(entry.kid) or _own_root_key(entry, root)
            if key is None:
                continue
            waiting.remove(index)
            if not signing.verify_raw(key, entry.signing_input.encode("ascii"), entry.signature):
                answers[index] = Answer(
                    entry.hash, "refused", "entry-signature", "The signature of this entry is not its key's."
                )
                continue
            if known is not None:
                # Another good signature under the same content: the first one is kept.
                answers[index] = Answer(entry.hash, "here", position=known[0])
                continue
            new = _new_key(entry)
            if new is not None and not _on_the_curve(new):
                answers[index] = Answer(
                    entry.hash,
                    "refused",
                    "entry-form",
                    "The key in this register entry is not a point of P-256.",
                )
                continue
            last += 1
            _insert(connection, entry, last, now)
            here[entry.hash] = (last, entry.jws)
            answers[index] = Answer(entry.hash, "appended", position=last)
            progress = True
            if new is not None and _keep_key(connection, entry, new):
                keys[signing.thumbprint(new)] = new
    for index in waiting:
        answers[index] = Answer(
            read[index].hash,
            "refused",
            "entry-key-unknown",
            "The key of this entry is not in the crew register here; send its register entry first.",
        )
    connection.execute(update(Log).where(Log.id == 1).values(last=last))
    return [answer for answer in answers if answer is not None]


def pull(after: int, limit: int) -> list[Any]:
    """(position, jws) of the entries after a position, which itself is not among them."""
    query = (
        select(Entry.position, Entry.jws).where(Entry.position > after).order_by(Entry.position).limit(limit)
    )
    return list(db.session.execute(query))


def register(connection: Connection) -> list[Any]:
    """Every entry of the crew register, in the order of its arrival."""
    query = select(Entry.jws).where(Entry.about == "register").order_by(Entry.position)
    return [form.take_apart(jws) for jws in connection.scalars(query)]


def _find(connection: Connection, hashes: list[str]) -> dict[str, tuple[int, str]]:
    query = select(Entry.hash, Entry.position, Entry.jws).where(Entry.hash.in_(hashes))
    return {row.hash: (row.position, row.jws) for row in connection.execute(query)}


def _keys(connection: Connection, kids: set[str]) -> dict[str, signing.Jwk]:
    query = select(Key.kid, Key.jwk).where(Key.kid.in_(kids))
    return {row.kid: json.loads(row.jwk) for row in connection.execute(query)}


def _new_key(entry: Any) -> signing.Jwk | None:
    return entry.body["key"] if entry.thing == "register" and entry.kind == "key" else None


def _own_root_key(entry: Any, root: str) -> signing.Jwk | None:
    """The first line of the register brings the key that signed it; only the shop's own root may."""
    new = _new_key(entry)
    return new if new is not None and entry.kid == root == signing.thumbprint(new) else None


def _on_the_curve(key: signing.Jwk) -> bool:
    try:
        signing.public_key(key)
    except ValueError:
        return False
    return True


def _keep_key(connection: Connection, entry: Any, key: signing.Jwk) -> bool:
    """A key belongs to the person of its first register entry; whether that counts, the register says."""
    kid = signing.thumbprint(key)
    if connection.execute(select(Key.kid).where(Key.kid == kid)).first() is not None:
        return False
    connection.execute(
        insert(Key).values(
            kid=kid, jwk=json.dumps(key, sort_keys=True), person=entry.body["person"], entry=entry.hash
        )
    )
    return True


def _insert(connection: Connection, entry: Any, position: int, now: float) -> None:
    connection.execute(
        insert(Entry).values(
            position=position,
            hash=entry.hash,
            kid=entry.kid,
            number=entry.number,
            number_here=entry.number_here,
            about=entry.about,
            kind=entry.kind,
            jws=entry.jws,
            received=int(now),
        )
    )
