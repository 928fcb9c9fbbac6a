"""The crew register: who is who, in which role, with which key, as far as an entry knew it.

The register is a log of entries that begins with the shop's root key. What holds for an entry is what the
register entries that it knew say (rules 1 and 18 of the card rules); withdrawals alone act on entries that
did not know them, for that is what they are for.
"""

from workings import entries as form

ROOT = "root"
ANSWERABLE = ("lead", "keeper", ROOT)


class Register:
    """The register folded from its entries.

    root: kid of the shop's root key or None; counts: hash -> True or the reason why not.
    """

    def __init__(self, knowing, root=None):
        self.knowing = knowing
        self.lines = [e for e in knowing.order if e.thing == "register"]
        self.root = root or self._first_root()
        self._withdrawn = {}
        self._taken = []
        self._let_in = {}
        self._fold()
        self._find_withdrawals()
        if self._withdrawn or self._taken:
            self._fold()
        self.names = {}
        for e in self.lines:
            if e.kind == "person" and self.counts[e.hash] is True:
                self.names[e.body["person"]] = e.body["name"]
        self.now = self._state(None)

    def seen_from(self, knowing):
        """The same register with a knowing that has more entries of a card, and none of the register's."""
        out = object.__new__(Register)
        for name in ("lines", "root", "_withdrawn", "_taken", "_let_in", "counts", "_states", "_lanes", "names", "now"):
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
        return self.state(entry)["people"].get(entry.kid)

    def bars(self, entry, role=None):
        """None where the author's key and role hold (rules 1 and 18), else the reason in words.

        role: a role, a tuple of roles of which one is enough, or None where any role will do.
        """
        if entry.hash in self.knowing.waits:
            return "waits for a line of the crew register that has not arrived"
        person = self.author(entry)
        if person is None:
            return "its key was not in the crew register as far as it knew"
        late = self._late(entry, person, role)
        if late:
            return late
        roles = self.state(entry)["roles"].get(person, ())
        wanted = form.ROLES if role is None else (role,) if isinstance(role, str) else role
        if person == ROOT and (role is None or entry.thing == "register"):
            return None
        if not any([r in roles for r in wanted]):
            return "%s was not %s" % (self.name(person), " or ".join(["a " + r for r in wanted]))
        return None

    # --- how it is folded ---------------------------------------------------------------------------------

    def _first_root(self):
        firsts = [e.kid for e in self.lines if _is_root(e)]
        return min(firsts) if firsts else None

    def _fold(self):
        self.counts, self._states = {}, {}
        self._lanes = {self.knowing.lane[e.hash][0] for e in self.lines}
        for e in self.lines:
            self.counts[e.hash] = self._judge(e)

    def _judge(self, e):
        if _is_root(e) and e.kid == self.root:
            return True
        reason = self.bars(e, ANSWERABLE[:2])
        if reason:
            return reason
        if e.kind == "key":
            kid = form.thumbprint(e.body["key"])
            others = [o for o in self.lines if o.kind == "key" and form.thumbprint(o.body["key"]) == kid
                      and o.body["person"] != e.body["person"] and self.counts.get(o.hash) is True]
            if others or kid == self.root:
                return "that key already belongs to somebody else"
        return True

    def _state(self, known):
        lane = self.knowing.lane
        held = [e for e in self.lines if self.counts.get(e.hash) is True
                and (known is None or known.get(lane[e.hash][0], 0) >= lane[e.hash][1])]
        people, given, taken = {}, {}, {}
        for e in held:
            if e.kind == "key":
                people[form.thumbprint(e.body["key"])] = e.body["person"]
            elif e.kind in ("role-given", "role-taken"):
                matter = (e.body["person"], e.body["role"])
                (given if e.kind == "role-given" else taken).setdefault(matter, []).append(e)
        roles = {}
        for matter, gifts in given.items():
            # Given and taken side by side: taken. Given again by someone who knew of the taking: given.
            if any([all([self.knowing.knows(g, t) for t in taken.get(matter, ())]) for g in gifts]):
                roles.setdefault(matter[0], set()).add(matter[1])
        return {"people": people, "roles": roles}

    def _find_withdrawals(self):
        for e in self.lines:
            if self.counts[e.hash] is not True:
                continue
            if e.kind == "withdrawal":
                kid = e.body["key"]
                self._withdrawn[kid] = min(e.body["last"], self._withdrawn.get(kid, e.body["last"]))
            elif e.kind == "role-taken":
                self._taken.append(e)
            elif e.kind == "letting-in":
                for first, last in form.read_runs(e.body["runs"]):
                    self._let_in.setdefault(e.body["key"], []).append((first, last))

    def _late(self, entry, person, role):
        if any([a <= entry.number <= b for a, b in self._let_in.get(entry.kid, ())]):
            return None
        last = self._withdrawn.get(entry.kid)
        if last is not None and entry.number > last and entry.kind != "withdrawal":
            return "its key is withdrawn after number %d; it waits to be let in" % last
        for t in self._taken:
            if t.body["person"] != person or self.knowing.knows(entry, t):
                continue
            lasts = {kid: n for kid, n, h in t.body["lasts"]}
            needs = role is None or t.body["role"] == role or t.body["role"] in role
            if needs and entry.number > lasts.get(entry.kid, 0):
                return "the role of %s was taken away; it waits to be let in" % t.body["role"]
        return None

    def withdrawn(self, kid):
        return kid in self._withdrawn


def _is_root(e):
    return (e.kind == "key" and e.body["person"] == ROOT and not e.before
            and form.thumbprint(e.body["key"]) == e.kid)


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
