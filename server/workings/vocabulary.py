# The shop's words in two vocabularies, as data: a procedure is written once, with terms in braces,
# and read in the words of the engine's own country. A term is known by its American singular.
#
# A bare "wedge" or "shoe" could be any of several parts, so neither is a term: it is always a rail
# wedge, a pedestal wedge, a crosshead shoe or a brake shoe.

VOCABULARIES = ("american", "british")

# american singular, american plural, british singular, british plural
_ROWS = (
    ("side rod", "side rods", "coupling rod", "coupling rods"),
    ("main rod", "main rods", "connecting rod", "connecting rods"),
    ("driving box", "driving boxes", "axlebox", "axleboxes"),
    ("pedestal", "pedestals", "horn", "horns"),
    ("pedestal wedge", "pedestal wedges", "horn wedge", "horn wedges"),
    ("binder", "binders", "hornstay", "hornstays"),
    ("guide", "guides", "slide bar", "slide bars"),
    ("crosshead shoe", "crosshead shoes", "crosshead slipper", "crosshead slippers"),
    ("brake shoe", "brake shoes", "brake block", "brake blocks"),
    ("cylinder head", "cylinder heads", "cylinder cover", "cylinder covers"),
    ("return crank", "return cranks", "return crank", "return cranks"),
    ("eccentric crank", "eccentric cranks", "return crank", "return cranks"),
    ("equalizer", "equalizers", "compensating beam", "compensating beams"),
    ("engine truck", "engine trucks", "bogie", "bogies"),
    ("two-wheel engine truck", "two-wheel engine trucks", "pony truck", "pony trucks"),
    ("staybolt", "staybolts", "stay", "stays"),
    ("babbitt", "babbitts", "white metal", "white metals"),
    ("tire", "tires", "tyre", "tyres"),
    ("gage", "gages", "gauge", "gauges"),
    ("crown sheet", "crown sheets", "crown plate", "crown plates"),
    ("blue signal", "blue signals", "“Not to be Moved” board", "“Not to be Moved” boards"),
)


def _terms():
    table = {}
    for row in _ROWS:
        table[row[0]] = {"id": row[0], "american": (row[0], row[1]), "british": (row[2], row[3])}
    return table


def _plurals():
    table = {}
    for row in _ROWS:
        table[row[1]] = row[0]
    return table


TERMS = _terms()
_PLURALS = _plurals()


def term(ident):
    """The term of this id, or None."""
    return TERMS.get(ident)


def recognise(words):
    """What stands between braces -> (id, plural, capital); an unknown term keeps its own words as id."""
    capital = words[:1] != words[:1].lower()
    plain = words[:1].lower() + words[1:]
    if plain in TERMS:
        return (plain, False, capital)
    if plain in _PLURALS:
        return (_PLURALS[plain], True, capital)
    return (words, False, capital)


def word(ident, vocabulary, plural=False, capital=False):
    """One term in the words of a vocabulary."""
    entry = TERMS.get(ident)
    if entry is None:
        return ident
    text = entry[vocabulary if vocabulary in VOCABULARIES else "american"][1 if plural else 0]
    if capital:
        # A quoted board begins with its quotation mark, and its own capital stands already.
        text = text[:1].upper() + text[1:]
    return text


def say(text, vocabulary):
    """A text with its {terms} put into the words of a vocabulary; woven values are left as they are."""
    if "{" not in text:
        return text
    out = []
    rest = text
    while True:
        start = rest.find("{")
        end = rest.find("}", start + 1)
        if start < 0 or end < 0:
            out.append(rest)
            return "".join(out)
        ident, plural, capital = recognise(rest[start + 1 : end])
        out.append(rest[:start])
        out.append(word(ident, vocabulary, plural, capital))
        rest = rest[end + 1 :]
