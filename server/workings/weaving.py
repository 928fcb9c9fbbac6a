# A text of a procedure taken apart: plain words, woven values ‹name : format› and {terms}.

from workings import vocabulary

LETTERS = "abcdefghijklmnopqrstuvwxyz"
NAME = LETTERS + "0123456789_"


class WeaveError(Exception):
    """A text whose braces or ‹ › do not come in pairs."""

    def __init__(self, message):
        self.message = message
        super().__init__(message)


def is_name(text, extra=""):
    """Small letters, digits and _, beginning with a letter, 40 at most."""
    if not text or len(text) > 40 or text[0] not in LETTERS:
        return False
    for char in text:
        if char not in NAME and char not in extra:
            return False
    return True


def woven(text):
    """A text taken apart: ["text", words], ["value", name, format or None] and
    ["term", id, plural, capital]."""
    runs = []
    rest = text
    while rest:
        at, sign = _first(rest)
        if sign == "":
            runs.append(["text", rest])
            break
        if sign in "}›":
            raise WeaveError('"' + sign + '" closes nothing; write the opening sign before it')
        close = "}" if sign == "{" else "›"
        end = rest.find(close, at + 1)
        inside = rest[at + 1 : end] if end >= 0 else ""
        if end < 0 or "{" in inside or "‹" in inside:
            raise WeaveError('"' + sign + '" is not closed; write "' + close + '" after it')
        if at:
            runs.append(["text", rest[:at]])
        runs.append(_term(inside) if sign == "{" else _value(inside))
        rest = rest[end + 1 :]
    return runs


def _first(text):
    """Where the first sign stands, and which it is."""
    at, sign = len(text), ""
    for candidate in ("{", "}", "‹", "›"):
        found = text.find(candidate)
        if 0 <= found < at:
            at, sign = found, candidate
    return at, sign


def _term(inside):
    if not inside or inside != inside.strip():
        raise WeaveError("a term in braces is empty or has a space at its edge; write {side rod}")
    ident, plural, capital = vocabulary.recognise(inside)
    return ["term", ident, plural, capital]


def _value(inside):
    name, colon, show = inside.partition(":")
    name, show = name.strip(), show.strip()
    parts = name.split(".")
    if len(parts) > 2 or not all([is_name(part) for part in parts]):
        raise WeaveError("‹" + inside + "› does not begin with a name; write ‹name : in/16› or ‹name›")
    if colon and not show:
        raise WeaveError("‹" + inside + "› has no format after the colon; write ‹name : in/16› or ‹name›")
    return ["value", name, show or None]
