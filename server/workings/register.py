"""The crew register: who is who, in which role, with which key, as far as an entry knew it.

The register is a log of entries that begins with the shop's root key. What holds for an entry is what the
register entries that it knew say (rules 1 and 18 of the card rules); withdrawals alone act on entries that
did not know them, for that is what they are for.
"""

from workings import entries as form

ROOT = "root"
ANSWERABLE = ("lead", "keeper")
TO_LET_IN = "waits to be let in"


class Register:
    """The register folded from its entries.

    root: kid of the shop's root key or None; counts: hash -> True or the reason why not.
    """

    def __init__(self, knowing, root=None):
        self.knowing = knowing
        self.lines = [e for e in knowing.order if e.thing == "register"]
        self.kids = {e.hash: form.thumbprint(e.body["key"]) for e in self.lines if e.kind == "key"}
        self.root = root or self._first_root()
        self.names = {}  # while it is being folded, people go by their ids
        self._fold_by_turns()
        for e in self._last_of("person", "person"):
            self.names[e.body["person"]] = e.body["name"]
        self.now = self._state(None)

    def seen_from(self, knowing):
        """The same register with a knowing that has more entries of a card, and none of the register's."""
        out = object.__new__(Register)
        for name in ("lines", "kids", "root", "_withdrawn", "_taken", "_let_in", "counts", "_states", "_lanes",
                     "_authors", "names", "now"):
            setattr(out, name, getattr(self, name))
        out.knowing = knowing
        return out

    def name(self, person):
        return self.names.get(person, "the shop" if person == ROOT else person)

    def state(self, entry):
        """{"people": {kid: person}, "roles": {person: set}} as far as `entry` knew the register."""
        known = self.knowing.highest[entry.hash]
        mark = tuple(sorted([(lane, n) for lane, n in known.items() if lane in self._lanes]))
        if mark not in self._states:
            self._states[mark] = self._state(known)
        return self._states[mark]

    def author(self, entry):
        """The person who signed, or None where the entry did not stand on that key's register entry."""
        if entry.hash not in self._authors:
            self._authors[entry.hash] = self.state(entry)["people"].get(entry.kid)
        return self._authors[entry.hash]

    def bars(self, entry, role=None):
        """None where the author's key and role hold (rules 1 and 18), else the reason in words.

        role: a role, a tuple of roles of which one is enough, or None where any role will do.
        """
        if entry.hash in self.knowing.waits:
            return "waits for a line of the crew register that has not arrived"
        person = self.author(entry)
        if person is None:
            return "its key was not in the crew register as far as it knew"
        let_in = any([a <= entry.number <= b for a, b in self._let_in.get(entry.kid, ())])
        if not let_in:
            for w in self._withdrawn.get(entry.kid, ()):
                # No withdrawal undoes another: one counts by what it knew.
                if entry.number > w.body["last"] and (entry.kind != "withdrawal" or self.knowing.knows(entry, w)):
                    return "its key is withdrawn after number %d; it %s" % (w.body["last"], TO_LET_IN)
        if person == ROOT and (role is None or entry.thing == "register"):
            return None
        roles = self.state(entry)["roles"].get(person, ())
        wanted = form.ROLES if role is None else (role,) if isinstance(role, str) else role
        held = [r for r in wanted if r in roles]
        if not held:
            return "%s was not %s" % (self.name(person), " or ".join(["a " + r for r in wanted]))
        if let_in or any([not self._role_gone(entry, person, r) for r in held]):
            return None
        return "the role of %s was taken away; it %s" % (held[0], TO_LET_IN)

    def good_roles(self, entry):
        """The roles an entry's author held as far as it knew, those taken away since aside."""
        return [r for r in form.ROLES if self.bars(entry, r) is None]

    # --- how it is folded ---------------------------------------------------------------------------------

    def _first_root(self):
        firsts = [e.kid for e in self.lines if self._is_root(e)]
        return min(firsts) if firsts else None

    def _is_root(self, e):
        return e.kind == "key" and e.body["person"] == ROOT and not e.before and self.kids[e.hash] == e.kid

    def _fold_by_turns(self):
        # Withdrawals count by what they knew, whatever else was withdrawn; what is taken away acts next; and
        # nobody lets himself in: a letting-in acts once it counts without itself.
        self._withdrawn, self._taken, self._let_in = {}, [], {}
        self._fold()
        for e in self._counting("withdrawal"):
            # The root key is the shop: who withdraws it withdraws nothing.
            if e.body["key"] != self.root:
                self._withdrawn.setdefault(e.body["key"], []).append(e)
        if self._withdrawn:
            self._fold()
        self._taken = self._counting("role-taken")
        if self._taken:
            self._fold()
        let, taken = set(), set([t.hash for t in self._taken])
        while True:
            new = [e for e in self._counting("letting-in") if e.hash not in let]
            late = [t for t in self._counting("role-taken") if t.hash not in taken]
            if not new and not late:
                return
            for e in new:
                self._let_in.setdefault(e.body["key"], []).extend(form.read_runs(e.body["runs"]))
            self._taken = self._taken + late
            let.update([e.hash for e in new])
            taken.update([t.hash for t in late])
            self._fold()

    def _counting(self, kind):
        return [e for e in self.lines if e.kind == kind and self.counts[e.hash] is True]

    def _last_of(self, kind, field):
        """Of the counting entries of a kind, one for each value of a field: the newest, or of several side by
        side the one with the smallest hash."""
        found = {}
        for e in self._counting(kind):
            found.setdefault(e.body[field], []).append(e)
        return [self.knowing.by_hash[self.knowing.heads(found[k])[0]] for k in sorted(found)]

    def _fold(self):
        self._judge_all(())
        rivals = self._rivals()
        if rivals:
            self._judge_all(rivals)

    def _judge_all(self, rivals):
        self.counts, self._states, self._authors = {}, {}, {}
        self._lanes = {self.knowing.lane[e.hash][0] for e in self.lines}
        for e in self.lines:
            if self._is_root(e) and e.kid == self.root:
                self.counts[e.hash] = True
            elif e.hash in rivals or self.kids.get(e.hash, "") == self.root:
                self.counts[e.hash] = "that key already belongs to somebody else"
            else:
                reason = self.bars(e, "lead" if e.kind == "letting-in" else ANSWERABLE)
                self.counts[e.hash] = True if reason is None else reason

    def _rivals(self):
        """Hashes of entries that give a key to a second person: the later, or of two side by side the one that
        the root key did not sign, or the greater hash."""
        by_kid, out = {}, set()
        for e in self._counting("key"):
            by_kid.setdefault(self.kids[e.hash], []).append(e)
        for claims in by_kid.values():
            for e in claims:
                for o in claims:
                    if o.body["person"] == e.body["person"] or self.knowing.knows(o, e):
                        continue
                    if self.knowing.knows(e, o) or (o.kid != self.root, o.hash) < (e.kid != self.root, e.hash):
                        out.add(e.hash)
        return out

    def _state(self, known):
        lane = self.knowing.lane
        held = [e for e in self.lines if self.counts.get(e.hash) is True
                and (known is None or known.get(lane[e.hash][0], 0) >= lane[e.hash][1])]
        people, given, taken = {}, {}, {}
        for e in held:
            if e.kind == "key":
                people[self.kids[e.hash]] = e.body["person"]
            elif e.kind in ("role-given", "role-taken"):
                matter = (e.body["person"], e.body["role"])
                (given if e.kind == "role-given" else taken).setdefault(matter, []).append(e)
        roles = {}
        for matter, gifts in given.items():
            # Given and taken side by side: taken. Given again by someone who knew of the taking: given.
            if any([all([self.knowing.knows(g, t) for t in taken.get(matter, ())]) for g in gifts]):
                roles.setdefault(matter[0], set()).add(matter[1])
        return {"people": people, "roles": roles}

    def _role_gone(self, entry, person, role):
        """Whether a role was taken away without the entry's knowing, before it was made."""
        for t in self._taken:
            # Who lays down his own role does so in that role.
            if t is entry or self.knowing.knows(entry, t):
                continue
            if t.body["person"] == person and t.body["role"] == role:
                lasts = [n for kid, n, h in t.body["lasts"] if kid == entry.kid]
                if entry.number > (min(lasts) if lasts else 0):
                    return True
        return False

    def withdrawn(self, kid):
        return kid in self._withdrawn


def people(register):
    """[{person, name, roles, keys}] as the whole register stands now."""
    keys = {}
    for kid, person in register.now["people"].items():
        if not register.withdrawn(kid):
            keys.setdefault(person, []).append(kid)
    out = []
    for person in sorted(register.names):
        roles = register.now["roles"].get(person, set())
        out.append({"person": person, "name": register.names[person], "keys": sorted(keys.get(person, [])),
                    "roles": [r for r in form.ROLES if r in roles]})
    return out
