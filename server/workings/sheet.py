"""The working behind a value: formula, the same with numbers, the readings it rests on, and how sure it is."""

from workings import quantities, registry, step_view, steps, story, telling, typeset, weaving
from workings import values as v
from workings.errors import WorkingError

SIZE = 18
WIDE = 320  # of a phone's page, in the same units


def working(card, place_id, name, wide=WIDE):
    """Everything that one tap on a value tells; WorkingError where there is no such value or place.

    wide: where the rows of a formula break, in the units of the type size."""
    place = card.road.by_id.get(place_id) if card.road is not None else None
    base = name.split(".")[0]
    d = card.procedure.names.get(base) if card.procedure is not None else None
    if place is None or d is None:
        raise WorkingError("name", name, "a value of this card", "This card has no value %s." % name)
    definition, position = d["definition"], place.position
    out = {"name": name, "label": card.words(definition.get("label", name)), "title": "", "shown": None,
           "missing": None, "uncertainty": None, "lines": [], "assumptions": [], "cautions": [], "sources": [],
           "budget": [], "readings": _behind(card, name, position), "doubts": _doubts(card, name, d, position)}
    try:
        form = _form(place, name)
        out["shown"] = steps.shown_value(card, name, form, position)
        if d["kind"] == "value":
            _tell(card, out, name, definition, position, form, wide)
    except v.Missing as gap:
        out["missing"] = steps.NOT_GIVEN if gap.optional else "waits for " + ", ".join(gap.names)
    except v.Trouble as error:
        out["missing"] = error.message
    return out


def _form(place, name):
    """The format a value is woven or judged with at this step, or None."""
    for j in place.item.get("judged", ()):
        if j["value"] == name and j.get("show"):
            return j["show"]
    return _woven_form(place.item, name)


def _woven_form(item, name):
    texts = list(item.get("text", ())) + list((item.get("drawing") or {}).get("texts", {}).values())
    texts.extend([c["words"] for c in item.get("checks", ())])
    for text in texts:
        for piece in weaving.woven(text):
            if piece[0] == "value" and piece[1] == name and piece[2]:
                return piece[2]
    return None


def _tell(card, out, name, definition, position, form, wide):
    kind, value = card.values.get(name, position)
    if kind == "number":
        expanded, budget = steps.uncertainty_of(card, name, position)
        dimension = steps.output_dimension(definition, name.split(".")[1]) if "." in name else definition["dimension"]
        if expanded:
            unit = steps.value_format(card, name, form)["unit"]
            out["uncertainty"] = step_view.plus_minus(dimension, expanded, unit)
        out["budget"] = [{"label": card.words(label), "share": "%d %%" % int(share * 100 + 0.5)}
                         for label, share in budget if share >= 0.005]
    if "working" in definition:
        inputs = card.values.working_inputs(definition, position)
        told = registry.story(definition["working"], inputs, None, _as_shown(card, definition, position), _system(card))
        out["title"] = told["title"]
        out["lines"] = [_line(line, wide) for line in told["lines"]]
        for part in ("assumptions", "cautions", "sources"):
            out[part] = [card.words(t) for t in told[part]]
        return
    compiled = v.compiled_formula(definition["formula"])
    texts, labels = {}, {}
    for n in compiled.names:
        output = " " + n.split(".")[1].replace("_", " ") if "." in n else ""
        labels[n] = card.words(telling.label_of(card, n)) + output
        try:
            texts[n] = steps.shown_value(card, n, _any_form(card, n), position)["text"]
        except (v.Missing, v.Trouble):
            texts[n] = "…"
    line = {"symbol": ["text", out["label"]], "formula": compiled.typeset(labels), "numbers": compiled.tree_with(texts),
            "result": ["num", out["shown"]["text"]], "note": "",
            "spoken": "%s is %s" % (out["label"], out["shown"]["spoken"])}
    out["lines"] = [_line(line, wide)]


def _any_form(card, name):
    """A format for an output that the formula uses and that no text here shows."""
    if "." not in name:
        return None
    definition = card.procedure.names[name.split(".")[0]]["definition"]
    for place in card.road.places:
        form = _woven_form(place.item, name)
        if form:
            return form
    dimension = steps.output_dimension(definition, name.split(".")[1])
    return None if dimension == "plain" else quantities.units_for(dimension)[0] + " 0.0001"


def _system(card):
    return "mm" if card.vocabulary() == "british" and not _inches(card) else "in"


def _inches(card):
    """Whether this card is read in inches: the first unit of its lengths says so."""
    for d in card.procedure.names.values():
        units = d["definition"].get("units")
        if units and d["definition"].get("dimension") == "length":
            return units[0] in ("in", "ft in", "thou")
    return True


def _as_shown(card, definition, position):
    """Inputs of a working that are plain names, as they stand on the card."""
    out = {}
    for input_name, text in definition["inputs"].items():
        if text in card.procedure.names and card.procedure.names[text]["kind"] != "value":
            try:
                out[input_name] = steps.shown_value(card, text, None, position)["text"]
            except (v.Missing, v.Trouble):
                continue
    return out


def _line(line, wide):
    first, second = story.formula_row(line), story.numbers_row(line)
    return {"formula_svg": typeset.svg(first, SIZE, wide), "spoken": line["spoken"],
            "numbers_svg": typeset.svg(second, SIZE, wide) if second else None}


def _behind(card, name, position):
    """The readings and data that a value rests on, with who took them and by which gauge."""
    readings, data = card.values.readings_behind([name], position)
    out = []
    for key in sorted(readings, key=lambda k: (k[0], k[1] or "")) + sorted(data, key=lambda k: (k[0], k[1] or "")):
        stands = card.standing.get(key)
        definition = card.procedure.names[key[0]]["definition"]
        row = {"label": card.words(definition.get("label", key[0])), "shown": None, "who": None, "at": None,
               "gauge": None, "origin": None, "entry": None}
        if stands is not None and stands.entry is not None:
            e = stands.entry
            row["shown"] = step_view.shown_entry(card, e, definition)
            row["who"] = card.register.name(e.body.get("measured_by") or card.author(e))
            row["at"], row["entry"] = e.at, e.hash
            gauge = e.body.get("gauge")
            if gauge:
                row["gauge"] = "%s, reads to %s, ± %s" % (
                    card.words(gauge["label"]), gauge["resolution"], gauge["uncertainty"])
            row["origin"] = e.body.get("origin")
        out.append(row)
    return out


def _doubts(card, name, d, position):
    at = position if d["repeat"] else None
    return [{"entry": e.hash, "words": telling.describe(card, e), "answered": bool(card.answers.get(e.hash))}
            for e in card.doubts if e.body.get("name") == name and e.body.get("position") == at]
