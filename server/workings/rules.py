"""Hold points: what stands behind them, what a signature covers, and which one is in force (rules 9 to 11)."""

from workings import doubts, readings, sign_offs, steps, strikes
from workings import values as v
from workings.telling import place_words


class Hold:
    """A hold point as it stands.

    off: on a way not taken; in_force; signature: the one in force, else the latest that rule 12 admits;
    covered: entries covered now; places: ids of the steps it covers; needs: what is not done yet; doubts: those
    on what is covered or shown here, answered or not.
    """

    __slots__ = ("id", "title", "place", "off", "in_force", "signature", "signatures", "covered", "places",
                 "needs", "doubts", "signal")


def fold_hold(card, place, way):
    hold = Hold()
    hold.id, hold.place, hold.off = place.id, place, way is False
    label = card.road.labels.get(place.position)
    hold.title = place.item["title"] + (" (%s)" % label if label else "")
    hold.in_force, hold.signature, hold.signatures = False, None, []
    hold.places = cover(card, place)
    hold.covered = covered_entries(card, hold.places)
    hold.doubts = doubts.at_hold(card, hold)
    hold.needs = _needs(card, hold, way)
    for e in card.entries_at(place):
        if e.kind != "sign-off":
            card.refuse(e, "nothing is measured or ticked at a hold point")
        elif card.base_bar(e) is None and e.version == card.version:
            hold.signatures.append(sign_offs.resolve(card, hold, e, bars(card, e, place)))
    for s in hold.signatures:
        s.lapses = sign_offs.lapses(card, hold, s, way)
        if hold.off and card.counts(s.entry):
            card.refuse(s.entry, "it is on a way not taken")
    _choose(card, hold)
    return hold


def cover(card, hold_place):
    """Ids of the steps before a hold point that are not before a hold point before it, on the way as it is."""
    off = frozenset([h for h in card.holds if card.holds[h].off])
    return card.road.cover(hold_place.id, off)


def covered_entries(card, place_ids):
    """What rule 10 says a sign-off over these steps covers, by hash, in no order."""
    found = {}
    names = set()
    for pid in place_ids:
        place = card.road.by_id[pid]
        if card.steps[pid].state == "off":
            continue
        for e in card.counting_at.get(pid, ()):
            if card.status.get(e.hash, ("counts",))[0] == "counts":
                found[e.hash] = e
        for part in steps.asked_at(place.item):
            stands = card.standing.get(card.values.place_of(part["name"], place.position))
            for c in stands.chosen if stands is not None else ():
                found[c.hash] = c
        for c in card.steps[pid].concessions:
            found[c.hash] = c
        for h in card.acting_acceptances.get(pid, ()):
            found[h] = card.by_hash[h]
        for base in used_names(card, place):
            names.add((base, place.position if card.procedure.names[base]["repeat"] else None))
    for key in names:
        stands = card.standing.get(key)
        if stands is not None and card.procedure.names[key[0]]["kind"] == "data":
            for e in stands.heads:
                found[e.hash] = e
    return found


def used_names(card, place):
    """The base names of everything that a step uses, through formulas and limits too."""
    kept = card.procedure.closures
    key = "step:" + place.item["id"]
    if key not in kept:
        kept[key] = sorted(v.closure(card.procedure, v.names_in_step(place.item, place.section)))
    return kept[key]


# --- rule 9 ---------------------------------------------------------------------------------------------------


def bars(card, e, place):
    """Why an entry behind hold points does not count yet, or None (rule 9)."""
    for h in card.hold_places:
        if h.id not in place.holds or not _stood(card, e, h):
            continue
        hold = card.holds[h.id]
        if not any([_carries(card, s, e) for s in hold.signatures]):
            return "it was made before %s was signed, as far as its phone knew; a lead can accept it" % hold.title
        if doubts.unanswered_for(card, e, hold.doubts):
            return "it was made over an open doubt before %s; a lead can accept it" % hold.title
    return None


def _stood(card, e, h):
    """Whether a hold point stood before the entry's step by what the entry knew: the positions and the way."""
    added = card.added.get(h.position)
    if added and not any([card.knowing.knows(e, a) for a in added]):
        return False
    if not h.when:
        return True
    known = _Known(card, e)
    names = v.closure(card.procedure, v.names_of_formulas(h.when))
    mark = (h.id,) + tuple([known.mark(card.values.place_of(n, h.position)) for n in sorted(names)])
    if mark not in card.ways:
        card.ways[mark] = card.way_of(h, v.Values(card.procedure, known, card.values.kept)) is not False
    return card.ways[mark]


class _Known:
    """What ways rest on as one entry knew it: what rule 9 admits, less what it knew to be struck out."""

    def __init__(self, card, entry):
        self.card, self.entry = card, entry

    def lines(self, key):
        return [e for e in self.card.admitted_of.get(key, ()) if self.card.knowing.knows(self.entry, e)
                and not strikes.known_against(self.card, self.entry, e.hash)]

    def choices(self, key):
        return [c for c in self.card.choices.get(key, ()) if self.card.knowing.knows(self.entry, c)]

    def mark(self, key):
        return tuple(sorted([e.hash for e in self.lines(key) + self.choices(key)]))

    def get(self, key):
        lines = self.lines(key)
        if not lines:
            return None
        definition = self.card.procedure.names[key[0]]["definition"]
        return readings.stand(lines, definition, self.card.typed, self.card.knowing, self.choices(key))


def _carries(card, s, e):
    """Whether an entry stood on this sign-off: rule 9, (a) to (c)."""
    if s.bar is not None or s.missing or not s.stands or not card.knowing.knows(e, s.entry):
        return False
    known = card.knowing.highest[e.hash]
    for lane, lowest in s.unlisted.items():
        if known.get(lane, 0) >= lowest:
            return False
    return not any([card.knowing.knows(e, x) for x in s.strikes])


# --- what a hold point waits for, and who holds it -------------------------------------------------------------


def _needs(card, hold, way):
    """What is still wanting before this hold point can be signed."""
    out = []
    if way is not True and way is not False:
        out.append("the way here waits for " + ", ".join(way))
    for h in card.standing_holds(hold.place):
        if not card.holds[h].in_force:
            out.append("the signal before it is at stop: " + card.holds[h].title)
    for pid in hold.places:
        place, state = card.road.by_id[pid], card.steps[pid]
        if place.kind == "step" and state.state not in ("done", "off"):
            why = "" if not state.requirement or state.state == "shut" else " (%s)" % state.requirement[0]
            out.append("not done: " + place_words(card, place) + why)
    return out + sign_offs.standing_in_the_way(card, hold)


def _choose(card, hold):
    good = [s for s in hold.signatures if not s.lapses and card.counts(s.entry)]
    admitted = [s for s in hold.signatures if s.bar is None]
    hold.in_force = bool(good) and not hold.off
    pool = good or admitted
    heads = set(card.knowing.heads([s.entry for s in pool]))
    left = sorted([s for s in pool if s.entry.hash in heads], key=lambda s: s.entry.hash)
    hold.signature = left[0] if left else None
    hold.signal = "clear" if hold.in_force else "stop"
    if not hold.in_force and hold.signature is not None:
        hold.signal = "waiting" if hold.signature.missing else "lapsed"
