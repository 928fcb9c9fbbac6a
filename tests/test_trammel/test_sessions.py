"""Sessions by proof of the device key; invitations by proof of a lead's own key."""

import pytest
from handset import Handset
from trammel import sessions, signing


def refusal(answer):
    return answer.status_code, answer.json["error"]["code"]


def test_a_device_key_opens_a_session(phone):
    old = phone.token
    phone.open_session()
    assert phone.token != old
    assert phone.get("/api/entries").status_code == 200


@pytest.mark.parametrize("header", [None, "", "Bearer", "Bearer ", "Bearer nothing", "Basic YTpi"])
def test_without_a_session_nothing_of_the_shop_is_told(client, phone, header):
    headers = {} if header is None else {"Authorization": header}
    answer = client.get("/api/entries", headers=headers)
    assert refusal(answer) == (401, "session-needed")
    assert answer.headers["WWW-Authenticate"] == "Bearer"


def test_a_session_ends(clock, settings, phone):
    clock.forward(settings.session_seconds)
    assert phone.get("/api/entries").status_code == 401
    phone.open_session()
    assert phone.get("/api/entries").status_code == 200


def test_a_challenge_is_answered_once_and_not_late(client, clock, settings, phone):
    request = phone.session_request()
    assert client.post("/api/session", json=request).status_code == 200
    assert refusal(client.post("/api/session", json=request)) == (401, "proof-refused")
    late = phone.session_request()
    clock.forward(settings.challenge_seconds)
    assert refusal(client.post("/api/session", json=late)) == (401, "proof-refused")


@pytest.mark.parametrize(
    "how",
    ["the person's key", "a stranger's device", "another typ", "a nonce of my own", "a nonce made later",
     "no nonce", "another device's id", "nothing signed"],
)  # fmt: skip
def test_a_session_is_refused_without_a_proof(client, phone, how):
    nonce = client.get("/api/session/challenge").json["nonce"]
    expires, random, mac = nonce.split(".")
    payload = {"nonce": nonce, "device_key_id": phone.device_id}
    stranger = Handset(client)
    proof = {
        "the person's key": lambda: signing.make(phone.key, "trammel-session", payload),
        "a stranger's device": lambda: stranger.session_request()["proof"],
        "another typ": lambda: signing.make(phone.device_key, "trammel-entry", payload),
        "a nonce of my own": lambda: phone.session_request("9999999999.x.y")["proof"],
        "a nonce made later": lambda: phone.session_request(f"{int(expires) + 60}.{random}.{mac}")["proof"],
        "no nonce": lambda: signing.make(
            phone.device_key, "trammel-session", {"device_key_id": phone.device_id}
        ),
        "another device's id": lambda: phone.session_request(device_key_id=stranger.device_id)["proof"],
        "nothing signed": lambda: "a.b.c",
    }[how]()
    assert refusal(client.post("/api/session", json={"proof": proof})) == (401, "proof-refused")


def test_a_closed_phone_is_out_at_once_and_stays_out(app, client, phone):
    with app.app_context():
        sessions.close_device(phone.device_id[:12])
    assert phone.get("/api/entries").status_code == 401
    assert refusal(client.post("/api/session", json=phone.session_request())) == (401, "proof-refused")


def test_wrong_proofs_are_counted(client, settings, phone):
    for _ in range(settings.refused_tries):
        client.post("/api/session", json={"proof": "a.b.c"})
    assert refusal(client.post("/api/session", json=phone.session_request())) == (429, "too-many-tries")


# --- invitations


def invitation(phone, person, key=None, nonce=None, **changed):
    nonce = nonce or phone.client.get("/api/session/challenge").json["nonce"]
    payload = {"nonce": nonce, "person": person, **changed}
    return {"person": person, "proof": signing.make(key or phone.key, "trammel-invite", payload)}


def test_a_lead_invites_a_second_phone(app, enrolled):
    lead, ada = enrolled("Lena Ward", "lead"), enrolled("Ada Finch")
    answer = lead.post("/api/invitations", invitation(lead, ada.person))
    assert answer.status_code == 200
    assert answer.json["link"].endswith(answer.json["code"])
    second = Handset(app.test_client(), "second phone")
    assert second.enrol(answer.json["code"])["person"] == ada.person


def test_a_mechanic_invites_nobody(enrolled):
    ada = enrolled("Ada Finch", "mechanic")
    assert refusal(ada.post("/api/invitations", invitation(ada, ada.person))) == (403, "not-allowed")


def test_a_found_phone_of_a_lead_invites_nobody_without_the_lead_s_own_key(enrolled):
    lead = enrolled("Lena Ward", "lead")
    found = invitation(lead, lead.person, key=lead.device_key)
    assert refusal(lead.post("/api/invitations", found)) == (401, "proof-refused")


def test_an_invitation_is_for_the_person_signed_for_and_once(enrolled):
    lead, ada = enrolled("Lena Ward", "lead"), enrolled("Ada Finch")
    good = invitation(lead, ada.person)
    assert refusal(lead.post("/api/invitations", {**good, "person": lead.person})) == (401, "proof-refused")
    assert lead.post("/api/invitations", good).status_code == 200
    assert refusal(lead.post("/api/invitations", good)) == (401, "proof-refused")
    assert refusal(lead.post("/api/invitations", invitation(lead, "nobody"))) == (422, "not-accepted")
