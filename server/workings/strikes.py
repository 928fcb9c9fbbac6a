"""Strike-outs: which of them count, and what they take out of count, never out of sight (rules 1 and 4)."""

from workings import gaps

LEAD = "lead"
NEVER_STRUCK = ("opening", "move")
READ = ("reading", "way")


def find(card):
    """{hash of a line: [the strike-outs that count against it]}; card.base tells why others do not count."""
    strikes, own = [], {}
    for e in card.lines:
        if e.kind == "strike-out" and card.base[e.hash] is None:
            card.base[e.hash] = _bars(card, e)
            if card.base[e.hash] is None:
                strikes.append(e)
    # Whether a strike-out was cancelled hangs on strike-outs alone, and is settled before rule 4 looks at
    # readings: who struck out his own to be rid of another's, and then took that back, has struck out neither.
    stands, named = standing(strikes), by_target(strikes)
    for s in strikes:
        if _beside_own(card, s, named, stands, own):
            card.base[s.hash] = "nobody strikes out another's reading that stands beside his own"
    found = {}
    for target in named:
        acting = [s for s in named[target] if stands[s.hash] and card.base[s.hash] is None]
        if acting:
            found[target] = sorted(acting, key=lambda s: s.hash)
    return found


def by_target(strikes):
    named = {}
    for s in strikes:
        named.setdefault(s.body["entry"], []).append(s)
    return named


def standing(strikes):
    """{hash: counts} of strike-outs: one counts unless a counting one names it (names are hashes: it ends)."""
    named, done = by_target(strikes), {}
    for s in strikes:
        todo = [s]
        while todo:
            t = todo[-1]
            above = named.get(t.hash, ())
            pending = [x for x in above if x.hash not in done]
            if pending and t.hash not in done:
                todo.extend(pending)
            else:
                done[t.hash] = not any([done[x.hash] for x in above])
                todo.pop()
    return done


def known_against(card, e, h):
    """Whether, as far as entry e knew, a line was struck out."""
    strikes = [s for s in card.strikes_on.get(h, ()) if card.knowing.knows(e, s)]
    if not strikes:
        return False
    known = standing([s for named in card.strikes_on.values() for s in named if card.knowing.knows(e, s)])
    return any([known[s.hash] for s in strikes])


def _bars(card, s):
    target = card.by_hash.get(s.body["entry"])
    if target is None:
        return "waits: the line it strikes out has not arrived"
    if target.kind in NEVER_STRUCK:
        return "an opening or a move is not struck out"
    if card.author(target) != card.author(s) and card.register.bars(s, LEAD) is not None:
        return "only its author or a lead strikes out a line"
    return None


def _beside_own(card, s, named, stands, own):
    """Rule 4: whether a reading of the striker's own, made without knowing the other's, stands against it."""
    target, person = card.by_hash[s.body["entry"]], card.author(s)
    if target.kind not in READ or card.own(target, person):
        return False
    key = (target.body["name"], target.body.get("position"))
    if (key, person) not in own:
        own[(key, person)] = _by_lane(card, [e for e in card.things.get(key, ()) if card.own(e, person)])
    known = card.knowing.highest[target.hash]
    for lane, (places, mine) in own[(key, person)].items():
        for e in mine[gaps.at(places, known.get(lane, 0) + 1):]:
            if card.knowing.knows(e, target):
                break  # and so does every later one of its lane
            if not any([stands[x.hash] and card.base[x.hash] is None and card.knowing.knows(s, x)
                        for x in named.get(e.hash, ())]):
                return True
    return False


def _by_lane(card, entries):
    """{lane: (places in it, entries)}, both rising."""
    out = {}
    for place, h in sorted([(card.knowing.lane[e.hash][1], e.hash) for e in entries]):
        places, found = out.setdefault(card.knowing.lane[h][0], ([], []))
        places.append(place)
        found.append(card.by_hash[h])
    return out
