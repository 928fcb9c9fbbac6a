"""Sign-offs: what one lists, who may make it, and why it is not in force (rules 11 and 12)."""

from workings import decisions, gaps, steps
from workings import entries as form
from workings.register import TO_LET_IN
from workings.telling import describe, key_owner, label_of, place_words

FURTHER = ("said-done", "check")


class Signature:
    """One sign-off at a hold point, resolved against what is here.

    listed: set of hashes; missing: [(kid, runs)] listed but not arrived; bar: why rule 12, or its form, does
    not admit it, or None; stands: whether rule 9 admits it; strikes: strike-outs of it or of what it lists;
    unlisted: {lane: lowest place} covered now and not listed, further checks and said-dones apart; came: the
    same as entries; lapses: why it is not in force, in words.
    """

    __slots__ = ("entry", "listed", "missing", "bar", "stands", "strikes", "unlisted", "came", "lapses")


def resolve(card, hold, e, behind):
    """The Signature of a sign-off; behind: why rule 9 does not admit it, or None."""
    s = Signature()
    s.entry, s.lapses = e, []
    s.listed, s.missing = listed_entries(card, e)
    s.bar = _bars_signer(card, hold, s)
    s.stands = behind is None
    s.strikes = [x for h in sorted(s.listed | {e.hash}) for x in card.struck_by.get(h, ())]
    s.came = _came_since(card, hold, s)
    s.unlisted = {}
    for o in s.came:
        lane, place = card.knowing.lane[o.hash]
        s.unlisted[lane] = min(place, s.unlisted.get(lane, place))
    if card.counts(e):
        if s.bar is not None:
            card.refuse(e, s.bar, "waits" if s.bar.endswith(TO_LET_IN) else "does not count")
        elif not s.stands:
            card.refuse(e, behind + "; or sign again", "waits")
    return s


def _came_since(card, hold, s):
    """What is covered now and not listed; one more tick or said-done beside a listed one apart."""
    left = [h for h in hold.covered if h not in s.listed]
    if not left:
        return []
    listed = set([_tick(card.by_hash[h]) for h in s.listed])
    return [hold.covered[h] for h in sorted(left) if _tick(hold.covered[h]) is None
            or _tick(hold.covered[h]) not in listed]


def _tick(e):
    if e.kind not in FURTHER:
        return None
    return e.kind, e.body["step"], e.body.get("position"), e.body.get("check")


# --- the list -----------------------------------------------------------------------------------------------


def listed_entries(card, sign_off):
    """(set of hashes, [(kid, runs)] not arrived) of a sign-off's list."""
    listed, missing = set(), []
    for item in sign_off.body["lists"]:
        kid = item["key"]
        rising, numbered = card.rising.get(kid, ()), card.numbered.get(kid, {})
        gone, named = [], list(item["hashes"])
        # Only what is here is gone through: a run may be as long as its writer likes.
        for first, last in form.read_runs(item["runs"]):
            inside = rising[gaps.at(rising, first):gaps.at(rising, last + 1)]
            gone.extend(gaps.missing(inside, first, last))
            for n in inside:
                # Doubled since it was signed: which of the two was meant, the signer's knowing tells.
                named.append(numbered[n][0] if len(numbered[n]) == 1 else _meant(card, sign_off, numbered[n]))
        here = [h for h in named if h in card.by_hash]
        listed.update(here)
        if gone or len(here) < len(named):
            missing.append((kid, gaps.runs_text(gone) or "one named by its hash"))
    return listed, missing


def _meant(card, sign_off, twins):
    """Of entries under one number, the one that the signer knew, where only one was known."""
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
        if card.knowing.split(e):
            named.append(h)
        else:
            runs.append(e.number_here)
    return [{"key": k, "runs": form.write_runs(by_key[k][0]), "hashes": sorted(by_key[k][1])} for k in sorted(by_key)]


# --- the signer ---------------------------------------------------------------------------------------------


def bars_person(card, hold, person, roles, listed):
    """Why a person may not sign over these entries (hashes), or None: rule 12."""
    asked = hold.place.item["hold"]
    if asked.get("person") and person != asked["person"]:
        return "%s is to be signed by %s" % (hold.title, card.register.name(asked["person"]))
    if not asked.get("person") and asked.get("role", "lead") not in roles:
        return "%s wants a %s" % (hold.title, asked.get("role", "lead"))
    for h in sorted(listed):
        e = card.by_hash[h]
        if e.kind in form.WORK and card.own(e, person):
            return "%s did part of the work (%s): who did the work does not sign for it" % (
                card.register.name(person), describe(card, e))
        if asked.get("decided_by_another") and decided_by(card, e, person):
            return "%s decided part of it (%s), and this hold point wants another" % (
                card.register.name(person), describe(card, e))
    return None


def to_list(card, hold, person):
    """Hashes that a person's sign-off lists: all that is covered, less his own ticks and said-dones where every
    step is done by somebody else's beside them."""
    own = [h for h, e in hold.covered.items() if _tick(e) is not None and card.own(e, person)]
    left = set(hold.covered) - set(own)
    for pid in hold.places if own else ():
        place, state = card.road.by_id[pid], card.steps[pid]
        if place.kind == "step" and state.state == "done" and steps.find_done(card, place, left)[0] is None:
            return set(hold.covered)
    return left


def decided_by(card, e, person):
    """Whether a line is a decision of a person's; what the opening copied from the engine's sheet is not."""
    return e.kind not in form.WORK and card.author(e) == person and e.hash not in card.copied_at_opening()


def _bars_signer(card, hold, s):
    person = card.author(s.entry)
    asked = hold.place.item["hold"]
    if not asked.get("person"):
        late = card.register.bars(s.entry, asked.get("role", "lead"))
        if late is not None and late.endswith(TO_LET_IN):
            return late
    reason = bars_person(card, hold, person, card.register.good_roles(s.entry), s.listed)
    if reason is None and not s.missing and list_digest(card, s.listed) != s.entry.body["digest"]:
        reason = "its digest does not fit the entries it lists"
    return reason


# --- in force or not ----------------------------------------------------------------------------------------


def lapses(card, hold, s, way):
    """Why a sign-off is not in force, in words; nothing where it is (rule 11)."""
    if s.bar is not None:
        return [s.bar]
    if s.entry.hash in card.struck_by:
        x = card.struck_by[s.entry.hash][0]
        return ["the sign-off was struck out by %s: %s" % (card.register.name(card.author(x)), x.body["why"])]
    out = ["waits for entries %s from %s" % (runs, key_owner(card, kid)) for kid, runs in s.missing]
    if not s.stands:
        out.append("it was signed before the hold points ahead of it, as far as the signer knew")
    if way is not True and way is not False:
        out.append("the way here waits for " + ", ".join(way))
    for h in card.standing_holds(hold.place):
        if not card.holds[h].in_force:
            out.append("the signal before it is at stop: " + card.holds[h].title)
    out.extend(["came since: " + describe(card, e) for e in s.came])
    for h in sorted(s.listed):
        if h not in hold.covered:
            word, why = card.status.get(h, ("gone", None))
            said = {"replaced": "was measured or decided again"}.get(word, why or "is no longer covered here")
            out.append("no longer counts: %s: %s" % (describe(card, card.by_hash[h]), said))
    if not s.missing and steps.content_digest(card, hold.places) != s.entry.body["content"]:
        out.append("the procedure's text for these steps is another now")
    for pid in hold.places:
        place, state = card.road.by_id[pid], card.steps[pid]
        if state.state == "off" or place.kind != "step":
            continue
        if state.state != "done":
            out.append("not done: " + place_words(card, place))
        elif steps.find_done(card, place, s.listed)[0] is None:
            out.append("not done by what was signed: " + place_words(card, place))
    return out + standing_in_the_way(card, hold)


def standing_in_the_way(card, hold):
    """Open doubts here, and concessions granted only until this hold point."""
    out = []
    for d in hold.doubts:
        if not card.answers.get(d.hash):
            out.append("an open doubt by %s: %s" % (card.register.name(card.author(d)), d.body["why"]))
    for pid in sorted(card.steps):
        if not card.steps[pid].concessions or hold.id not in card.road.behind[pid]:
            continue
        for c in card.steps[pid].concessions:
            if decisions.ends_at(c.body, hold.place):
                out.append("%s was conceded only until here: put it right" % label_of(card, c.body["name"]))
    return out
