"""Blueprint: cards as the workings fold them, and their packets. No rule stands here."""

from __future__ import annotations

from typing import Any

from flask import Response, g
from workings import hold_view, step_view, view
from workings import procedure as reader

from trammel import procedures, schemas, shelf
from trammel.errors import TrammelError
from trammel.parts import parts
from trammel.sessions import session_needed
from trammel.web import Blueprint

blueprint = Blueprint("cards", __name__, url_prefix="/api", description="Cards, folded from their entries.")
CARD = schemas.in_path("card", schemas.IDENTIFIER, "the card")
PLACE = schemas.in_path("place", schemas.PLACE, "STEP or STEP@POSITION")


@blueprint.route("/cards", methods=["GET"])
@session_needed
@blueprint.response(200, schemas.CardList)
@blueprint.may_fail(401)
def cards() -> Any:
    """Every card by engine; before them those whose signal waits for the person of this session."""
    return listed(g.who.person)


@blueprint.route("/cards/<card>", methods=["GET"], parameters=[CARD])
@session_needed
@blueprint.response(200, schemas.Frame)
@blueprint.may_fail(401, 404)
def frame(card: str) -> Any:
    """The frame of one card: its line of road, and where it stands."""
    with shelf.open_book() as book:
        known(book, card)
        return view.frame(book, card, g.who.person)


@blueprint.route("/cards/<card>/steps/<place>", methods=["GET"], parameters=[CARD, PLACE])
@session_needed
@blueprint.response(200, schemas.Place)
@blueprint.may_fail(401, 404)
def step(card: str, place: str) -> Any:
    """One step, hold point or witness point of a card, as STEP or STEP@POSITION."""
    with shelf.open_book() as book:
        known(book, card)
        kinds = {item["place"]: item["kind"] for item in view.frame(book, card)["line"]}
        if place not in kinds:
            raise TrammelError("not-found", f"The card {card} has no step {place[:80]}.", "place")
        shown = hold_view.hold if kinds[place] == "hold" else step_view.step
        return shown(book, card, place, g.who.person)


@blueprint.route("/packets", methods=["POST"])
@session_needed
@blueprint.arguments(schemas.PacketAsk)
@blueprint.response(
    200,
    {"type": "string", "format": "binary"},
    content_type="application/pdf",
    description="The packet as PDF.",
)
@blueprint.may_fail(400, 401, 404, 413, 415, 422)
def make_packet(asked: dict[str, str]) -> Response:
    """The packet of a card, blank to work from on paper or filled with all that is known."""
    pdf = packet(asked["card"], asked["kind"], asked["paper"])
    response = Response(pdf, mimetype="application/pdf")
    name = f"{asked['card']}-{asked['kind']}.pdf"
    response.headers.set("Content-Disposition", "attachment", filename=name)
    return response


def listed(person: str | None) -> Any:
    with shelf.open_book() as book:
        return view.listing(book, person)


def packet(card: str, kind: str, paper: str) -> bytes:
    book = shelf.book_of(card)
    known(book, card)
    # Typesetting is heavy to load, and most processes never print.
    from trammel import packets

    made: bytes = packets.make(book, card, kind, paper, parts().config.public_url)
    return made


def blank_packet(procedure: str, positions: list[str], paper: str) -> bytes:
    """A packet to work from where no card was opened yet: of a version by digest, or the newest of an id."""
    from trammel import packets

    lines = [line for line in procedures.lines() if procedure in (line["id"], line["digest"])]
    if not lines:
        raise TrammelError(
            "not-found",
            f"There is no procedure {procedure[:64]} here; `trammel procedure list` lists them.",
            "procedure",
        )
    source = procedures.text(lines[-1]["digest"]) or b""
    made: bytes = packets.make_blank(reader.read(source), positions or None, paper)
    return made


def known(book: Any, card: str) -> None:
    """A card that nothing was ever written about is none."""
    if card not in book.card_ids():
        raise TrammelError(
            "card-unknown", f"There is no card {card[:80]} here.", "card", "a card that was opened"
        )
