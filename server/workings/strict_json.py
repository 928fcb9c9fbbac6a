"""The one strict reader and writer of JSON: entries and procedures pass through it at both ends.

I-JSON (RFC 7493), and stricter: no name twice, no number but an integer below 2**30 (a reading is
the text typed, never a float), nothing nested deeper than DEPTH. The interpreters' own readers
differ in what they let through, so neither is used. A caller names what is read (an entry, a
procedure file) so that the message can say it.
"""

from workings.errors import WorkingError

DEPTH = 12
TOP = 1 << 30
_SPACE = b" \t\n\r"
_PLAIN = {'"': '"', "\\": "\\", "/": "/", "b": "\b", "f": "\f", "n": "\n", "r": "\r", "t": "\t"}
_ESCAPED = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\f": "\\f", "\n": "\\n", "\r": "\\r", "\t": "\\t"}
_CONTROLS = [bytes([i]) for i in range(32) if i not in _SPACE]


def _bad_utf8(data):
    """Why the bytes are not the UTF-8 of characters I-JSON allows, or None."""
    i, end = 0, len(data)
    while i < end:
        lead = data[i]
        i += 1
        if lead < 0x80:
            continue
        more, least = (1, 0x80) if lead < 0xE0 else (2, 0x800) if lead < 0xF0 else (3, 0x10000)
        if lead < 0xC2 or lead > 0xF4 or i + more > end:
            return "it is not valid UTF-8"
        code = lead & (0x3F >> more)
        for _ in range(more):
            if data[i] & 0xC0 != 0x80:
                return "it is not valid UTF-8"
            code = code << 6 | data[i] & 0x3F
            i += 1
        if code < least or code > 0x10FFFF:
            return "it is not valid UTF-8"
        if not _character(code):
            return "it holds a code that is no character"
    return None


def _character(code):
    return not (0xD800 <= code < 0xE000 or 0xFDD0 <= code < 0xFDF0 or code & 0xFFFE == 0xFFFE)


class _Reader:
    """Reads bytes, not str: MicroPython finds the n-th character of a str by walking to it."""

    def __init__(self, data, name):
        self.data = data
        self.at = 0
        self.name = name
        # Entries hold no line breaks at all; then no text in them needs a look for one.
        self.spaced = b"\t" in data or b"\n" in data or b"\r" in data

    def fail(self, why, accepted="strict JSON", at=None):
        at = self.at if at is None else at
        before = self.data[:at].decode()
        line = before.count("\n") + 1
        column = len(before) - (before.rfind("\n") + 1) + 1
        raise WorkingError(self.name, self.data[at:].decode()[:20], accepted,
                           f"{self.name}: {why} (line {line}, character {column}); give {accepted}.")

    def skip(self):
        """The next byte that is no space, as a number; 0 at the end (a raw 0 was refused before)."""
        data, at, end = self.data, self.at, len(self.data)
        while at < end and data[at] in _SPACE:
            at += 1
        self.at = at
        return data[at] if at < end else 0

    def value(self, depth):
        c = self.skip()
        if c == 34:
            return self.string()
        if c == 123 or c == 91:
            if depth >= DEPTH:
                self.fail("it is nested too deep", f"at most {DEPTH} levels")
            self.at += 1
            return self.object(depth + 1) if c == 123 else self.array(depth + 1)
        if c == 45 or 48 <= c <= 57:
            return self.number()
        for word, value in ((b"true", True), (b"false", False), (b"null", None)):
            if self.data[self.at:self.at + len(word)] == word:
                self.at += len(word)
                return value
        self.fail("a value is missing here" if c else "it ends too early")

    def number(self):
        data, end = self.data, self.at + 1
        while end < len(data) and 48 <= data[end] <= 57:
            end += 1
        word = data[self.at:end].decode()
        accepted = f"whole numbers below {TOP}; anything else as text with its unit"
        if data[end:end + 1] in (b".", b"e", b"E"):
            self.fail("a number is not whole", accepted)
        figures = word[1:] if word[0] == "-" else word
        if not figures or figures[0] == "0" and word != "0":
            self.fail(f"{word} is not how a whole number is written", accepted)
        if len(figures) > 10 or int(figures) >= TOP:
            self.fail("a number is too large", accepted)
        self.at = end
        return int(word)

    def string(self):
        data, start = self.data, self.at + 1
        end = data.find(b'"', start)
        if end < 0:
            self.fail("a text is not closed")
        raw = data[start:end]
        if b"\\" in raw:
            text, end = self.escaped(start)
            raw = data[start:end]
        else:
            text = raw.decode()
        if self.spaced and (b"\n" in raw or b"\t" in raw or b"\r" in raw):
            self.fail("a text holds a line break or tab; write it as \\n or \\t")
        self.at = end + 1
        return text

    def escaped(self, at):
        data, parts, size = self.data, [], len(self.data)
        while True:
            end = at
            while end < size and data[end] != 34 and data[end] != 92:
                end += 1
            parts.append(data[at:end].decode())
            if end + 1 > size or data[end:end + 1] == b"\\" and end + 2 > size:
                self.fail("a text is not closed")
            if data[end] == 34:
                return "".join(parts), end
            mark = chr(data[end + 1])
            at = end + 2
            if mark != "u":
                if mark not in _PLAIN:
                    self.fail("an escape is not known", at=end)
                parts.append(_PLAIN[mark])
                continue
            code = self.hex4(end)
            at = end + 6
            if 0xD800 <= code < 0xDC00 and data[at:at + 2] == b"\\u":
                low = self.hex4(at)
                if 0xDC00 <= low < 0xE000:
                    code = 0x10000 + (code - 0xD800 << 10) + low - 0xDC00
                    at += 6
            if not _character(code):
                self.fail("it holds a code that is no character", at=end)
            parts.append(chr(code))

    def hex4(self, at):
        word = self.data[at + 2:at + 6]
        if len(word) < 4 or [c for c in word if c not in b"0123456789abcdefABCDEF"]:
            self.fail("an escape is not known", at=at)
        return int(word.decode(), 16)

    def array(self, depth):
        out = []
        if self.skip() == 93:
            self.at += 1
            return out
        while True:
            out.append(self.value(depth))
            if self.more(93, "]"):
                return out

    def object(self, depth):
        out = {}
        if self.skip() == 125:
            self.at += 1
            return out
        while True:
            if self.skip() != 34:
                self.fail("a name in double quotes is missing here")
            start = self.at
            key = self.string()
            if key in out:
                self.fail(f'the name "{key}" stands twice', "each name once", start)
            if self.skip() != 58:
                self.fail('a ":" is missing here')
            self.at += 1
            out[key] = self.value(depth)
            if self.more(125, "}"):
                return out

    def more(self, close, sign):
        """Past the comma (False) or past the closing bracket (True)."""
        c = self.skip()
        if c != 44 and c != close:
            self.fail(f'a "," or "{sign}" is missing here')
        self.at += 1
        return c == close


def read(source, limit, name="entry"):
    """The value of a JSON text (str or bytes) of at most limit bytes; WorkingError on name."""
    if isinstance(source, str):
        try:
            data = source.encode()
        except UnicodeError:
            raise WorkingError(name, "", "characters only", f"{name}: it holds a code that is no character.")
    else:
        data = bytes(source)
    if len(data) > limit:
        raise WorkingError(name, f"{len(data)} bytes", f"at most {limit} bytes")
    bad = None if _ascii(data) else _bad_utf8(data)
    if bad:
        raise WorkingError(name, "", "text in UTF-8", f"{name}: {bad}; give text in UTF-8.")
    for c in _CONTROLS:
        if c in data:
            raise WorkingError(name, f"code {c[0]}", "text without control characters")
    reader = _Reader(data, name)
    value = reader.value(0)
    if reader.skip():
        reader.fail("something follows the end")
    return value


def _ascii(data):
    # Decoded as UTF-8, only ASCII keeps its length; bytes that do not decode are no ASCII either.
    try:
        return len(data.decode()) == len(data)
    except UnicodeError:
        return False


def _quoted(text):
    for c in text:
        if c < " " or c == '"' or c == "\\":
            break
    else:
        return '"' + text + '"'
    return '"' + "".join(_ESCAPED.get(c) or (f"\\u{ord(c):04x}" if c < " " else c) for c in text) + '"'


def _put(value, out, depth):
    if value is True or value is False or value is None:
        out.append("true" if value is True else "false" if value is False else "null")
    elif isinstance(value, str):
        out.append(_quoted(value))
    elif isinstance(value, int):
        if not -TOP < value < TOP:
            raise WorkingError("entry", str(value), "whole numbers below 1073741824")
        out.append(str(value))
    elif isinstance(value, (list, tuple, dict)):
        if depth >= DEPTH:
            raise WorkingError("entry", "", f"at most {DEPTH} levels", "entry: it is nested too deep.")
        keyed = isinstance(value, dict)
        out.append("{" if keyed else "[")
        if keyed and [k for k in value if not isinstance(k, str)]:
            raise WorkingError("entry", "", "names that are text", "entry: a name is not text.")
        for n, item in enumerate(sorted(value) if keyed else value):
            if n:
                out.append(",")
            if keyed:
                out.append(_quoted(item) + ":")
                item = value[item]
            _put(item, out, depth + 1)
        out.append("}" if keyed else "]")
    else:
        raise WorkingError("entry", "", "text, whole numbers, yes/no, lists and names",
                           "entry: a value is of a kind that JSON here does not hold, such as a float.")


def write(value):
    """The canonical text: names sorted by code point, no spaces, only the escapes that must be."""
    out = []
    _put(value, out, 0)
    text = "".join(out)
    try:
        data = text.encode()
    except UnicodeError:
        data = b"\xff"
    if len(data) != len(text) and _bad_utf8(data):
        raise WorkingError("entry", "", "characters only", "entry: it holds a code that is no character.")
    return text
