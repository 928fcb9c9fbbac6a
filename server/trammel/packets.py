"""The packet: a job card on paper, blank to work from or filled with all that is known of it.

What stands on its pages is asked of the workings (packet_pages.py), as the phone asks for its screens; here it
is set and made a PDF. The same card gives the same bytes: nothing of the clock or of chance goes into them.
"""

from __future__ import annotations

import hashlib
import json
import re
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import urljoin

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape
from weasyprint import HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher
from workings.errors import WorkingError

from trammel import packet_pages

KINDS = ("blank", "filled")
PAPERS = ("A4", "Letter")
TEMPLATES = Path(__file__).resolve().parent / "templates" / "packet"
SIGNAL_WORDS = {"stop": "Stop", "clear": "Clear", "waiting": "Waiting", "lapsed": "Lapsed"}
FRACTION = re.compile(r"(?<![\d/.,])(?:(\d+) )?(\d{1,3})/(\d{1,3})(?![\d/])")


def make(book: Any, card_id: str, kind: str = "filled", paper: str = "A4", base_url: str | None = None) -> bytes:
    """The packet of a card as PDF. base_url: where phones find the shop, for the code on the cover; without it
    the code names the card alone. WorkingError for a card that is not here or waits for its procedure."""
    _one_of("kind", kind, KINDS)
    _one_of("paper", paper, PAPERS)
    return pdf(packet_pages.of_card(book, card_id, kind == "blank", base_url), paper)


def make_blank(
    procedure: Any, positions: list[str] | None = None, paper: str = "A4", vocabulary: str = "american"
) -> bytes:
    """A blank packet of a procedure (as workings.procedure reads it) that no card was opened for yet.

    positions: what to call each copy of the repeated sections; without it there is one copy with a line to
    write its name on.
    """
    _one_of("paper", paper, PAPERS)
    return pdf(packet_pages.of_procedure(procedure, positions, vocabulary), paper)


def _one_of(name: str, value: str, known: tuple[str, ...]) -> None:
    if value not in known:
        raise WorkingError(name, str(value)[:40], " or ".join(known))


# --- setting -----------------------------------------------------------------------------------------


def when(at: str) -> str:
    """2031-05-04T08:02:36Z as a person writes it; packets tell times in UTC, as the entries do."""
    then = datetime.fromisoformat(at.replace("Z", "+00:00"))
    return f"{then.day} {then:%b %Y %H:%M}"


def fractions(text: object) -> Markup:
    """A text in which every fraction is set as one: 3 5/16 with its sixteenths raised and lowered."""

    def drawn(found: re.Match[str]) -> str:
        whole = f"{found[1]}&thinsp;" if found[1] else ""
        over, under = f'<span class="over">{found[2]}</span>', f'<span class="under">{found[3]}</span>'
        return f'<span class="n">{whole}{over}⁄{under}</span>'

    return Markup(FRACTION.sub(drawn, str(escape(text))))


def breakable(address: str) -> Markup:
    """An address that may go on in the next line after each of its signs."""
    return Markup(re.sub(r"([/:.#-])(?=[^/])", r"\1<wbr>", str(escape(address))))


@cache
def _templates() -> Environment:
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    made.filters.update(when=when, fractions=fractions, breakable=breakable)
    signs = json.loads((TEMPLATES / "signs.json").read_text(encoding="utf-8"))
    made.globals.update({key: signs[key] for key in ("pictograms", "prohibitions", "placed")})
    made.globals["signal_words"] = SIGNAL_WORDS
    return made


class OnlyOurs(URLFetcher):  # type: ignore[misc]
    """Reads the packet's own typefaces and nothing else: no text of a card makes the server fetch anything."""

    def fetch(self, url: str, headers: Any = None) -> Any:
        if not url.startswith((TEMPLATES / "fonts").as_uri() + "/"):
            raise ValueError(f"A packet is made of its own files alone, and not of {url[:80]}.")
        return super().fetch(url, headers)


def html(pages: dict[str, Any], paper: str) -> str:
    """The packet as one HTML text."""
    # Not a template of HTML: a style sheet takes nothing but the paper.
    style = (TEMPLATES / "packet.css").read_text(encoding="utf-8").replace("{{ paper }}", paper)
    return _templates().get_template("packet.html").render(style=Markup(style), **pages)


def pdf(pages: dict[str, Any], paper: str) -> bytes:
    text = html(pages, paper)
    document = HTML(string=text, base_url=urljoin(TEMPLATES.as_uri() + "/", "packet.html"), url_fetcher=OnlyOurs())
    made: bytes = document.write_pdf(
        font_config=FontConfiguration(),
        pdf_variant="pdf/ua-1",
        # The name of the file inside the PDF; one of chance would make every copy another.
        pdf_identifier=hashlib.sha256(text.encode("utf-8")).digest()[:16],
    )
    return made
