"""What leads decide about a card: choices, concessions, acceptances, answers, data values (rules 5, 6, 9, 13).

Decisions on the same matter replace those they know; of those that stand side by side with another outcome
none acts.
"""

from workings import doubts, readings
from workings.errors import WorkingError

LEAD = "lead"


def sort_out(card):
    """Puts every decision that counts under what it is about, and says of the others why they do not."""
    card.choices = _choices(card)
    card.conceded = _concessions(card)
    card.doubts, card.answers = doubts.find(card)
    for e in card.of_kind("move"):
        # Not built: a decision that would change nothing is not let pass for one that acts.
        card.refuse(e, "cards are not moved to another version of their procedure")
    card.accepted = {}
    for e in card.of_kind("acceptance"):
        for h in e.body["entries"]:
            card.accepted.setdefault(h, []).append(e)
    card.acting_acceptances = {}


def _choices(card):
    found = {}
    for e in card.of_kind("choice"):
        person = card.author(e)
        if any([card.own(card.by_hash[h], person) for h in e.body["between"] if h in card.by_hash]):
            card.refuse(e, "nobody chooses between readings of which one is his own")
        elif e.body["holds"] not in e.body["between"]:
            card.refuse(e, "it chooses a reading that it does not name")
        else:
            found.setdefault((e.body["name"], e.body.get("position")), []).append(e)
    return found


def _concessions(card):
    """{(name, position): [the concessions that act on it, all to one effect]}."""
    matters, acting = {}, {}
    for e in card.of_kind("concession"):
        if e.body["until"] != "close" and not _ends(card, e.body):
            card.refuse(e, "there is no hold point %s after what it concedes" % e.body["until"])
        else:
            matters.setdefault((e.body["name"], e.body.get("position")), []).append(e)
    for matter, found in matters.items():
        acting[matter] = readings.acting(card.knowing, found, lambda e: (
            e.body["text"], e.body["limit"], e.body["until"], e.body.get("until_position")))
        _mark_replaced(card, found)
    return {m: acting[m] for m in acting if acting[m]}


def _ends(card, body):
    """Whether the hold point that a concession lasts until comes after where its value is judged."""
    for place in card.road.places:
        if place.kind != "step" or body["name"] not in judged_names(place.item):
            continue
        if card.values.place_of(body["name"], place.position) != (body["name"], body.get("position")):
            continue
        for h in card.road.behind[place.id]:
            if ends_at(body, card.road.by_id[h]):
                return True
    return False


def ends_at(body, hold_place):
    """Whether a concession was granted until this hold point."""
    return (body["until"] == hold_place.item["id"]
            and body.get("until_position") in (None, hold_place.position))


def judged_names(item):
    return [p.get("value", p.get("name")) for p in list(item.get("readings", ())) + list(item.get("judged", ()))]


def rest(card):
    """Marks choices that have been decided again, so that the history can say so."""
    for matter in card.choices:
        _mark_replaced(card, card.choices[matter])


def _mark_replaced(card, found):
    heads = set(card.knowing.heads(found))
    for e in found:
        if e.hash not in heads:
            card.refuse(e, None, "replaced")


def stand_data(card):
    """Data values: the newest known of each; two that differ side by side wait for a lead (rule 5)."""
    matters, struck = {}, {}
    positions = [p["id"] for p in card.road.positions]
    for e in card.lines:
        if e.kind != "data-value" or card.base[e.hash] is not None or e.version != card.version:
            continue
        reason = _unfit(card, e, positions)
        if reason is not None:
            if card.counts(e):
                card.refuse(e, reason)
            continue
        key = (e.body["name"], e.body.get("position"))
        (matters if card.counts(e) else struck).setdefault(key, []).append(e)
        card.admitted_here(key, e)
    for matter, found in matters.items():
        definition = card.procedure.names[matter[0]]["definition"]
        card.standing[matter] = readings.stand(found, definition, card.typed, card.knowing, ())
        for e in card.standing[matter].replaced:
            card.refuse(e, None, "replaced")


def _unfit(card, e, positions):
    d = card.procedure.names.get(e.body["name"])
    if d is None or d["kind"] != "data":
        return "this procedure takes no data called %s" % e.body["name"]
    position = e.body.get("position")
    if d["repeat"] and position not in positions:
        return "%s is given for each position of this card" % d["label"]
    if not d["repeat"] and position is not None:
        return "%s is one for the whole card" % d["label"]
    try:
        card.typed(e, d["definition"])
    except WorkingError as error:
        return error.message
    return None
