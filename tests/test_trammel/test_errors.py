"""One error shape with stable codes, on every way an answer can go wrong."""

import gzip
import json

import pytest
from trammel import config, errors, signing
from trammel.errors import CODES, ENTRY_CODES, SetUpError
from workings.errors import WorkingError


@pytest.fixture
def settings(tmp_path):
    return config.read({}, data=tmp_path / "shop", pwa=tmp_path / "pwa", body_limit=65536)


def check_shape(answer, status, code):
    assert answer.status_code == status, answer.text
    assert answer.headers["Content-Type"] == "application/json"
    assert list(answer.json) == ["error"]
    error = answer.json["error"]
    assert sorted(error) == ["accepted", "code", "input", "message"]
    assert error["code"] == code and CODES[code][0] == status
    assert error["message"].endswith(".") and error["message"] == error["message"].strip()
    return error


def json_post(client, path, data, **headers):
    return client.post(path, data=data, content_type="application/json", headers=headers)


@pytest.mark.parametrize(
    "path", ["/api/nothing", "/nothing", "/api", "/api/", "/assets/nothing.js", "/..%2fsecret"]
)
def test_nothing_there_is_404(client, path):
    check_shape(client.get(path), 404, "not-found")


@pytest.mark.parametrize(
    ("method", "path", "allow"),
    [
        ("DELETE", "/api/entries", "GET, HEAD, OPTIONS, POST"),
        ("GET", "/api/enrol", "OPTIONS, POST"),
        ("POST", "/api/health", "GET, HEAD, OPTIONS"),
        ("PATCH", f"/api/blobs/{'a' * 43}", "GET, HEAD, OPTIONS, PUT"),
        ("POST", "/", "GET, HEAD, OPTIONS"),
        ("PUT", "/api/openapi.json", "GET, HEAD, OPTIONS"),
    ],
)
def test_a_wrong_method_is_405_and_allow_names_the_right_ones(client, method, path, allow):
    answer = client.open(path, method=method)
    assert check_shape(answer, 405, "method-not-allowed")["accepted"] == allow
    assert answer.headers["Allow"] == allow


@pytest.mark.parametrize("data", [b"", b"{", b"nothing", b'{"code": "\xff"}', b"\x00"])
def test_what_is_not_json_is_400_or_422(client, data):
    answer = json_post(client, "/api/enrol", data)
    if data:
        check_shape(answer, 400, "bad-request")
    else:
        check_shape(answer, 422, "not-accepted")


@pytest.mark.parametrize(
    "type", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", None]
)
def test_another_type_than_json_is_415(client, type):
    error = check_shape(client.post("/api/session", data=b"{}", content_type=type), 415, "wrong-type")
    assert error["accepted"] == "application/json"


def test_a_missing_unknown_or_wrong_field_is_422_and_named(client, phone):
    def error(body, path="/api/session"):
        return check_shape(phone.post(path, body), 422, "not-accepted")

    assert error({})["input"] == "proof"
    assert error({"proof": "a.b.c", "more": 1})["input"] == "more"
    assert error({"proof": 1})["message"] == "proof: must be a text."
    assert error([])["input"] == "body"
    assert error({"entries": ["a", 2]}, "/api/entries")["input"] == "entries.1"
    assert error({"entries": ["a"] * 201}, "/api/entries")["message"].startswith(
        "entries: must be at most 200"
    )
    assert error({"card": "a b", "kind": "blank"}, "/api/packets")["input"] == "card"
    wrong = phone.get("/api/entries", query_string={"after": -1})
    assert check_shape(wrong, 422, "not-accepted")["input"] == "after"


def test_a_body_too_large_is_413(client, phone):
    big = json.dumps({"entries": ["x" * 70000]}).encode()
    check_shape(json_post(client, "/api/entries", big, **phone.headers), 413, "too-large")


def test_a_small_body_that_unpacks_without_end_is_413(client, phone):
    bomb = gzip.compress(b"[" * 10_000_000)
    assert len(bomb) < 65536
    answer = json_post(client, "/api/entries", bomb, **phone.headers, **{"Content-Encoding": "gzip"})
    check_shape(answer, 413, "too-large")


@pytest.mark.parametrize(
    ("encoding", "status", "code"), [("br", 415, "wrong-type"), ("gzip", 400, "bad-request")]
)
def test_a_body_in_another_packing_is_refused(client, phone, encoding, status, code):
    answer = json_post(
        client, "/api/entries", b"not packed", **phone.headers, **{"Content-Encoding": encoding}
    )
    check_shape(answer, status, code)


@pytest.mark.parametrize("end", [b"", b"more"])
def test_a_packed_body_cut_off_or_with_something_after_it_is_400(client, phone, end):
    packed = gzip.compress(b'{"entries": []}')
    packed = packed + end if end else packed[:-4]
    answer = json_post(client, "/api/entries", packed, **phone.headers, **{"Content-Encoding": "gzip"})
    check_shape(answer, 400, "bad-request")


def test_a_fault_is_500_without_its_inside(app, client, monkeypatch):
    def fault():
        raise RuntimeError("secret inside")

    app.view_functions["service.health"] = fault
    answer = client.get("/api/health")
    check_shape(answer, 500, "server-fault")
    assert "secret" not in answer.text


def test_an_error_of_the_workings_keeps_its_words(app, client):
    def refuses():
        raise WorkingError("wheel_diameter", "0 m", "a length above 0")

    app.view_functions["service.health"] = refuses
    error = check_shape(client.get("/api/health"), 422, "not-accepted")
    assert (error["input"], error["accepted"]) == ("wheel_diameter", "a length above 0")


def test_a_lost_root_key_is_said_with_the_remedy(client, code_for, settings):
    from handset import Handset

    code = code_for()
    settings.root_key.rename(settings.root_key.with_suffix(".away"))
    error = check_shape(client.post("/api/enrol", json=Handset(client).request(code)), 503, "cannot-now")
    assert "TRAMMEL_ROOT_KEY" in error["message"]


def test_a_card_that_is_not_here_is_404(phone):
    check_shape(phone.get("/api/cards/nothing"), 404, "card-unknown")
    check_shape(phone.get(f"/api/procedures/{signing.digest(b'')}"), 404, "not-found")
    check_shape(phone.post("/api/packets", {"card": "nothing", "kind": "blank"}), 404, "card-unknown")


def test_every_code_that_the_programs_use_is_in_the_table_and_has_a_meaning():
    used = set()
    for path in config.PACKAGE.glob("*.py"):
        text = path.read_text("utf-8")
        used |= {code for code in CODES if f'"{code}"' in text and path.name != "errors.py"}
        for piece in text.split("TrammelError(")[1:]:
            word = piece.lstrip().split(",")[0].strip()
            if word.startswith('"'):
                assert word.strip('"') in CODES, f"{path.name}: {word}"
    for code, (status, meaning) in CODES.items():
        assert meaning.endswith(".") and 400 <= status < 600, code
    assert all(meaning.endswith(".") for meaning in ENTRY_CODES.values())


def test_set_up_errors_carry_what_they_are_about():
    error = SetUpError("secret", "x", "There is no secret.")
    assert (error.input, error.value, str(error)) == ("secret", "x", "There is no secret.")
    assert errors.body("not-found", "Nothing.")["error"]["accepted"] is None


def test_every_code_is_in_the_documentation_as_it_is():
    text = (config.PACKAGE / "README.md").read_text("utf-8")
    for code, (status, meaning) in CODES.items():
        assert f"| `{code}` | {status} | {meaning} |" in text
    for code, meaning in ENTRY_CODES.items():
        assert f"| `{code}` | {meaning} |" in text
