"""Enrolment by one-time code: ten minutes, one use, both keys proved; nothing half done."""

import pytest
from handset import Handset
from sqlalchemy import select
from trammel import log, people, signing
from trammel.models import Device, EnrolmentCode, db
from workings import entries as form

TEN_MINUTES = 600


def refusal(answer):
    return answer.status_code, answer.json["error"]["code"]


def test_an_enrolment_writes_the_key_into_the_register_and_opens_a_session(app, code_for):
    phone = Handset(app.test_client(), "Ada's phone")
    answer = phone.enrol(code_for("Ada Finch", "mechanic", "lead"))
    lines = [form.take_apart(jws) for jws in answer["entries"]]
    assert [(line.kind, line.number, line.number_here) for line in lines] == [
        ("key", 1, 1), ("person", 2, 2), ("role-given", 3, 3), ("role-given", 4, 4), ("key", 5, 5),
    ]  # fmt: skip
    assert {line.kid for line in lines} == {answer["root"]}
    assert lines[0].body["person"] == "root" and signing.thumbprint(lines[0].body["key"]) == answer["root"]
    assert lines[-1].body == {"key": phone.jwk, "person": "ada-finch", "device": "Ada's phone"}
    # Each line stands on the one before it, so that whoever holds the last knows them all.
    assert [line.before for line in lines] == [[], *[[line.hash] for line in lines[:-1]]]
    assert all(signing.verify(lines[0].body["key"], line.jws) for line in lines)
    assert (answer["person"], answer["name"]) == ("ada-finch", "Ada Finch")
    assert phone.pull()["last"] == len(lines)


@pytest.mark.parametrize("written", ["abcde-fghjk", " ABCDE FGHJK ", "ABCDEFGHJK"])
def test_a_code_is_read_as_people_write_it(written):
    assert people.plain_code(written) == "ABCDEFGHJK"


def test_letters_that_no_code_holds_are_read_as_the_figures_they_were():
    assert people.plain_code("oIl-OiL") == "011011"


def test_a_code_works_once(app, code_for):
    code = code_for()
    Handset(app.test_client()).enrol(code)
    answer = app.test_client().post("/api/enrol", json=Handset(None).request(code))
    assert refusal(answer) == (403, "code-refused")
    assert "used" in answer.json["error"]["message"]


def test_a_code_ends_after_ten_minutes(app, clock, code_for):
    code = code_for()
    phone = Handset(app.test_client())
    clock.forward(TEN_MINUTES)
    answer = app.test_client().post("/api/enrol", json=phone.request(code))
    assert refusal(answer) == (403, "code-refused")
    assert "too old" in answer.json["error"]["message"]
    clock.forward(-1)
    phone.enrol(code)


def test_the_same_phone_asking_again_gets_the_same_answer_and_the_register_one_key(app, clock, code_for):
    # The first answer was lost on the way; the phone sends the very same request again.
    phone, code = Handset(app.test_client()), code_for()
    request = phone.request(code)
    first = app.test_client().post("/api/enrol", json=request).json
    clock.forward(TEN_MINUTES + 1)
    second = app.test_client().post("/api/enrol", json=request)
    assert second.status_code == 200
    assert second.json["entries"] == first["entries"]
    assert second.json["session"]["token"] != first["session"]["token"]
    clock.forward(people.REPEATED_SECONDS)
    assert refusal(app.test_client().post("/api/enrol", json=request)) == (403, "code-refused")


def test_a_refused_enrolment_leaves_nothing_behind_and_the_code_good(app, client, code_for, monkeypatch):
    code, phone = code_for(), Handset(app.test_client())
    with app.app_context():
        last = log.state().last

    def fails(*_arguments):
        raise RuntimeError("the power went")

    with monkeypatch.context() as broken:
        broken.setattr(people.sessions, "begin", fails)
        assert client.post("/api/enrol", json=phone.request(code)).status_code == 500
    with app.app_context():
        assert log.state().last == last
        assert db.session.execute(select(Device)).first() is None
    phone.enrol(code)


@pytest.mark.parametrize(
    ("how", "status", "code"),
    [
        ("proof by another key", 401, "proof-refused"),
        ("proof under another typ", 401, "proof-refused"),
        ("device proof by another key", 401, "proof-refused"),
        ("proof over another code", 401, "proof-refused"),
        ("one key for both", 422, "not-accepted"),
        ("a key off the curve", 422, "not-accepted"),
        ("a private key", 422, "not-accepted"),
        ("a nameless phone", 422, "not-accepted"),
        ("a proof with more in it", 422, "not-accepted"),
        ("a code that is not known", 403, "code-refused"),
    ],
)
def test_an_enrolment_that_proves_nothing_is_refused(client, code_for, how, status, code):
    good = code_for()
    phone, other = Handset(client), Handset(client)
    own = {"code": good, "device_key": phone.device_jwk, "device": "phone"}

    def over(payload, key=phone.key, typ="trammel-enrol"):
        return signing.make(key, typ, payload)

    twice = Handset(client)
    twice.device_key, twice.device_jwk = twice.key, twice.jwk
    asked = {
        "proof by another key": lambda: phone.request(good, proof=over(own, other.key)),
        "proof under another typ": lambda: phone.request(good, proof=over(own, typ="trammel-entry")),
        "device proof by another key": lambda: phone.request(
            good, device_proof=over({"code": good}, other.device_key, "trammel-device")
        ),
        "proof over another code": lambda: phone.request(good, proof=over({**own, "code": "AAAAA-AAAAA"})),
        "one key for both": lambda: twice.request(good),
        "a key off the curve": lambda: phone.request(good, key={**phone.jwk, "y": "A" * 43}),
        "a private key": lambda: phone.request(good, key={**phone.jwk, "d": "A" * 43}),
        "a nameless phone": lambda: phone.request(good, proof=over({**own, "device": ""})),
        "a proof with more in it": lambda: phone.request(good, proof=over({**own, "more": 1})),
        "a code that is not known": lambda: phone.request("AAAAA-AAAAA"),
    }[how]()
    assert refusal(client.post("/api/enrol", json=asked)) == (status, code)
    phone.enrol(good)


def test_a_key_of_somebody_else_is_not_taken_twice(app, code_for):
    ada = Handset(app.test_client())
    ada.enrol(code_for("Ada Finch"))
    thief = Handset(app.test_client())
    thief.key, thief.jwk, thief.kid = ada.key, ada.jwk, ada.kid
    answer = app.test_client().post("/api/enrol", json=thief.request(code_for("Ben Holt")))
    assert refusal(answer) == (409, "conflict")


def test_two_people_of_one_name_are_two(app, code_for):
    one, two = Handset(app.test_client()), Handset(app.test_client())
    assert one.enrol(code_for("Ada Finch"))["person"] == "ada-finch"
    assert two.enrol(code_for("Ada Finch"))["person"] == "ada-finch-2"


def test_guessing_codes_is_stopped_and_said_with_a_time(app, settings, clock, code_for):
    client, good = app.test_client(), code_for()
    for _ in range(settings.refused_tries):
        assert client.post("/api/enrol", json=Handset(None).request("AAAAA-AAAAA")).status_code == 403
    answer = client.post("/api/enrol", json=Handset(None).request(good))
    assert refusal(answer) == (429, "too-many-tries")
    wait = int(answer.headers["Retry-After"])
    assert 0 < wait <= TEN_MINUTES
    # Another address is not held up, and this one only for a while.
    elsewhere = {"REMOTE_ADDR": "192.0.2.7"}
    there = client.post("/api/enrol", json=Handset(None).request("AAAAA-AAAAA"), environ_base=elsewhere)
    assert there.status_code == 403
    clock.forward(wait)
    assert client.post("/api/enrol", json=Handset(None).request("AAAAA-AAAAA")).status_code == 403


def test_a_crew_that_enrols_behind_one_address_is_never_held_up(settings, enrolled):
    for number in range(settings.refused_tries + 3):
        enrolled(f"Mechanic {number}")


def test_codes_and_tokens_are_kept_as_hashes_only(app, settings, code_for):
    code = code_for()
    phone = Handset(app.test_client())
    with app.app_context():
        assert db.session.scalar(select(EnrolmentCode.hash)) not in (code, people.plain_code(code))
    phone.enrol(code)
    with app.app_context():
        db.session.close()
    files = b"".join(path.read_bytes() for path in settings.data.glob("trammel.sqlite*"))
    assert phone.token.encode() not in files
    assert people.plain_code(code).encode() not in files and code.encode() not in files
