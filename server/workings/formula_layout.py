"""A formula as nested boxes, to be drawn or spoken: ["row", ...], ["frac", a, b], ["sqrt", a],
["sup", a, b], ["text", t], ["name", t], ["num", t]."""

from workings.units_table import UNITS

_SIGNS = {"<=": "≤", ">=": "≥", "<>": "≠", "*": "·", "-": "−"}
_BINDS = {"or": 1, "and": 2, "<": 4, "<=": 4, ">": 4, ">=": 4, "=": 4, "<>": 4, "+": 5, "-": 5, "*": 6}
_TIGHT = 9


def _row(*parts):
    """One row of all parts, those that are rows themselves taken apart."""
    out = ["row"]
    for part in parts:
        if part[0] == "row":
            out.extend(part[1:])
        else:
            out.append(part)
    return out


def _text(text):
    return ["text", text]


def _held(item, binds):
    """The box of (box, binds, op), in brackets where it binds looser than binds."""
    return item[0] if item[1] >= binds else _row(_text("("), item[0], _text(")"))


def _leaf(op, value, names, kind):
    if op == "number":
        unit = UNITS[value[3]][3] if value[3] else ""
        text = value[2] + ("" if unit in ("", "°", "%") else " ") + unit
        return (["num", text], _TIGHT)
    if op == "name":
        if value in names:
            shown = names[value]
            return ([kind, shown], 7 if shown[:1] in ("−", "-") else _TIGHT)
        return (["name", value.split(".")[-1].replace("_", " ")], _TIGHT)
    return (_text(value if op == "text" else "yes" if value else "no"), _TIGHT)


def _call(name, given):
    boxes = [item[0] for item in given]
    if name == "sqrt":
        return (["sqrt", boxes[0]], _TIGHT)
    if name == "abs":
        return (_row(_text("|"), boxes[0], _text("|")), _TIGHT)
    if name == "if":
        asked, this, that = [_held(item, 1) for item in given]
        return (_row(this, _text(" if "), asked, _text(", else "), that), 0)
    parts = [_text(name + "(")]
    for n, box in enumerate(boxes):
        parts += [_text(", "), box] if n else [box]
    return (_row(*(parts + [_text(")")])), _TIGHT)


def tree(program, names, kind):
    """The boxes of a postfix program; names: name -> text, put in as boxes of that kind."""
    stack = []
    for op, value, _ in program:
        if op in ("number", "name", "text", "yes/no"):
            stack.append(_leaf(op, value, names, kind))
            continue
        takes = value[1] if op == "call" else 1 if op in ("minus", "not") else 2
        given = stack[len(stack) - takes:]
        del stack[len(stack) - takes:]
        if op == "call":
            item = _call(value[0], given)
        elif op == "minus":
            item = (_row(_text("−"), _held(given[0], 6)), 6)
        elif op == "not":
            item = (_row(_text("not "), _held(given[0], 4)), 3)
        elif op == "/":
            item = (["frac", given[0][0], given[1][0]], 7)
        elif op == "^":
            item = (["sup", _held(given[0], 8), given[1][0]], 8)
        else:
            binds = _BINDS[op]
            # What stands right of a minus or a comparison needs brackets at its own strength too.
            right = _held(given[1], binds + (1 if op in ("-", "+") or binds == 4 else 0))
            left = _held(given[0], binds + (1 if binds == 4 else 0))
            item = (_row(left, _text(f" {_SIGNS.get(op, op)} "), right), binds)
        stack.append(item)
    return stack[0][0]
