"""The rules of a card told a second time, naively, for the job of card_job.py alone.

Plain sets and loops over everything; no order of folding, no lanes, nothing kept. It shares with the
workings only the form of an entry and the hash. Where a rule leaves room, the comment says how it is taken.
"""

from fractions import Fraction

from workings import entries as form
from workings import strict_json

LEADS = ("opening", "data-value", "choice", "concession", "acceptance", "answer", "move", "position-added", "waiver",
         "trial-attached", "gap-accepted")
WORK = ("reading", "way", "check", "said-done")
LIMITED = {"bore": "largest", "play": "room"}
UNCERTAIN = {"bore": 0.002, "play": 0.002 * 2 ** 0.5}


class Model:
    def __init__(self, lines, procedure, version, root):
        self.procedure, self.version, self.root = procedure, version, root
        self.all = {e.hash: e for e in lines}
        self.register = [e for e in self.all.values() if e.thing == "register"]
        self.card = [e for e in self.all.values() if e.thing == "card"]
        self.find_knowledge()
        self.circle = any(h in self.knows[h] for h in self.all)
        if self.circle:
            return
        self.fold_register()
        self.status = {}
        self.fold()

    # --- knowing ----------------------------------------------------------------------------------------------

    def find_knowledge(self):
        lowest = {}
        for e in self.all.values():
            for o in self.all.values():
                here = (o.thing, o.number_here) == (e.thing, e.number_here)
                if o is not e and o.kid == e.kid and (here or o.number == e.number):
                    lane = (e.thing, e.kid)
                    lowest[lane] = min(e.number_here, lowest.get(lane, e.number_here))
        self.lowest = lowest
        steps = {}
        for e in self.all.values():
            near = set(h for h in e.before if h in self.all and self.all[h].thing == e.thing)
            if e.thing != "register":
                near |= set(h for h in e.register if h in self.all and self.all[h].thing == "register")
            if e.number_here < lowest.get((e.thing, e.kid), 1 << 40):
                near |= set(o.hash for o in self.all.values() if (o.thing, o.kid) == (e.thing, e.kid)
                            and o.number_here < e.number_here)
            steps[e.hash] = near
        self.knows = {}
        for h in self.all:
            found, todo = set(), list(steps[h])
            while todo:
                n = todo.pop()
                if n not in found:
                    found.add(n)
                    todo.extend(steps[n])
            self.knows[h] = found

    def newest(self, entries):
        return [e for e in entries if not any(e.hash in self.knows[o.hash] for o in entries)]

    def waits_for_register(self, e):
        for h in e.before if e.thing == "register" else e.register:
            o = self.all.get(h)
            if o is None or o.thing != "register" or self.waits_for_register(o):
                return True
        return False

    # --- the register -----------------------------------------------------------------------------------------

    def fold_register(self):
        self.withdrawn, self.taken, self.let_in = [], [], []
        self.judge_register()
        self.withdrawn = [e for e in self.register if e.kind == "withdrawal" and self.good[e.hash]
                          and e.body["key"] != self.root]
        self.judge_register()
        self.taken = [e for e in self.register if e.kind == "role-taken" and self.good[e.hash]]
        while True:
            self.judge_register()
            new = [e for e in self.register if e.kind == "letting-in" and self.good[e.hash] and e not in self.let_in]
            late = [e for e in self.register if e.kind == "role-taken" and self.good[e.hash] and e not in self.taken]
            if not new and not late:
                return
            self.let_in += new
            self.taken += late

    def judge_register(self):
        self.good = {}
        for e in sorted(self.register, key=lambda e: len(self.knows[e.hash])):
            root = e.kid == self.root and e.kind == "key" and form.thumbprint(e.body["key"]) == e.kid
            needed = ("lead",) if e.kind == "letting-in" else ("lead", "keeper")
            self.good[e.hash] = root or self.bar(e, needed) is None

    def people_known(self, e):
        return {form.thumbprint(k.body["key"]): k.body["person"] for k in self.register
                if k.kind == "key" and self.good.get(k.hash) and k.hash in self.knows[e.hash]}

    def author(self, e):
        return self.people_known(e).get(e.kid)

    def roles_known(self, e):
        known = [r for r in self.register if r.hash in self.knows[e.hash] and self.good.get(r.hash)]
        out = set()
        for g in known:
            if g.kind == "role-given":
                taken = [t for t in known if t.kind == "role-taken" and t.body["person"] == g.body["person"]
                         and t.body["role"] == g.body["role"]]
                if all(t.hash in self.knows[g.hash] for t in taken):
                    out.add((g.body["person"], g.body["role"]))
        return out

    def bar(self, e, roles):
        """None where author, key and one of the roles are good by what the entry knew, else the word."""
        if self.waits_for_register(e):
            return "waits"
        person = self.author(e)
        if person is None:
            return "does not count"
        let_in = any(x.body["key"] == e.kid and a <= e.number <= b
                     for x in self.let_in for a, b in form.read_runs(x.body["runs"]))
        if not let_in:
            for w in self.withdrawn:
                if w.body["key"] == e.kid and e.number > w.body["last"]:
                    if e.kind != "withdrawal" or w.hash in self.knows[e.hash]:
                        return "waits"
        if person == "root" and e.thing == "register":
            return None
        held = [r for r in roles if (person, r) in self.roles_known(e)]
        if not held:
            return "does not count"
        return None if let_in or not all(self.taken_away(e, person, r) for r in held) else "waits"

    def taken_away(self, e, person, role):
        for t in self.taken:
            if (t.body["person"], t.body["role"]) == (person, role) and t.hash not in self.knows[e.hash] | {e.hash}:
                lasts = [n for kid, n, h in t.body["lasts"] if kid == e.kid]
                if e.number > (min(lasts) if lasts else 0):
                    return True
        return False

    # --- by themselves, and strike-outs -------------------------------------------------------------------------

    def fold(self):
        self.base = {}
        for e in self.card:
            roles = ("lead",) if e.kind in LEADS else form.ROLES if e.kind == "sign-off" else ("mechanic", "lead")
            self.base[e.hash] = self.bar(e, roles)
        self.good_alone = [e for e in self.card if self.base[e.hash] is None]
        self.find_strikes()
        for e in self.card:
            if self.base[e.hash] is not None:
                self.status[e.hash] = self.base[e.hash]
            elif self.struck(e):
                self.status[e.hash] = "struck out"
            else:
                self.status[e.hash] = "counts"
        openings = [e for e in self.card if e.kind == "opening" and self.counts(e)]
        first = [e for e in openings if not any(o.hash in self.knows[e.hash] for o in openings)]
        self.opening = min(first, key=lambda e: e.hash) if first else None
        if self.opening is None:
            return
        for e in openings:
            if e is not self.opening:
                self.status[e.hash] = "does not count"
        for e in self.card:
            if e.version != self.version and self.status[e.hash] == "counts":
                self.status[e.hash] = "waits"
        self.lay_places()
        self.fold_decisions()
        self.fold_places()
        self.find_gaps()

    def counts(self, e):
        return self.status[e.hash] in ("counts", "replaced")

    def own(self, e, person):
        return person is not None and (self.author(e) == person
                                       or e.kind == "reading" and e.body["measured_by"] == person)

    def find_strikes(self):
        strikes = [e for e in self.good_alone if e.kind == "strike-out"]
        for s in list(strikes):
            target = self.all.get(s.body["entry"])
            bar = None
            if target is None or target.thing != "card":
                bar = "waits"
            elif target.kind in ("opening", "move"):
                bar = "does not count"
            elif self.author(target) != self.author(s) and self.bar(s, ("lead",)) is not None:
                bar = "does not count"
            if bar:
                self.base[s.hash] = bar
                strikes.remove(s)

        def cancelled(s):
            return any(x.body["entry"] == s.hash and not cancelled(x) for x in strikes)

        # Rule 4, last sentence: judged by readings made apart, whether or not they agree, and in the order of
        # knowing; one's own reading no longer stands against it once a strike-out of it, known to this one and
        # not cancelled since, took it out.
        self.strikes = []
        for s in sorted(strikes, key=lambda s: len(self.knows[s.hash])):
            target, person = self.all[s.body["entry"]], self.author(s)
            apart = []
            if target.kind in ("reading", "way") and not self.own(target, person):
                apart = [r for r in self.good_alone if r.kind in ("reading", "way") and self.own(r, person)
                         and thing_of(r) == thing_of(target) and r.hash not in self.knows[target.hash]
                         and target.hash not in self.knows[r.hash]]
            gone = [x.body["entry"] for x in self.strikes if x.hash in self.knows[s.hash] and not cancelled(x)]
            if all(r.hash in gone for r in apart):
                self.strikes.append(s)
            else:
                self.base[s.hash] = "does not count"
        self.acting_strikes = [s for s in self.strikes if not cancelled(s)]

    def struck(self, e):
        return any(s.body["entry"] == e.hash for s in self.acting_strikes)

    # --- the road -----------------------------------------------------------------------------------------------

    def lay_places(self):
        positions, self.added = [], {}
        for p in self.opening.body["positions"]:
            if p["id"] not in positions:
                positions.append(p["id"])
        for e in self.card:
            if e.kind == "position-added" and self.counts(e) and e.body["id"] not in positions:
                self.added.setdefault(e.body["id"], []).append(e)
        self.positions = positions + sorted(self.added)
        self.items, self.section_of, self.places = {}, {}, []
        for section in self.procedure["sections"]:
            for at in self.positions if section.get("repeat") else [None]:
                for item in section["steps"]:
                    place = item["id"] + ("@" + at if at is not None else "")
                    self.items[place], self.section_of[place] = item, (section["id"], at)
                    self.places.append(place)
        self.whole = {s["id"]: s for s in self.procedure["sections"]}
        self.behind = {p: set(q for q in self.places if self.stands_before(q, p)) for p in self.places}

    def sections_before(self, copy):
        name, at = copy
        found = set()
        for other in self.whole[name].get("after", []):
            for q in set(self.section_of.values()):
                same = at is not None and q[1] is not None
                if q[0] == other and (not same or q[1] == at):
                    found |= {q} | self.sections_before(q)
        if at is not None and self.positions.index(at) > 0:
            before = (name, self.positions[self.positions.index(at) - 1])
            found |= {before} | self.sections_before(before)
        return found

    def stands_before(self, q, p):
        """Whether q comes before p, whatever is said of any time."""
        if self.section_of[q] == self.section_of[p]:
            ids = [i["id"] for i in self.whole[self.section_of[p][0]]["steps"]]
            return ids.index(self.items[q]["id"]) < ids.index(self.items[p]["id"])
        return self.section_of[q] in self.sections_before(self.section_of[p])

    def is_hold(self, p):
        return "hold" in self.items[p]

    def holds_before(self, p):
        return [] if self.items[p].get("any_time") else [h for h in self.behind[p] if self.is_hold(h)]

    def way_of(self, p, values):
        """True, False or None (not known yet) for a place, by {thing: text}."""
        at = self.section_of[p][1]
        if self.section_of[p][0] == "bush":
            kind = values.get(("kind", None))
            return None if kind is None else kind == "bushed"
        if self.items[p]["id"] == "press":
            how, fit = values.get(("how", at)), values.get(("fit", None))
            return None if how is None or fit is None else how == "by press" and fit == "driving"
        return True

    def data_used(self, p):
        at = self.section_of[p][1]
        used = {"measure": [("largest", None)], "pin": [("room", at)], "press": [("fit", None)]}
        return used.get(self.items[p]["id"], [])

    def asked(self, p):
        return list(self.items[p].get("readings", ())) + ([self.items[p]["way"]] if "way" in self.items[p] else [])

    # --- decisions ----------------------------------------------------------------------------------------------

    def fold_decisions(self):
        self.choices, self.concessions, self.acceptances = [], [], []
        for e in self.card:
            if not self.counts(e):
                continue
            if e.kind == "choice":
                own = [h for h in e.body["between"] if h in self.all and self.all[h].thing == "card"
                       and self.own(self.all[h], self.author(e))]
                if own or e.body["holds"] not in e.body["between"]:
                    self.status[e.hash] = "does not count"
                else:
                    self.choices.append(e)
            elif e.kind == "concession":
                # Until what never comes is no end at all.
                if e.body["until"] == "close" or self.ends_somewhere(e.body):
                    self.concessions.append(e)
                else:
                    self.status[e.hash] = "does not count"
            elif e.kind == "acceptance":
                self.acceptances.append(e)
        for decisions in (self.choices, self.concessions):
            for e in decisions:
                if any(e.hash in self.knows[o.hash] for o in decisions if thing_of(o) == thing_of(e)):
                    self.status[e.hash] = "replaced"
        self.fold_doubts()
        self.standing, self.heads = {}, {}
        self.fold_data()

    def ends_somewhere(self, body):
        here = {"bore": ["measure"], "kind": ["measure"], "as_found": ["found"]}.get(body["name"])
        if body["name"] in ("pin_size", "feel", "play"):
            here = [f"pin@{body.get('position')}"]
        elif body.get("position") is not None:
            return False
        return any(self.is_hold(h) and self.items[h]["id"] == body["until"] and p in self.behind[h]
                   and body.get("until_position") in (None, self.section_of[h][1])
                   for p in here or () if p in self.places for h in self.places)

    def acting(self, decisions, thing, outcome):
        """Of all decisions on one matter those not replaced; none where their outcomes differ."""
        newest = self.newest([d for d in decisions if thing_of(d) == thing])
        return newest if len(set(outcome(d) for d in newest)) == 1 else []

    def conceded(self, thing, text, limit):
        found = self.acting(self.concessions, thing, lambda d: (
            d.body["text"], d.body["limit"], d.body["until"], d.body.get("until_position")))
        return [d for d in found if (d.body["text"], d.body["limit"]) == (text, limit)]

    def fold_doubts(self):
        self.doubts, self.answers = [], []
        for e in self.card:
            if e.kind == "doubt" and self.counts(e):
                if "gauge" in e.body and self.bar(e, ("lead",)) is not None:
                    self.status[e.hash] = "does not count"
                else:
                    self.doubts.append(e)
        for e in self.card:
            if e.kind != "answer" or not self.counts(e):
                continue
            doubt = [d for d in self.doubts if d.hash == e.body["doubt"]]
            if not doubt:
                here = e.body["doubt"] in self.all and self.all[e.body["doubt"]].thing == "card"
                self.status[e.hash] = "does not count" if here else "waits"
            elif any(self.own(r, self.author(e)) for r in self.doubted_work(doubt[0].body)):
                self.status[e.hash] = "does not count"
            else:
                self.answers.append(e)

    def doubted_work(self, body):
        if "entry" in body:
            return [e for e in self.card if e.hash == body["entry"] and e.kind in WORK]
        if "gauge" in body:
            return [e for e in self.good_alone if by_gauge(e, body)]
        return [e for e in self.good_alone if e.kind in ("reading", "way") and thing_of(e) == thing_of_body(body)
                and shown(e.body["text"], e.body.get("unit", "")) == body.get("text", "")]

    def fold_data(self):
        names = {"largest": "number", "room": "number", "fit": "words"}
        lines = {}
        for e in self.card:
            if e.kind == "data-value" and self.base[e.hash] is None and e.version == self.version:
                name, at = thing_of(e)
                fits = name in names and (at in self.positions if name == "room" else at is None)
                if fits and names[name] == "number":
                    fits = inches(e.body["text"], e.body["unit"]) is not None
                elif fits:
                    fits = e.body["text"] in ("running", "driving")
                if not fits:
                    if self.counts(e):
                        self.status[e.hash] = "does not count"
                    continue
                lines.setdefault((name, at), []).append(e)
        self.way_lines = {t: list(lines[t]) for t in lines}
        for thing, found in lines.items():
            found = [e for e in found if self.counts(e)]
            newest = self.newest(found)
            for e in found:
                if e not in newest:
                    self.status[e.hash] = "replaced"
            texts = set(inches(e.body["text"], e.body["unit"]) or e.body["text"] for e in newest)
            self.heads[thing] = newest
            if len(texts) == 1:
                self.standing[thing] = texts.pop()

    # --- place by place -----------------------------------------------------------------------------------------

    def fold_places(self):
        self.state, self.done_by, self.in_force, self.covered, self.off = {}, {}, {}, {}, {}
        self.here, self.judged, self.leaned, self.signatures, self.waits_signed = {}, {}, {}, {}, {}
        self.chosen, self.accepting, self.hold_doubts = {}, {}, {}
        for e in self.card:
            if e.kind in WORK + ("sign-off",) and self.counts(e) and place_of(e) not in self.places:
                self.status[e.hash] = "does not count"
        left = list(self.places)
        while left:
            p = [q for q in left if not any(b in left for b in self.behind[q])][0]
            left.remove(p)
            if self.is_hold(p):
                self.fold_hold(p)
            else:
                self.fold_step(p)

    def fold_step(self, p):
        item, at = self.items[p], self.section_of[p][1]
        way = self.way_of(p, self.standing)
        self.off[p] = way is False
        self.here[p], self.accepting[p] = [], []
        for e in [e for e in self.card if e.kind in WORK + ("sign-off",) and place_of(e) == p]:
            struck = self.status[e.hash] == "struck out" and e.version == self.version
            if not self.counts(e) and not struck:
                continue
            word = None
            if not self.fits(e, p) or way is False:
                word = "does not count"
            elif not self.admits(e, p):
                accepting = [a for a in self.acceptances if e.hash in a.body["entries"]]
                word = None if accepting else "waits"
                if not struck:
                    self.accepting[p] += accepting
            if word is None and e.kind in ("reading", "way"):
                self.way_lines.setdefault(thing_of(e), []).append(e)
            if not struck:
                if word is None:
                    self.here[p].append(e)
                else:
                    self.status[e.hash] = word
        self.chosen[p] = []
        for part in self.asked(p):
            thing = (part["name"], at)
            found = [e for e in self.here[p] if e.kind in ("reading", "way") and thing_of(e) == thing]
            if found:
                value, chosen, newest = self.value_of(found, thing, self.choices)
                self.heads[thing] = newest
                self.chosen[p] += chosen
                if value is not None:
                    self.standing[thing] = value
                for e in found:
                    if e not in newest:
                        self.status[e.hash] = "replaced"
        self.judge(p)
        self.done_by[p] = None
        if way is not True:
            self.state[p] = "off" if way is False else "waiting"
            return
        ids = [i["id"] for i in self.whole[self.section_of[p][0]]["steps"]]
        mine = [] if item.get("any_time") else ids[:ids.index(item["id"])]
        before = [i + ("@" + at if at is not None else "") for i in mine]
        shut = (any(not self.off[h] and not self.in_force[h] for h in self.holds_before(p))
                or any(not self.is_hold(q) and self.state[q] not in ("done", "off") for q in before))
        if shut:
            self.state[p] = "shut"
            return
        done = self.said_done(p, None)
        self.done_by[p] = done
        self.state[p] = "done" if done else "open"

    def fits(self, e, p):
        item = self.items[p]
        if e.kind == "check":
            return e.body["check"] in [c["id"] for c in item.get("checks", ())]
        if e.kind == "said-done":
            return True
        if e.kind == "way":
            return e.body["name"] == item.get("way", {}).get("name") and e.body["text"] in item["way"]["words"]
        if e.kind == "reading":
            for r in item.get("readings", ()):
                if r["name"] == e.body["name"]:
                    if r["kind"] == "words":
                        return e.body["text"] in r["words"]
                    return inches(e.body["text"], e.body["unit"]) is not None
        return False

    def value_of(self, lines, thing, choices):
        newest = self.newest(lines)
        values = set(read(e) for e in newest)
        if len(values) == 1:
            return values.pop(), [], newest
        chosen = [c for c in self.acting(choices, thing, lambda c: c.body["holds"])
                  if set(e.hash for e in newest) <= set(c.body["between"])
                  and c.body["holds"] in [e.hash for e in newest]]
        return (read(self.all[chosen[0].body["holds"]]) if chosen else None), chosen, newest

    # --- rule 9 -------------------------------------------------------------------------------------------------

    def admits(self, e, p):
        for h in self.holds_before(p):
            if not self.stood(e, h):
                continue
            if not any(self.carried(e, s) for s in self.signatures[h]):
                return False
            for d in self.hold_doubts[h]:
                if d.hash in self.knows[e.hash] and not any(
                        a.body["doubt"] == d.hash and a.hash in self.knows[e.hash] for a in self.answers):
                    return False
        return True

    def stood(self, e, h):
        at = self.section_of[h][1]
        if at in self.added and not any(a.hash in self.knows[e.hash] for a in self.added[at]):
            return False
        return self.way_of(h, _Known(self, e)) is not False

    def as_known(self, e, thing):
        """What a thing's value was by what an entry knew: struck out only where it knew so."""
        known = [s for s in self.strikes if s.hash in self.knows[e.hash]]

        def acts(s):
            return not any(x.body["entry"] == s.hash and acts(x) for x in known)

        lines = [r for r in self.way_lines.get(thing, ()) if r.hash in self.knows[e.hash]
                 and not any(s.body["entry"] == r.hash and acts(s) for s in known)]
        if not lines:
            return None
        if lines[0].kind == "data-value":
            newest = self.newest(lines)
            texts = set(r.body["text"] for r in newest)
            return texts.pop() if len(texts) == 1 else None
        return self.value_of(lines, thing, [c for c in self.choices if c.hash in self.knows[e.hash]])[0]

    def carried(self, e, s):
        if s["bar"] or s["missing"] or not s["stands"] or s["entry"].hash not in self.knows[e.hash]:
            return False
        if any(o.hash in self.knows[e.hash] for o in s["unlisted"]):
            return False
        return not any(x.hash in self.knows[e.hash] for x in self.acting_strikes
                       if x.body["entry"] in s["listed"] | {s["entry"].hash})

    # --- steps --------------------------------------------------------------------------------------------------

    def judge(self, p):
        """judged: {thing: (verdict, text, limit text)}; leaned: the concessions that act here."""
        at = self.section_of[p][1]
        self.judged[p], self.leaned[p] = {}, []
        parts = [(r["name"], r) for r in self.items[p].get("readings", ())]
        parts += [(j["value"], j) for j in self.items[p].get("judged", ())]
        for name, part in parts:
            thing = (name, at)
            value = self.value(thing)
            if name in LIMITED:
                upper = self.standing.get((LIMITED[name], at if name == "play" else None))
                limit = " to " + ("" if upper is None else show(upper))
                if value is None:
                    verdict = "missing"
                elif upper is None:
                    verdict = "trouble"
                else:
                    room = float(upper - value)
                    far = UNCERTAIN[name] if name != "play" else UNCERTAIN["play"]
                    verdict = "inside" if room >= far - 1e-9 else "outside" if room < -far - 1e-9 else "too_close"
            else:
                limit = " to "
                good = part.get("good_words")
                verdict = "missing" if value is None else "bad" if good and value not in good else "fine"
            text = "" if value is None else value if isinstance(value, str) else show(value)
            stops = verdict in ("outside", "bad") or verdict == "too_close" and part.get("settle")
            if stops:
                leaned = self.conceded(thing, text, limit)
                self.leaned[p] += leaned
                verdict = "conceded" if leaned else "stops"
            elif verdict == "missing" and part.get("optional") and not self.heads.get(thing):
                verdict = "fine"
            elif verdict in ("missing", "trouble"):
                verdict = "stops"
            self.judged[p][thing] = verdict

    def value(self, thing):
        if thing[0] != "play":
            return self.standing.get(thing)
        bore, pin = self.standing.get(("bore", None)), self.standing.get(("pin_size", thing[1]))
        return None if bore is None or pin is None else bore - pin

    def shown_here(self, p):
        """The texts of values and limits that the step shows now, or None where one is wanting."""
        at = self.section_of[p][1]
        if self.items[p]["id"] == "measure":
            upper = self.standing.get(("largest", None))
            return None if upper is None else [["bore <=", show(upper)], ["largest", show(upper)]]
        if self.items[p]["id"] == "pin":
            play, room = self.value(("play", at)), self.standing.get(("room", at))
            if play is None:
                return None
            limit = [] if room is None else [["play <=", show(room)]]
            return sorted([["play", show(play)], ["play =", show(play)]] + limit)
        return []

    def said_done(self, p, only):
        """The said-done entries that make a step done; only: hashes outside which none serves."""
        item, at = self.items[p], self.section_of[p][1]
        if any(v == "stops" for v in self.judged[p].values()):
            return []
        if "way" in item and ("how", at) not in self.standing:
            return []
        texts = self.shown_here(p)
        if texts is None:
            return []
        needed = [e for r in self.asked(p) if not r.get("optional") for e in self.heads.get((r["name"], at), ())]
        out = []
        for e in self.here[p]:
            if e.kind != "said-done" or (only is not None and e.hash not in only):
                continue
            ticked = all(any(t.kind == "check" and t.body["check"] == c["id"] and t.hash in self.knows[e.hash]
                             and (only is None or t.hash in only) for t in self.here[p])
                         for c in item.get("checks", ()))
            if ticked and all(r.hash in self.knows[e.hash] for r in needed) and sorted(e.body["shown"]) == texts:
                out.append(e)
        return out

    # --- hold points --------------------------------------------------------------------------------------------

    def fold_hold(self, p):
        way = self.way_of(p, self.standing)
        self.off[p] = way is False
        before = [h for h in self.holds_before(p) if not self.off[h]]
        # Before a hold point by their place, the steps at any time too.
        steps = [q for q in self.behind[p] if not self.is_hold(q) and not any(q in self.behind[h] for h in before)]
        on = [q for q in steps if not self.off[q]]
        covered = {}
        for q in on:
            found = [e for e in self.here[q] if self.status[e.hash] == "counts"]
            found += self.chosen[q] + self.leaned[q] + self.accepting[q]
            found += [e for thing in self.data_used(q) for e in self.heads.get(thing, ())]
            covered.update({e.hash: e for e in found})
        self.covered[p] = set(covered)
        self.hold_doubts[p] = [d for d in self.doubts if self.doubted_here(d.body, covered, on)]
        self.signatures[p] = []
        for e in [e for e in self.card if e.kind in WORK + ("sign-off",) and place_of(e) == p]:
            if e.kind != "sign-off":
                if self.status[e.hash] != "struck out" and self.base[e.hash] is None and e.version == self.version:
                    self.status[e.hash] = "does not count"
            elif self.base[e.hash] is None and e.version == self.version:
                self.signatures[p].append(self.resolve(e, p, covered))
        self.in_force[p] = False
        for s in self.signatures[p]:
            e = s["entry"]
            lasting = [c for q in self.behind[p] if not self.is_hold(q) for c in self.leaned[q]
                       if c.body["until"] == self.items[p]["id"]
                       and c.body.get("until_position") in (None, self.section_of[p][1])
                       and self.state[q] not in ("off", "waiting")]
            if (way is True and not s["bar"] and not s["missing"] and s["stands"] and self.counts(e)
                    and all(self.in_force[h] for h in before) and not s["unlisted"]
                    and s["listed"] <= set(covered) and not lasting and e.body["content"] == self.content(steps)
                    and all(self.state[q] == "done" and self.said_done(q, s["listed"]) for q in on)
                    and not any(self.open(d) for d in self.hold_doubts[p])):
                self.in_force[p] = True
            if self.off[p] and self.counts(e):
                self.status[e.hash] = "does not count"

    def open(self, doubt):
        return not any(a.body["doubt"] == doubt.hash for a in self.answers)

    def doubted_here(self, body, covered, on):
        if "entry" in body:
            return body["entry"] in covered
        if "gauge" in body:
            return any(by_gauge(e, body) for e in covered.values())
        texts = []
        for q in on:
            at = self.section_of[q][1]
            shown_too = {"measure": ["largest"], "pin": ["play"]}.get(self.items[q]["id"], [])
            for name in [r["name"] for r in self.asked(q)] + shown_too:
                value = self.value((name, at))
                if value is not None:
                    texts.append((name, at, value if isinstance(value, str) else show(value)))
        return (body["name"], body.get("position"), body.get("text", "")) in texts

    def resolve(self, e, p, covered):
        listed, missing = set(), False
        for item in e.body["lists"]:
            mine = [o for o in self.card if o.kid == item["key"]]
            for first, last in form.read_runs(item["runs"]):
                if last - first > 10000:
                    missing = True
                for n in range(first, min(last, first + 10000) + 1):
                    twins = sorted([o for o in mine if o.number_here == n], key=lambda o: o.hash)
                    known = [o for o in twins if o.hash in self.knows[e.hash]]
                    if twins:
                        listed.add((known or twins)[0].hash if len(twins) > 1 else twins[0].hash)
                    else:
                        missing = True
            for h in item["hashes"]:
                if h in self.all and self.all[h].thing == "card":
                    listed.add(h)
                else:
                    missing = True
        bar = None
        person = self.author(e)
        late = self.bar(e, ("lead",))
        if late is not None:
            bar = late
        elif any(self.all[h].kind in WORK and self.own(self.all[h], person) for h in listed):
            bar = "does not count"
        elif not missing and form.sha("\n".join(o.hash for o in sorted(
                [self.all[h] for h in listed], key=lambda o: (o.kid, o.number_here, o.hash)))) != e.body["digest"]:
            bar = "does not count"
        stands = self.admits(e, p)
        if self.counts(e):
            if bar:
                self.status[e.hash] = bar
            elif not stands:
                self.status[e.hash] = "waits"
        further = [(o.kind, place_of(o), o.body.get("check")) for o in (self.all[h] for h in listed)
                   if o.kind in ("check", "said-done")]
        unlisted = [o for o in covered.values() if o.hash not in listed and not (
            o.kind in ("check", "said-done") and (o.kind, place_of(o), o.body.get("check")) in further)]
        return {"entry": e, "listed": listed, "missing": missing, "bar": bar, "stands": stands, "unlisted": unlisted}

    def content(self, steps):
        ordered = [q for q in self.in_order() if q in steps]
        return form.sha("\n".join(q + " " + form.sha(strict_json.write(self.items[q])) for q in ordered))

    def in_order(self):
        """Places as the file has them, whole copies of sections in turn."""
        out, left = [], list(dict.fromkeys(self.section_of[p] for p in self.places))
        while left:
            copy = [c for c in left if not any(d in left for d in self.sections_before(c))][0]
            left.remove(copy)
            out += [p for p in self.places if self.section_of[p] == copy]
        return out

    # --- the whole ----------------------------------------------------------------------------------------------

    def find_gaps(self):
        self.gaps = {}
        for kid in set(e.kid for e in self.good_alone_before_strikes()):
            top = max(e.number_here for e in self.good_alone_before_strikes() if e.kid == kid)
            here = set(e.number_here for e in self.card if e.kid == kid)
            accepted = [run for e in self.card if e.kind == "gap-accepted" and self.counts(e) and e.body["key"] == kid
                        for run in form.read_runs(e.body["runs"])]
            # A run of missing numbers begins or ends beside something: no need to look at a million of them.
            edges = here | set(n for run in accepted for n in run) | {1, top}
            for n in sorted(set(n + by for n in edges for by in (-1, 0, 1))):
                if 1 <= n <= top and n not in here and not any(a <= n <= b for a, b in accepted):
                    self.gaps[kid] = n

    def good_alone_before_strikes(self):
        return self.good_alone

    def closed(self):
        standing = [h for h in self.in_force if not self.off[h]]
        last = [h for h in standing if not any(h in self.behind[g] for g in standing)]
        return bool(last) and all(self.in_force[h] for h in last) and not self.gaps


class _Known:
    def __init__(self, model, entry):
        self.model, self.entry = model, entry

    def get(self, thing):
        return self.model.as_known(self.entry, thing)


def thing_of(e):
    return thing_of_body(e.body)


def thing_of_body(body):
    return body["name"], body.get("position")


def place_of(e):
    step = e.body.get("hold") or e.body.get("step")
    return step + ("@" + e.body["position"] if "position" in e.body else "")


def by_gauge(e, body):
    gauge = e.body.get("gauge") if e.kind == "reading" else None
    return (gauge is not None and gauge["id"] == body["gauge"] and body.get("from", "") <= e.at
            and e.at[:10] <= body.get("to", "9999"))


def inches(text, unit):
    """A plain decimal in inches, or None."""
    if unit != "in" or not text.replace(".", "", 1).isdigit():
        return None
    return Fraction(text)


def rounded(value):
    return Fraction(int(abs(value) * 1000 + Fraction(1, 2)), 1000) * (1 if value >= 0 else -1)


def read(e):
    if e.kind == "way" or not e.body["unit"]:
        return e.body["text"]
    return rounded(inches(e.body["text"], e.body["unit"]))


def show(value):
    n = int(abs(rounded(value)) * 1000)
    return ("−" if value < 0 and n else "") + f"{n // 1000}.{n % 1000:03d} in"


def shown(text, unit):
    value = inches(text, unit)
    return text if value is None else show(rounded(value))
