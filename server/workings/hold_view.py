"""What a screen or a page of the packet shows of one hold point: what is to be signed, and by whom."""

from workings import entries as form
from workings import sign_offs, step_view, telling, view

ALL = 10 ** 9


def hold(book, card_id, place_id, me=None):
    card = book.card(card_id)
    place = step_view.place_of(card, place_id, "hold")
    held = card.holds[place.id]
    ids = [p.id for p in card.road.places]
    at = ids.index(place.id)
    covered = sorted(held.covered.values(), key=lambda e: (_at(card, e, ids), e.at, e.hash))
    people = []
    for p in book.people():
        if p["roles"]:
            roles = card.register.now["roles"].get(p["person"], ())
            listed = sign_offs.to_list(card, held, p["person"])
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
        "section": card.words(place.section["title"]), "number": at + 1, "of": len(ids),
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
        "signed": None if signed is None else {"who": telling.who(card, signed.entry), "at": signed.entry.at,
                                               "kid": signed.entry.kid, "entry": signed.entry.hash,
                                               "fingerprint": form.fingerprint(signed.entry.kid)},
        "can_sign": not held.needs and not held.in_force,
        "next": step_view.next_place(card, at), "back": ids[at - 1] if at else None,
        "gaps": [p for p in view.problems(card) if "have not arrived" in p],
    }


def _at(card, e, ids):
    step = e.body.get("step")
    position = e.body.get("position")
    at = (step + ("@" + position if position is not None else "")) if step else None
    return ids.index(at) if at in card.road.by_id else ALL


def _covered(card, e):
    row = {"words": telling.describe(card, e), "who": telling.who(card, e), "at": e.at, "kind": e.kind, "place": None,
           "verdict": "none", "verdict_words": "", "entry": e.hash}
    step_id = e.body.get("step")
    if step_id:
        position = e.body.get("position")
        row["place"] = step_id + ("@" + position if position is not None else "")
        if e.kind == "reading" and row["place"] in card.steps:
            judged = card.judged_at(card.road.by_id[row["place"]]).get(e.body["name"])
            if judged is not None:
                row["verdict"], row["verdict_words"] = judged.verdict, step_view.VERDICT_WORDS[judged.verdict]
    return row


def _judged_here(card, held):
    out = []
    for pid in held.places:
        place = card.road.by_id[pid]
        if place.kind == "step" and card.steps[pid].state != "off":
            out.extend([step_view.judged_line(card, place, j) for j in place.item.get("judged", ())])
    return out


def _struck(card, e):
    return "%s; %s" % (telling.describe(card, e), card.status[e.hash][1])
