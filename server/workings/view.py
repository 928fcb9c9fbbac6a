"""What lists, frames and the history show of cards: words, states and names, nothing drawn.

Phone and paper ask here alike, so they tell the same in the same order. step_view.py shows a step,
hold_view.py a hold point.
"""

from workings import doubts, sign_offs, telling


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
            "people": sorted(set([telling.who(card, e) for e in card.lines]))}


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
        found = [e for e in card.lines if e.kind == "opening" and not card.counts(e)]
        if found:
            return "its opening does not count: " + card.status[found[0].hash][1]
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
        elif hold.signal == "waiting":
            reason = hold.signature.lapses[0]
        elif _nobody(card, hold):
            reason = _nobody(card, hold)
        elif hold.signal == "lapsed":
            reason = "the sign-off has lapsed; sign again"
        return "stopped at " + telling.place_words(card, place) + ": " + reason
    ahead = [p for p in card.road.places[number:] if p.kind == "hold" and not card.holds[p.id].off
             and not card.holds[p.id].in_force]
    return words + ("; next signal: " + telling.place_words(card, ahead[0]) if ahead else "")


def _nobody(card, hold):
    """Why nobody whom a hold point asks for may sign it now, as told of the first of them; None where one may."""
    asked, first = hold.place.item["hold"], None
    for person in sorted(card.register.now["roles"]):
        roles = card.register.now["roles"][person]
        if person == asked["person"] if asked.get("person") else asked.get("role", "lead") in roles:
            bar = sign_offs.bars_person(card, hold, person, roles, sign_offs.to_list(card, hold, person))
            if bar is None:
                return None
            first = first or bar
    return first


def waits_for(card, me):
    """The hold points that wait for this person's signature: [place id]."""
    if card.road is None or me is None:
        return []
    out = []
    roles = card.register.now["roles"].get(me, ())
    for place in card.hold_places:
        hold = card.holds[place.id]
        if not hold.off and not hold.in_force and not hold.needs:
            if sign_offs.bars_person(card, hold, me, roles, sign_offs.to_list(card, hold, me)) is None:
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
    for e in card.lines if card.road is not None else [e for e in card.lines if e.kind == "opening"]:
        word, why = card.status.get(e.hash, ("counts", None))
        if word == "waits":
            out.append("%s: %s" % (telling.describe(card, e), why))
    if card.road is None:
        return out
    for d in card.doubts:
        if doubts.is_open(card, d):
            out.append("an open doubt by %s: %s" % (telling.who(card, d), d.body["why"]))
    for key in sorted(card.standing, key=lambda k: (k[0], k[1] or "")):
        if card.standing[key].beside:
            label = telling.label_of(card, key[0])
            if card.procedure.names[key[0]]["kind"] == "data":
                out.append("%s: two values stand side by side; a lead gives it again" % label)
            else:
                out.append("%s: two readings stand side by side; a lead chooses" % label)
    return out


def history(book, card_id):
    """Every entry of a card in the order of its clock, with what became of it."""
    card = book.card(card_id)
    out = []
    for e in sorted(card.lines, key=lambda e: (e.at, e.number_here, e.hash)):
        word, why = card.status.get(e.hash, ("counts", None))
        own = {"hash": e.hash, "kind": e.kind, "who": telling.who(card, e), "person": card.author(e), "at": e.at,
               "words": telling.describe(card, e) if card.procedure else e.kind, "state": word, "why": why,
               "counts": word in ("counts", "replaced"), "struck": word == "struck out", "kid": e.kid,
               "may_strike": word not in ("struck out",) and e.kind not in ("opening", "move")}
        step_id = e.body.get("step") or e.body.get("hold")
        if step_id and card.road is not None:
            position = e.body.get("position")
            own["place"] = step_id + ("@" + position if position is not None else "")
        out.append(own)
    return out
