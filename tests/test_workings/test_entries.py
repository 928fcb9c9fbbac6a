"""The form of an entry: what is read, what is refused, and that the documentation tells the same."""

import base64
import json
import re
from pathlib import Path

import pytest
from crew import fake_jws, fake_key
from hypothesis import given
from hypothesis import strategies as st
from workings import entries as form
from workings import strict_json
from workings.errors import WorkingError

KID = fake_key("somebody")[1]
README = Path(form.__file__).with_name("README.md")


def payload(**changes):
    made = {"kind": "note", "about": "card:c1", "number": 3, "number_here": 2, "before": [], "register": [],
            "at": "2031-05-04T08:00:00Z", "version": KID, "body": {"text": "a fine day"}}
    made.update(changes)
    return made


def sign_off(runs):
    return {"hold": "h", "lists": [{"key": KID, "runs": runs, "hashes": []}], "digest": KID, "content": KID}


def header(**changes):
    return json.dumps({"alg": "ES256", "kid": KID, "typ": "trammel-entry", **changes}, separators=(",", ":"))


def raw(text, head=None, signature=b"\x01" * 64):
    head = form.header_text(KID) if head is None else head
    return ".".join([form.b64(head.encode()), form.b64(text.encode()), form.b64(signature)])


def test_an_entry_is_read_as_it_was_written():
    jws = fake_jws(form.signing_input(KID, payload()))
    entry = form.take_apart(jws)
    assert (entry.kind, entry.about, entry.thing) == ("note", "card:c1", "card")
    assert (entry.number, entry.number_here) == (3, 2)
    assert entry.hash == form.sha(jws.rsplit(".", 1)[0]) and entry.jws == jws and entry.kid == KID
    kept = form.read_kept(entry.hash, KID, payload())
    for name in ("kind", "about", "before", "register", "at", "version", "body"):
        assert getattr(kept, name) == getattr(entry, name)


@pytest.mark.parametrize("changes", [
    {"number": 0}, {"number": True}, {"number_here": "2"}, {"before": ["x"]},
    {"before": [KID, KID]}, {"before": [form.sha(str(n)) for n in range(65)]}, {"at": "yesterday"},
    {"at": "2031-05-04 08:00:00Z"}, {"about": "card:"}, {"about": "card:a b"}, {"about": "register:x"},
    {"about": "boat:c1"}, {"kind": "opinion"}, {"version": "1"}, {"body": {}}, {"body": {"text": ""}},
    {"body": {"text": "x", "loud": "yes"}}, {"body": []}, {"extra": 1}, {"kind": "key"},
    {"kind": "doubt", "body": {"why": "x"}}, {"kind": "doubt", "body": {"why": "x", "name": "a", "gauge": "b"}},
    {"kind": "sign-off", "body": sign_off("3-1")}, {"kind": "sign-off", "body": sign_off("1-2000000000")},
])
def test_what_has_not_the_form_is_refused_by_name(changes):
    with pytest.raises(WorkingError) as caught:
        form.signing_input(KID, payload(**changes))
    assert caught.value.input == "entry" and "cannot be read" in caught.value.message


@pytest.mark.parametrize("jws", [
    "", "a.b", "a.b.c.d", "!.b.c", "\x00", "x" * 70000,
    raw(strict_json.write(payload()), header(alg="none")), raw(strict_json.write(payload()), header() + " "),
    raw(strict_json.write(payload()), header(typ="trammel-session")), raw(strict_json.write(payload()), header(x="y")),
    raw(strict_json.write(payload()), signature=b"\x01" * 63),
    raw(strict_json.write(payload()), signature=b"\x01" * 32 + b"\xff" * 32),
    raw(strict_json.write(payload()), signature=b"\x00" * 64),
    raw('{"kind":"note","kind":"note"}'), raw("[]"), raw("1e3"), raw('{"a":1.5}'), raw("{" * 5000),
    raw(strict_json.write(payload())) + "=", fake_jws(form.signing_input(KID, payload())).replace(".", ". ", 1),
])
def test_what_cannot_be_trusted_as_an_entry_is_refused(jws):
    with pytest.raises(WorkingError) as caught:
        form.take_apart(jws)
    assert caught.value.input == "entry"


@given(st.binary(max_size=200))
def test_base64url_is_that_of_the_standard_library(data):
    """Reference: Python's base64 module, RFC 4648 section 5."""
    text = base64.urlsafe_b64encode(data).decode().rstrip("=")
    assert form.b64(data) == text and form.unb64(text) == data


@pytest.mark.parametrize("text", ["A", "AAAAA", "AA==", "A+", "A/", "é", "A A", "AB", "AAB", "AAAAAB"])
def test_base64url_has_one_form_only(text):
    with pytest.raises(WorkingError):
        form.unb64(text)


@given(st.sets(st.integers(1, 300)))
def test_runs_are_read_back_as_they_were_written(numbers):
    runs = form.read_runs(form.write_runs(numbers))
    assert {n for a, b in runs for n in range(a, b + 1)} == numbers


@pytest.mark.parametrize("text", ["0", "1,2", "2-1", "1-", "-1", "01", "1,,3", "a", "1-2-3", "5,3", "1-3,4"])
def test_runs_have_one_form_only(text):
    with pytest.raises(WorkingError):
        form.read_runs(text)


@given(st.text(max_size=300))
def test_nothing_that_is_typed_at_it_makes_the_reader_fall_over(text):
    with pytest.raises(WorkingError):
        form.take_apart(text)


def test_the_table_of_kinds_is_that_of_the_code():
    told = {}
    for thing, kind, body in re.findall(r"^\| (\w+) \| ([\w-]+) \| (.+) \|$", README.read_text(), re.M):
        if thing in form.KINDS:
            told.setdefault(thing, {})[kind] = body
    assert {t: tuple(sorted(k)) for t, k in told.items()} == form.KINDS
    for thing, kinds in form._BODIES.items():
        for kind, fields in kinds.items():
            plain = re.sub(r"\([^)]*\)", lambda m: m.group(0) if "?" in m.group(0) else "", told[thing][kind])
            for name, what in fields.items():
                mark = r"\?" if what.endswith("?") else r"(?!\?)"
                assert re.search(rf"\b{name}\b{mark}", plain), (thing, kind, name)


def test_the_thumbprint_is_that_of_rfc_7638():
    from joserfc.jwk import ECKey
    key = ECKey.generate_key("P-256")
    assert form.thumbprint(key.as_dict(private=False)) == key.thumbprint()
