"""A card with one more line: what stands before the line's step cannot change, and is not folded again.

Most lines are of this kind: somebody measures, ticks or signs, knowing everything that is here. Where that is
not so, only the whole fold can tell, and nothing here tries to.
"""

from workings import road, steps, strikes, values

FOLLOWING = ("reading", "check", "said-done", "way", "sign-off", "note", "photo", "voice", "time")
# What a card with one more line shares with the card before it, and what it changes a copy of.
KEPT = ("root", "procedure", "version", "opening", "waiting_for", "road", "hold_places", "added", "choices", "answers",
        "doubts", "accepted", "struck_by", "strikes_on", "conceded", "doubled", "way_keys", "_awaited", "_copied")
COPIED = ("status", "standing", "steps", "holds", "counting_at", "by_hash", "base", "things", "numbered", "rising",
          "admitted", "admitted_of", "acting_acceptances", "_by_place")


def extended(card, e, at_once):
    """The card with one more line of work that comes after everything in it, or None.

    at_once: False leaves what comes after its step to fold_on; whether it counts is known all the same."""
    if e.kind not in FOLLOWING or card.road is None or e.version != card.version or not card.knowing.follows(e):
        return None
    if e.hash in card._awaited or any([kid == e.kid for h in card.holds.values() for s in h.signatures
                                       for kid, runs in s.missing]):
        return None
    if e.kind in strikes.READ and _reaches_back(card, e):
        return None
    out = object.__new__(card.__class__)
    for name in KEPT:
        setattr(out, name, getattr(card, name))
    out.knowing = card.knowing.extended(e)
    out.register = card.register.seen_from(out.knowing)
    out.lines = card.lines + [e]
    for name in COPIED:
        setattr(out, name, dict(getattr(card, name)))
    out.ways = {}
    out.by_hash[e.hash] = e
    _number(out, e)
    out._judge_alone(e)
    out.values = values.Values(out.procedure, out.standing, card.values.kept)
    out._left = _unfolded_from(out, e)
    out.fold_on(len(out._left) if at_once else 1)
    return out


def named_elsewhere(lines, by_hash):
    """Hashes named by what lines say, and not here: when one of them comes, more than its own place changes."""
    out = set()
    for e in lines:
        for field in ("entry", "doubt", "holds"):
            out.add(e.body.get(field))
        for field in ("between", "entries"):
            out.update(e.body.get(field, ()))
        for item in e.body.get("lists", ()):
            out.update(item["hashes"])
    return set([h for h in out if h is not None and h not in by_hash])


def _reaches_back(card, e):
    """Whether a reading could change what counts before its place: strike-outs of the same thing (rule 4),
    or who may answer a doubt on it (rule 13)."""
    if any(["entry" not in d.body for d in card.doubts]):
        return True
    key = (e.body["name"], e.body.get("position"))
    return any([o.hash in card.strikes_on for o in card.things.get(key, ())])


def _number(card, e):
    mine = dict(card.numbered.get(e.kid, {}))
    mine[e.number_here] = [e.hash]
    card.numbered[e.kid] = mine
    card.rising[e.kid] = card.rising.get(e.kid, []) + [e.number_here]


def _unfolded_from(card, e):
    """The places from an entry's own on, with what they gave the card taken back."""
    if e.kind not in road.PLACED:
        return []
    at = road.place_id(e)
    if at not in card.road.by_id:
        if e.hash not in card.status:
            card.refuse(e, "this card has no step %s" % at)
        return []
    card._by_place[at] = card._by_place.get(at, []) + [e]
    again = card.road.places[[p.id for p in card.road.places].index(at):]
    for place in again:
        for o in card._by_place.get(place.id, ()):
            if o.hash not in card.struck_by and card.base[o.hash] is None and o.version == card.version:
                card.status.pop(o.hash, None)
        for part in steps.asked_at(place.item):
            key = card.values.place_of(part["name"], place.position)
            card.standing.pop(key, None)
            card.admitted_of.pop(key, None)
        for held in (card.counting_at, card.steps, card.holds, card.acting_acceptances):
            held.pop(place.id, None)
    return again
