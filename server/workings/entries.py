"""The form of an entry: one signed line about one thing, read strictly.

An entry is a compact JWS (RFC 7515) over I-JSON (RFC 7493). This module takes one apart and says
whether it has the form that entries-format.md lays down; the signature itself is checked by whoever
holds the cryptography (the server with `cryptography`, the phone with WebCrypto).
"""

import hashlib

from workings import strict_json
from workings.errors import WorkingError

LARGEST_ENTRY = 65536
MOST_BEFORE = 64
TYP = "trammel-entry"
ROLES = ("mechanic", "lead", "keeper")
# What is done at the engine; who did it does not sign for it. Everything else on a card is said about it.
WORK = ("reading", "way", "check", "said-done")

# FIPS 186-5 / SEC 2: the order of the group of P-256; an s above half of it has a twin below (low-s only).
P256_ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551

# Field types: a trailing "?" marks a field that may be left out.
# text: 1-4000 characters; line: 1-200; empty: 0-200; hash; hashes; id; whole; key: a public JWK.
_BODIES = {
    "card": {
        "opening": {"engine": "id", "procedure": "id", "title": "line", "positions": "positions"},
        "data-value": {"name": "id", "position": "id?", "text": "line", "unit": "empty",
                       "origin": "line?", "why": "text?"},
        "reading": {"step": "id", "position": "id?", "name": "id", "text": "line", "unit": "empty",
                    "measured_by": "id", "gauge": "gauge?", "from": "line?", "photo": "hash?"},
        "check": {"step": "id", "position": "id?", "check": "id"},
        "said-done": {"step": "id", "position": "id?", "shown": "pairs"},
        "way": {"step": "id", "position": "id?", "name": "id", "text": "line"},
        "choice": {"name": "id", "position": "id?", "between": "hashes", "holds": "hash"},
        "concession": {"name": "dotted", "position": "id?", "text": "line", "limit": "line", "why": "text",
                       "until": "dotted", "until_position": "id?"},
        "acceptance": {"entries": "hashes", "why": "text"},
        "doubt": {"entry": "hash?", "name": "dotted?", "position": "id?", "text": "empty?", "gauge": "id?",
                  "from": "line?", "to": "line?", "why": "text"},
        "answer": {"doubt": "hash", "why": "text"},
        "strike-out": {"entry": "hash", "why": "text"},
        "sign-off": {"hold": "id", "position": "id?", "lists": "lists", "digest": "hash", "content": "hash",
                     "missing": "pairs?", "unheard": "pairs?"},
        "invitation": {"step": "id", "position": "id?", "who": "line"},
        "presence": {"step": "id", "position": "id?", "who": "line"},
        "waiver": {"step": "id", "position": "id?", "why": "text"},
        "move": {"to": "hash", "why": "text"},
        "position-added": {"id": "id", "label": "line", "why": "text?"},
        "trial-attached": {"step": "id", "position": "id?", "trick": "id", "trial": "hash"},
        "gap-accepted": {"key": "hash", "runs": "runs", "why": "text"},
        "note": {"step": "id?", "position": "id?", "text": "text"},
        "photo": {"step": "id?", "position": "id?", "blob": "hash", "type": "line", "size": "whole",
                  "text": "text?"},
        "voice": {"step": "id?", "position": "id?", "blob": "hash", "type": "line", "size": "whole",
                  "text": "text?"},
        "time": {"step": "id?", "position": "id?", "minutes": "whole"},
        "blob-removed": {"blob": "hash", "why": "text"},
    },
    "register": {
        "person": {"person": "id", "name": "line"},
        "role-given": {"person": "id", "role": "role"},
        "role-taken": {"person": "id", "role": "role", "lasts": "lasts", "why": "text?"},
        "key": {"key": "key", "person": "id", "device": "line"},
        "withdrawal": {"key": "hash", "last": "whole", "hash": "hash?", "why": "text"},
        "letting-in": {"key": "hash", "runs": "runs", "why": "text"},
    },
    "engine": {
        "opening": {"name": "line", "class": "line?"},
        "data-value": {"name": "id", "position": "id?", "text": "line", "unit": "empty",
                       "origin": "line?", "why": "text?"},
        "strike-out": {"entry": "hash", "why": "text"},
        "concession": {"name": "dotted", "position": "id?", "text": "line", "limit": "line", "why": "text",
                       "until": "dotted", "until_position": "id?"},
        "note": {"text": "text"},
    },
    "gauges": {
        "gauge": {"id": "id", "label": "line", "dimension": "line", "resolution": "line",
                  "uncertainty": "line", "calibrated": "line?", "due": "line?"},
        "found-out": {"gauge": "id", "since": "line", "why": "text"},
        "strike-out": {"entry": "hash", "why": "text"},
    },
    # What a trick or a draft says is bounded text and blobs; its inner form belongs to their own readers.
    "trick": {
        "told": {"teller": "id", "text": "text?", "engine": "id?", "card": "id?", "step": "id?"},
        "sketch": {"blob": "hash", "type": "line", "size": "whole"},
        "photo": {"blob": "hash", "type": "line", "size": "whole"},
        "voice": {"blob": "hash", "type": "line", "size": "whole"},
        "worked-up": {"text": "text"},
        "outcome": {"card": "id", "step": "id", "outcome": "line", "why": "text?"},
        "joined": {"trick": "id", "why": "text?"},
        "blob-removed": {"blob": "hash", "why": "text"},
        "strike-out": {"entry": "hash", "why": "text"},
    },
    "draft": {
        "text": {"procedure": "id", "text": "long", "from": "hash?"},
        "published": {"version": "hash", "why": "text?"},
        "strike-out": {"entry": "hash", "why": "text"},
    },
}
KINDS = {thing: tuple(sorted(kinds)) for thing, kinds in _BODIES.items()}

_B64 = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
_VALUE_OF = {c: n for n, c in enumerate(_B64)}


class Entry:
    """One entry, taken apart. `hash` is SHA-256 of the signing input, base64url; `thing` is the word
    before the colon of `about`."""

    __slots__ = ("jws", "hash", "kid", "kind", "about", "thing", "number", "number_here", "before",
                 "register", "at", "version", "body", "signing_input", "signature")


def b64(data):
    """Base64url without padding (RFC 4648, section 5).

    Written out because the phone's binascii is itself slow Python, and every entry passes through here."""
    out, letters = [], _B64
    whole = len(data) // 3 * 3
    for i in range(0, whole, 3):
        n = data[i] << 16 | data[i + 1] << 8 | data[i + 2]
        out.append(letters[n >> 18] + letters[n >> 12 & 63] + letters[n >> 6 & 63] + letters[n & 63])
    if len(data) - whole == 1:
        out.append(letters[data[whole] >> 2] + letters[data[whole] << 4 & 63])
    elif len(data) - whole == 2:
        n = data[whole] << 8 | data[whole + 1]
        out.append(letters[n >> 10] + letters[n >> 4 & 63] + letters[n << 2 & 63])
    return "".join(out)


def unb64(text):
    """Bytes of strict base64url: no padding, no stray bits, nothing outside the alphabet."""
    out = bytearray(len(text) * 3 // 4)
    held = bits = at = 0
    values = _VALUE_OF
    for c in text:
        value = values.get(c)
        if value is None:
            raise _bad("the encoding", text[:20], "base64url without padding")
        held = (held << 6 | value) & 16383
        bits += 6
        if bits > 7:
            bits -= 8
            out[at] = held >> bits & 255
            at += 1
    if bits == 6 or held & (1 << bits) - 1:
        raise _bad("the encoding", text[:20], "base64url without padding or stray bits")
    return bytes(out)


def sha(data):
    """SHA-256 of bytes or text, base64url."""
    return b64(hashlib.sha256(data.encode() if isinstance(data, str) else data).digest())


def header_text(kid):
    return '{"alg":"ES256","kid":"' + kid + '","typ":"' + TYP + '"}'


def signing_input(kid, payload):
    """The text to be signed for a payload (a dict); raises WorkingError where its form is wrong."""
    text = b64(header_text(kid).encode()) + "." + b64(strict_json.write(payload).encode())
    _payload(payload)
    if len(text) > LARGEST_ENTRY - 100:
        raise _bad("an entry", "%d bytes" % len(text), "at most %d bytes" % LARGEST_ENTRY)
    return text


def take_apart(jws):
    """Entry from its compact JWS; WorkingError(input="entry") says what is wrong with its form."""
    if not isinstance(jws, str) or len(jws) > LARGEST_ENTRY:
        raise _bad("an entry", "", "a text of at most %d bytes" % LARGEST_ENTRY)
    parts = jws.split(".")
    if len(parts) != 3:
        raise _bad("an entry", jws[:20], "header.payload.signature")
    header = strict_json.read(_utf8(unb64(parts[0])), 512)
    kid = header.get("kid") if isinstance(header, dict) else None
    if not _is_hash(kid) or unb64(parts[0]) != header_text(kid).encode():
        raise _bad("the header", "", "exactly alg ES256, kid, typ " + TYP)
    signature = unb64(parts[2])
    if len(signature) != 64:
        raise _bad("the signature", "%d bytes" % len(signature), "64 bytes")
    r, s = int.from_bytes(signature[:32], "big"), int.from_bytes(signature[32:], "big")
    if not (0 < r < P256_ORDER and 0 < s <= P256_ORDER // 2):
        raise _bad("the signature", "", "r and s of P-256 with a low s")
    payload = strict_json.read(_utf8(unb64(parts[1])), LARGEST_ENTRY)
    _payload(payload)
    entry = unsigned(kid, payload, parts[0] + "." + parts[1])
    entry.jws, entry.signature = jws, signature
    return entry


def read_kept(hash, kid, payload):
    """The Entry of a payload that take_apart has read before, as a phone keeps it: nothing is checked again."""
    return _filled(kid, payload, hash)


def unsigned(kid, payload, text):
    """The entry that a signing input will be once it is signed; its hash does not wait for the signature."""
    entry = _filled(kid, payload, sha(text))
    entry.signing_input = text
    return entry


def _filled(kid, payload, hash):
    entry = Entry()
    entry.jws, entry.signing_input, entry.signature = None, None, None
    entry.kid, entry.hash = kid, hash
    entry.kind, entry.about = payload["kind"], payload["about"]
    entry.thing = entry.about.split(":")[0]
    entry.number, entry.number_here = payload["number"], payload["number_here"]
    entry.before, entry.register = payload["before"], payload["register"]
    entry.at, entry.version, entry.body = payload["at"], payload.get("version"), payload["body"]
    return entry


def thumbprint(jwk):
    """RFC 7638 thumbprint of a P-256 public key: what names a key everywhere."""
    return sha('{"crv":"P-256","kty":"EC","x":"' + jwk["x"] + '","y":"' + jwk["y"] + '"}')


def fingerprint(kid):
    """A thumbprint in groups of four, as it is read aloud and compared."""
    return " ".join([kid[i:i + 4] for i in range(0, len(kid), 4)])


def read_runs(text):
    """[(first, last)] of runs written "1-14,16": rising, not touching; WorkingError otherwise."""
    out, last = [], -1
    for part in text.split(",") if text else []:
        ends = part.split("-")
        if len(ends) > 2 or not all([_is_number(e) for e in ends]):
            raise _bad("a run", text[:40], "numbers like 1-14,16")
        a, b = int(ends[0]), int(ends[-1])
        if a <= last + 1 and last >= 0 or b < a or a < 1 or (len(ends) == 2 and a == b) or b >= 1 << 30:
            raise _bad("a run", text[:40], "rising numbers like 1-14,16")
        out.append((a, b))
        last = b
    return out


def write_runs(numbers):
    """Runs of whole numbers as text: [1, 2, 3, 5] -> "1-3,5"."""
    out = []
    for n in sorted(numbers):
        if out and out[-1][1] == n - 1:
            out[-1][1] = n
        elif not out or out[-1][1] != n:
            out.append([n, n])
    return ",".join(["%d-%d" % (a, b) if b > a else "%d" % a for a, b in out])


# --- the payload ---------------------------------------------------------------------------------------


def _bad(what, value, accepted):
    return WorkingError("entry", value, accepted, "This entry cannot be read: " + what + " must be " + accepted + ".")


def _utf8(data):
    try:
        return data.decode("utf-8")
    except UnicodeError:
        raise _bad("its text", "", "UTF-8")


def _payload(payload):
    if not isinstance(payload, dict):
        raise _bad("the payload", "", "an object")
    thing = str(payload.get("about", "")).split(":")[0]
    wanted = {"kind", "about", "number", "number_here", "before", "register", "at", "body"}
    if thing == "card":
        wanted.add("version")
    if set(payload) != wanted:
        raise _bad("the fields", ",".join(sorted(payload)), ", ".join(sorted(wanted)))
    kinds = _BODIES.get(thing)
    about = payload["about"]
    alone = thing in ("register", "gauges")
    if kinds is None or not isinstance(about, str) or (
            about != thing if alone else not (about.startswith(thing + ":") and _is_id(about[len(thing) + 1:]))):
        raise _bad("about", str(about)[:40], "card:ID, engine:ID, trick:ID, draft:ID, register or gauges")
    kind = payload["kind"]
    if kind not in kinds:
        raise _bad("kind", str(kind)[:40], "one of " + ", ".join(KINDS[thing]))
    for name in ("number", "number_here"):
        if not _is_whole(payload[name]) or payload[name] < 1:
            raise _bad(name, "", "a whole number from 1")
    for name in ("before", "register"):
        _check("hashes", payload[name], name)
        if len(payload[name]) > MOST_BEFORE:
            raise _bad(name, "", "at most %d hashes" % MOST_BEFORE)
    if not _is_time(payload["at"]):
        raise _bad("at", "", "a time like 2026-03-14T09:26:00Z")
    if thing == "card" and not _is_hash(payload["version"]):
        raise _bad("version", "", "the digest of a procedure version")
    body, fields = payload["body"], kinds[kind]
    if not isinstance(body, dict):
        raise _bad("the body", "", "an object")
    for name in body:
        if name not in fields:
            raise _bad(kind, name, "without a field called " + name[:40])
    for name, form in fields.items():
        if name in body:
            _check(form.rstrip("?"), body[name], kind + "." + name)
        elif not form.endswith("?"):
            raise _bad(kind, "", "with a field called " + name)
    if kind == "doubt" and sum([1 for n in ("entry", "name", "gauge") if n in body]) != 1:
        raise _bad("doubt", "", "about an entry, a value or a gauge, one of them")


def _check(form, value, what):
    if not _FORMS[form][0](value):
        raise _bad(what, "", _FORMS[form][1])


def _is_whole(value):
    return isinstance(value, int) and value is not True and value is not False and 0 <= value < 1 << 30


def _is_number(text):
    return 0 < len(text) < 11 and all([c in "0123456789" for c in text]) and (text[0] != "0" or text == "0")


def _is_hash(value):
    return isinstance(value, str) and len(value) == 43 and all([c in _B64 for c in value])


def _is_id(value):
    return isinstance(value, str) and 0 < len(value) <= 64 and all([c in _ID for c in value])


def _is_time(value):
    if not isinstance(value, str) or len(value) != 20:
        return False
    return all([c == m or (m == "0" and c in "0123456789") for c, m in zip(value, "0000-00-00T00:00:00Z")])


def _is_text(least, most):
    return lambda value: isinstance(value, str) and least <= len(value) <= most


def _each(test, most=1000):
    return lambda value: isinstance(value, list) and len(value) <= most and all([test(v) for v in value])


def _has(fields):
    def test(value):
        if not isinstance(value, dict) or any([k not in fields for k in value]):
            return False
        for name, form in fields.items():
            if name in value:
                if not _FORMS[form.rstrip("?")][0](value[name]):
                    return False
            elif not form.endswith("?"):
                return False
        return True
    return test


def _is_runs(value):
    if not isinstance(value, str) or len(value) > 20000:
        return False
    try:
        read_runs(value)
    except WorkingError:
        return False
    return True


def _is_key(value):
    return (isinstance(value, dict) and set(value) == {"kty", "crv", "x", "y"} and value["kty"] == "EC"
            and value["crv"] == "P-256" and _is_hash(value["x"]) and _is_hash(value["y"]))


def _is_lists(value):
    if not _each(_has({"key": "hash", "runs": "runs", "hashes": "hashes"}), 200)(value):
        return False
    keys = [item["key"] for item in value]
    return keys == sorted(set(keys))


_ID = _B64
_FORMS = {
    "text": (_is_text(1, 4000), "a text of 1 to 4000 characters"),
    "long": (_is_text(1, 48000), "a text of 1 to 48000 characters"),
    "line": (_is_text(1, 200), "a text of 1 to 200 characters"),
    "empty": (_is_text(0, 200), "a text of at most 200 characters"),
    "hash": (_is_hash, "a SHA-256 in base64url"),
    "hashes": (lambda v: _each(_is_hash)(v) and len(set(v)) == len(v), "a list of different hashes"),
    "id": (_is_id, "1 to 64 letters, digits, - or _"),
    "dotted": (lambda v: isinstance(v, str) and all([_is_id(p) for p in v.split(".")]) and len(v) <= 130,
               "a name, or name.output"),
    "whole": (_is_whole, "a whole number below 2 to the 30"),
    "role": (lambda v: v in ROLES, "mechanic, lead or keeper"),
    "runs": (_is_runs, "runs like 1-14,16"),
    "key": (_is_key, "a public P-256 key"),
    "lists": (_is_lists, "runs of numbers by key, keys in order"),
    "pairs": (_each(lambda p: isinstance(p, list) and len(p) == 2 and all([_is_text(0, 400)(t) for t in p])),
              "a list of pairs of texts"),
    "lasts": (_each(lambda p: isinstance(p, list) and len(p) == 3 and _is_hash(p[0]) and _is_whole(p[1])
                    and (p[1] == 0 or _is_hash(p[2]))), "a list of key, number, hash"),
}
_FORMS["positions"] = (_each(_has({"id": "id", "label": "line"}), 5000), "a list of id and label")
_FORMS["gauge"] = (_has({"id": "id", "label": "line", "resolution": "line", "uncertainty": "line",
                         "calibrated": "line?"}), "id, label, resolution, uncertainty, calibrated")
