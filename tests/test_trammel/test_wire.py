"""The phone's message types and the server's schemas say the same."""

import re
from pathlib import Path

import pytest
from trammel import schemas

WIRE = (Path(__file__).parents[2] / "pwa" / "src" / "wire.ts").read_text("utf-8")
PAIRS = {
    "EnrolRequest": schemas.Enrolment,
    "EnrolAnswer": schemas.Enrolled,
    "Session": schemas.Session,
    "PushAnswer": schemas.Pushed,
    "PullAnswer": schemas.Pulled,
    "ProcedureLine": schemas.ProcedureLine,
    "InvitationAnswer": schemas.Invited,
    "ServerError": schemas.Error,
    "PublicJwk": schemas.Jwk,
}


def members(text):
    """name -> member text of the outermost braces of an interface."""
    found, depth, start = {}, 0, 0
    pieces = []
    for at, letter in enumerate(text):
        depth += {"{": 1, "}": -1}.get(letter, 0)
        if letter == ";" and depth == 0:
            pieces.append(text[start:at])
            start = at + 1
    for piece in [*pieces, text[start:]]:
        name, sign, type = piece.strip().partition(":")
        if sign:
            found[name.strip()] = type.strip()
    return found


def interface(name):
    found = re.search(rf"export interface {name} \{{\n(.*?)\n\}}", WIRE, re.DOTALL)
    assert found, f"wire.ts has no interface {name}"
    return members(found[1])


def compare(told, schema, where):
    assert {name.rstrip("?") for name in told} == set(schema.fields), where
    for name, field in schema.fields.items():
        type = told.get(name) or told[name + "?"]
        inner = getattr(field, "inner", field)
        if getattr(inner, "schema", None) is not None and "{" in type:
            compare(members(type[type.index("{") + 1 : type.rindex("}")]), inner.schema, f"{where}.{name}")
        assert ("null" in re.sub(r"\{.*\}", "", type, flags=re.DOTALL)) is field.allow_none, f"{where}.{name}"


@pytest.mark.parametrize("name", sorted(PAIRS))
def test_an_interface_of_the_phone_is_a_schema_of_the_server(name):
    compare(interface(name), PAIRS[name](), name)


def test_the_words_of_a_push_answer_are_the_same():
    for word in ("appended", "here", "refused"):
        assert f'"{word}"' in interface("PushAnswer")["answers"]
