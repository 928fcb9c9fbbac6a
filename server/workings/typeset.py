"""Formulas set as SVG text: true fractions, roots, raised and lowered letters, Greek.

A node is a nested list: ["row", a, b, …], ["frac", above, below], ["sqrt", a], ["sup", a, b],
["sub", a, b], ["text", "…"], ["name", "alpha_max"], ["num", "3 5/16 in"]. The same SVG stands on
the phone and on paper: widths come from a table of the house typeface, and every text is told how
wide to be, so another typeface spoils the looks but not the place of anything.
"""

from workings import rounding

FONT = "Atkinson Hyperlegible Next, Atkinson Hyperlegible, DejaVu Sans, sans-serif"

GREEK = {}
for _row in (
    "alpha α|beta β|gamma γ|delta δ|epsilon ε|theta θ|mu μ|pi π|rho ρ|sigma σ|tau τ|phi φ|omega ω|Delta Δ"
).split("|"):
    GREEK[_row.split(" ")[0]] = _row.split(" ")[1]
_RAISED = {"⁻": "−"}
for _digit in range(10):
    _RAISED["⁰¹²³⁴⁵⁶⁷⁸⁹"[_digit]] = str(_digit)

# Advances in hundredths of the type size; one row for letters of one width.
_WIDTHS = {}
for _row in (
    "16'|20,.:;|24`j|25i|26l|28 |29!|30\"()f|32[|33t|34]{}|35r°‹›|36-|37_|39/I\\|40“”|41¹1|45y|46vz|47s"
    "|48*?ckx|50–|51J7|52a|53×|54Leu|55F2<>^hno|56Tdg~|57Ebpq|58Y3|59$5PSV|60D6∕|61+−÷4BRZ9|62X8|63=AKC|65#0|67G|"
    "69HNU|72Q|73&|71O|76@|82M—|84m|86W|92%|68w|24·|38²³"
).split("|"):
    if _row:
        for _letter in _row[2:]:
            _WIDTHS[_letter] = int(_row[:2]) / 100

UP, DOWN, AXIS = 0.70, 0.21, 0.26  # of the type size: above and below the line, middle of the signs
SMALL = 0.72
SPACE = 0.28


# Greek comes from whatever typeface has it.
for _row in "47τ|49ε|52γ|56δθ|58βρ|60απ|66φΔ≤≥".split("|"):
    for _letter in _row[2:]:
        _WIDTHS[_letter] = int(_row[:2]) / 100


def width_of(text, size):
    """How wide a text is in the house typeface, about."""
    return sum([_WIDTHS.get(letter, 0.6) for letter in text]) * size


class Box:
    """Something set: its width, how far it goes above and below the line, and what to draw."""

    def __init__(self, width, up, down, items):
        self.width = width
        self.up = up
        self.down = down
        self.items = items

    def moved(self, x, y):
        items = []
        for item in self.items:
            if item[0] == "text":
                items.append(("text", item[1] + x, item[2] + y) + item[3:])
            else:
                items.append((item[0], [(px + x, py + y) for px, py in item[1]]) + item[2:])
        return items


def _text(text, size, slanted=False):
    core = text.strip(" ")
    lead = (len(text) - len(text.lstrip(" "))) * SPACE * size
    wide = width_of(core, size)
    items = [("text", lead, 0.0, size, core, wide, slanted)] if core else []
    return Box(
        lead + wide + (len(text) - len(text.rstrip(" "))) * SPACE * size
        if core
        else len(text) * SPACE * size,
        UP * size,
        DOWN * size,
        items,
    )


def _side_by_side(boxes):
    x, up, down, items = 0.0, 0.0, 0.0, []
    for box in boxes:
        items += box.moved(x, 0.0)
        x += box.width
        up, down = max(up, box.up), max(down, box.down)
    return Box(x, up, down, items)


def _stacked(above, below, size):
    """A fraction: above over below, the rule at the height of a minus sign."""
    pad, gap, rule = 0.12 * size, 0.12 * size, max(0.055 * size, 0.9)
    wide = max(above.width, below.width) + 2 * pad
    top, bottom = -AXIS * size - gap - above.down, -AXIS * size + gap + below.up
    items = [("line", [(pad / 2, -AXIS * size), (wide - pad / 2, -AXIS * size)], rule)]
    items += above.moved((wide - above.width) / 2, top) + below.moved((wide - below.width) / 2, bottom)
    return Box(wide, above.up - top, below.down + bottom, items)


def _raised(base, mark, size, up):
    """mark beside base, raised by `up` of base's height, or lowered where that is below nought."""
    y = -(max(base.up, UP * size) - UP * size * 0.45) if up else base.down - DOWN * size + 0.16 * size
    box = _side_by_side([base, Box(0.03 * size, 0, 0, [])])
    items = box.items + mark.moved(box.width, y)
    return Box(
        box.width + mark.width + 0.03 * size, max(base.up, mark.up - y), max(base.down, mark.down + y), items
    )


def _root(inside, size):
    hook, gap, rule = 0.55 * size, 0.12 * size, max(0.055 * size, 0.9)
    up, down = inside.up + gap, inside.down
    points = [
        (0.04 * size, -0.28 * size),
        (0.16 * size, -0.36 * size),
        (0.32 * size, down),
        (hook, -up),
        (hook + inside.width + 0.1 * size, -up),
    ]
    return Box(
        hook + inside.width + 0.14 * size,
        up + rule,
        down + 0.02 * size,
        [("line", points, rule)] + inside.moved(hook + 0.05 * size, 0.0),
    )


def _bracket(box, size, left, shape="("):
    """A bracket or an upright bar as tall as what it holds; plain type where that is tall enough."""
    up, down = box.up + 0.04 * size, box.down + 0.04 * size
    rule = max(0.055 * size, 0.9)
    if shape == "|":
        return Box(0.3 * size, up, down, [("line", [(0.15 * size, -up), (0.15 * size, down)], rule)])
    if up <= (UP + 0.12) * size and down <= (DOWN + 0.12) * size:
        return _text("(" if left else ")", size)
    near, far = (0.34 * size, 0.1 * size) if left else (0.04 * size, 0.28 * size)
    return Box(0.38 * size, up, down, [("curve", [(near, -up), (far, (down - up) / 2), (near, down)], rule)])


def _name(name, size):
    """A name as a letter: Greek by its English word, what follows "_" lowered."""
    base, _, mark = name.partition("_")
    letter = GREEK.get(base, base)
    if len(letter) > 1 or not mark:
        if len(letter) > 1:
            return _text(name.replace("_", " ").replace(".", " "), size)
        return _text(letter, size, True)
    return _raised(_text(letter, size, True), _text(mark.replace("_", " "), size * SMALL), size, False)


def _digits(text):
    return bool(text) and all([c in "0123456789" for c in text])


def _number(text, size):
    """A value as people read it: "3 5/16 in" with a true fraction, "10⁻³" raised."""
    boxes, plain = [], ""
    words = text.split(" ")
    for k, word in enumerate(words):
        sign = word[:1] if word[:1] in ("-", "−", "+") else ""
        above, slash, below = word[len(sign) :].partition("/")
        if slash and _digits(above) and _digits(below):
            # A mixed number stands close: its whole part needs no space before the fraction.
            boxes.append(_text(plain.rstrip(" ") + sign.replace("-", "−"), size))
            boxes.append(_stacked(_text(above, size * SMALL), _text(below, size * SMALL), size * 0.9))
            plain = ""
        else:
            plain += word
        if k < len(words) - 1:
            plain += " "
    boxes.append(_text(plain, size))
    if not any([letter in _RAISED for letter in text]):
        return _side_by_side(boxes)
    return _side_by_side([_with_raised(text, size)])


def _with_raised(text, size):
    box, plain, mark = None, "", ""
    for letter in text + "\0":
        if letter in _RAISED:
            mark += _RAISED[letter]
            continue
        if mark:
            base = _text(plain, size) if box is None else _side_by_side([box, _text(plain, size)])
            box, plain, mark = _raised(base, _text(mark, size * SMALL), size, True), "", ""
        if letter != "\0":
            plain += letter
    return _text(plain, size) if box is None else _side_by_side([box, _text(plain, size)])


def _is(node, *texts):
    return node[0] == "text" and node[1].strip(" ") in texts


def _row(nodes, size):
    """Nodes side by side, with brackets and bars as tall as what stands between them."""
    boxes, opened = [], []
    for node in nodes:
        text = node[1] if node[0] == "text" else ""
        mark = text.strip(" ")
        if mark.endswith("("):
            if len(mark) > 1:
                boxes.append(_text(text[: text.rfind("(")], size))
            opened.append((len(boxes), "("))
            boxes.append(_text("(", size))
        elif opened and (mark == ")" or (mark == "|" and opened[-1][1] == "|")):
            start, shape = opened.pop()
            held = _side_by_side(boxes[start + 1 :])
            closed = [_bracket(held, size, True, shape), held, _bracket(held, size, False, shape)]
            boxes = boxes[:start] + [_side_by_side(closed)]
        elif mark == "|":
            opened.append((len(boxes), "|"))
            boxes.append(_text("|", size))
        else:
            boxes.append(lay(node, size))
    return _side_by_side(boxes)


def lay(node, size):
    """The Box of a node at a type size."""
    kind = node[0]
    if kind == "row":
        return _row(node[1:], size)
    if kind == "frac":
        return _stacked(lay(node[1], size * 0.88), lay(node[2], size * 0.88), size)
    if kind == "sqrt":
        return _root(lay(node[1], size), size)
    if kind == "sup":
        return _raised(lay(node[1], size), lay(node[2], size * SMALL), size, True)
    if kind == "sub":
        return _raised(lay(node[1], size), lay(node[2], size * SMALL), size, False)
    if kind == "name":
        return _name(node[1], size)
    if kind == "num":
        return _number(node[1], size)
    if kind == "word":
        return _text(" " + node[1], size)
    return _text(node[1], size)


def escaped(text):
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def px(value):
    """A length in a drawing, to a hundredth, without needless noughts."""
    text = rounding.decimal_text(value, 2)
    return text.rstrip("0").rstrip(".") if "." in text else text


def drawn(item):
    if item[0] == "text":
        _, x, y, size, text, wide, slanted = item
        fit = ' textLength="{}" lengthAdjust="spacingAndGlyphs"'.format(px(wide)) if len(text) > 1 else ""
        slant = ' font-style="italic"' if slanted else ""
        return '<text x="{}" y="{}" font-size="{}"{}{}>{}</text>'.format(
            px(x), px(y), px(size), fit, slant, escaped(text)
        )
    points = item[1]
    if item[0] == "curve":
        (x1, y1), (x2, y2), (x3, y3) = points
        # The middle point is touched by the curve, so its handle lies as far again beyond it.
        path = "M{} {}Q{} {} {} {}".format(px(x1), px(y1), px(2 * x2 - (x1 + x3) / 2), px(y2), px(x3), px(y3))
    else:
        path = "M" + "L".join(["{} {}".format(px(x), px(y)) for x, y in points])
    return '<path d="{}" fill="none" stroke="currentColor" stroke-width="{}"/>'.format(path, px(item[2]))


def lines_of(node, size, width):
    """The node set in one line, or broken before signs where it is wider than width."""
    whole = lay(node, size)
    if width is None or whole.width <= width or node[0] != "row":
        return [whole]
    pieces, depth, parts = [[]], 0, []
    for part in node[1:]:
        parts += part[1:] if part[0] == "row" else [part]
    for part in parts:
        if depth == 0 and pieces[-1] and (part[0] == "word" or _is(part, "=", "+", "−", "·")):
            pieces.append([])
        if part[0] == "text":
            depth += 1 if part[1].endswith("(") else (-1 if part[1] == ")" else 0)
        pieces[-1].append(part)
    lines, now = [], []
    for piece in pieces:
        room = width - (1.2 * size if lines else 0)
        if now and _row(now + piece, size).width > room:
            lines.append(_row(now, size))
            now = piece
        else:
            now = now + piece
    lines.append(_row(now, size))
    return lines


def svg(node, size=18, width=None):
    """A node as one self-contained SVG, in the colour of the text around it, sized in em."""
    pad = 0.08 * size
    y, wide, items = pad, 0.0, []
    for k, line in enumerate(lines_of(node, size, width)):
        x = pad + (1.2 * size if k else 0)
        if k:
            y += 0.35 * size
        items += line.moved(x, y + line.up)
        y += line.up + line.down
        wide = max(wide, x + line.width)
    wide, tall = wide + pad, y + pad
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{}" viewBox="0 0 {} {}" width="{}em" '
        'height="{}em" font-family="{}" fill="currentColor">{}</svg>'
    ).format(
        escaped(spoken(node)),
        px(wide),
        px(tall),
        px(wide / size),
        px(tall / size),
        FONT,
        "".join([drawn(item) for item in items]),
    )


_SAID = {
    "=": "equals",
    "+": "plus",
    "−": "minus",
    "-": "minus",
    "·": "times",
    "×": "times",
    "÷": "divided by",
    "|": "bar",
    "(": "bracket",
    ")": "close bracket",
    "≤": "at most",
    "≥": "at least",
    "≠": "is not",
}
_POWERS = {"2": "squared", "3": "cubed"}


def _one_thing(parts, k):
    """Whether a single name or number stands in brackets at k: "tan of alpha" needs no brackets said."""
    if not (0 < k < len(parts) - 1 and parts[k][0] in ("name", "num") and _is(parts[k + 1], ")")):
        return False
    before = parts[k - 1]
    return before[0] == "text" and len(before[1]) > 1 and before[1].endswith("(")


def _said(node, words):
    kind = node[0]
    if kind == "row":
        said, parts = [], node[1:]
        for k, part in enumerate(parts):
            if k and _is(part, ")") and _one_thing(parts, k - 1):
                continue
            if part[0] == "text" and part[1].endswith("(") and _one_thing(parts, k + 1):
                said.append(part[1][:-1] + " of")
            else:
                said.append(_said(part, words))
        return " ".join(said)
    if kind == "frac":
        return _said(node[1], words) + " over " + _said(node[2], words)
    if kind == "sqrt":
        return "the root of " + _said(node[1], words) + " end of root"
    if kind == "sup":
        power = _said(node[2], words)
        return _said(node[1], words) + " " + _POWERS.get(power, "to the power " + power)
    if kind == "sub":
        return _said(node[1], words) + " " + _said(node[2], words)
    if kind == "name" and words and node[1] in words:
        return words[node[1]]
    text = node[1].strip(" ")
    if kind == "text" and len(text) > 1 and text.endswith("("):
        return text[:-1] + " of bracket"
    return _SAID.get(text, text.replace("_", " ").replace("−", "minus "))


def spoken(node, words=None):
    """A node as one would say it; words: what a name stands for, in words."""
    return " ".join(_said(node, words).split())
