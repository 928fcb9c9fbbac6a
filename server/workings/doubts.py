"""Doubts on readings and on shown values, and their answers (rule 13)."""

from workings import entries as form
from workings import formats, steps
from workings import values as v
from workings.errors import WorkingError

LEAD = "lead"


def find(card):
    """([counting doubts], {hash of a doubt: [its counting answers]}), saying why others do not count."""
    answers, found, by_text = {}, {}, {}
    for e in card.of_kind("doubt"):
        if "gauge" in e.body and card.register.bars(e, LEAD) is not None:
            card.refuse(e, "only a lead doubts all that a gauge has read")
        else:
            found[e.hash] = e
    for e in card.of_kind("answer"):
        doubt = found.get(e.body["doubt"])
        if doubt is None:
            here = e.body["doubt"] in card.by_hash
            card.refuse(e, "what it answers is no doubt that counts" if here
                        else "waits: the doubt it answers has not arrived", "does not count" if here else "waits")
        elif card.author(e) in _doers(card, doubt.body, by_text):
            card.refuse(e, "nobody answers a doubt on his own reading")
        else:
            answers.setdefault(doubt.hash, []).append(e)
    return [found[h] for h in sorted(found)], answers


def _doers(card, body, by_text):
    """Who did the work that a doubt is about: the entry it names, a gauge's readings, the readings of a text."""
    if "entry" in body:
        e = card.by_hash.get(body["entry"])
        return _owners(card, e) if e is not None and e.kind in form.WORK else ()
    if "gauge" in body:
        return [p for e in card.lines if by_gauge(e, body) and card.base[e.hash] is None for p in _owners(card, e)]
    d = card.procedure.names.get(body["name"])
    if d is None or d["kind"] not in ("reading", "way"):
        return ()
    key = (body["name"], body.get("position"))
    if key not in by_text:
        by_text[key] = {}
        for e in card.things.get(key, ()):
            by_text[key].setdefault(_text_of(card, e, d["definition"]), set()).update(_owners(card, e))
    return by_text[key].get(body.get("text", ""), ())


def _owners(card, e):
    return (card.author(e), e.body.get("measured_by"))


def _text_of(card, e, definition):
    try:
        kind, value = card.typed(e, definition)[:2]
    except WorkingError:
        return e.body["text"]
    return formats.show(value, steps.format_of(card, definition))["text"] if kind == "number" else e.body["text"]


def at_hold(card, hold):
    """Doubts, answered or not, on an entry covered at a hold point or a value shown there, that do not rest."""
    out, shown = [], None
    for d in card.doubts:
        body = d.body
        if "entry" in body:
            if body["entry"] in hold.covered:
                out.append(d)
        elif "gauge" in body:
            if any([by_gauge(e, body) for e in hold.covered.values()]):
                out.append(d)
        else:
            if shown is None:
                shown = _shown_at(card, hold)
            if (body["name"], body.get("position"), body.get("text", "")) in shown:
                out.append(d)
    return out


def by_gauge(e, body):
    gauge = e.body.get("gauge") if e.kind == "reading" else None
    return (gauge is not None and gauge["id"] == body["gauge"] and body.get("from", "") <= e.at
            and e.at[:10] <= body.get("to", "9999"))


def _shown_at(card, hold):
    """{(name, position, text)} of every value, and every reading, that the covered steps show."""
    shown = set()
    for pid in hold.places:
        place = card.road.by_id[pid]
        if place.kind != "step" or card.steps[pid].state == "off":
            continue
        for name, text in shown_values(card, place):
            shown.add(card.values.place_of(name, place.position) + (text,))
    return shown


def shown_values(card, place):
    """[(name, text)] of a step's values and readings, each in every form in which it is shown there."""
    out = []
    for key, text in steps.shown_texts(card, place)[0]:
        if key[-3:] not in (" >=", " <="):
            out.append((key.split(" ")[0], text))
    names = [n for n, text in out] + [r["name"] for r in steps.asked_at(place.item)]
    for name in sorted(set(names)):
        try:
            out.append((name, steps.shown_value(card, name, None, place.position)["text"]))
        except (v.Missing, v.Trouble):
            pass
    return out


def is_open(card, doubt):
    """Whether a doubt waits for an answer: it has none, and what it names still stands somewhere."""
    return not card.answers.get(doubt.hash) and any([doubt in card.holds[h].doubts for h in card.holds])


def unanswered_for(card, e, doubts):
    """Whether entry e knew one of these doubts and no answer to it."""
    return any([card.knowing.knows(e, d) and not any([card.knowing.knows(e, a) for a in card.answers.get(d.hash, ())])
                for d in doubts])
