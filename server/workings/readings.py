"""How readings stand: which replace which, which stand side by side, and what the verdict on them is.

Rules 2, 3 and 6 of the card rules. A reading is rounded to its resolution before anything is compared.
"""

from workings import formats, quantities, registry, rounding
from workings.errors import WorkingError

GRID = 1000  # limits are compared on a grid this much finer than the reading's resolution


class Standing:
    """One thing that is read, or one datum, as it stands.

    heads: entries not replaced; replaced: entries a counting one replaced; value: (kind, value) or None;
    resolution, uncertainty: SI floats (0.0 where none); chosen: the choices that act, to one effect;
    beside: True where heads differ and nobody has chosen; entry: the head that gives the value.
    """

    __slots__ = ("heads", "replaced", "value", "resolution", "uncertainty", "chosen", "beside", "entry")

    def __init__(self):
        self.heads, self.replaced, self.value, self.chosen, self.entry = [], [], None, [], None
        self.resolution, self.uncertainty, self.beside = 0.0, 0.0, False


def typed(entry, definition, procedure):
    """(kind, value, resolution, expanded uncertainty) of a reading, a way or a datum as typed.

    Numbers come back rounded to their resolution. Raises WorkingError naming the reading.
    """
    label = definition.get("label", definition["name"])
    kind = definition.get("kind", "words" if entry.kind == "way" else "number")
    text = entry.body["text"]
    if kind == "words":
        words = definition.get("words")
        if words and text not in words:
            raise WorkingError(definition["name"], text, "one of: " + ", ".join(words),
                               "%s: %s is not one of the words here; choose %s." % (label, text, ", ".join(words)))
        return "text", text, 0.0, 0.0
    if kind == "yes/no":
        if text not in ("yes", "no"):
            raise WorkingError(definition["name"], text, "yes or no", "%s: answer yes or no." % label)
        return "yes/no", text == "yes", 0.0, 0.0
    dimension = definition["dimension"]
    value, _ = quantities.parse(text, dimension, entry.body["unit"] or None, label)
    if entry.kind != "reading":
        return "number", value, 0.0, 0.0
    gauge = entry.body.get("gauge") or asked_gauge(definition, procedure)
    if gauge is None:
        step = formats.step_size(formats.read_format(definition["show"], dimension))
        return "number", rounding.snap(value, step), step, 0.0
    step, uncertainty = gauge_numbers(gauge, dimension, label)
    return "number", rounding.snap(value, step), step, uncertainty


def asked_gauge(definition, procedure):
    """The kind of gauge that the procedure asks for here, or None."""
    for g in procedure.raw.get("gauges", ()):
        if g["id"] == definition.get("gauge"):
            return g
    return None


_gauges = {}  # a shop has few, and a card names them with every reading


def gauge_numbers(gauge, dimension, label):
    """(resolution, expanded uncertainty) of a gauge in SI."""
    # A thermometer's fineness is a difference, not a point on the scale.
    dimension = "temperature difference" if dimension == "temperature" else dimension
    key = (gauge["resolution"], gauge["uncertainty"], dimension)
    if key in _gauges:
        return _gauges[key]
    step = quantities.parse(gauge["resolution"], dimension, None, label + ": the gauge's resolution")[0]
    uncertainty = quantities.parse(gauge["uncertainty"], dimension, None, label + ": the gauge's uncertainty")[0]
    if step <= 0 or uncertainty < 0:
        raise WorkingError(label, gauge["resolution"], "a resolution above 0", label + ": its gauge has no resolution.")
    if len(_gauges) > 500:
        _gauges.clear()
    _gauges[key] = (step, uncertainty)
    return _gauges[key]


def stand(entries, definition, typed_of, knowing, choices):
    """Standing of one thing from its counting entries and the counting choices on it.

    typed_of(entry, definition): the reading as typed, see `typed`."""
    out = Standing()
    heads = set(knowing.heads(entries))
    out.heads = [e for e in entries if e.hash in heads]
    out.replaced = [e for e in entries if e.hash not in heads]
    if not out.heads:
        return out
    found = [(e, typed_of(e, definition)) for e in sorted(out.heads, key=lambda e: e.hash)]
    if len(found) > 1 and not _agree([t for e, t in found]):
        # A choice acts while it names all that stand here, and the one it holds is among them.
        out.chosen = [c for c in acting(knowing, choices, lambda c: c.body["holds"])
                      if c.body["holds"] in heads and heads.issubset(set(c.body["between"]))]
        if not out.chosen:
            out.beside = True
            return out
        found = [(e, t) for e, t in found if e.hash == out.chosen[0].body["holds"]]
    best = found[0]
    for item in found[1:]:
        if item[1][2] < best[1][2]:
            best = item
    out.entry = best[0]
    out.value = best[1][:2]
    out.resolution = best[1][2]
    out.uncertainty = max([t[3] for e, t in found])
    return out


def _agree(found):
    """Whether any two of these, rounded to the coarser of their resolutions, are the same."""
    if found[0][0] != "number":
        return len(set([t[1] for t in found])) == 1
    for coarse in set([t[2] for t in found]):
        if len(set([_rounded(t[1], coarse) for t in found if t[2] <= coarse])) > 1:
            return False
    return True


def _rounded(value, step):
    # Data have no resolution: ten figures tell numbers apart, and not the last bit of a conversion.
    return rounding.steps(value, step) if step > 0 else rounding.number_text(value, 10)


def acting(knowing, decisions, outcome):
    """The decisions that act on one matter: the newest, all to one effect; none where two differ side by side."""
    heads = set(knowing.heads(decisions))
    left = sorted([d for d in decisions if d.hash in heads], key=lambda d: d.hash)
    return left if len(set([outcome(d) for d in left])) == 1 else []


def verdict(value, step, lower, upper, uncertainty):
    """inside, outside or too_close for a number against its limits, all SI; step: its resolution.

    Everything is put on one grid of whole numbers first, so that no verdict hangs on the last bit.
    """
    grid = step / GRID
    inputs = {"value": float(rounding.steps(value, grid)),
              "expanded_uncertainty": float(rounding.steps(uncertainty, grid))}
    if lower is not None:
        inputs["lower"] = float(rounding.steps(lower, grid))
    if upper is not None:
        inputs["upper"] = float(rounding.steps(upper, grid))
    return registry.run("reading_verdict", inputs)["verdict"]
