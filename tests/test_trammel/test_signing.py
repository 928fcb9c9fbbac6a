"""ES256 in the form that a phone makes, held against another implementation and a published example."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from joserfc import jws as other
from joserfc.jwk import ECKey
from trammel import signing
from workings import entries as form

KEY = signing.new_key()
JWK = signing.jwk(KEY)


def test_a_thumbprint_is_that_of_another_implementation_and_of_the_workings():
    assert signing.thumbprint(JWK) == ECKey.import_key(JWK).thumbprint() == form.thumbprint(JWK)


def test_the_example_of_rfc_7515_is_verified():
    # RFC 7515, appendix A.3: ES256 with the key and signature printed there; its s is in the lower half.
    key = {"kty": "EC", "crv": "P-256", "x": "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU",
           "y": "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0"}  # fmt: skip
    jws = (
        "eyJhbGciOiJFUzI1NiJ9"
        ".eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ"
        ".DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQxfKTUJqPP3-Kg6NU1Q"
    )
    raw = signing.from_base64url(jws.split(".")[2])
    s = int.from_bytes(raw[32:], "big")
    # The RFC asks for no low s, so its signature is first brought to the form that is accepted here.
    low = min(s, signing.ORDER - s).to_bytes(32, "big")
    head = jws.rpartition(".")[0]
    assert signing.verify(key, head + "." + signing.to_base64url(raw[:32] + low))
    high = (signing.ORDER - int.from_bytes(low, "big")).to_bytes(32, "big")
    assert not signing.verify(key, head + "." + signing.to_base64url(raw[:32] + high))


@given(payload=st.dictionaries(st.text(max_size=8), st.text(max_size=20), max_size=4))
@settings(max_examples=30, deadline=None)
def test_what_is_signed_is_verified_here_and_elsewhere(payload):
    made = signing.make(KEY, "trammel-device", payload)
    assert signing.read(made, "trammel-device", JWK) == payload
    assert json.loads(other.deserialize_compact(made, ECKey.import_key(JWK), ["ES256"]).payload) == payload
    assert int.from_bytes(signing.from_base64url(made.split(".")[2])[32:], "big") <= signing.ORDER // 2


@given(data=st.binary(max_size=70))
def test_base64url_has_one_spelling(data):
    text = signing.to_base64url(data)
    assert signing.from_base64url(text) == data == form.unb64(text)
    for other_spelling in (
        text + "=",
        " " + text,
        text + "\n",
        text.replace("_", "/") if "_" in text else "+",
    ):
        with pytest.raises(ValueError, match="base64url"):
            signing.from_base64url(other_spelling)


@pytest.mark.parametrize("text", ["QQ", "Q", "QR", "QUJD!", "Ünicode"])
def test_stray_bits_and_letters_are_no_base64url(text):
    if text == "QQ":
        assert signing.from_base64url(text) == b"A"
        return
    with pytest.raises(ValueError, match="base64url"):
        signing.from_base64url(text)


@pytest.mark.parametrize(
    "value",
    [None, "key", [], {}, {**JWK, "d": "x"}, {**JWK, "crv": "P-384"}, {**JWK, "x": "AA"}, {**JWK, "x": 1}],
)
def test_what_is_no_public_p256_key_is_refused(value):
    with pytest.raises(ValueError, match="key"):
        signing.public_key(value)


@pytest.mark.parametrize("jws", ["", ".", "..", "a.b", "a.b.c", "é.b.c", "a" * 5000, "e30.e30." + "A" * 86])
def test_nothing_that_is_no_signature_is_verified(jws):
    assert signing.verify(JWK, jws) is False
    assert signing.claimed_kid(jws) is None


def test_a_signature_counts_under_its_own_typ_only():
    made = signing.make(KEY, "trammel-session", {"nonce": "n"})
    with pytest.raises(ValueError, match="typ"):
        signing.read(made, "trammel-invite", JWK)
