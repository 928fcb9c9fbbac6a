"""The fold: a procedure version, the crew register and a set of entries make the state of a card.

Same set, same state, in whatever order the entries came and on whichever machine. Nothing signed is turned
away here: what does not count keeps its place in the log, with the reason. card-rules.md tells the rules
whose numbers stand in the comments.
"""

from workings import decisions, gaps, one_more, readings, rules, steps, strikes, values, vocabulary
from workings import entries as form
from workings.errors import WorkingError
from workings.knowing import Knowing
from workings.register import TO_LET_IN, Register
from workings.road import PLACED, Road, place_id

ANY = ("mechanic", "lead")
LEAD = "lead"
ROLE_OF = {
    "opening": LEAD, "data-value": LEAD, "choice": LEAD, "concession": LEAD, "acceptance": LEAD, "answer": LEAD,
    "move": LEAD, "position-added": LEAD, "waiver": LEAD, "trial-attached": LEAD, "gap-accepted": LEAD,
    "sign-off": form.ROLES,
}

COUNTS, STRUCK, WAITS, REFUSED, REPLACED = "counts", "struck out", "waits", "does not count", "replaced"


class Card:
    """A card as its entries make it.

    status: hash -> (word, reason); standing: (name, position) -> Standing; steps: place id -> StepState;
    holds: place id -> rules.Hold; opening: the entry it began with, or None; waiting_for: digest of a
    procedure version not held here, or None; closed; gaps: {kid: runs}; doubled: [kid].

    Inside: base: hash -> why it does not count by itself, or None; things: readings and ways by name and
    position; numbered: kid -> {number_here: [hashes]}; rising: kid -> its numbers; admitted: kid -> highest
    number whose author was good; admitted_of: what rule 9 admits of what ways rest on, struck out or not.
    """

    def __init__(self, lines, register_lines, procedure_of, root=None, kept=None, at_once=True):
        self.root = root
        self.knowing = Knowing(register_lines + lines)
        self.register = Register(self.knowing, root)
        self.lines = [e for e in self.knowing.order if e.thing == "card"]
        self.by_hash = {e.hash: e for e in self.lines}
        self.status, self.standing, self.steps, self.holds = {}, {}, {}, {}
        self.counting_at, self.conceded, self.doubts, self.answers, self.accepted = {}, {}, [], {}, {}
        self.admitted_of, self._by_place, self.ways = {}, None, {}
        self._copied = None
        self.closed, self.road, self.procedure, self.waiting_for = False, None, None, None
        self.judge_base()
        self.find_strikes()
        self.find_opening(procedure_of)
        self.doubled = [kid for kid, n in self.knowing.doubled if any([e.kid == kid for e in self.lines])]
        self._awaited = one_more.named_elsewhere(self.lines, self.by_hash)
        if self.procedure is not None:
            self.values = values.Values(self.procedure, self.standing, kept or values.Kept())
            self.lay_road()
            decisions.sort_out(self)
            decisions.stand_data(self)
        self._left = list(self.road.places) if self.road is not None else []
        if at_once:
            self.fold_on(len(self._left))

    def fold_on(self, count):
        """Folds the next places of the road; False once the card is whole.

        A phone asks for a few at a time: its Python clears away only between questions, and what one long
        question leaves would make every later one slower."""
        for place in self._left[:count]:
            self.fold_place(place)
        self._left = self._left[count:]
        if self._left:
            return True
        if self.road is not None:
            decisions.rest(self)
        self.gaps = gaps.find(self) if self.opening is not None else {}
        self.close()
        return False

    def with_one_more(self, e, at_once=True):
        """This card with one more line, or None where only the whole fold can tell: see one_more.py."""
        return one_more.extended(self, e, at_once)

    # --- what each entry is by itself (rules 1 and 4) -----------------------------------------------------

    def author(self, entry):
        return self.register.author(entry)

    def own(self, entry, person):
        """Whether an entry is a person's own: written by him or, a reading, measured by him."""
        return person is not None and (self.author(entry) == person
                                       or (entry.kind == "reading" and entry.body["measured_by"] == person))

    def judge_base(self):
        self.base, self.things, self.numbered, self.rising, self.admitted = {}, {}, {}, {}, {}
        for e in self.lines:
            self._judge_alone(e)
            self.numbered.setdefault(e.kid, {}).setdefault(e.number_here, []).append(e.hash)
        for kid in self.numbered:
            self.rising[kid] = sorted(self.numbered[kid])

    def _judge_alone(self, e):
        reason = self.register.bars(e, ROLE_OF.get(e.kind, ANY))
        self.base[e.hash] = reason
        if reason is not None:
            self._refuse_for(e, reason)
            return
        self.admitted[e.kid] = max(e.number_here, self.admitted.get(e.kid, 0))
        if e.kind in strikes.READ:
            key = (e.body["name"], e.body.get("position"))
            self.things[key] = self.things.get(key, []) + [e]

    def _refuse_for(self, e, reason):
        waits = reason.startswith("waits") or reason.endswith(TO_LET_IN)
        self.status[e.hash] = (WAITS if waits else REFUSED, reason)

    def base_bar(self, entry):
        """Why an entry does not count by its author, key or role alone, or None."""
        return self.base[entry.hash]

    def find_strikes(self):
        self.struck_by = strikes.find(self)
        self.strikes_on = strikes.by_target(
            [e for e in self.lines if e.kind == "strike-out" and self.base[e.hash] is None])
        for e in self.lines:
            reason = self.base[e.hash]
            if reason is not None:
                self._refuse_for(e, reason)
            elif e.hash in self.struck_by:
                s = self.struck_by[e.hash][0]
                self.status[e.hash] = (STRUCK, "struck out by %s: %s" % (
                    self.register.name(self.author(s)), s.body["why"]))

    def counts(self, entry):
        return self.status.get(entry.hash, (COUNTS, None))[0] in (COUNTS, REPLACED)

    def of_kind(self, kind):
        return [e for e in self.lines if e.kind == kind and self.counts(e)]

    def refuse(self, entry, reason, word=REFUSED):
        self.status[entry.hash] = (word, reason)

    # --- what the card stands on --------------------------------------------------------------------------

    def find_opening(self, procedure_of):
        # Two openings of one card cannot come from honest phones (ids are drawn by chance); the first stays.
        found = sorted(self.of_kind("opening"), key=lambda e: e.hash)
        first = [e for e in found if not any([self.knowing.knows(e, o) for o in found])]
        self.opening = first[0] if first else None
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
        positions, late = [], {}
        for p in self.opening.body["positions"]:
            if p["id"] not in [q["id"] for q in positions]:
                positions.append({"id": p["id"], "label": p["label"]})
        first = [p["id"] for p in positions]
        for e in self.of_kind("position-added"):
            if e.body["id"] not in first:
                late.setdefault(e.body["id"], []).append(e)
        self.added = late
        for p in sorted(late):
            newest = self.by_hash[self.knowing.heads(late[p])[0]]
            positions.append({"id": p, "label": newest.body["label"]})
        self.road = self._road(positions)
        self.hold_places = [p for p in self.road.places if p.kind == "hold"]
        self.way_keys = set()
        for p in self.hold_places:
            for base in values.closure(self.procedure, values.names_of_formulas(p.when)):
                self.way_keys.add(self.values.place_of(base, p.position))

    def copied_at_opening(self):
        """Hashes of the data values that came with the opening: in turn behind it, knowing nothing else."""
        if self._copied is None:
            self._copied, last = set(), self.opening
            mine = self.numbered[self.opening.kid]
            while True:
                found = [self.by_hash[h] for h in mine.get(last.number_here + 1, ())]
                found = [e for e in found if e.kind == "data-value" and e.before == [last.hash]]
                if len(found) != 1:
                    return self._copied
                last = found[0]
                self._copied.add(last.hash)
        return self._copied

    def _road(self, positions):
        # The road hangs on the version and the positions alone: laid once, it serves every later fold.
        key = (self.procedure.digest, tuple([(p["id"], p["label"]) for p in positions]))
        roads = self.values.kept.roads
        if key not in roads:
            roads[key] = Road(self.procedure, positions)
        return roads[key]

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
        here = []
        for e in self.entries_at(place):
            counts = self.counts(e)
            if not counts and not self._way_rests_on(e, place):
                continue
            reason = self._misplaced(e, place)
            if reason is None and way is False:
                reason = "it is on a way not taken"
            waits = rules.bars(self, e, place) if reason is None else None
            acceptances = self.accepted.get(e.hash, ()) if waits is not None else ()
            if waits is not None and not acceptances:
                reason = waits
            if reason is None:
                self.admitted_here(self.values.place_of(e.body.get("name", ""), place.position), e)
            if not counts:
                continue
            if reason is not None:
                self.refuse(e, reason, WAITS if reason == waits else REFUSED)
                continue
            if acceptances:
                acting = self.acting_acceptances.get(place.id, ())
                self.acting_acceptances[place.id] = set(acting) | set([a.hash for a in acceptances])
            here.append(e)
        self.counting_at[place.id] = here
        self._stand(place, here)
        self.steps[place.id] = self._state_of(place, way)

    def _way_rests_on(self, e, place):
        """Whether a line that was struck out may tell which way somebody who did not know that was on."""
        return (e.hash in self.struck_by and e.version == self.version and e.kind in strikes.READ
                and self.values.place_of(e.body["name"], place.position) in self.way_keys)

    def admitted_here(self, key, e):
        if key in self.way_keys:
            self.admitted_of[key] = self.admitted_of.get(key, []) + [e]

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
        for part in steps.asked_at(place.item):
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
        return any([self.values.place_of(name, place.position) in self.conceded
                    for name in decisions.judged_names(place.item)])

    def standing_holds(self, place):
        """Ids of the hold points before a place that stand on the way as it is now, in order."""
        return [p.id for p in self.hold_places if p.id in place.holds and not self.holds[p.id].off]

    # --- the whole ----------------------------------------------------------------------------------------

    def close(self):
        """Rules 15 and 19: closed when every hold point with none after it on the way is in force, and no number
        is missing."""
        if self.road is None:
            return
        standing = [h for h in self.holds if not self.holds[h].off]
        last = [h for h in standing if not any([g in standing for g in self.road.behind[h]])]
        self.closed = bool(last) and all([self.holds[h].in_force for h in last]) and not self.gaps
