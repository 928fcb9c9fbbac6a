"""Books for blank packets: of a card before any work on it, and of a procedure that has no card at all.

A blank shows the engine's data and nothing that was read, so the card is folded anew without the rest. No rule
stands here: what is left out decides, and the fold does what it always does.
"""

from __future__ import annotations

from typing import Any

from workings import entries as form
from workings.book import Book

# What makes the road of a card and not the work on it.
KEPT = ("opening", "position-added", "move", "trial-attached")
AT = "2000-01-01T00:00:00Z"


def blank_book(book: Any, card_id: str) -> Any:
    """A book in which the card has its opening and the data that stand, and nothing else."""
    card = book.card(card_id)
    kept = {e.hash: e for e in card.lines if e.kind in KEPT and card.counts(e)}
    for key, stands in card.standing.items():
        if card.procedure.names[key[0]]["kind"] == "data":
            for e in [stands.entry] if stands.entry is not None else stands.heads:
                kept[e.hash] = e
    out = Book(book.root)
    out.procedures = book.procedures
    out.lines = {about: lines for about, lines in book.lines.items() if not about.startswith("card:")}
    out.lines[f"card:{card_id}"] = kept
    return out


def specimen_book(procedure: Any, positions: list[str] | None, vocabulary: str) -> tuple[Any, str]:
    """A book with a card that nobody opened, of this procedure: (book, card id). Nothing in it is signed, and
    nothing of it is printed but its road and its words."""
    keys = {name: {"kty": "EC", "crv": "P-256", "x": form.sha(name), "y": form.sha(name)} for name in ("root", "lead")}
    kids = {name: form.thumbprint(key) for name, key in keys.items()}
    book = Book(kids["root"])
    book.procedures = {procedure.digest: procedure}
    numbers = {"root": 0, "lead": 0}
    last: dict[str, list[str]] = {"register": []}

    def write(who: str, about: str, kind: str, body: dict[str, Any], version: str | None = None) -> None:
        numbers[who] += 1
        payload = {
            "kind": kind,
            "about": about,
            "number": numbers[who],
            "number_here": numbers[who],
            "before": last.get(about, []),
            "register": [] if about == "register" else last["register"],
            "at": AT,
            "body": body,
        }
        if version is not None:
            payload["version"] = version
        e = form.unsigned(kids[who], payload, form.signing_input(kids[who], payload))
        book.lines.setdefault(about, {})[e.hash] = e
        last[about] = [e.hash]

    write("root", "register", "key", {"key": keys["root"], "person": "root", "device": "specimen"})
    write("root", "register", "person", {"person": "lead", "name": "lead"})
    write("root", "register", "role-given", {"person": "lead", "role": "lead"})
    write("root", "register", "key", {"key": keys["lead"], "person": "lead", "device": "specimen"})
    places = []
    if procedure.repeats:
        named = positions or ["________________"]
        places = [{"id": f"copy-{n}", "label": label} for n, label in enumerate(named, 1)]
    card = "specimen"
    opening = {"engine": "engine", "procedure": procedure.id, "title": procedure.id, "positions": places}
    write("lead", f"card:{card}", "opening", opening, procedure.digest)
    if "vocabulary" in procedure.names:
        body = {"name": "vocabulary", "text": vocabulary, "unit": "", "origin": "the engine's data sheet"}
        write("lead", f"card:{card}", "data-value", body, procedure.digest)
    return book, card
