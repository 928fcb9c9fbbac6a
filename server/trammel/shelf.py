"""Books for the server: one kept up to date from the log, and small ones for long work on one card.

The log is read after the position last taken, as a phone does it; a new epoch begins anew.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from flask import Flask, current_app
from sqlalchemy import or_, select
from workings.book import Book

from trammel import log, procedures
from trammel.models import Entry, db


class Shelf:
    """Holds the book of this process. One thread reads it at a time: folding fills what it keeps."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.epoch = ""
        self.last = 0
        self.book: Any = None

    @contextmanager
    def open(self) -> Iterator[Any]:
        """The book with everything that the log holds now."""
        with self.lock:
            self._catch_up()
            yield self.book

    def _catch_up(self) -> None:
        state = log.state()
        if state.epoch != self.epoch:
            self.book, self.epoch, self.last = Book(state.root), state.epoch, 0
        while rows := log.pull(self.last, log.MOST_IN_A_PULL):
            for row in rows:
                self.book.take(row.jws)
            self.last = rows[-1].position
        take_procedures(self.book)


def install(app: Flask) -> None:
    app.extensions["trammel.shelf"] = Shelf()


def open_book() -> Any:
    shelf: Shelf = current_app.extensions["trammel.shelf"]
    return shelf.open()


def book_of(card: str) -> Any:
    """A book of its own with one card, the engines, the gauges and the register: a packet may take long
    over it and keeps nobody waiting."""
    book = Book(log.state().root)
    wanted = or_(Entry.about.in_(["register", "gauges", f"card:{card}"]), Entry.about.startswith("engine:"))
    for jws in db.session.scalars(select(Entry.jws).where(wanted).order_by(Entry.position)):
        book.take(jws)
    take_procedures(book)
    return book


def take_procedures(book: Any) -> None:
    for digest in procedures.digests():
        if digest not in book.procedures:
            book.take_procedure(procedures.text(digest))
