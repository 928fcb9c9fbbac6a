"""Cards as the server folds them: the same book as a phone's, filled from the log."""

import json
from pathlib import Path

import pytest
from handset import AT
from trammel import cards, log, procedures, shelf, signing
from workings import hold_view, step_view, view
from workings.book import Book

ROOT = Path(__file__).parents[2]
RODS = ROOT / "server" / "trammel" / "procedures" / "hang-side-rods.json"
ENGINE = json.loads((ROOT / "demo" / "data" / "engine.json").read_text("utf-8"))
CARD = ENGINE["card"]["id"]


@pytest.fixture
def rods(app):
    with app.app_context():
        return procedures.publish(RODS.read_bytes())[0]


class Mechanic:
    """A handset with a book: drafts with the workings, signs, pushes."""

    def __init__(self, handset):
        self.handset, self.book = handset, Book()
        self.pull()

    def pull(self):
        for line in self.handset.pull()["entries"]:
            self.book.take(line["jws"])
        for line in self.handset.get("/api/procedures").json:
            self.book.take_procedure(self.handset.get(f"/api/procedures/{line['digest']}").data)

    def say(self, about, kind, body, place=None):
        number = self.handset.number + 1
        made = self.book.draft(about, kind, self.handset.kid, number, AT, body, place)
        self.handset.number += len(made)
        entries = [signing.sign(self.handset.key, signing_input) for signing_input, _ in made]
        for jws in entries:
            self.book.take(jws)
        answers = self.handset.push(*entries)
        assert {answer["answer"] for answer in answers} == {"appended"}


@pytest.fixture
def lead(enrolled, rods):
    lead = Mechanic(enrolled("Lena Ward", "lead", "mechanic"))
    engine = f"engine:{ENGINE['engine']['id']}"
    lead.say(engine, "opening", {"name": ENGINE["engine"]["name"], "class": ENGINE["engine"]["class"]})
    for datum in ENGINE["data"]:
        body = {key: datum[key] for key in ("name", "position", "text", "unit") if key in datum}
        lead.say(engine, "data-value", body)
    opening = {"engine": ENGINE["engine"]["id"], "procedure": rods.digest, "title": ENGINE["card"]["title"],
               "positions": ENGINE["positions"]}  # fmt: skip
    lead.say(f"card:{CARD}", "opening", opening)
    return lead


def test_a_card_on_the_server_is_the_card_on_the_phone(lead):
    answer = lead.handset.get(f"/api/cards/{CARD}")
    assert answer.status_code == 200
    assert answer.json == json.loads(json.dumps(view.frame(lead.book, CARD, "lena-ward")))
    assert answer.json["title"] == ENGINE["card"]["title"]
    assert len(answer.json["line"]) > 20


def test_every_place_of_a_card_can_be_read(lead):
    for item in lead.handset.get(f"/api/cards/{CARD}").json["line"]:
        answer = lead.handset.get(f"/api/cards/{CARD}/steps/{item['place']}")
        assert answer.status_code == 200, item
        shown = hold_view.hold if item["kind"] == "hold" else step_view.step
        assert answer.json == json.loads(json.dumps(shown(lead.book, CARD, item["place"], "lena-ward")))


def test_a_place_that_the_card_does_not_have_is_404(lead):
    answer = lead.handset.get(f"/api/cards/{CARD}/steps/no-such-step@nowhere")
    assert (answer.status_code, answer.json["error"]["code"]) == (404, "not-found")


def test_cards_are_listed_by_engine(lead):
    listed = lead.handset.get("/api/cards").json
    assert [(engine["name"], [card["card"] for card in engine["cards"]]) for engine in listed["engines"]] == [
        (ENGINE["engine"]["name"], [CARD])
    ]


def test_what_is_pushed_is_folded_at_once_and_only_once(app, lead):
    lead.say(f"card:{CARD}", "note", {"text": "rails dry"})
    with app.app_context(), shelf.open_book() as book:
        assert len(book.about(f"card:{CARD}")) == len(lead.book.about(f"card:{CARD}"))
        book.marked = True
    with app.app_context(), shelf.open_book() as book:
        assert book.marked


def test_a_new_epoch_fills_the_book_anew(app, lead):
    before = lead.handset.get(f"/api/cards/{CARD}").json
    with app.app_context():
        with shelf.open_book() as book:
            book.marked = True
        log.renew_epoch()
        with shelf.open_book() as book:
            assert not hasattr(book, "marked")
    assert lead.handset.get(f"/api/cards/{CARD}").json == before


def test_a_book_of_one_card_folds_it_as_the_whole_book_does(app, lead):
    lead.handset.push(lead.handset.note(about="card:other", version=lead.book.card(CARD).version))
    with app.app_context():
        book = shelf.book_of(CARD)
    assert view.frame(book, CARD) == view.frame(lead.book, CARD)
    assert book.card_ids() == [CARD]


# --- procedures


def test_a_procedure_is_given_byte_for_byte_under_its_digest(phone, rods):
    listed = phone.get("/api/procedures").json
    assert [(line["id"], line["version"], line["digest"]) for line in listed] == [
        (rods.id, rods.version, rods.digest)
    ]
    assert "{" not in listed[0]["title"]
    got = phone.get(f"/api/procedures/{rods.digest}")
    assert got.data == RODS.read_bytes() and signing.digest(got.data) == rods.digest
    assert "immutable" in got.headers["Cache-Control"]


def test_publishing_the_same_again_changes_nothing(app, rods):
    with app.app_context():
        assert procedures.publish(RODS.read_bytes())[1] is False


def test_a_published_version_never_changes(app, rods):
    changed = RODS.read_bytes() + b"\n"
    with app.app_context(), pytest.raises(procedures.TrammelError) as caught:
        procedures.publish(changed)
    assert caught.value.code == "conflict"
    assert "new number" in caught.value.message


def test_a_procedure_with_an_error_is_not_published(app):
    with app.app_context(), pytest.raises(procedures.TrammelError) as caught:
        procedures.publish(b'{"format": "trammel-procedure/1"}')
    assert caught.value.code == "not-accepted"
    with app.app_context():
        assert procedures.lines() == []


def test_the_procedures_that_come_along_are_published_at_set_up(app, monkeypatch):
    monkeypatch.setattr(procedures, "PACKED", RODS.parent)
    with app.app_context():
        assert [made.id for made in procedures.seed()] == [
            path.stem for path in sorted(RODS.parent.glob("*.json"))
        ]
        assert procedures.seed() == []


def test_a_packed_file_changed_under_its_number_leaves_what_was_published(app, rods, tmp_path, monkeypatch):
    folder = tmp_path / "newer"
    folder.mkdir()
    (folder / RODS.name).write_bytes(RODS.read_bytes() + b"\n")
    monkeypatch.setattr(procedures, "PACKED", folder)
    with app.app_context():
        assert procedures.seed() == []
        assert procedures.digests() == [rods.digest]


# --- packets


def test_a_packet_comes_as_pdf(lead):
    answer = lead.handset.post("/api/packets", {"card": CARD, "kind": "filled", "paper": "Letter"})
    assert answer.status_code == 200, answer.text
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.data.startswith(b"%PDF-")
    assert f"{CARD}-filled.pdf" in answer.headers["Content-Disposition"]


def test_a_blank_packet_needs_no_card(app, rods):
    with app.app_context():
        assert cards.blank_packet(rods.id, ["Rod 2-3"], "A4").startswith(b"%PDF-")
        with pytest.raises(procedures.TrammelError, match="trammel procedure list"):
            cards.blank_packet("nothing", [], "A4")
