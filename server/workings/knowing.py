"""Which entry knew which: the order that `before` and the keys' own numbers give, and nothing else.

Every key has a *lane*, its entries about one thing in the order of `number_here`. What an entry knows is
kept as the highest number it knows in each lane, so that "E knows F" is one comparison. A key that used a
number twice (a phone restored from a copy) is no longer an order: from there on only `before` tells what its
entries know, and each chain of them that names the one before it is a lane of its own. The same is done to
keys whose numbers run in a circle, which no honest phone can make.
"""

from workings import entries as form


class Knowing:
    """Entries in an order in which what is known comes first.

    order: entries; lane: hash -> (lane, place in it); highest: hash -> {lane: number};
    missing: hash -> hashes named in `before` that have not arrived; waits: hash -> register entries it
    stands on that have not arrived; doubled: [(kid, number_here)] lowest doubled number of a key here.
    """

    def __init__(self, entries):
        self.by_hash = {e.hash: e for e in entries}
        entries = [self.by_hash[h] for h in sorted(self.by_hash)]
        self._splits = _doubled(entries)
        self.doubled = sorted([(kid, n) for (thing, kid), n in self._splits.items()])
        self._lay_lanes(entries)
        self._arrange(entries)
        self._take_knowledge()

    def knows(self, e, f):
        """Whether entry e knows entry f (both in here)."""
        lane, place = self.lane[f.hash]
        return self.highest[e.hash].get(lane, 0) >= place

    def knows_hash(self, e, f_hash):
        lane, place = self.lane.get(f_hash, (None, 1))
        return lane is not None and self.highest[e.hash].get(lane, 0) >= place

    def heads(self, entries):
        """Of these entries, the hashes of those that no other of them knows (what `before` names)."""
        top = {}
        for e in entries:
            for lane, n in self.highest[e.hash].items():
                if n > top.get(lane, 0):
                    top[lane] = n
        return sorted([e.hash for e in entries if top.get(self.lane[e.hash][0], 0) < self.lane[e.hash][1]])

    def named_first(self, entries):
        """What `before` of a new entry names of these: the heads, at most as many as it may hold. Those of keys
        in good order come first, so that nobody crowds the others' lines out with numbers used twice."""
        heads = self.heads(entries)
        if len(heads) > form.MOST_BEFORE:
            heads.sort(key=lambda h: (self.split(self.by_hash[h]), h))
        return sorted(heads[:form.MOST_BEFORE])

    def split(self, e):
        """Whether a key's own numbers no longer tell what this entry of it knows."""
        lowest = self._splits.get((e.thing, e.kid))
        return lowest is not None and e.number_here >= lowest

    def follows(self, e):
        """Whether an entry simply comes after everything here: nothing it names is missing, nothing here names
        it, and its key goes on where it left off. Then `extended` serves, and nothing else changes."""
        if e.hash in self.by_hash or e.thing == "register" or self._gone(e):
            return False
        if any([e.hash in gone for gone in self.missing.values()]) or (e.thing, e.kid) in self._splits:
            return False
        if any([h not in self.by_hash or h in self.waits for h in e.register]):
            return False
        mine = [o for o in self.order if o.kid == e.kid]
        last = max([o.number_here for o in mine if o.thing == e.thing] + [0])
        return e.number_here == last + 1 and all([o.number != e.number for o in mine])

    def extended(self, e):
        """This knowing with one more entry that `follows`; the old one stays as it is."""
        out = object.__new__(Knowing)
        out._splits, out.doubled, out.missing, out.waits = self._splits, self.doubled, self.missing, self.waits
        out.by_hash, out.lane, out.highest = dict(self.by_hash), dict(self.lane), dict(self.highest)
        out._own = dict(self._own)
        before = [o for o in self.order
                  if o.kid == e.kid and o.thing == e.thing and o.number_here == e.number_here - 1]
        if before:
            out._own[e.hash] = before[0].hash
        out.by_hash[e.hash] = e
        out.order = self.order + [e]
        out.lane[e.hash] = ("h" + e.kid, e.number_here)
        out.highest[e.hash] = out._known(e)
        return out

    def _known(self, e):
        """{lane: highest number} of what an entry knows, from what those it names know."""
        known = {}
        for h in self._parents(e):
            for lane, n in self.highest[h].items():
                if n > known.get(lane, 0):
                    known[lane] = n
            lane, place = self.lane[h]
            if place > known.get(lane, 0):
                known[lane] = place
        return known

    def _lay_lanes(self, entries):
        self.lane, self._own = {}, {}
        lanes, chained = {}, set()
        for e in sorted(entries, key=lambda e: (e.number_here, e.hash)):
            if not self.split(e):
                name = ("r" if e.thing == "register" else "h") + e.kid
                self.lane[e.hash] = (name, e.number_here)
                last = lanes.get(name)
                if last is not None:
                    self._own[e.hash] = last
                lanes[name] = e.hash
                continue
            self.lane[e.hash] = (e.kid + e.hash, 1)
            for h in e.before:
                o = self.by_hash.get(h)
                if o is None or o.kid != e.kid or o.thing != e.thing or h in chained or not self.split(o):
                    continue
                if h in self.lane:
                    lane, place = self.lane[h]
                    self.lane[e.hash] = (lane, place + 1)
                    chained.add(h)
                    break

    def _found(self, named, thing):
        """Of the hashes that an entry names, those of entries here about that thing."""
        return [h for h in named if h in self.by_hash and self.by_hash[h].thing == thing]

    def _gone(self, e):
        return [h for h in e.before if h not in self.by_hash or self.by_hash[h].thing != e.thing]

    def _parents(self, e):
        found = self._found(e.before, e.thing)
        if e.thing != "register":
            found.extend(self._found(e.register, "register"))
        own = self._own.get(e.hash)
        if own is not None:
            found.append(own)
        return found

    def _arrange(self, entries):
        while True:
            waiting, children = {}, {}
            for e in entries:
                parents = set(self._parents(e))
                waiting[e.hash] = len(parents)
                for h in parents:
                    children.setdefault(h, []).append(e.hash)
            ready = [e.hash for e in entries if not waiting[e.hash]]
            self.order = []
            while ready:
                h = ready.pop()
                self.order.append(self.by_hash[h])
                for child in children.get(h, ()):
                    waiting[child] -= 1
                    if not waiting[child]:
                        ready.append(child)
            if len(self.order) == len(entries):
                return
            self._open_circle([h for h in sorted(waiting) if waiting[h]], children)
            self._lay_lanes(entries)

    def _open_circle(self, left, children):
        # What is left stands in a circle or behind one; peel off what is only behind, then split the keys whose
        # numbers run backwards, or, where none does by itself, all of them.
        left = set(left)
        while True:
            peel = [h for h in left if not any([c in left for c in children.get(h, ())])]
            if not peel:
                break
            left.difference_update(peel)
        for e in self._backwards(left) or [self.by_hash[h] for h in left]:
            lane = (e.thing, e.kid)
            if e.number_here < self._splits.get(lane, e.number_here + 1):
                self._splits[lane] = e.number_here

    def _backwards(self, left):
        """Entries not split yet that lead, by `before` alone, to one of their own key with no lower number."""
        reach, todo, out = {}, sorted(left), []
        while todo:
            e = self.by_hash[todo[-1]]
            parents = [h for h in self._found(e.before, e.thing) if h in left]
            unread = [h for h in parents if h not in reach]
            if unread:
                todo.extend(unread)
                continue
            todo.pop()
            if e.hash in reach:
                continue
            found = {}
            for h in parents:
                o = self.by_hash[h]
                for kid, n in list(reach[h].items()) + [(o.kid, o.number_here)]:
                    if n > found.get(kid, 0):
                        found[kid] = n
            reach[e.hash] = found
            if found.get(e.kid, 0) >= e.number_here and not self.split(e):
                out.append(e)
        return out

    def _take_knowledge(self):
        self.highest, self.missing, self.waits = {}, {}, {}
        for e in self.order:
            waits = []
            self.highest[e.hash] = self._known(e)
            for h in e.before if e.thing == "register" else e.register:
                if h not in self.by_hash or self.by_hash[h].thing != "register":
                    waits.append(h)
                elif h in self.waits:
                    waits.extend(self.waits[h])
            if waits:
                self.waits[e.hash] = sorted(set(waits))
            gone = self._gone(e)
            if gone:
                self.missing[e.hash] = gone


def _doubled(entries):
    """{(thing, kid): lowest number_here of an entry whose number, here or in all, another one has too}."""
    seen, splits = {}, {}
    for e in entries:
        for name in ((e.thing, e.kid, e.number_here), (e.kid, e.number)):
            seen.setdefault(name, []).append(e)
    for same in seen.values():
        if len(same) > 1:
            for e in same:
                lane = (e.thing, e.kid)
                splits[lane] = min(e.number_here, splits.get(lane, e.number_here))
    return splits
