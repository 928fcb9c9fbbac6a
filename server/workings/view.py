"""What a screen or a page of the packet shows of a card: words, shown values and states, nothing drawn.

Phone and paper ask here alike, so they tell the same in the same order.
"""

from workings import doubts, formats, quantities, readings, sign_offs, steps, telling, weaving
from workings import entries as form
from workings import values as v
from workings.errors import WorkingError

VERDICT_WORDS = {"inside": "inside", "outside": "outside", "too_close": "too close to tell", "good": "good",
                 "bad": "not good", "none": "", "missing": ""}
ALL = 10 ** 9


def who(card, entry):
    return card.register.name(card.author(entry) or "somebody unknown")


# --- lists and frames -----------------------------------------------------------------------------------------


def card_line(book, card_id, me):
    """One card in the list: its road drawn small, and where it stands in words."""
    card = book.card(card_id)
    body = card.opening.body if card.opening is not None else {}
    return {"card": card_id, "title": body.get("title", card_id), "engine": body.get("engine", ""),
            "closed": card.closed, "words": standing_words(card), "line": _line(card),
            "here": here(card), "for_me": waits_for(card, me)}


def listing(book, me=None):
    """The cards by engine, and before them those whose signal waits for me."""
    lines = [card_line(book, c, me) for c in book.card_ids()]
    engines = book.engines()
    names = sorted(set(list(engines) + [c["engine"] for c in lines]))
    return {"for_me": [c for c in lines if c["for_me"]],
            "engines": [{"engine": e, "name": engines[e]["name"] if e in engines else e,
                         "class": engines[e]["class"] if e in engines else "",
                         "cards": [c for c in lines if c["engine"] == e]} for e in names]}


def frame(book, card_id, me=None):
    """The frame of every screen of a card."""
    card = book.card(card_id)
    body = card.opening.body if card.opening is not None else {}
    engine = book.engines().get(body.get("engine"), {"name": body.get("engine", "")})
    return {"card": card_id, "engine": engine["name"], "title": body.get("title", card_id), "line": _line(card),
            "version": getattr(card, "version", ""),
            "procedure": card.words(card.procedure.raw["title"]) if card.procedure else "",
            "procedure_version": card.procedure.raw["version"] if card.procedure else "",
            "notice": card.words(card.procedure.raw.get("notice", "")) if card.procedure else "",
            "here": here(card), "words": standing_words(card), "closed": card.closed, "problems": problems(card),
            "for_me": waits_for(card, me),
            "vocabulary": card.vocabulary() if card.procedure else "american",
            "jurisdiction": (card.jurisdiction() or "") if card.procedure else "",
            "people": sorted(set([who(card, e) for e in card.lines]))}


def _line(card):
    if card.road is None:
        return []
    out = []
    for p in card.road.places:
        item = {"place": p.id, "kind": p.kind, "label": card.words(p.item["title"]), "any_time": p.any_time,
                "section": card.words(p.section["title"]), "position": card.road.labels.get(p.position)}
        if p.kind == "hold":
            hold = card.holds[p.id]
            item["state"] = "off" if hold.off else "done" if hold.in_force else "open" if not hold.needs else "shut"
            item["signal"] = hold.signal
        else:
            item["state"] = card.steps[p.id].state
        out.append(item)
    return out


def here(card):
    """The place where the next thing is to be done, or None on a closed card."""
    if card.road is None or card.closed:
        return None
    for p in card.road.places:
        if p.kind == "hold":
            if not card.holds[p.id].off and not card.holds[p.id].in_force:
                return p.id
        elif p.kind == "step" and card.steps[p.id].state in ("open", "shut", "waiting"):
            return p.id
    return card.road.places[-1].id


def standing_words(card):
    """Where the card stands, in words that can be read aloud."""
    if card.opening is None:
        return "waits for its opening, which has not arrived"
    if card.waiting_for:
        return "waits for its procedure version %s, which is not on this phone" % card.waiting_for[:8]
    if card.closed:
        return "closed"
    at = here(card)
    place = card.road.by_id[at]
    number = [p.id for p in card.road.places].index(at) + 1
    words = "at %d of %d: %s" % (number, len(card.road.places), telling.place_words(card, place))
    if place.kind == "hold":
        hold = card.holds[at]
        reason = "waits for a %s to sign" % place.item["hold"].get("role", "lead")
        if hold.needs:
            reason = hold.needs[0]
        elif hold.signal == "lapsed":
            reason = "the sign-off has lapsed; sign again"
        elif hold.signal == "waiting":
            reason = hold.signature.lapses[0]
        return "stopped at " + telling.place_words(card, place) + ": " + reason
    ahead = [p for p in card.road.places[number:] if p.kind == "hold" and not card.holds[p.id].off
             and not card.holds[p.id].in_force]
    return words + ("; next signal: " + telling.place_words(card, ahead[0]) if ahead else "")


def waits_for(card, me):
    """The hold points that wait for this person's signature: [place id]."""
    if card.road is None or me is None:
        return []
    out = []
    roles = card.register.now["roles"].get(me, ())
    for place in card.hold_places:
        hold = card.holds[place.id]
        if not hold.off and not hold.in_force and not hold.needs:
            if sign_offs.bars_person(card, hold, me, roles, set(hold.covered)) is None:
                out.append(place.id)
    return out


def problems(card):
    """What a person has to see to, by name: gaps, doubled numbers, what waits, open doubts."""
    out = []
    for kid in sorted(card.gaps):
        out.append("entries %s of %s have not arrived" % (card.gaps[kid], telling.key_owner(card, kid)))
    for kid in card.doubled:
        owner = telling.key_owner(card, kid)
        out.append("%s used a number twice: it was restored from a copy and needs a new key" % owner)
    if card.road is None:
        return out
    for e in card.lines:
        word, why = card.status.get(e.hash, ("counts", None))
        if word == "waits":
            out.append("%s: %s" % (telling.describe(card, e), why))
    for d in card.doubts:
        if doubts.is_open(card, d):
            out.append("an open doubt by %s: %s" % (who(card, d), d.body["why"]))
    for key in sorted(card.standing, key=lambda k: (k[0], k[1] or "")):
        if card.standing[key].beside:
            label = telling.label_of(card, key[0])
            if card.procedure.names[key[0]]["kind"] == "data":
                out.append("%s: two values stand side by side; a lead gives it again" % label)
            else:
                out.append("%s: two readings stand side by side; a lead chooses" % label)
    return out


# --- a step -----------------------------------------------------------------------------------------------------


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
        "judged": [_judged(card, place, j) for j in item.get("judged", ())],
        "values": [_value(card, place, x) for x in item.get("values", ()) if "formula" in x],
        "way": _way(card, place), "checks": _checks(card, place),
        "done": _said(card, state.done_by), "say_done": _say_done(card, place, state),
        "witness": _witness(card, place), "credit": item.get("credit"),
        "next": _next(card, at), "back": ids[at - 1] if at else None,
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


def _next(card, at):
    for p in card.road.places[at + 1:]:
        off = card.holds[p.id].off if p.kind == "hold" else card.steps[p.id].state == "off"
        if not off:
            return p.id
    return None


def _state_words(state):
    return {"done": "done", "open": "to do", "shut": "shut", "off": "not on this way", "waiting": "waits"}[state.state]


def _said(card, entry):
    return None if entry is None else {"who": who(card, entry), "at": entry.at, "entry": entry.hash}


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
            "who": card.register.name(e.body.get("measured_by") or card.author(e)), "wrote": who(card, e), "at": e.at,
            "gauge": gauge.get("label"), "calibrated": gauge.get("calibrated"), "from": e.body.get("from")}


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
    return "conceded by %s until %s: %s" % (who(card, c), until, c.body["why"])


def _hold_title(card, body):
    place = card.procedure.place(body["until"])
    return card.words(place["step"]["title"]) if place else body["until"]


def _judged(card, place, j):
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
    return {"entry": e.hash, "kind": e.kind, "text": e.body.get("text", ""), "who": who(card, e), "at": e.at,
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


# --- a hold point ----------------------------------------------------------------------------------------------


def hold(book, card_id, place_id, me=None):
    card = book.card(card_id)
    place = place_of(card, place_id, "hold")
    held = card.holds[place.id]
    ids = [p.id for p in card.road.places]
    covered = sorted(held.covered.values(), key=lambda e: (_at(card, e, ids), e.at, e.hash))
    listed = set(held.covered)
    people = []
    for p in book.people():
        if p["roles"]:
            roles = card.register.now["roles"].get(p["person"], ())
            people.append({"person": p["person"], "name": p["name"], "keys": p["keys"],
                           "bar": sign_offs.bars_person(card, held, p["person"], roles, listed)})
    decisions = ("choice", "concession", "acceptance", "data-value")
    own = {}
    for e in covered:
        if e.kind in decisions and e.hash not in card.copied_at_opening():
            own.setdefault(card.author(e), []).append(telling.describe(card, e))
    for p in held.places:
        for e in card.entries_at(card.road.by_id[p]):
            for s in card.struck_by.get(e.hash, ()):
                if not card.own(e, card.author(s)):
                    own.setdefault(card.author(s), []).append(telling.describe(card, s))
    signed = held.signature
    return {
        "place": place.id, "title": card.words(place.item["title"]), "position": card.road.labels.get(place.position),
        "section": card.words(place.section["title"]), "number": ids.index(place.id) + 1, "of": len(ids),
        "signal": held.signal, "words": [card.words(place.item["hold"].get("words", ""))],
        "needs": [card.words(w) for w in held.needs], "covered": [_covered(card, e) for e in covered],
        "judged": _judged_here(card, held),
        "concessions": [telling.describe(card, e) for e in covered if e.kind == "concession"],
        "struck": [_struck(card, e) for p in held.places for e in card.entries_at(card.road.by_id[p])
                   if card.status.get(e.hash, ("",))[0] == "struck out"],
        "doubts": [telling.describe(card, d) for d in held.doubts if not card.answers.get(d.hash)],
        "open_doubts": [{"entry": d.hash, "words": telling.describe(card, d)} for d in held.doubts
                        if not card.answers.get(d.hash)],
        "fallen": list(signed.lapses) if signed is not None and not held.in_force else [],
        "did_work": sorted(set([card.register.name(p) for e in covered if e.kind in form.WORK
                                for p in (card.author(e), e.body.get("measured_by")) if p])),
        "may_sign": people, "own_decisions": {p: own[p] for p in own if p},
        "signed": None if signed is None else {"who": who(card, signed.entry), "at": signed.entry.at,
                                               "kid": signed.entry.kid, "entry": signed.entry.hash,
                                               "fingerprint": form.fingerprint(signed.entry.kid)},
        "can_sign": not held.needs and not held.in_force,
        "next": _next(card, ids.index(place.id)), "back": ids[ids.index(place.id) - 1] if ids.index(place.id) else None,
        "gaps": [p for p in problems(card) if "have not arrived" in p],
    }


def _at(card, e, ids):
    step = e.body.get("step")
    position = e.body.get("position")
    at = (step + ("@" + position if position is not None else "")) if step else None
    return ids.index(at) if at in card.road.by_id else ALL


def _covered(card, e):
    row = {"words": telling.describe(card, e), "who": who(card, e), "at": e.at, "kind": e.kind, "place": None,
           "verdict": "none", "verdict_words": "", "entry": e.hash}
    step_id = e.body.get("step")
    if step_id:
        position = e.body.get("position")
        row["place"] = step_id + ("@" + position if position is not None else "")
        if e.kind == "reading" and row["place"] in card.steps:
            judged = card.steps[row["place"]].judged.get(e.body["name"])
            if judged is not None:
                row["verdict"], row["verdict_words"] = judged.verdict, VERDICT_WORDS[judged.verdict]
    return row


def _judged_here(card, held):
    out = []
    for pid in held.places:
        place = card.road.by_id[pid]
        if place.kind == "step" and card.steps[pid].state != "off":
            out.extend([_judged(card, place, j) for j in place.item.get("judged", ())])
    return out


def _struck(card, e):
    return "%s; %s" % (telling.describe(card, e), card.status[e.hash][1])


def history(book, card_id):
    """Every entry of a card in the order of its clock, with what became of it."""
    card = book.card(card_id)
    out = []
    for e in sorted(card.lines, key=lambda e: (e.at, e.number_here, e.hash)):
        word, why = card.status.get(e.hash, ("counts", None))
        own = {"hash": e.hash, "kind": e.kind, "who": who(card, e), "person": card.author(e), "at": e.at,
               "words": telling.describe(card, e) if card.procedure else e.kind, "state": word, "why": why,
               "counts": word in ("counts", "replaced"), "struck": word == "struck out", "kid": e.kid,
               "may_strike": word not in ("struck out",) and e.kind not in ("opening", "move")}
        step_id = e.body.get("step") or e.body.get("hold")
        if step_id and card.road is not None:
            position = e.body.get("position")
            own["place"] = step_id + ("@" + position if position is not None else "")
        out.append(own)
    return out
