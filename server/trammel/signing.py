"""ES256 over compact JWS (RFC 7515, RFC 7518): the same form that a phone's WebCrypto makes.

Signatures are low-s, so that nobody can make a second valid form of a signed entry; base64url is
strict (no padding, no stray bits), so that one value has one spelling.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import re
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature, encode_dss_signature

# The order of P-256's group (FIPS 186-5, NIST SP 800-186).
ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
_BASE64URL = re.compile(r"[A-Za-z0-9_-]*")

Jwk = dict[str, str]


def to_base64url(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode("ascii")


def from_base64url(text: str) -> bytes:
    """The bytes; ValueError where the text is not the one strict spelling of them."""
    if not _BASE64URL.fullmatch(text):
        raise ValueError("not base64url")
    try:
        data = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    except binascii.Error as error:
        raise ValueError("not base64url") from error
    if to_base64url(data) != text:
        raise ValueError("not strict base64url")
    return data


def digest(data: bytes) -> str:
    """SHA-256 in base64url: how entries, blobs and procedures are named."""
    return to_base64url(hashlib.sha256(data).digest())


def new_key() -> ec.EllipticCurvePrivateKey:
    return ec.generate_private_key(ec.SECP256R1())


def jwk(key: ec.EllipticCurvePrivateKey | ec.EllipticCurvePublicKey) -> Jwk:
    """The public key as a JWK with its four required members and nothing else."""
    public = key.public_key() if isinstance(key, ec.EllipticCurvePrivateKey) else key
    numbers = public.public_numbers()
    return {
        "kty": "EC",
        "crv": "P-256",
        "x": to_base64url(numbers.x.to_bytes(32, "big")),
        "y": to_base64url(numbers.y.to_bytes(32, "big")),
    }


def public_key(key: Any) -> ec.EllipticCurvePublicKey:
    """The key a JWK holds; ValueError unless it is exactly a public P-256 key on the curve."""
    if not isinstance(key, dict) or sorted(map(str, key)) != ["crv", "kty", "x", "y"]:
        raise ValueError('a key has "kty", "crv", "x" and "y" and nothing else')
    if key["kty"] != "EC" or key["crv"] != "P-256":
        raise ValueError('a key is of kty "EC" and crv "P-256"')
    if not isinstance(key["x"], str) or not isinstance(key["y"], str):
        raise ValueError("a key's x and y are texts")
    x, y = from_base64url(key["x"]), from_base64url(key["y"])
    if len(x) != 32 or len(y) != 32:
        raise ValueError("a key's x and y are 32 bytes each")
    point = ec.EllipticCurvePublicNumbers(int.from_bytes(x, "big"), int.from_bytes(y, "big"), ec.SECP256R1())
    return point.public_key()


def thumbprint(key: Jwk) -> str:
    """RFC 7638: the name of a key, its kid."""
    crv, kty, x, y = key["crv"], key["kty"], key["x"], key["y"]
    text = f'{{"crv":"{crv}","kty":"{kty}","x":"{x}","y":"{y}"}}'
    return digest(text.encode("ascii"))


def fingerprint(kid: str) -> str:
    """A kid in groups of four, to be read aloud and compared."""
    return " ".join(kid[i : i + 4] for i in range(0, len(kid), 4))


def sign(key: ec.EllipticCurvePrivateKey, signing_input: str) -> str:
    """The compact JWS: the signing input, a point, and the raw r||s with s in its lower half."""
    r, s = decode_dss_signature(key.sign(signing_input.encode("ascii"), ec.ECDSA(hashes.SHA256())))
    s = min(s, ORDER - s)
    return signing_input + "." + to_base64url(r.to_bytes(32, "big") + s.to_bytes(32, "big"))


def verify_raw(key: Jwk, signing_input: bytes, signature: bytes) -> bool:
    if len(signature) != 64:
        return False
    r, s = int.from_bytes(signature[:32], "big"), int.from_bytes(signature[32:], "big")
    if not 0 < r < ORDER or not 0 < s <= ORDER // 2:
        return False
    try:
        public_key(key).verify(encode_dss_signature(r, s), signing_input, ec.ECDSA(hashes.SHA256()))
    except (InvalidSignature, ValueError):
        return False
    return True


def verify(key: Jwk, jws: str) -> bool:
    """Whether a compact JWS carries this key's signature, low-s and strictly spelt."""
    signing_input, _, last = jws.rpartition(".")
    try:
        return verify_raw(key, signing_input.encode("ascii"), from_base64url(last))
    except ValueError:
        return False


def _header(kid: str, typ: str) -> str:
    return f'{{"alg":"ES256","kid":"{kid}","typ":"{typ}"}}'


def make(key: ec.EllipticCurvePrivateKey, typ: str, payload: dict[str, Any]) -> str:
    """A proof: a JWS of our own header form under another typ than an entry's."""
    header = _header(thumbprint(jwk(key)), typ)
    body = json.dumps(payload, ensure_ascii=False, separators=(",", ":"))
    return sign(key, to_base64url(header.encode("ascii")) + "." + to_base64url(body.encode("utf-8")))


def claimed_kid(jws: str) -> str | None:
    """The kid a JWS names in its header, before anything is proved; None where there is none to read."""
    try:
        header = json.loads(from_base64url(jws.split(".")[0]))
    except ValueError:
        return None
    kid = header.get("kid") if isinstance(header, dict) else None
    return kid if isinstance(kid, str) else None


def read(jws: str, typ: str, key: Jwk) -> dict[str, Any]:
    """The payload of a proof made by `make` with this key; ValueError says what is wrong with it."""
    parts = jws.split(".")
    if len(parts) != 3:
        raise ValueError("it is not a compact JWS of three parts")
    header = _header(thumbprint(key), typ)
    if from_base64url(parts[0]) != header.encode("ascii"):
        raise ValueError(f'its header is not exactly alg ES256, kid of the key, typ "{typ}"')
    if not verify(key, jws):
        raise ValueError("its signature is not this key's")
    payload = json.loads(from_base64url(parts[1]))
    if not isinstance(payload, dict):
        raise ValueError("its payload is not a JSON object")
    return payload
