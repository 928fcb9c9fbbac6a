"""A phone as the server sees one: its keys, enrolment, sessions, signed entries; no browser."""

import gzip
import json

from trammel import signing
from workings import entries as form

AT = "2026-03-14T09:26:00Z"


class Handset:
    def __init__(self, client, device="bench phone"):
        self.client = client
        self.device = device
        self.key, self.device_key = signing.new_key(), signing.new_key()
        self.jwk, self.device_jwk = signing.jwk(self.key), signing.jwk(self.device_key)
        self.kid, self.device_id = signing.thumbprint(self.jwk), signing.thumbprint(self.device_jwk)
        self.person = self.token = None
        self.number, self.numbers_here, self.heads = 0, {}, {}
        self.register = []

    # --- enrolment and sessions

    def request(self, code, **changed):
        asked = {
            "code": code,
            "key": self.jwk,
            "proof": signing.make(
                self.key,
                "trammel-enrol",
                {"code": code, "device_key": self.device_jwk, "device": self.device},
            ),
            "device_proof": signing.make(self.device_key, "trammel-device", {"code": code}),
        }
        return {**asked, **changed}

    def enrol(self, code):
        answer = self.client.post("/api/enrol", json=self.request(code))
        assert answer.status_code == 200, answer.text
        self.person, self.token = answer.json["person"], answer.json["session"]["token"]
        self.know(answer.json["entries"])
        return answer.json

    def session_request(self, nonce=None, **changed):
        nonce = nonce or self.client.get("/api/session/challenge").json["nonce"]
        payload = {"nonce": nonce, "device_key_id": self.device_id}
        return {"proof": signing.make(self.device_key, "trammel-session", {**payload, **changed})}

    def open_session(self):
        answer = self.client.post("/api/session", json=self.session_request())
        assert answer.status_code == 200, answer.text
        self.token = answer.json["token"]
        return answer.json

    # --- speaking

    @property
    def headers(self):
        return {"Authorization": f"Bearer {self.token}"}

    def get(self, path, **more):
        return self.client.get(path, headers={**self.headers, **more.pop("headers", {})}, **more)

    def post(self, path, body, packed=False):
        if packed:
            return self.client.post(
                path,
                data=gzip.compress(json.dumps(body).encode()),
                content_type="application/json",
                headers={**self.headers, "Content-Encoding": "gzip"},
            )
        return self.client.post(path, json=body, headers=self.headers)

    def push(self, *entries):
        answer = self.post("/api/entries", {"entries": list(entries)})
        assert answer.status_code == 200, answer.text
        return answer.json["answers"]

    def pull(self, after=0, **more):
        answer = self.get("/api/entries", query_string={"after": after, **more})
        assert answer.status_code == 200, answer.text
        return answer.json

    # --- signing

    def know(self, register):
        """The newest lines of the register are what this phone's entries stand on."""
        lines = [form.take_apart(jws) for jws in register]
        named = {hash for line in lines for hash in line.before}
        self.register = sorted(line.hash for line in lines if line.hash not in named)

    def entry(self, kind, body, about="card:rods-1", version="v" * 43, number=None, register=None):
        """A signed entry; numbers run on by themselves unless one is given."""
        self.number = number or self.number + 1
        here = self.numbers_here[about] = self.numbers_here.get(about, 0) + 1
        payload = {
            "kind": kind,
            "about": about,
            "number": self.number,
            "number_here": here,
            "before": self.heads.get(about, []),
            "at": AT,
            "body": body,
            "register": [] if about == "register" else self.register if register is None else register,
        }
        if about.startswith("card:"):
            payload["version"] = version
        jws = signing.sign(self.key, form.signing_input(self.kid, payload))
        self.heads[about] = [form.take_apart(jws).hash]
        return jws

    def note(self, text="wedges oiled", **more):
        return self.entry("note", {"text": text}, **more)
