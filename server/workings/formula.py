"""The formulas of a procedure: ordinary arithmetic over named values, with dimensions checked.

    if(abs(setting.misfit_left) <= front_clearance/2 - 1/64[in], 'goes on', 'does not')

A number directly followed by a unit in brackets is a quantity: 0.25[in], 3/8[in], 1 1/4[in], 90[deg].
Operators from loose to tight: or, and, not, one comparison (< <= > >= = <>), + -, * /, minus sign, ^.
Angle is a dimension: sin, cos and tan take one; length times angle is a length. A plain 0 goes with
anything. Comparisons have 1e-9 of grace in base SI (a nanometre), so that what is set to the very edge
does not fall off it. A formula reaches nothing but the names it is given and FUNCTIONS, and is bounded
in length, nodes and depth. It is read into postfix and worked on a stack: the phone's Python has no
room for recursion.
"""

import math

from workings import formula_functions as functions
from workings.errors import WorkingError
from workings.quantities import dimension_words
from workings.units_table import UNITS

LENGTH, NODES, DEPTH = 500, 300, 24
WORDS = ("and", "or", "not", "if", "yes", "no", "true", "false", "pi", "all", "count")
RESERVED = WORDS + tuple(sorted(functions.FUNCTIONS))
_BINDS = {"or": 1, "and": 2, "not": 3, "<": 4, "<=": 4, ">": 4, ">=": 4, "=": 4, "<>": 4, "+": 5, "-": 5,
          "*": 6, "/": 6, "minus": 7, "^": 8}
_ALIKE = {"−": "-", "×": "*", "·": "*", "÷": "/", "≤": "<=", "≥": ">=", "≠": "<>", "\n": " ", "\t": " ",
          "\r": " "}
_FIGURES = "0123456789"
_SUM = ("+", "-")


class Missing(Exception):
    """A name that has no value yet."""

    def __init__(self, name):
        super().__init__(name)
        self.name = name


def _letter(c):
    return "a" <= c <= "z" or "A" <= c <= "Z" or c == "_"


def fault(text, at, why, accepted):
    return WorkingError("formula", text, accepted, f"formula, character {at + 1}: {why}; give {accepted}.")


class _Words:
    """The formula cut into words: (kind, value, place)."""

    def __init__(self, text):
        self.text, self.at = text, 0

    def fail(self, why, accepted):
        raise fault(self.text, self.at, why, accepted)

    def run(self, at, kind):
        """Where the run of figures (or letters and figures) that begins at `at` ends."""
        text = self.text
        while at < len(text) and (text[at] in _FIGURES or kind != "figures" and _letter(text[at])):
            at += 1
        return at

    def fraction(self, at):
        """The end of a "3/8" that a unit follows, or 0: without one, 3/8 is a division."""
        slash = self.run(at, "figures")
        end = self.run(slash + 1, "figures")
        good = slash > at and end > slash + 1 and self.text[slash:slash + 1] == "/"
        return end if good and self.text[end:end + 1] == "[" else 0

    def number(self):
        text, start = self.text, self.at
        end, value = self.fraction(start), None
        whole_end = self.run(start, "figures")
        after = whole_end
        while text[after:after + 1] == " ":
            after += 1
        mixed = self.fraction(after) if after > whole_end > start else 0
        if end or mixed:
            end = end or mixed
            if end - start > 20:
                self.fail("a number has too many figures", "at most 15 figures")
            top, _, bottom = text[after if mixed else start:end].partition("/")
            if not int(bottom):
                self.fail("there is no such fraction", "a fraction such as 3/8[in]")
            value = int(top) / int(bottom) + (int(text[start:whole_end]) if mixed else 0)
        else:
            end = whole_end
            if text[end:end + 1] == ".":
                end = self.run(end + 1, "figures")
            word = text[start:end]
            if text[end:end + 1] == "e":
                sign = 1 if text[end + 1:end + 2] in ("+", "-") else 0
                last = self.run(end + 1 + sign, "figures")
                if 0 < last - end - 1 - sign <= 2:
                    word, end = text[start:last], last
            if end - start > 20 or len(word.partition("e")[0]) > 16:
                self.fail("a number has too many figures", "at most 15 figures")
            if word == ".":
                self.fail("a dot is no number", "a number such as 0.25")
            value = float(word)
        shown, unit = " ".join(text[start:end].split()), None
        if text[end:end + 1] == "[":
            close = text.find("]", end)
            unit = text[end + 1:close].strip(" ") if close > 0 else ""
            if unit not in UNITS:
                self.at = end
                self.fail("there is no such unit" if close > 0 else "a unit is not closed",
                          "the id of a unit, such as 1/4[in], 12[thou] or 90[deg]")
            end = close + 1
        self.at = end
        # A plain 0 has no dimension of its own (None): it goes with anything.
        powers = UNITS[unit][0] if unit else functions.PLAIN if value else None
        value = value * UNITS[unit][1] + UNITS[unit][2] if unit else value
        return ("number", (value, powers, shown, unit))

    def next(self):
        text = self.text
        while text[self.at:self.at + 1] == " ":
            self.at += 1
        start = self.at
        c = text[start:start + 1]
        if not c:
            return ("end", "", start)
        if c in _FIGURES or c == ".":
            return self.number() + (start,)
        if c == "'":
            end = text.find("'", start + 1)
            if end < 0:
                self.fail("words are not closed", "them between two ' marks")
            self.at = end + 1
            return ("text", text[start + 1:end], start)
        if _letter(c):
            self.at = self.run(start, "letters")
            while text[self.at:self.at + 1] == "." and _letter(text[self.at + 1:self.at + 2]):
                self.at = self.run(self.at + 1, "letters")
            word = text[start:self.at]
            return ("word" if word in RESERVED else "name", word, start)
        for sign in (text[start:start + 2], c):
            if sign in _BINDS or sign in ("(", ")", ","):
                self.at += len(sign)
                return ("sign", sign, start)
        self.fail(f"{c} means nothing here", "names, numbers, + - * / ^ ( ) and comparisons")


class _Reader:
    """From words to postfix by two stacks; self.program holds (op, value, place)."""

    def __init__(self, text):
        self.text = text
        self.program = []
        self.waiting = []           # signs, calls and brackets not yet done: (op, binds, place, values)
        self.depths = []            # for each value on the stack to be: (depth, op that made it)

    def put(self, op, value, at, takes):
        depths = self.depths[len(self.depths) - takes:]
        del self.depths[len(self.depths) - takes:]
        depth = 1
        for n, (deep, made_by) in enumerate(depths):
            # a + b + c is one row, however long: a chain on the left adds no depth.
            chain = n == 0 and (op in ("and", "or", "*") and made_by == op or op in _SUM and made_by in _SUM)
            depth = max(depth, deep if chain else deep + 1)
        self.depths.append((depth, op))
        self.program.append((op, value, at))
        if depth > DEPTH or len(self.program) > NODES:
            raise fault(self.text, at, "this is too long or too deep", "shorter formulas, one using another")

    def release(self, binds, right=False):
        """Signs that bind tighter come first."""
        while self.waiting and self.waiting[-1][1] > binds - (0 if right else 1) and self.waiting[-1][1]:
            op, bound, at, _ = self.waiting.pop()
            if bound == 4 and binds == 4:
                raise fault(self.text, at, "two comparisons in a row", "them joined by and")
            self.put(op, None, at, 1 if op in ("not", "minus") else 2)

    def close(self, at, sign):
        """At "," or ")": what is inside the bracket is one value."""
        self.release(1)
        if sign == "," and (not self.waiting or self.waiting[-1][0] == "("):
            raise fault(self.text, at, "a comma outside a function", "a point for decimals")
        if not self.waiting:
            raise fault(self.text, at, f"{sign} has no bracket before it", "each bracket with its partner")
        op, binds, start, count = self.waiting.pop()
        if sign == ",":
            self.waiting.append((op, binds, start, count + 1))
        elif op != "(":
            least, most = functions.FUNCTIONS[op]
            if not least <= count <= most:
                wants = str(least) if least == most else f"{least} to {most}"
                raise fault(self.text, start, f"{op} takes {wants} values, not {count}", f"{wants} values")
            self.put("call", (op, count), start, count)

    def read(self):
        words = _Words(self.text)
        wanted = True               # a value is wanted next, not a sign between values
        while True:
            kind, value, at = words.next()
            if wanted:
                wanted = self.value(kind, value, at, words)
            elif kind == "end":
                self.release(1)
                if self.waiting:
                    raise fault(self.text, self.waiting[-1][2], "a bracket is not closed", "a ) for it")
                return self.program
            elif value in (")", ",") and kind == "sign":
                self.close(at, value)
                wanted = value == ","
            elif value in ("not", "(") or value not in _BINDS or kind not in ("sign", "word"):
                raise fault(self.text, at, "a sign is missing before this", "a sign such as + or *")
            else:
                self.release(_BINDS[value], value == "^")
                self.waiting.append((value, _BINDS[value], at, 0))
                wanted = True

    def value(self, kind, value, at, words):
        """Takes what begins a value; True while the value itself is still to come."""
        if kind in ("number", "text", "name"):
            self.put(kind, value, at, 0)
        elif value in ("yes", "true", "no", "false"):
            self.put("yes/no", value in ("yes", "true"), at, 0)
        elif value == "pi":
            self.put("number", (math.pi, functions.PLAIN, "π", None), at, 0)
        elif value in ("-", "not"):
            op = "not" if value == "not" else "minus"
            self.waiting.append((op, _BINDS[op], at, 0))
            return True
        elif value == "+":
            return True
        elif value == "(" and kind == "sign":
            self.waiting.append(("(", 0, at, 1))
            return True
        elif value in functions.FUNCTIONS:
            if words.next()[1] != "(":
                raise fault(self.text, at, f"{value} is a function", f"its values in brackets: {value}(…)")
            self.waiting.append((value, 0, at, 1))
            return True
        else:
            what = "the formula ends too early" if kind == "end" else f"{value} cannot stand here"
            raise fault(self.text, at, what, "a name, a number or a bracket")
        if len(self.waiting) > NODES:
            raise fault(self.text, at, "this is too deep", "two shorter formulas")
        return False


class Formula:
    """A formula that was read. names: those it uses, in the order they appear."""

    def __init__(self, text, program):
        self.text = text
        self.program = program
        self.names = []
        self._checked = None
        for op, value, _ in program:
            if op == "name" and value not in self.names:
                self.names.append(value)

    def check(self, types):
        """The type of the result, for types of the names: ("number", powers), ("text",) or ("yes/no",)."""
        stack, before = [], None
        for step in self.program:
            op, value, at = step
            if op == "number":
                kind = ("number", value[1])
            elif op == "name":
                if value not in types:
                    raise fault(self.text, at, f"nothing is called {value} here",
                                "the name of a reading, data or value of this procedure")
                kind = types[value]
            elif op in ("text", "yes/no"):
                kind = (op,)
            else:
                takes = value[1] if op == "call" else 1 if op in ("minus", "not") else 2
                given = stack[len(stack) - takes:]
                del stack[len(stack) - takes:]
                trouble = None
                try:
                    # The step before ^ is its exponent, whose value counts too: length^2 is an area.
                    kind = functions.result_type(value[0] if op == "call" else op, given, before)
                except functions.Trouble as error:
                    trouble = error
                if trouble:
                    raise fault(self.text, at, trouble.why, trouble.accepted)
            stack.append(kind)
            before = step
        kind = stack[0]
        if kind[0] == "number":
            kind = ("number", tuple(kind[1] or functions.PLAIN))
        return kind

    def evaluate(self, values, types=None):
        """(kind, value) of the formula; Missing where a needed name has no value (None).

        What goes wrong in the branch of an if that is not taken, or behind an `and` that is already
        decided, does not matter: troubles travel on the stack like values until something drops them.
        """
        if types is not None and types != self._checked:
            self.check(types)
            self._checked = types
        stack = []
        for op, value, at in self.program:
            if op == "number":
                stack.append(value[0])
            elif op == "name":
                found = values.get(value)
                if found is None:
                    found = functions.Trouble(value, "a value")
                    found.error = Missing(value)
                elif not isinstance(found, str) and found is not True and found is not False:
                    found = float(found)
                    if found - found != 0:
                        found = functions.Trouble(value, "a finite number")
                        found.error = fault(self.text, at, value + " is no number", "a finite number")
                stack.append(found)
            elif op in ("text", "yes/no"):
                stack.append(value)
            else:
                takes = value[1] if op == "call" else 1 if op in ("minus", "not") else 2
                given = stack[len(stack) - takes:]
                del stack[len(stack) - takes:]
                out = functions.result(value[0] if op == "call" else op, given)
                if isinstance(out, functions.Trouble) and out.error is None:
                    out.error = fault(self.text, at, out.why, out.accepted)
                stack.append(out)
        out = stack[0]
        if isinstance(out, functions.Trouble):
            raise out.error
        return functions.kind_of(out), out

    def typeset(self, labels=None):
        """The formula as nested boxes; labels: name -> what to call it."""
        from workings import formula_layout  # only a working that is being looked at needs it
        return formula_layout.tree(self.program, labels or {}, "name")

    def tree_with(self, texts):
        """The same boxes with numbers put in; texts: name -> its value as shown."""
        from workings import formula_layout
        return formula_layout.tree(self.program, texts, "num")


def compile_formula(text):
    """The Formula of a text; WorkingError on "formula" where it is none."""
    if not isinstance(text, str) or not text.strip(" "):
        raise WorkingError("formula", "nothing", "a formula such as wheel_diameter/2 + 1/4[in]")
    if len(text) > LENGTH:
        raise WorkingError("formula", text[:40] + "…", f"at most {LENGTH} characters")
    plain = "".join([_ALIKE.get(c, c) for c in text])
    return Formula(text, _Reader(plain).read())


def type_words(kind):
    """A type in words, for messages: "length", "yes/no", "text"."""
    return dimension_words(kind[1] or functions.PLAIN) if kind[0] == "number" else kind[0]


def work_out(text, values, types=None):
    """(kind, value) of a formula that is needed once: read, checked where types are given, evaluated."""
    return compile_formula(text).evaluate(values, types)
