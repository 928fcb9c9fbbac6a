"""Photos and recordings by digest."""

import os

import pytest
from trammel import blobs, config, signing

PHOTO = b"\xff\xd8\xff\xe0" + bytes(range(256)) * 40


@pytest.fixture
def settings(tmp_path):
    return config.read({}, data=tmp_path / "shop", pwa=tmp_path / "pwa", blob_limit=65536)


def put(phone, data=PHOTO, digest=None, type="image/jpeg", **headers):
    digest = digest or signing.digest(data)
    return phone.client.put(f"/api/blobs/{digest}", data=data, content_type=type,
                            headers={**phone.headers, **headers})  # fmt: skip


def refusal(answer):
    return answer.status_code, answer.json["error"]["code"]


def files(settings):
    return [path for path in settings.blobs.rglob("*") if path.is_file()]


def test_a_blob_is_kept_and_given_back_byte_for_byte(phone):
    digest = signing.digest(PHOTO)
    assert phone.get(f"/api/blobs/{digest}").status_code == 404
    answer = put(phone)
    assert (answer.status_code, answer.json) == (
        201,
        {"digest": digest, "type": "image/jpeg", "size": len(PHOTO)},
    )
    got = phone.get(f"/api/blobs/{digest}")
    assert got.data == PHOTO
    assert got.headers["Content-Type"] == "image/jpeg"
    assert "immutable" in got.headers["Cache-Control"]
    head = phone.client.head(f"/api/blobs/{digest}", headers=phone.headers)
    assert (head.status_code, head.data, head.headers["Content-Length"]) == (200, b"", str(len(PHOTO)))


def test_the_same_blob_again_changes_nothing(phone, settings):
    assert [put(phone).status_code for _ in range(3)] == [201, 200, 200]
    assert len(files(settings)) == 1


def test_bytes_under_another_digest_are_refused_and_leave_nothing(phone, settings):
    answer = put(phone, PHOTO[:-1], signing.digest(PHOTO))
    assert refusal(answer) == (422, "not-accepted")
    assert files(settings) == []


def test_a_blob_of_the_largest_size_is_taken_and_one_byte_more_is_not(phone, settings):
    assert put(phone, b"x" * settings.blob_limit).status_code == 201
    assert refusal(put(phone, b"x" * (settings.blob_limit + 1))) == (413, "too-large")
    assert len(files(settings)) == 1


@pytest.mark.parametrize("type", ["text/html", "image/svg+xml", "application/octet-stream", ""])
def test_what_could_carry_a_script_is_refused(phone, type):
    assert refusal(put(phone, type=type)) == (415, "wrong-type")


def test_a_recording_with_its_codec_named_is_taken(phone):
    assert put(phone, b"opus", type="audio/webm;codecs=opus").status_code == 201


def test_a_packed_blob_is_refused(phone):
    assert refusal(put(phone, **{"Content-Encoding": "gzip"})) == (415, "wrong-type")


@pytest.mark.parametrize("digest", ["short", "../../secret", "x" * 44, "." * 43])
def test_what_is_no_digest_is_not_found(phone, digest):
    assert phone.get(f"/api/blobs/{digest}").status_code == 404
    assert put(phone, digest=digest).status_code in (404, 405)


def test_blobs_need_a_session(client):
    assert refusal(client.get(f"/api/blobs/{signing.digest(PHOTO)}")) == (401, "session-needed")


def test_a_range_is_given(phone):
    put(phone)
    part = phone.get(f"/api/blobs/{signing.digest(PHOTO)}", headers={"Range": "bytes=4-9"})
    assert (part.status_code, part.data) == (206, PHOTO[4:10])
    beyond = phone.get(f"/api/blobs/{signing.digest(PHOTO)}", headers={"Range": "bytes=999999-"})
    assert refusal(beyond) == (416, "range-refused")


def test_a_blob_whose_file_was_lost_can_be_sent_again(phone, settings):
    put(phone)
    os.unlink(files(settings)[0])
    assert phone.get(f"/api/blobs/{signing.digest(PHOTO)}").status_code == 404
    assert put(phone).status_code == 200
    assert phone.get(f"/api/blobs/{signing.digest(PHOTO)}").data == PHOTO


def test_what_a_killed_upload_left_is_swept_at_the_next_start(settings, phone):
    put(phone)
    (settings.blobs / "left.part").write_bytes(b"half a photo")
    blobs.sweep(settings.blobs)
    assert [path.name for path in files(settings)] == [signing.digest(PHOTO)]
