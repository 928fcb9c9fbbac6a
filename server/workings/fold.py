"""The fold: a procedure version, the crew register and a set of entries make the state of a card.

Same set, same state, in whatever order the entries came and on whichever machine. Nothing signed is turned
away here: what does not count keeps its place in the log, with the reason. card-rules.md tells the rules
whose numbers stand in the comments.
"""

from workings import entries as form
from workings import readings, rules, steps, values, vocabulary
from workings.errors import WorkingError
from workings.knowing import Knowing
from workings.register import Register
from workings.road import Road

ANY = ("mechanic", "lead")
LEAD = "lead"
ROLE_OF = {
    "opening": LEAD, "data-value": LEAD, "choice": LEAD, "concession": LEAD, "acceptance": LEAD, "answer": LEAD,
    "move": LEAD, "position-added": LEAD, "waiver": LEAD, "trial-attached": LEAD, "gap-accepted": LEAD,
    "sign-off": form.ROLES,
}
FOLLOWING = ("reading", "check", "said-done", "way", "sign-off", "note", "photo", "voice", "time")
# What a card with one more line shares with the card before it, and what it changes a copy of.
KEPT = ("root", "procedure", "version", "opening", "waiting_for", "road", "hold_places", "added", "choices", "answers",
        "doubts", "accepted", "struck_by", "conceded", "doubled", "_data_names")
COPIED = ("status", "standing", "steps", "holds", "counting_at", "by_hash", "_base", "_things", "_by_place",
          "acting_acceptances")
PLACED = ("reading", "check", "said-done", "way", "sign-off")
NEVER_STRUCK = ("opening", "move")

COUNTS, STRUCK, WAITS, REFUSED, REPLACED = "counts", "struck out", "waits", "does not count", "replaced"


class Card:
    """A card as its entries make it.

    status: hash -> (word, reason); standing: (name, position) -> Standing; steps: place id -> StepState;
    holds: place id -> rules.Hold; opening: the entry it began with, or None; waiting_for: digest of a
    procedure version not held here, or None; closed; gaps: {kid: runs}; doubled: [kid].
    """

    def __init__(self, lines, register_lines, procedure_of, root=None, kept=None):
        self.root = root
        self.knowing = Knowing(register_lines + lines)
        self.register = Register(self.knowing, root)
        self.lines = [e for e in self.knowing.order if e.thing == "card"]
        self.by_hash = {e.hash: e for e in self.lines}
        self.status, self.standing, self.steps, self.holds = {}, {}, {}, {}
        self.counting_at, self.conceded, self.doubts = {}, {}, []
        self._by_place, self._numbered, self.accepted = None, None, {}
        self.closed, self.road, self.procedure, self.waiting_for = False, None, None, None
        self.judge_base()
        self.find_strikes()
        self.find_opening(procedure_of)
        self.doubled = [kid for kid, n in self.knowing.doubled if any([e.kid == kid for e in self.lines])]
        if self.procedure is not None:
            self.values = values.Values(self.procedure, self.standing, kept or values.Kept())
            self.lay_road()
            self.sort_decisions()
            self.stand_data()
            self.fold_places(self.road.places)
        self.find_gaps()
        self.close()

    def fold_places(self, places):
        for place in places:
            self.fold_place(place)
        self.rest_decisions()

    def with_one_more(self, e):
        """This card with one more line of work that comes after everything here, or None where only the whole
        fold can tell. What stands before its step on the road cannot change by it, and is not done again."""
        if e.kind not in FOLLOWING or self.road is None or e.version != self.version or not self.knowing.follows(e):
            return None
        if e.hash in self.accepted or e.hash in self.struck_by:
            return None
        out = object.__new__(Card)
        for name in KEPT:
            setattr(out, name, getattr(self, name))
        out.knowing = self.knowing.extended(e)
        out.register = self.register.seen_from(out.knowing)
        out.lines = self.lines + [e]
        for name in COPIED:
            setattr(out, name, dict(getattr(self, name)))
        out.by_hash[e.hash] = e
        reason = out.register.bars(e, ROLE_OF.get(e.kind, ANY))
        out._base[e.hash] = reason
        if reason is not None:
            out.status[e.hash] = (WAITS if "waits" in reason else REFUSED, reason)
        elif e.kind == "reading":
            key = (e.body["name"], e.body.get("position"))
            out._things[key] = out._things.get(key, []) + [e]
        out._numbered = None
        out.values = values.Values(out.procedure, out.standing, self.values.kept)
        out._fold_again_from(e)
        out.find_gaps()
        out.close()
        return out

    def _fold_again_from(self, e):
        at = place_id(e)
        ids = [p.id for p in self.road.places]
        if e.kind not in PLACED:
            return
        if at not in self.road.by_id:
            self.refuse(e, "this card has no step %s" % at)
            return
        self._by_place[at] = self._by_place.get(at, []) + [e]
        again = self.road.places[ids.index(at):]
        for place in again:
            for o in self._by_place.get(place.id, ()):
                if o.hash not in self.struck_by and self._base[o.hash] is None and o.version == self.version:
                    self.status.pop(o.hash, None)
            for part in asked_at(place.item):
                self.standing.pop(self.values.place_of(part["name"], place.position), None)
            for held in (self.counting_at, self.steps, self.holds, self.acting_acceptances):
                held.pop(place.id, None)
        self.fold_places(again)

    # --- what each entry is by itself (rules 1 and 4) -----------------------------------------------------

    def author(self, entry):
        return self.register.author(entry)

    def own(self, entry, person):
        """Whether an entry is a person's own: written by him or, a reading, measured by him."""
        return person is not None and (self.author(entry) == person
                                       or (entry.kind == "reading" and entry.body["measured_by"] == person))

    def judge_base(self):
        self._base = {}
        for e in self.lines:
            self._base[e.hash] = self.register.bars(e, ROLE_OF.get(e.kind, ANY))
        self._things = {}
        for e in self.lines:
            if e.kind == "reading" and self._base[e.hash] is None:
                self._things.setdefault((e.body["name"], e.body.get("position")), []).append(e)

    def base_bar(self, entry):
        """Why an entry does not count by its author, key or role alone, or None."""
        return self._base[entry.hash]

    def find_strikes(self):
        strikes = []
        for e in self.lines:
            if e.kind == "strike-out" and self._base[e.hash] is None:
                self._base[e.hash] = self._bars_strike(e, strikes)
                if self._base[e.hash] is None:
                    strikes.append(e)
        standing = _standing_strikes(strikes)
        self.struck_by = {}
        for s in strikes:
            if standing[s.hash]:
                self.struck_by.setdefault(s.body["entry"], []).append(s)
        for e in self.lines:
            reason = self._base[e.hash]
            if reason is not None:
                self.status[e.hash] = (WAITS if "waits" in reason else REFUSED, reason)
            elif e.hash in self.struck_by:
                s = self.struck_by[e.hash][0]
                self.status[e.hash] = (STRUCK, "struck out by %s: %s" % (
                    self.register.name(self.author(s)), s.body["why"]))

    def _bars_strike(self, s, strikes):
        target = self.by_hash.get(s.body["entry"])
        if target is None:
            return "waits: the line it strikes out has not arrived"
        if target.kind in NEVER_STRUCK:
            return "an opening or a move is not struck out"
        person = self.author(s)
        if self.author(target) == person:
            return None
        if self.register.bars(s, LEAD) is not None:
            return "only its author or a lead strikes out a line"
        if target.kind == "reading":
            known = None
            for own in self._things.get((target.body["name"], target.body.get("position")), ()):
                if not self.own(own, person) or own is target or self.own(target, person):
                    continue
                if self.knowing.knows(own, target) or self.knowing.knows(target, own):
                    continue
                if known is None:
                    known = _standing_strikes([x for x in strikes if self.knowing.knows(s, x)])
                if not any([known.get(x.hash) and x.body["entry"] == own.hash for x in strikes]):
                    return "nobody strikes out another's reading that stands beside his own"
        return None

    def counts(self, entry):
        return self.status.get(entry.hash, (COUNTS, None))[0] in (COUNTS, REPLACED)

    def of_kind(self, kind):
        return [e for e in self.lines if e.kind == kind and self.counts(e)]

    def refuse(self, entry, reason, word=REFUSED):
        self.status[entry.hash] = (word, reason)

    # --- what the card stands on --------------------------------------------------------------------------

    def find_opening(self, procedure_of):
        found = self.of_kind("opening")
        # Two openings of one card cannot come from honest phones (ids are drawn by chance); one is taken.
        self.opening = min(found, key=lambda e: e.hash) if found else None
        for e in found:
            if e is not self.opening:
                self.refuse(e, "this card has another opening")
        if self.opening is None:
            return
        self.version = self.opening.version
        self.procedure = procedure_of(self.version)
        if self.procedure is None:
            self.waiting_for = self.version
        for e in self.lines:
            if e.version != self.version and e.hash not in self.status:
                self.refuse(e, "it was made under another version of the procedure", WAITS)

    def lay_road(self):
        positions = [dict(p) for p in self.opening.body["positions"]]
        self.added = {}
        for e in self.of_kind("position-added"):
            if e.body["id"] not in [p["id"] for p in positions]:
                positions.append({"id": e.body["id"], "label": e.body["label"]})
                self.added[e.body["id"]] = []
            if e.body["id"] in self.added:
                self.added[e.body["id"]].append(e)
        first = [p["id"] for p in self.opening.body["positions"]]
        late = sorted([p for p in positions if p["id"] not in first], key=lambda p: p["id"])
        self.road = self._road([p for p in positions if p["id"] in first] + late)
        self.hold_places = [p for p in self.road.places if p.kind == "hold"]

    def _road(self, positions):
        # The road hangs on the version and the positions alone: laid once, it serves every later fold.
        key = (self.procedure.digest, tuple([(p["id"], p["label"]) for p in positions]))
        roads = self.values.kept.roads
        if key not in roads:
            roads[key] = Road(self.procedure, positions)
        return roads[key]

    def sort_decisions(self):
        """Choices, concessions, answers and acceptances that count, by what they are about."""
        self.choices, concessions, answers = {}, {}, {}
        for e in self.of_kind("choice"):
            person = self.author(e)
            named = [self.by_hash[h] for h in e.body["between"] if h in self.by_hash]
            if any([self.own(r, person) for r in named]):
                self.refuse(e, "nobody chooses between readings of which one is his own")
            elif e.body["holds"] not in e.body["between"]:
                self.refuse(e, "it chooses a reading that it does not name")
            else:
                self.choices.setdefault((e.body["name"], e.body.get("position")), []).append(e)
        for e in self.of_kind("concession"):
            concessions.setdefault((e.body["name"], e.body.get("position")), []).append(e)
        for matter, found in concessions.items():
            acting = readings.acting(self.knowing, found, lambda e: (
                e.body["text"], e.body["limit"], e.body["until"], e.body.get("until_position")))
            if acting is not None:
                self.conceded[matter] = acting
        doubts = {e.hash: e for e in self.of_kind("doubt")}
        for e in self.of_kind("answer"):
            doubt = doubts.get(e.body["doubt"])
            about = self.by_hash.get(doubt.body.get("entry")) if doubt is not None else None
            if doubt is None:
                self.refuse(e, "waits: the doubt it answers is not here or does not count", WAITS)
            elif about is not None and self.own(about, self.author(e)):
                self.refuse(e, "nobody answers a doubt on his own reading")
            else:
                answers.setdefault(doubt.hash, []).append(e)
        self.answers = answers
        self.doubts = [doubts[h] for h in sorted(doubts)]
        self.accepted = {}
        for e in self.of_kind("acceptance"):
            for h in e.body["entries"]:
                self.accepted.setdefault(h, []).append(e)
        self.acting_acceptances = {}

    def stand_data(self):
        """Data values: the newest known of each; two that differ side by side wait for a lead (rule 5)."""
        matters = {}
        for e in self.of_kind("data-value"):
            d = self.procedure.names.get(e.body["name"])
            if d is None or d["kind"] != "data":
                self.refuse(e, "this procedure takes no data called %s" % e.body["name"])
                continue
            try:
                self.typed(e, d["definition"])
            except WorkingError as error:
                self.refuse(e, error.message)
                continue
            matters.setdefault((e.body["name"], e.body.get("position")), []).append(e)
        for matter, found in matters.items():
            definition = self.procedure.names[matter[0]]["definition"]
            self.standing[matter] = readings.stand(found, definition, self.typed, self.knowing, ())
            for e in self.standing[matter].replaced:
                self.refuse(e, None, REPLACED)
        self._data_names = sorted(matters, key=lambda m: (m[0], m[1] or ""))

    def typed(self, entry, definition):
        """readings.typed of an entry, read once: (kind, value, resolution, uncertainty) or a WorkingError."""
        kept = self.values.kept.typed
        key = (entry.hash, self.procedure.digest)
        if key not in kept:
            try:
                kept[key] = readings.typed(entry, definition, self.procedure)
            except WorkingError as error:
                kept[key] = error
        if isinstance(kept[key], WorkingError):
            raise kept[key]
        return kept[key]

    def say(self, piece):
        """A term of the trade in this shop's vocabulary; the piece is one that procedures.woven gave."""
        return vocabulary.word(piece[1], self.vocabulary(), piece[2], piece[3])

    def words(self, text):
        """A text without values, in this shop's vocabulary."""
        return vocabulary.say(text, self.vocabulary())

    def plain(self, text, position):
        return steps.plain(self, text, position)

    def vocabulary(self):
        return self._word_of("vocabulary") or "american"

    def jurisdiction(self):
        return self._word_of("jurisdiction")

    def _word_of(self, name):
        stands = self.standing.get((name, None))
        return stands.value[1] if stands is not None and stands.value is not None else None

    # --- place by place -----------------------------------------------------------------------------------

    def way_of(self, place, view=None):
        """True on the way, False off it, or the list of names that the way waits for."""
        for text in place.when:
            try:
                if (view or self.values).evaluate(text, place.position)[1] is not True:
                    return False
            except values.Missing as gap:
                return gap.names
            except values.Trouble as error:
                return [error.message]
        return True

    def entries_at(self, place):
        if self._by_place is None:
            self._by_place = {}
            for e in self.lines:
                if e.kind in PLACED:
                    at = place_id(e)
                    if at in self.road.by_id:
                        self._by_place.setdefault(at, []).append(e)
                    elif self.counts(e):
                        self.refuse(e, "this card has no step %s" % at)
        return self._by_place.get(place.id, [])

    def fold_place(self, place):
        way = self.way_of(place)
        if place.kind == "hold":
            self.holds[place.id] = rules.fold_hold(self, place, way)
            return
        candidates = [e for e in self.entries_at(place) if self.counts(e)]
        here = []
        for e in candidates:
            reason = self._misplaced(e, place) or ("it is on a way not taken" if way is False else None)
            if reason is not None:
                self.refuse(e, reason)
                continue
            reason = rules.bars(self, e, place)
            if reason is not None:
                acceptances = self.accepted.get(e.hash, ())
                if not acceptances:
                    self.refuse(e, reason, WAITS)
                    continue
                for a in acceptances:
                    self.acting_acceptances.setdefault(place.id, set()).add(a.hash)
            here.append(e)
        self.counting_at[place.id] = here
        self._stand(place, here)
        self.steps[place.id] = self._state_of(place, way)

    def _misplaced(self, e, place):
        """Why an entry does not fit its step, or None."""
        if e.kind == "check":
            known = [c["id"] for c in place.item.get("checks", ())]
            return None if e.body["check"] in known else "this step has no check %s" % e.body["check"]
        if e.kind == "said-done":
            return None
        if e.kind == "sign-off":
            return "%s is not a hold point" % place.id
        parts = place.item.get("readings", ()) if e.kind == "reading" else [place.item.get("way") or {}]
        for part in parts:
            if part.get("name") == e.body["name"]:
                try:
                    self.typed(e, part)
                    return None
                except WorkingError as error:
                    return error.message
        return "this step does not ask for %s" % e.body["name"]

    def _stand(self, place, here):
        for part in asked_at(place.item):
            key = self.values.place_of(part["name"], place.position)
            found = [e for e in here if e.kind in ("reading", "way") and e.body["name"] == part["name"]]
            if found:
                stands = readings.stand(found, part, self.typed, self.knowing, self.choices.get(key, ()))
                self.standing[key] = stands
                self.values.learned()
                for e in stands.replaced:
                    self.refuse(e, None, REPLACED)

    def _state_of(self, place, way):
        state = steps.StepState("open")
        if way is False:
            state.state = "off"
            return state
        if way is not True:
            state.state = "waiting"
            state.waits = ["the way here waits for " + ", ".join(way)]
            return state
        self.steps[place.id] = state
        if place.kind == "witness":
            state.state = "done"
            return state
        for h in self.standing_holds(place):
            if not self.holds[h].in_force:
                state.waits.append("the signal before it is at stop: " + self.holds[h].title)
        for p in place.prev:
            if self.road.by_id[p].kind == "step" and self.steps[p].state not in ("done", "off"):
                state.waits.append("first: " + self.road.by_id[p].item["title"])
                break
        if state.waits:
            # A shut step is judged only when somebody looks at it, or a concession there may act.
            state.state = "shut"
            if self._conceded_at(place):
                self.judged_at(place)
            return state
        self.judged_at(place)
        if not state.requirement:
            state.done_by, wants = steps.find_done(self, place)
            state.requirement = wants
            if state.done_by is not None:
                state.state = "done"
        return state

    def judged_at(self, place):
        """{name: Judged} of a step, judged when first asked for."""
        state = self.steps[place.id]
        if state.judged is None:
            steps.judge_step(self, place, state)
        return state.judged

    def _conceded_at(self, place):
        parts = list(place.item.get("readings", ())) + list(place.item.get("judged", ()))
        return any([self.values.place_of(p.get("value", p.get("name")), place.position) in self.conceded for p in parts])

    def standing_holds(self, place):
        """Ids of the hold points before a place that stand on the way as it is now, in order."""
        return [p.id for p in self.hold_places if p.id in place.holds and not self.holds[p.id].off]

    # --- the whole ----------------------------------------------------------------------------------------

    def rest_decisions(self):
        """Marks what has been decided again or acts on nothing, so that the history can say so."""
        for matter, found in list(self.choices.items()):
            heads = set(self.knowing.heads(found))
            for e in found:
                if e.hash not in heads:
                    self.refuse(e, None, REPLACED)

    def find_gaps(self):
        """Rule 19: the missing numbers below the highest admitted entry of each key, in runs."""
        self.gaps = {}
        if self.opening is None:
            return
        accepted = {}
        for e in self.of_kind("gap-accepted"):
            for a, b in form.read_runs(e.body["runs"]):
                accepted.setdefault(e.body["key"], []).append((a, b))
        have = {}
        for e in self.lines:
            if self._base[e.hash] is None:
                have.setdefault(e.kid, set()).add(e.number_here)
        for kid, numbers in have.items():
            missing = []
            at = 1
            for n in sorted(numbers):
                # A run and not its numbers: a key that jumps by a million must cost nothing.
                if n > at:
                    missing.append((at, n - 1))
                at = n + 1
            left = [(a, b) for a, b in missing if not any([x <= a and b <= y for x, y in accepted.get(kid, ())])]
            if left:
                self.gaps[kid] = ",".join(["%d-%d" % r if r[1] > r[0] else "%d" % r[0] for r in left])

    def close(self):
        if self.road is None:
            return
        last = [h for h in self.road.last_holds if not self.holds[h].off]
        self.closed = bool(last) and all([self.holds[h].in_force for h in last]) and not self.gaps


def place_id(entry):
    """The id of the place that an entry is about: "step" or "step@position"."""
    step, position = entry.body.get("hold") or entry.body.get("step"), entry.body.get("position")
    return None if step is None else step + ("@" + position if position is not None else "")


def asked_at(item):
    """The readings of a step and its way: what entries there give values to."""
    return list(item.get("readings", ())) + ([item["way"]] if item.get("way") else [])


def _standing_strikes(strikes):
    """{hash: counts} of strike-outs: one counts unless a counting one names it (names are hashes: it ends)."""
    by_target, done = {}, {}
    for s in strikes:
        by_target.setdefault(s.body["entry"], []).append(s)
    for s in strikes:
        todo = [s]
        while todo:
            t = todo[-1]
            above = by_target.get(t.hash, ())
            pending = [x for x in above if x.hash not in done]
            if pending and t.hash not in done:
                todo.extend(pending)
            else:
                done[t.hash] = not any([done[x.hash] for x in above])
                todo.pop()
    return done
