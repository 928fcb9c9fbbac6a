"""The log: what it takes, what it refuses, the order it gives, and that each entry is in it once."""

import json
import threading

import pytest
from handset import Handset
from sqlalchemy import select, text
from sqlalchemy.exc import DatabaseError
from trammel import log, signing
from trammel.models import Entry, db
from workings import entries as form


def rows(app):
    with app.app_context():
        return [
            tuple(row)
            for row in db.session.execute(select(Entry.position, Entry.hash).order_by(Entry.position))
        ]


def codes(answers):
    return [answer["code"] or answer["answer"] for answer in answers]


def resigned(phone, entry, header=None, payload=None, high=False):
    """The entry under another header or payload text, well signed all the same."""
    head, body, _ = entry.split(".")
    signing_input = (
        (signing.to_base64url(header) if header else head)
        + "."
        + (signing.to_base64url(payload) if payload else body)
    )
    jws = signing.sign(phone.key, signing_input)
    if not high:
        return jws
    raw = signing.from_base64url(jws.split(".")[2])
    s = signing.ORDER - int.from_bytes(raw[32:], "big")
    return signing_input + "." + signing.to_base64url(raw[:32] + s.to_bytes(32, "big"))


def test_an_entry_is_appended_once_however_often_it_is_pushed(app, phone):
    entry = phone.note()
    before = rows(app)
    first = phone.push(entry)[0]
    assert first["answer"] == "appended"
    assert codes(phone.push(entry, entry)) == ["here", "here"]
    assert phone.push(entry)[0]["position"] == first["position"]
    assert rows(app) == [*before, (first["position"], form.take_apart(entry).hash)]


def test_the_same_entry_twice_in_one_push_is_appended_once(app, phone):
    entry = phone.note()
    assert codes(phone.push(entry, entry)) == ["appended", "here"]


def test_the_bytes_are_kept_and_given_as_they_were_signed(phone):
    # A canonical writer would never put a space there; rebuilding the entry would lose it.
    entry = phone.note()
    payload = json.loads(signing.from_base64url(entry.split(".")[1]))
    spaced = resigned(phone, entry, payload=json.dumps(payload).encode())
    assert codes(phone.push(spaced)) == ["appended"]
    assert spaced in [line["jws"] for line in phone.pull()["entries"]]


def test_a_second_good_signature_under_the_same_content_is_here_and_the_first_is_kept(phone):
    entry = phone.note()
    phone.push(entry)
    again = resigned(phone, entry)
    assert again != entry
    assert codes(phone.push(again)) == ["here"]
    jws = [line["jws"] for line in phone.pull()["entries"]]
    assert entry in jws and again not in jws


def test_any_session_may_push_what_another_person_signed(enrolled):
    ada, ben = enrolled("Ada Finch"), enrolled("Ben Holt")
    entry = ada.note()
    assert codes(ben.push(entry)) == ["appended"]
    assert codes(ada.push(entry)) == ["here"]


def test_doubled_numbers_are_both_kept(phone):
    one, two = phone.note("one", number=7), phone.note("two", number=7)
    assert codes(phone.push(one, two)) == ["appended", "appended"]


def test_entries_whose_ground_has_not_arrived_are_appended_all_the_same(phone):
    first, second = phone.note("first"), phone.note("second")
    assert codes(phone.push(second)) == ["appended"]
    assert codes(phone.push(first)) == ["appended"]


def test_refused_entries_leave_the_others_of_the_push_alone(app, phone):
    good, other = phone.note("good"), phone.note("other")
    head, body, signature = other.split(".")
    bad = f"{head}.{body}.{signature[:-4]}AAAA"
    before = len(rows(app))
    assert codes(phone.push(bad, good, "nothing")) == ["entry-signature", "appended", "entry-form"]
    assert len(rows(app)) == before + 1


@pytest.mark.parametrize(
    ("how", "code"),
    [
        ("two parts", "entry-form"),
        ("padding", "entry-form"),
        ("stray bits", "entry-form"),
        ("high s", "entry-form"),
        ("another typ", "entry-form"),
        ("spaces in the header", "entry-form"),
        ("a float", "entry-form"),
        ("a name twice", "entry-form"),
        ("another kind", "entry-form"),
        ("not UTF-8", "entry-form"),
        ("too large", "entry-too-large"),
        ("a key never enrolled", "entry-key-unknown"),
        ("a changed payload", "entry-signature"),
        ("a signature of another key", "entry-signature"),
    ],
)
def test_what_cannot_be_trusted_as_an_entry_is_refused_by_code(app, phone, how, code):
    entry = phone.note()
    head, body, signature = entry.split(".")
    payload = signing.from_base64url(body)
    header = signing.from_base64url(head)
    stray = signature[:-1] + chr(ord(signature[-1]) + 1)
    stranger = Handset(None)
    stranger.register = phone.register
    made = {
        "two parts": lambda: f"{head}.{body}",
        "padding": lambda: f"{head}.{body}.{signature}==",
        "stray bits": lambda: f"{head}.{body}.{stray}",
        "high s": lambda: resigned(phone, entry, high=True),
        "another typ": lambda: resigned(
            phone, entry, header=header.replace(b"trammel-entry", b"trammel-other")
        ),
        "spaces in the header": lambda: resigned(phone, entry, header=header.replace(b",", b", ")),
        "a float": lambda: resigned(phone, entry, payload=payload.replace(b'"number":1', b'"number":1.0')),
        "a name twice": lambda: resigned(phone, entry, payload=payload[:-1] + b',"kind":"note"}'),
        "another kind": lambda: resigned(
            phone, entry, payload=payload.replace(b'"kind":"note"', b'"kind":"nota"')
        ),
        "not UTF-8": lambda: resigned(phone, entry, payload=payload.replace(b"wedges", b"wedg\xff\xff")),
        "too large": lambda: "A" * (form.LARGEST_ENTRY + 1),
        "a key never enrolled": stranger.note,
        "a changed payload": lambda: (
            f"{head}.{signing.to_base64url(payload.replace(b'oiled', b'dried'))}.{signature}"
        ),
        "a signature of another key": lambda: signing.sign(stranger.key, f"{head}.{body}"),
    }[how]()
    before = rows(app)
    answer = phone.push(made)[0]
    assert answer["answer"] == "refused"
    assert answer["code"] == code
    assert answer["message"].endswith(".")
    assert rows(app) == before


def test_a_key_and_what_it_signed_may_come_in_one_push_in_any_order(enrolled):
    lead, new = enrolled("Lena Ward", "lead"), Handset(None)
    new.register = lead.register
    key = lead.entry("key", {"key": new.jwk, "person": "lena-ward", "device": "second"}, about="register")
    # The new key brings in a third one, whose entry stands before both in the push.
    third = Handset(None)
    third.register = lead.register
    key_of_third = new.entry(
        "key", {"key": third.jwk, "person": "lena-ward", "device": "third"}, about="register"
    )
    answers = lead.push(third.note(), key_of_third, new.note(), key)
    assert codes(answers) == ["appended"] * 4


def test_a_root_key_of_another_shop_is_refused(phone):
    other = Handset(None)
    own = other.entry("key", {"key": other.jwk, "person": "root", "device": "set-up"}, about="register")
    assert codes(phone.push(own)) == ["entry-key-unknown"]


def test_a_point_off_the_curve_is_no_key(enrolled):
    lead = enrolled("Lena Ward", "lead")
    bad = {**Handset(None).jwk, "y": "A" * 43}
    entry = lead.entry("key", {"key": bad, "person": "lena-ward", "device": "second"}, about="register")
    assert codes(lead.push(entry)) == ["entry-form"]


def test_pull_positions_are_exclusive_and_in_order(phone):
    phone.push(*[phone.note(f"note {n}") for n in range(5)])
    everything = phone.pull()
    positions = [line["position"] for line in everything["entries"]]
    assert positions == list(range(1, len(positions) + 1))
    assert everything["last"] == positions[-1] and everything["more"] is False
    after = phone.pull(after=positions[2])
    assert [line["position"] for line in after["entries"]] == positions[3:]
    assert phone.pull(after=positions[-1])["entries"] == []
    assert phone.pull(after=positions[-1])["last"] == positions[-1]


def test_a_pull_in_pieces_gives_every_entry_once(phone):
    phone.push(*[phone.note(f"note {n}") for n in range(7)])
    found, after, more = [], 0, True
    while more:
        piece = phone.pull(after=after, limit=3)
        assert len(piece["entries"]) <= 3
        found += [line["position"] for line in piece["entries"]]
        after, more = piece["last"], piece["more"]
    assert found == [line["position"] for line in phone.pull()["entries"]]


def test_a_pull_under_another_epoch_begins_from_nothing(app, phone):
    phone.push(phone.note())
    old = phone.pull()
    with app.app_context():
        epoch = log.renew_epoch()
    assert epoch != old["epoch"]
    new = phone.pull(after=old["last"], epoch=old["epoch"])
    assert new["epoch"] == epoch
    assert new["entries"] == old["entries"]
    assert phone.pull(after=new["last"], epoch=epoch)["entries"] == []


def test_after_a_loss_of_the_log_phones_bring_everything_back(app, phone):
    phone.push(phone.note("kept on the phone"))
    held = [line["jws"] for line in phone.pull()["entries"]]
    # What a restore of an old copy leaves: the log without its end, under a new epoch.
    with app.app_context(), db.engine.begin() as connection:
        for guard in ("entries_no_update", "entries_no_delete"):
            connection.execute(text(f"DROP TRIGGER {guard}"))
        for table in ("sessions", "devices", "keys", "entries"):
            connection.execute(text(f"DELETE FROM {table}"))
        connection.execute(text("UPDATE log SET last = 0"))
    with app.app_context():
        answers = log.push(list(reversed(held)), 0)
    assert {answer.answer for answer in answers} == {"appended"}
    assert len(rows(app)) == len(held)


def test_pushes_at_once_get_positions_without_a_gap_or_a_double(app, enrolled):
    phones = [enrolled(name) for name in ("Ada Finch", "Ben Holt", "Cy Marsh")]
    batches = [[phone.note(f"note {n}") for n in range(8)] for phone in phones]
    failures = []

    def push(batch):
        try:
            with app.app_context():
                for entry in batch:
                    log.push([entry], 0)
        except Exception as problem:  # noqa: BLE001 - told to the test below
            failures.append(problem)

    threads = [threading.Thread(target=push, args=(batch,)) for batch in batches]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    positions = [position for position, _ in rows(app)]
    assert positions == list(range(1, len(positions) + 1))
    assert len(phones[0].pull()["entries"]) == len(positions)


def test_a_failure_in_the_middle_of_a_push_leaves_nothing_behind(app, phone, monkeypatch):
    before, entries = rows(app), [phone.note("one"), phone.note("two")]
    insert = log._insert
    count = []

    def fails_the_second_time(*arguments):
        count.append(1)
        if len(count) == 2:
            raise RuntimeError("the disk is full")
        insert(*arguments)

    monkeypatch.setattr(log, "_insert", fails_the_second_time)
    answer = phone.post("/api/entries", {"entries": entries})
    assert answer.status_code == 500
    assert answer.json["error"]["code"] == "server-fault"
    assert rows(app) == before
    monkeypatch.setattr(log, "_insert", insert)
    assert codes(phone.push(*entries)) == ["appended", "appended"]
    assert [position for position, _ in rows(app)] == list(range(1, len(before) + 3))


@pytest.mark.parametrize("statement", ["UPDATE entries SET jws = 'x'", "DELETE FROM entries"])
def test_the_database_itself_refuses_to_change_an_entry(app, phone, statement):
    with (
        app.app_context(),
        pytest.raises(DatabaseError, match="insert only"),
        db.engine.begin() as connection,
    ):
        connection.execute(text(statement))


def test_sqlite_flushes_every_commit_and_holds_foreign_keys(app):
    with app.app_context(), db.engine.connect() as connection:
        assert connection.scalar(text("PRAGMA journal_mode")) == "wal"
        assert connection.scalar(text("PRAGMA synchronous")) == 2
        assert connection.scalar(text("PRAGMA foreign_keys")) == 1


def test_a_gzipped_push_is_taken(phone):
    answer = phone.post("/api/entries", {"entries": [phone.note()]}, packed=True)
    assert codes(answer.json["answers"]) == ["appended"]
