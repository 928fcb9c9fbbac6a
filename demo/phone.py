"""A phone without a screen: it drafts with the workings, signs with keys of its own, pushes and pulls.

It uses nothing of the server but its public API, and decides nothing itself: it asks the same desk of the
workings as the phone in a mechanic's hand does. The demo's crew and the tests are played with it.
"""

import gzip
import json
import time
import urllib.error
import urllib.request

from trammel import signing
from workings.facade import Desk

MOST_IN_A_PUSH = 200


class Refused(Exception):
    """The workings, or the server, would not have it; the message says why."""


class Phone:
    """One person's phone: a key to sign with, a key for the device, and a book of all it has seen."""

    def __init__(self, url, device="a phone"):
        self.url = url.rstrip("/")
        self.device = device
        self.key = signing.new_key()
        self.device_key = signing.new_key()
        self.person = self.token = self.epoch = None
        self.position = 0
        self.number = 0
        self.entries = {}
        self.not_sent = []
        self.versions = set()
        self.desk = Desk()

    def ask(self, name, **arguments):
        """An answer of the desk; Refused where it has none."""
        answer = json.loads(self.desk.answer(json.dumps({"ask": name, **arguments})))
        if "error" in answer:
            raise Refused(answer["error"]["message"])
        return answer["ok"]

    # --- keys and sessions ----------------------------------------------------------------------------

    @property
    def kid(self):
        return signing.thumbprint(signing.jwk(self.key))

    def enrol(self, code):
        """Hands both public keys over under a code from a lead; afterwards this phone may sign and push."""
        own = {"code": code, "device_key": signing.jwk(self.device_key), "device": self.device}
        answer = self.call("POST", "/api/enrol", {
            "code": code,
            "key": signing.jwk(self.key),
            "proof": signing.make(self.key, "trammel-enrol", own),
            "device_proof": signing.make(self.device_key, "trammel-device", {"code": code}),
        })  # fmt: skip
        self.person, self.token = answer["person"], answer["session"]["token"]
        self.ask("begin", root=answer["root"])
        self.take(answer["entries"])
        return self

    def open_session(self):
        nonce = self.call("GET", "/api/session/challenge")["nonce"]
        device = signing.thumbprint(signing.jwk(self.device_key))
        proof = signing.make(self.device_key, "trammel-session", {"nonce": nonce, "device_key_id": device})
        self.token = self.call("POST", "/api/session", {"proof": proof})["token"]

    # --- writing --------------------------------------------------------------------------------------

    def sign(self, kind, about, body, place=None, at=None):
        """Drafts, signs and keeps what one press of a button writes; returns the new entries' hashes."""
        drafted = self.ask(
            "draft", kind=kind, about=about, kid=self.kid, number=self.number + 1,
            at=at or time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime()), body=body, place=place,
        )  # fmt: skip
        if "refused" in drafted:
            raise Refused(drafted["refused"])
        lines = [signing.sign(self.key, text) for text in drafted["signing_inputs"]]
        self.number += len(lines)
        self.take(lines)
        self.not_sent += lines
        return drafted["hashes"]

    def take(self, lines):
        """Puts entries into the book; a line that was there already changes nothing."""
        for refused in self.ask("take", entries=lines)["refused"]:
            raise Refused(refused["message"])
        for line in lines:
            self.entries[signing.digest(line.rpartition(".")[0].encode())] = line

    # --- the network ----------------------------------------------------------------------------------

    def push(self):
        """Sends what this phone wrote since the last push; every line ends in the log exactly once."""
        while self.not_sent:
            some = self.not_sent[:MOST_IN_A_PUSH]
            for answer in self.call("POST", "/api/entries", {"entries": some})["answers"]:
                if answer["answer"] == "refused":
                    raise Refused(f"The server refused an entry: {answer['message']}")
            self.not_sent = self.not_sent[len(some) :]

    def pull(self):
        """Takes everything of the log that this phone has not had; on a new epoch, everything."""
        for version in self.call("GET", "/api/procedures"):
            if version["digest"] not in self.versions:
                self.take_procedure(version["digest"])
        more = True
        while more:
            epoch = f"&epoch={self.epoch}" if self.epoch else ""
            answer = self.call("GET", f"/api/entries?after={self.position}&limit=500{epoch}")
            self.epoch, self.position, more = answer["epoch"], answer["last"], answer["more"]
            self.take([entry["jws"] for entry in answer["entries"]])

    def take_procedure(self, digest):
        text = self.fetch("GET", f"/api/procedures/{digest}")
        if signing.digest(text) != digest:
            raise Refused(f"The server gave another procedure than {digest}.")
        self.ask("take_procedures", texts=[text.decode()])
        self.versions.add(digest)

    def call(self, method, path, body=None):
        return json.loads(self.fetch(method, path, body))

    def fetch(self, method, path, body=None):
        """The bytes of an answer; a refusal is raised with the server's own sentence."""
        headers = {"Accept": "*/*"}
        data = None
        if body is not None:
            data = gzip.compress(json.dumps(body).encode())
            headers |= {"Content-Type": "application/json", "Content-Encoding": "gzip"}
        if self.token:
            headers["Authorization"] = f"Bearer {self.token}"
        request = urllib.request.Request(self.url + path, data, headers, method=method)
        try:
            with urllib.request.urlopen(request, timeout=300) as answer:
                return answer.read()
        except urllib.error.HTTPError as problem:
            raise Refused(sentence_of(problem)) from problem


def sentence_of(problem):
    try:
        return json.load(problem)["error"]["message"]
    except (ValueError, KeyError, TypeError):
        return f"{problem.url} answered {problem.code}"
