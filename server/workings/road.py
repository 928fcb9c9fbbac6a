"""The card's line of road: every step, hold point and witness point in its place, and what stands before it.

Before is a partial order: the steps of a section in turn; a section after those it names. A repeated
section is one copy for each position. Copies for one position follow one another as their sections do;
where the repeat goes in order, every copy for the next position comes after all copies for this one.
"""

PLACED = ("reading", "check", "said-done", "way", "sign-off")


def place_id(entry):
    """The id of the place that an entry is about: "step" or "step@position"."""
    step, position = entry.body.get("hold") or entry.body.get("step"), entry.body.get("position")
    return None if step is None else step + ("@" + position if position is not None else "")


class Place:
    """One step, hold point or witness point, for one position where its section is repeated.

    id: "step" or "step@position"; prev: ids of the places before it in its own copy, in turn;
    holds: ids of the hold points before it; item, section: their definitions; when: formulas that must say
    yes for it to be on the way.
    """

    __slots__ = ("id", "item", "section", "position", "kind", "any_time", "prev", "holds", "when", "no_stopping")

    def __repr__(self):
        return "Place(" + self.id + ")"


class Road:
    """places: in an order in which what is before comes first; behind: place id -> holds after it;
    last_holds: holds with no hold point after them."""

    def __init__(self, procedure, positions):
        self.procedure = procedure
        self.positions = positions
        self.labels = {p["id"]: p["label"] for p in positions}
        self._make_copies()
        self._order_copies()
        self.places, self.by_id = [], {}
        for copy in self._order:
            self._lay(copy)
        self._look_ahead()

    def _make_copies(self):
        self._copies = []
        for section in self.procedure.raw["sections"]:
            for position in [p["id"] for p in self.positions] if section.get("repeat") else [None]:
                self._copies.append((section["id"], position))
        self._sections = {s["id"]: s for s in self.procedure.raw["sections"]}

    def _direct(self, copy):
        """The copies that come directly before this one."""
        name, position = copy
        section = self._sections[name]
        out = []
        for other in section.get("after", []):
            same = position is not None and self._sections[other].get("repeat") == section["repeat"]
            out.extend([c for c in self._copies if c[0] == other and (not same or c[1] == position)])
        repeat = section.get("repeat")
        if repeat and self.procedure.raw["repeats"][repeat]["order"] == "in order":
            ids = [p["id"] for p in self.positions]
            at = ids.index(position)
            if at > 0:
                alike = [c for c in self._copies if self._sections[c[0]].get("repeat") == repeat]
                out.extend([c for c in alike if c[1] == ids[at - 1]])
        return out

    def _order_copies(self):
        direct = {c: self._direct(c) for c in self._copies}
        self._order, placed = [], set()
        while len(self._order) < len(self._copies):
            ready = [c for c in self._copies if c not in placed and all([d in placed for d in direct[c]])]
            # The checker refuses circles; were one here all the same, the file's own order goes on.
            chosen = ready[0] if ready else [c for c in self._copies if c not in placed][0]
            self._order.append(chosen)
            placed.add(chosen)
        self._direct_of = direct
        self._holds_behind = {}

    def _lay(self, copy):
        section, position = self._sections[copy[0]], copy[1]
        holds = set()
        for d in self._direct_of[copy]:
            holds.update(self._holds_behind.get(d, ()))
        prev = []
        for item in section["steps"]:
            place = Place()
            place.id = item["id"] + ("@" + position if position is not None else "")
            place.item, place.section, place.position = item, section, position
            place.kind = "hold" if "hold" in item else "witness" if "witness" in item else "step"
            place.any_time = bool(item.get("any_time"))
            place.holds = set() if place.any_time else set(holds)
            place.prev = [] if place.any_time else list(prev)
            place.when = [t["when"] for t in (section, item) if t.get("when")]
            place.no_stopping = bool(item.get("no_stopping") or section.get("no_stopping"))
            self.places.append(place)
            self.by_id[place.id] = place
            prev.append(place.id)
            if place.kind == "hold":
                holds.add(place.id)
        self._holds_behind[copy] = holds

    def _reach(self):
        """For each copy, itself and every copy behind it: what comes after."""
        after = {c: set() for c in self._copies}
        for c in reversed(self._order):
            for d in self._direct_of[c]:
                after[d].add(c)
                after[d].update(after[c])
        return after

    def _look_ahead(self):
        after = self._reach()
        copy_of, at = {}, {}
        for i, p in enumerate(self.places):
            copy_of[p.id], at[p.id] = (p.section["id"], p.position), i
        holds = [p for p in self.places if p.kind == "hold"]
        self.behind = {}
        for p in self.places:
            c = copy_of[p.id]
            self.behind[p.id] = [h.id for h in holds if copy_of[h.id] in after[c]
                                 or (copy_of[h.id] == c and at[h.id] > at[p.id])]
        self._covers = {}
        self.last_holds = [h.id for h in holds if not self.behind[h.id]]

    def cover(self, hold_id, off):
        """Ids of the places that a hold point covers where the holds in `off` (a frozenset) do not stand:
        those before it that are not before another hold point before it."""
        key = (hold_id, off)
        if key not in self._covers:
            ahead = self.by_id[hold_id].holds - off
            self._covers[key] = [p.id for p in self.places if p.kind != "hold" and hold_id in self.behind[p.id]
                                 and not any([g in ahead for g in self.behind[p.id]])]
        return self._covers[key]
