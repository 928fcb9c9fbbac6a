"""What a screen or a page of the packet shows of one step."""

from workings import formats, quantities, readings, steps, telling, weaving
from workings import values as v
from workings.errors import WorkingError

VERDICT_WORDS = {"inside": "inside", "outside": "outside", "too_close": "too close to tell", "good": "good",
                 "bad": "not good", "none": "", "missing": ""}


def runs(card, text, position):
    """A woven text as runs: words, shown values, or what a value waits for."""
    out = []
    for piece in weaving.woven(text):
        if piece[0] != "value":
            words = piece[1] if piece[0] == "text" else card.say(piece)
            if out and "t" in out[-1]:
                out[-1]["t"] += words
            else:
                out.append({"t": words})
            continue
        name = piece[1]
        label = telling.label_of(card, name)
        try:
            shown = steps.shown_value(card, name, piece[2], position)
            kind = card.procedure.names[name.split(".")[0]]["kind"]
            out.append({"v": shown, "name": name, "label": label, "working": kind == "value"})
        except v.Missing as gap:
            words = steps.NOT_GIVEN if gap.optional else "waits for " + ", ".join(gap.names)
            out.append({"missing": words, "name": name, "label": label})
        except v.Trouble as error:
            out.append({"missing": error.message, "name": name, "label": label})
    return out


def step(book, card_id, place_id, me=None):
    card = book.card(card_id)
    place = place_of(card, place_id, "step", "witness")
    item, state = place.item, card.steps[place.id]
    ids = [p.id for p in card.road.places]
    at = ids.index(place.id)
    stretch = _stretch(card, place)
    return {
        "place": place.id, "title": card.words(item["title"]), "number": at + 1, "of": len(ids), "kind": place.kind,
        "section": card.words(place.section["title"]), "position": card.road.labels.get(place.position),
        "state": state.state, "state_words": _state_words(state), "waits": [card.words(w) for w in state.waits],
        "cautions": [{"signal": c["signal"], "symbol": c.get("symbol"), "words": card.words(c["words"])}
                     for c in item.get("cautions", ())],
        "text": [runs(card, t, place.position) for t in item.get("text", ())],
        "notes": [card.words(t) for t in item.get("notes", ())],
        "if_out": card.words(item["if_out"]) if item.get("if_out") else None,
        "drawing": drawing(card, place), "no_stopping": place.no_stopping, "in_order": bool(item.get("in_order")),
        "any_time": place.any_time, "stretch": stretch,
        "readings": [_reading(book, card, place, r) for r in item.get("readings", ())],
        "judged": [judged_line(card, place, j) for j in item.get("judged", ())],
        "values": [_value(card, place, x) for x in item.get("values", ()) if "formula" in x],
        "way": _way(card, place), "checks": _checks(card, place),
        "done": _said(card, state.done_by), "say_done": _say_done(card, place, state),
        "witness": _witness(card, place), "credit": item.get("credit"),
        "next": next_place(card, at), "back": ids[at - 1] if at else None,
        "notes_made": [_note(card, e) for e in card.lines if e.kind in ("note", "photo", "voice")
                       and e.body.get("step") == item["id"] and e.body.get("position") == place.position],
    }


def place_of(card, place_id, *kinds):
    place = card.road.by_id.get(place_id) if card.road is not None else None
    if place is None or place.kind not in kinds:
        message = "This card has no %s %s." % (kinds[0], place_id)
        raise WorkingError("place", str(place_id), "a place on this card", message)
    return place


def _stretch(card, place):
    """The ids of a no-stopping stretch that this step belongs to, in turn; empty outside one."""
    if not place.no_stopping:
        return []
    return [p.id for p in card.road.places
            if p.no_stopping and p.section is place.section and p.position == place.position]


def next_place(card, at):
    for p in card.road.places[at + 1:]:
        off = card.holds[p.id].off if p.kind == "hold" else card.steps[p.id].state == "off"
        if not off:
            return p.id
    return None


def _state_words(state):
    return {"done": "done", "open": "to do", "shut": "shut", "off": "not on this way", "waiting": "waits"}[state.state]


def _said(card, entry):
    return None if entry is None else {"who": telling.who(card, entry), "at": entry.at, "entry": entry.hash}


def _say_done(card, place, state):
    if place.kind != "step" or state.state in ("done", "off"):
        return {"can": False, "why": None}
    if state.state in ("shut", "waiting"):
        return {"can": False, "why": card.words(state.waits[0]) if state.waits else None}
    wants = [w for w in state.requirement if not w.startswith("it was said done")]
    again = [w for w in state.requirement if w.startswith("it was said done")]
    if wants:
        return {"can": False, "why": wants[0]}
    return {"can": True, "why": again[0] if again else None}


def _units(definition):
    out = []
    for u in definition.get("units") or formats.units_for(definition["dimension"]):
        out.append({"id": u, "label": quantities.UNITS[u][3] if u in quantities.UNITS else u,
                    "fractions": u in ("in", "ft in")})
    return out


def _reading(book, card, place, r):
    key = card.values.place_of(r["name"], place.position)
    stands, judged = card.standing.get(key), card.judged_at(place).get(r["name"])
    kind = r.get("kind", "number")
    out = {"name": r["name"], "label": card.words(r["label"]), "kind": kind, "dimension": r.get("dimension"),
           "units": _units(r) if kind == "number" else [], "words": list(r.get("words", ())),
           "good_words": list(r.get("good_words", ())), "required": not r.get("optional"),
           "tries": bool(r.get("tries")), "lower": None, "upper": None, "limit_source": r.get("limit_source"),
           "value": None, "beside": [], "table": [], "gauge": None, "gauges": [], "trouble": None,
           "help": card.words(r["help"]) if r.get("help") else None}
    out["unit"] = out["units"][0]["id"] if out["units"] else ""
    asked = readings.asked_gauge(r, card.procedure)
    if asked is not None:
        out["gauge"] = {"label": card.words(asked["label"]), "resolution": asked["resolution"],
                        "uncertainty": asked["uncertainty"]}
        out["gauges"] = [{"id": g["id"], "label": g["label"]} for i, g in sorted(book.gauges().items())
                         if g["dimension"] == r.get("dimension")]
    if judged is not None:
        out["lower"], out["upper"] = judged.lower, judged.upper
        out["trouble"] = judged.trouble
    if stands is not None:
        if stands.beside:
            out["beside"] = [_read(card, e, r, me_value=None) for e in stands.heads]
        elif judged is not None and stands.entry is not None:
            out["value"] = _read(card, stands.entry, r)
            out["value"].update({"verdict": judged.verdict, "verdict_words": VERDICT_WORDS[judged.verdict],
                                 "uncertainty": plus_minus(r["dimension"], stands.uncertainty, out["unit"])
                                 if kind == "number" and stands.uncertainty else None,
                                 "conceded": _conceded(card, judged)})
    out["table"] = _table(card, place, r)
    return out


def _read(card, e, r, me_value=None):
    shown = shown_entry(card, e, r)
    gauge = e.body.get("gauge") or {}
    return {"entry": e.hash, "shown": shown, "text_as_typed": telling.as_typed(e.body),
            "who": card.register.name(e.body.get("measured_by") or card.author(e)), "wrote": telling.who(card, e),
            "at": e.at, "gauge": gauge.get("label"), "calibrated": gauge.get("calibrated"), "from": e.body.get("from")}


def shown_entry(card, e, definition):
    """formats.show of one reading, rounded to its resolution, as it was typed where it cannot be read."""
    try:
        kind, value = card.typed(e, definition)[:2]
    except WorkingError:
        return {"text": e.body["text"], "number": e.body["text"], "whole": "", "num": "", "den": "", "unit": "",
                "spoken": e.body["text"], "step": 0}
    if kind == "number":
        return formats.show(value, steps.format_of(card, definition))
    text = value if kind == "text" else "yes" if value else "no"
    return {"text": text, "number": text, "whole": "", "num": "", "den": "", "unit": "", "spoken": text, "step": 0}


def _table(card, place, r):
    """Every reading of the thing that was ever kept, oldest first, with what became of it."""
    out = []
    for e in card.entries_at(place):
        if e.kind == "reading" and e.body["name"] == r["name"]:
            word, why = card.status.get(e.hash, ("counts", None))
            row = _read(card, e, r)
            row.update({"counts": word == "counts", "replaced": word == "replaced", "struck": word == "struck out",
                        "words": "" if word == "counts" else word + (": " + why if why else "")})
            out.append(row)
    out.sort(key=lambda row: (row["at"], row["entry"]))
    return out


def plus_minus(dimension, uncertainty, unit=None):
    """An expanded uncertainty as "± 0.002 in", in two figures of the first unit people use for it."""
    if not uncertainty:
        return None
    return "± " + quantities.text_in(uncertainty, unit or formats.units_for(dimension)[0], 2)


def _conceded(card, judged):
    c = judged.conceded
    if c is None:
        return None
    until = "this card's close" if c.body["until"] == "close" else _hold_title(card, c.body)
    return "conceded by %s until %s: %s" % (telling.who(card, c), until, c.body["why"])


def _hold_title(card, body):
    place = card.procedure.place(body["until"])
    return card.words(place["step"]["title"]) if place else body["until"]


def judged_line(card, place, j):
    judged = card.judged_at(place)[j["value"]]
    out = {"name": j["value"], "label": card.words(j["label"]), "shown": None, "missing": None, "lower": judged.lower,
           "upper": judged.upper, "limit_source": j.get("limit_source"), "verdict": judged.verdict,
           "verdict_words": VERDICT_WORDS[judged.verdict], "uncertainty": None, "conceded": _conceded(card, judged),
           "trouble": judged.trouble}
    try:
        out["shown"] = steps.shown_value(card, j["value"], j.get("show"), place.position)
        if judged.uncertainty:
            form_ = steps.value_format(card, j["value"], j.get("show"))
            out["uncertainty"] = "± " + quantities.text_in(judged.uncertainty, form_["unit"], 2)
    except v.Missing as gap:
        out["missing"] = "waits for " + ", ".join(gap.names)
    except v.Trouble as error:
        out["missing"] = error.message
    return out


def _value(card, place, x):
    out = {"name": x["name"], "label": card.words(x["label"]), "shown": None, "missing": None}
    try:
        out["shown"] = steps.shown_value(card, x["name"], None, place.position)
    except v.Missing as gap:
        out["missing"] = steps.NOT_GIVEN if gap.optional else "waits for " + ", ".join(gap.names)
    except v.Trouble as error:
        out["missing"] = error.message
    return out


def _way(card, place):
    way = place.item.get("way")
    if not way:
        return None
    stands = card.standing.get(card.values.place_of(way["name"], place.position))
    out = {"name": way["name"], "label": card.words(way["label"]), "words": list(way["words"]), "value": None,
           "beside": []}
    if stands is not None and stands.entry is not None:
        out["value"] = _read(card, stands.entry, way)
    elif stands is not None:
        out["beside"] = [_read(card, e, way) for e in stands.heads]
    return out


def _checks(card, place):
    out, before = [], True
    for c in place.item.get("checks", ()):
        ticks = [e for e in card.counting_at.get(place.id, ()) if e.kind == "check" and e.body["check"] == c["id"]]
        ticks.sort(key=lambda e: (e.at, e.hash))
        out.append({"id": c["id"], "words": runs(card, c["words"], place.position),
                    "ticked": _said(card, ticks[0]) if ticks else None,
                    "can": not ticks and (before or not place.item.get("in_order"))})
        before = before and bool(ticks)
    return out


def _witness(card, place):
    asked = place.item.get("witness")
    if not asked:
        return None
    lines = [e for e in card.lines if e.kind in ("invitation", "presence", "waiver") and card.counts(e)
             and e.body["step"] == place.item["id"] and e.body.get("position") == place.position]
    return {"who": asked.get("who"), "words": card.words(asked.get("words", "")),
            "lines": [telling.describe(card, e) for e in lines]}


def _note(card, e):
    return {"entry": e.hash, "kind": e.kind, "text": e.body.get("text", ""), "who": telling.who(card, e), "at": e.at,
            "blob": e.body.get("blob"), "type": e.body.get("type"),
            "struck": card.status.get(e.hash, ("counts",))[0] == "struck out"}


def drawing(card, place):
    """The step's drawing as {"title", "alt", "svg"}, or None where its values are not there yet."""
    from workings import drawings
    asked = place.item.get("drawing")
    if not asked:
        return None
    inputs, texts = {}, {}
    try:
        for name, text in asked.get("inputs", {}).items():
            inputs[name] = card.values.evaluate(text, place.position)[1]
        for name, text in asked.get("texts", {}).items():
            texts[name] = steps.plain(card, text, place.position)
        return drawings.draw(asked["kind"], inputs, texts, place.id.replace("@", "-"))
    except (v.Missing, v.Trouble, WorkingError):
        return None
