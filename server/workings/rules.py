"""Hold points: what stands behind them, what a signature covers, and when it is in force (rules 9 to 13)."""

from workings import entries as form
from workings import readings, steps
from workings import values as v

WORK = ("reading", "way", "check", "said-done")
FURTHER = ("said-done", "check")


class Signature:
    """One sign-off at a hold point, resolved against what is here.

    listed: set of hashes; missing: [(kid, runs)] listed but not arrived; bar: why rule 12, or its form, does
    not admit it, or None; stands: whether rule 9 admits it; strikes: strike-outs of it or of what it lists;
    unlisted: {lane: lowest place} covered now and not listed, further checks and said-dones apart;
    lapses: why it is not in force, in words.
    """

    __slots__ = ("entry", "listed", "missing", "bar", "stands", "strikes", "unlisted", "lapses")


class Hold:
    """A hold point as it stands.

    off: on a way not taken; in_force; signature: the one in force, else the latest that rule 12 admits;
    covered: entries covered now; places: ids of the steps it covers; needs: what is not done yet.
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
    hold.doubts = _doubts_there(card, hold)
    hold.needs = _needs(card, hold, way)
    for e in card.entries_at(place):
        if e.kind != "sign-off":
            card.refuse(e, "nothing is measured or ticked at a hold point")
        elif card.base_bar(e) is None and e.version == card.version:
            hold.signatures.append(_resolve(card, hold, e))
    for s in hold.signatures:
        s.lapses = _lapses(card, hold, s)
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
        for part in list(place.item.get("readings", ())) + list(place.item.get("judged", ())):
            key = card.values.place_of(part.get("value", part.get("name")), place.position)
            stands = card.standing.get(key)
            if stands is not None and stands.chosen is not None:
                found[stands.chosen.hash] = stands.chosen
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
        if not any([_carries(card, hold, s, e) for s in hold.signatures]):
            return "it was made before %s was signed, as far as its phone knew; a lead can accept it" % hold.title
        for d in hold.doubts:
            if card.knowing.knows(e, d) and not any([card.knowing.knows(e, a) for a in card.answers.get(d.hash, ())]):
                return "it was made over an open doubt before %s; a lead can accept it" % hold.title
    return None


def _stood(card, e, h):
    """Whether a hold point stood before the entry's step by what the entry knew: the positions and the way."""
    added = card.added.get(h.position)
    if added and not any([card.knowing.knows(e, a) for a in added]):
        return False
    if not h.when:
        return True
    view = v.Values(card.procedure, _KnownStanding(card, e), v.Kept())
    return card.way_of(h, view) is not False


class _KnownStanding:
    """The card's standing as one entry knew it; only for the way, which rests on few readings."""

    def __init__(self, card, entry):
        self.card, self.entry = card, entry

    def get(self, key):
        stands = self.card.standing.get(key)
        if stands is None:
            return None
        known = [e for e in stands.heads + stands.replaced if self.card.knowing.knows(self.entry, e)]
        if not known:
            return None
        definition = self.card.procedure.names[key[0]]["definition"]
        choices = [c for c in self.card.choices.get(key, ()) if self.card.knowing.knows(self.entry, c)]
        return readings.stand(known, definition, self.card.typed, self.card.knowing, choices)


def _carries(card, hold, s, e):
    """Whether an entry stood on this sign-off: rule 9, (a) to (c)."""
    if s.bar is not None or s.missing or not s.stands or not card.knowing.knows(e, s.entry):
        return False
    known = card.knowing.highest[e.hash]
    for lane, lowest in s.unlisted.items():
        if known.get(lane, 0) >= lowest:
            return False
    return not any([card.knowing.knows(e, x) for x in s.strikes])


# --- rules 11 and 12 --------------------------------------------------------------------------------------------


def _resolve(card, hold, e):
    s = Signature()
    s.entry, s.lapses = e, []
    s.listed, s.missing = listed_entries(card, e)
    s.bar = _bars_signer(card, hold, s)
    card_bar = bars(card, e, hold.place)
    s.stands = card_bar is None
    named = s.listed | {e.hash}
    s.strikes = [x for h in sorted(named) for x in card.struck_by.get(h, ())]
    s.unlisted = {}
    for h in hold.covered:
        if h not in s.listed and hold.covered[h].kind not in FURTHER:
            lane, place = card.knowing.lane[h]
            s.unlisted[lane] = min(place, s.unlisted.get(lane, place))
    if card.counts(e):
        if s.bar is not None:
            card.refuse(e, s.bar)
        elif not s.stands:
            card.refuse(e, card_bar + "; or sign again", "waits")
    return s


def listed_entries(card, sign_off):
    """(set of hashes, [(kid, runs)] not arrived) of a sign-off's list."""
    if card._numbered is None:
        card._numbered = {}
        for e in card.lines:
            card._numbered.setdefault(e.kid, {}).setdefault(e.number_here, []).append(e.hash)
    listed, missing = set(), []
    for item in sign_off.body["lists"]:
        have, gone = card._numbered.get(item["key"], {}), []
        named = [h for h in item["hashes"]]
        for first, last in form.read_runs(item["runs"]):
            for n in range(first, last + 1):
                if len(have.get(n, ())) == 1:
                    listed.add(have[n][0])
                elif n in have:
                    # Doubled since it was signed: which of the two was meant only the digest can tell.
                    named.append(_meant(card, sign_off, have[n]))
                else:
                    gone.append(n)
        for h in named:
            if h in card.by_hash:
                listed.add(h)
            elif h:
                gone.append(0)
        if gone:
            missing.append((item["key"], form.write_runs([n for n in gone if n]) or "one named by its hash"))
    return listed, missing


def _meant(card, sign_off, twins):
    """Of two entries under one number, the one that the signer knew, where only one was known."""
    known = [h for h in sorted(twins) if card.knowing.knows_hash(sign_off, h)]
    return known[0] if known else sorted(twins)[0]


def list_digest(card, hashes):
    """SHA-256 over the hashes in the order of the list: by key, then number, then hash."""
    found = [(card.by_hash[h].kid, card.by_hash[h].number_here, h) for h in hashes]
    return form.sha("\n".join([h for k, n, h in sorted(found)]))


def write_lists(card, hashes):
    """A sign-off's list of these entries: runs of number_here by key, doubled ones by their hashes."""
    by_key = {}
    for h in hashes:
        e = card.by_hash[h]
        runs, named = by_key.setdefault(e.kid, ([], []))
        if card.knowing.lane[h][0] == "h" + e.kid:
            runs.append(e.number_here)
        else:
            named.append(h)
    return [{"key": k, "runs": form.write_runs(by_key[k][0]), "hashes": sorted(by_key[k][1])} for k in sorted(by_key)]


def bars_person(card, hold, person, roles, listed):
    """Why a person may not sign over these entries (hashes), or None: rule 12."""
    asked = hold.place.item["hold"]
    if asked.get("person") and person != asked["person"]:
        return "%s is to be signed by %s" % (hold.title, card.register.name(asked["person"]))
    if not asked.get("person") and asked.get("role", "lead") not in roles:
        return "%s wants a %s" % (hold.title, asked.get("role", "lead"))
    for h in sorted(listed):
        e = card.by_hash[h]
        if e.kind in WORK and card.own(e, person):
            return "%s did part of the work (%s): who did the work does not sign for it" % (
                card.register.name(person), describe(card, e))
        if asked.get("decided_by_another") and e.kind not in WORK and e.kind != "data-value" and card.author(e) == person:
            return "%s decided part of it (%s), and this hold point wants another" % (
                card.register.name(person), describe(card, e))
    return None


def _bars_signer(card, hold, s):
    person = card.author(s.entry)
    roles = card.register.state(s.entry)["roles"].get(person, ())
    reason = bars_person(card, hold, person, roles, s.listed)
    if reason is None and not s.missing and list_digest(card, s.listed) != s.entry.body["digest"]:
        reason = "its digest does not fit the entries it lists"
    return reason


def _lapses(card, hold, s):
    """Why a sign-off is not in force, in words; nothing where it is (rule 11)."""
    out = []
    if s.bar is not None:
        return [s.bar]
    for kid, runs in s.missing:
        out.append("waits for entries %s from %s" % (runs, key_owner(card, kid)))
    if s.entry.hash in card.struck_by:
        x = card.struck_by[s.entry.hash][0]
        return ["the sign-off was struck out by %s: %s" % (card.register.name(card.author(x)), x.body["why"])]
    if not s.stands:
        out.append("it was signed before the hold points ahead of it, as far as the signer knew")
    for h in card.standing_holds(hold.place):
        if not card.holds[h].in_force:
            out.append("the signal before it is at stop: " + card.holds[h].title)
    for h in sorted(hold.covered):
        if h not in s.listed and hold.covered[h].kind not in FURTHER:
            out.append("came since: " + describe(card, hold.covered[h]))
    for h in sorted(s.listed):
        if h not in hold.covered:
            word, why = card.status.get(h, ("gone", None))
            said = {"replaced": "was measured or decided again"}.get(word, why or "is no longer covered here")
            out.append("no longer counts: %s: %s" % (describe(card, card.by_hash[h]), said))
    if not s.missing and steps.content_digest(card, hold.places) != s.entry.body["content"]:
        out.append("the procedure's text for these steps is another now")
    for pid in hold.places:
        state = card.steps[pid]
        place = card.road.by_id[pid]
        if state.state == "off" or place.kind != "step":
            continue
        if state.state != "done":
            out.append("not done: " + place_words(card, place))
        elif steps.find_done(card, place, s.listed)[0] is None:
            out.append("not done by what was signed: " + place_words(card, place))
    return out + _standing_in_the_way(card, hold)


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
    return out + _standing_in_the_way(card, hold)


def _standing_in_the_way(card, hold):
    """Open doubts here, and concessions granted only until this hold point."""
    out = []
    for d in hold.doubts:
        if not card.answers.get(d.hash):
            out.append("an open doubt by %s: %s" % (card.register.name(card.author(d)), d.body["why"]))
    for pid in sorted(card.steps):
        if hold.id not in card.road.behind[pid]:
            continue
        for c in card.steps[pid].concessions:
            until = c.body["until"]
            if until != "close" and hold.place.item["id"] == until and c.body.get("until_position") in (None, hold.place.position):
                out.append("%s was conceded only until here: put it right" % label_of(card, c.body["name"]))
    return out


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


# --- rule 13 ----------------------------------------------------------------------------------------------------


def _doubts_there(card, hold):
    """Doubts, answered or not, on an entry covered here or on a value shown here, that do not rest."""
    out, shown = [], None
    for d in card.doubts:
        body = d.body
        if "entry" in body:
            if body["entry"] in hold.covered:
                out.append(d)
        elif "gauge" in body:
            if any([_by_gauge(e, body) for e in hold.covered.values()]):
                out.append(d)
        else:
            if shown is None:
                shown = set()
                for pid in hold.places:
                    place = card.road.by_id[pid]
                    if place.kind == "step" and card.steps[pid].state != "off":
                        for key, text in steps.shown_texts(card, place)[0]:
                            base = key.split(" ")[0]
                            shown.add((base, place.position if card.procedure.names[base.split(".")[0]]["repeat"] else None, text))
            if (body["name"], body.get("position"), body.get("text", "")) in shown:
                out.append(d)
    return out


def _by_gauge(e, body):
    gauge = e.body.get("gauge") if e.kind == "reading" else None
    return (gauge is not None and gauge["id"] == body["gauge"] and body.get("from", "") <= e.at
            and e.at[:10] <= body.get("to", "9999"))


# --- words --------------------------------------------------------------------------------------------------------


def key_owner(card, kid):
    person = card.register.now["people"].get(kid)
    return card.register.name(person) + "'s phone" if person else "a key not in the register"


def label_of(card, name):
    d = card.procedure.names.get(name.split(".")[0])
    return d["definition"].get("label", name) if d is not None else name


def place_words(card, place):
    label = card.road.labels.get(place.position)
    return card.words(place.item["title"]) + (" (%s)" % label if label else "")


def describe(card, e):
    """An entry in words: what it says, and by whom."""
    body, who = e.body, card.register.name(card.author(e) or "somebody unknown")
    at = card.road.labels.get(body.get("position")) if card.road else None
    at = " (%s)" % at if at else ""
    if e.kind in ("reading", "way", "data-value"):
        text = body["text"] + (" " + body["unit"] if body.get("unit") else "")
        return "%s%s: %s, by %s" % (label_of(card, body["name"]), at, text, who)
    if e.kind in ("check", "said-done", "invitation", "presence", "waiver"):
        place = card.procedure.place(body["step"])
        title = card.words(place["step"]["title"]) if place else body["step"]
        if e.kind == "check" and place:
            for c in place["step"].get("checks", ()):
                if c["id"] == body["check"]:
                    title = card.plain(c["words"], body.get("position"))
        return "%s%s: %s, by %s" % (title, at, {"check": "ticked", "said-done": "said done"}.get(e.kind, e.kind), who)
    if e.kind == "sign-off":
        place = card.procedure.place(body["hold"])
        return "%s%s: signed by %s" % (card.words(place["step"]["title"]) if place else body["hold"], at, who)
    if e.kind in ("concession", "doubt", "choice") and "name" in body:
        return "%s on %s%s, by %s: %s" % (e.kind, label_of(card, body["name"]), at, who,
                                         body.get("why", "which reading holds"))
    words = body.get("why") or body.get("text") or body.get("title") or body.get("label") or ""
    return "%s, by %s%s" % (e.kind.replace("-", " "), who, ": " + words if words else "")


