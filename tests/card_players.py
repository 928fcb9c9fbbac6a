"""People with several phones who do sensible and senseless things to a card, by chance and repeatably."""

import random

import card_job
from crew import Refused, Shop, fake_jws
from workings import entries as form
from workings import sign_offs, steps, strict_json, view
from workings.book import Book
from workings.errors import WorkingError

SIZES = ("9.990", "9.991", "9.9904", "9.980", "9.999", "10.050", "9.975")
STEPS = {"found": [("as_found", SIZES)], "measure": [("bore", SIZES), ("kind", ("plain", "bushed"))],
         "pin": [("pin_size", SIZES), ("feel", ("free", "free", "tight"))]}
CHECKS = {"measure": "clean", "drive": "home", "press": "pressed", "count": "counted"}

PEOPLE = {"M": "mechanic", "N": "mechanic", "L": "lead", "K": "lead"}
PHONES = {"M": 2, "L": 2}
TURNS = 45


class Play:
    """One shop at one card. people: {person: role}; every person has one phone or two."""

    def __init__(self, rng, people, hostile=False, positions=("a",), phones=None):
        self.rng, self.hostile = rng, hostile
        self.shop = Shop(card_job.PROCEDURE, sorted(people.items()), positions, card_job.DATA)
        self.phones = {}
        for person in sorted(people):
            for device in ("", "2")[:(phones or {}).get(person, 1)]:
                self.phones[person + device] = self.shop.phone(person, device)
        self.leads = [p for p in self.phones.values() if people[p.person] == "lead"]
        self.shop.open_card(self.leads[0])
        everyone = list(self.phones.values())
        everyone[0].meet(*everyone[1:])
        self.after_saying = None
        self.refused = 0

    # --- what can be done ---------------------------------------------------------------------------------------

    def turn(self):
        phone = self.rng.choice(list(self.phones.values()))
        if phone.card().road is None:
            return self.meet(phone)
        kinds = [self.work] * 10 + [self.follow] * 8 + [self.meet] * 4
        kinds += [self.strike, self.sign, self.decide, self.doubt, self.accept, self.mishap]
        if self.hostile:
            kinds += [self.rogue] * 3
        try:
            return self.rng.choice(kinds)(phone)
        except Refused:
            self.refused += 1
            return None

    def say(self, phone, kind, place=None, **body):
        made = phone.book.draft("card:card1", kind, phone.kid, phone.number + 1, self.shop.now(), body, place)
        phone._keep(made)
        if self.after_saying:
            self.after_saying(phone, made)

    def place(self, phone, kind="step"):
        return self.rng.choice([p for p in phone.card().road.places if p.kind == kind])

    def meet(self, phone):
        others = [p for p in self.phones.values() if p is not phone]
        phone.meet(*self.rng.sample(others, min(len(others), self.rng.choice((1, 1, 2)))))

    def work(self, phone, place=None):
        place = place or self.place(phone)
        asked = [(n, self.rng.choice(t)) for n, t in STEPS.get(place.item["id"], ())]
        choice = self.rng.randrange(4)
        if choice == 0 and place.item["id"] in CHECKS:
            return self.either(phone, "check", place, check=CHECKS[place.item["id"]])
        if choice == 1 and "way" in place.item:
            return self.either(phone, "way", place, name="how", text=self.rng.choice(place.item["way"]["words"]))
        if choice == 2 or not asked:
            return self.either(phone, "said-done", place)
        name, text = self.rng.choice(asked)
        body = {"name": name, "text": text, "unit": "in" if text[0].isdigit() else ""}
        if self.rng.random() < 0.2:
            body["measured_by"] = self.rng.choice(sorted(self.shop.people))
        return self.either(phone, "reading", place, **body)

    def either(self, phone, kind, place, **body):
        """Mostly asks the phone; sometimes signs what a phone that knew less would have signed."""
        if self.rng.random() < 0.85:
            return self.say(phone, kind, place.id, **body)
        body["step"] = place.item["id"]
        if place.position:
            body["position"] = place.position
        if kind == "reading":
            body.setdefault("measured_by", phone.person)
        if kind == "said-done":
            body["shown"] = [list(p) for p in steps.shown_texts(phone.card(), place)[0]]
        return phone.insist(kind, **body)

    def follow(self, phone):
        """The next sensible thing by what this phone shows."""
        card = phone.card()
        at = view.here(card)
        if at is None:
            return
        place = card.road.by_id[at]
        if place.kind == "hold":
            return self.say(phone, "sign-off", at)
        state = card.steps[at]
        for name, texts in STEPS.get(place.item["id"], ()):
            if card.standing.get((name, place.position)) is None and self.rng.random() < 0.9:
                text = texts[0] if name != "kind" or self.rng.random() < 0.6 else texts[1]
                text = "9.980" if name == "pin_size" else text
                return self.say(phone, "reading", at, name=name, text=text, unit="in" if text[0].isdigit() else "")
        if "way" in place.item and card.standing.get(("how", place.position)) is None:
            return self.say(phone, "way", at, text=self.rng.choice(place.item["way"]["words"]))
        if any("not ticked" in w for w in state.requirement):
            return self.say(phone, "check", at, check=CHECKS[place.item["id"]])
        return self.say(phone, "said-done", at)

    def strike(self, phone):
        lines = phone.card().lines
        target = self.rng.choice(lines[-12:] if self.rng.random() < 0.7 else lines)
        body = {"entry": target.hash, "why": "a slip"}
        if self.rng.random() < 0.8:
            self.say(phone, "strike-out", **body)
        else:
            phone.insist("strike-out", **body)

    def sign(self, phone):
        place = self.place(phone, "hold")
        if self.rng.random() < 0.6:
            return self.say(phone, "sign-off", place.id)
        card = phone.card()
        covered = set(card.holds[place.id].covered)
        if covered and self.rng.random() < 0.5:
            covered.discard(self.rng.choice(sorted(covered)))
        return self.insist_sign(phone, place, covered)

    def insist_sign(self, phone, place, covered):
        card = phone.card()
        body = {"hold": place.item["id"], "lists": sign_offs.write_lists(card, covered),
                "digest": sign_offs.list_digest(card, covered),
                "content": steps.content_digest(card, card.holds[place.id].places)}
        if place.position:
            body["position"] = place.position
        return phone.insist("sign-off", **body)

    def decide(self, phone):
        card = phone.card()
        what = self.rng.randrange(4)
        beside = [k for k in card.standing if card.standing[k].beside and card.procedure.names[k[0]]["kind"] != "data"]
        if what == 0 and beside:
            name, position = self.rng.choice(sorted(beside, key=str))
            heads = card.standing[(name, position)].heads
            step = card.procedure.names[name]["step"]
            return self.say(phone, "choice", step + ("@" + position if position else ""), name=name,
                            holds=self.rng.choice(heads).hash)
        if what == 1:
            place = self.place(phone)
            judged = sorted(card.judged_at(place))
            if judged:
                until = self.rng.choice(["close", "h1", "h2", "hr", "hr@a", "hb"])
                name = self.rng.choice(judged)
                return self.say(phone, "concession", place.id, name=name, why="it serves", until=until)
        if what == 2:
            name, text, unit = self.rng.choice([("largest", "10", "in"), ("largest", "10.020", "in"),
                                                ("room", "0.020", "in"), ("room", "0.001", "in"),
                                                ("fit", "running", ""), ("fit", "driving", "")])
            body = {"name": name, "text": text, "unit": unit, "why": "another drawing"}
            if name == "room":
                body["position"] = self.rng.choice(card.road.positions)["id"]
            return self.say(phone, "data-value", **body)
        if self.rng.random() < 0.3:
            label = self.rng.choice(["b", "c"])
            return self.say(phone, "position-added", id=label, label="rod " + label)
        return None

    def doubt(self, phone):
        card = phone.card()
        open_ones = [d for d in card.doubts if not card.answers.get(d.hash)]
        if open_ones and self.rng.random() < 0.6:
            return self.say(phone, "answer", doubt=self.rng.choice(open_ones).hash, why="it is right")
        what = self.rng.randrange(4)
        if what == 0:
            place = self.rng.choice([p for p in card.road.places if p.item["id"] in ("measure", "pin")])
            name = self.rng.choice(["largest", "bore"] if place.item["id"] == "measure" else ["play", "pin_size"])
            return self.say(phone, "doubt", place.id, name=name, why="really?")
        if what == 1:
            return self.say(phone, "doubt", gauge="mic", why="it was dropped")
        work = [e for e in card.lines if e.kind in form.WORK]
        return self.say(phone, "doubt", entry=self.rng.choice(work).hash, why="really?") if work else None

    def accept(self, phone):
        card = phone.card()
        waiting = [e.hash for e in card.lines if card.status.get(e.hash, ("",))[0] == "waits"]
        if waiting:
            self.say(phone, "acceptance", entries=self.rng.sample(waiting, min(2, len(waiting))), why="measured well")

    # --- mishaps ------------------------------------------------------------------------------------------------

    def mishap(self, phone):
        what = self.rng.randrange(7)
        if what == 0 and self.rng.random() < 0.5:
            self.restore(phone)
        elif what == 1:
            self.skip_a_line(phone)
        elif what == 2 and self.rng.random() < 0.5:
            lead = self.rng.choice(self.leads)
            lead.about("register", "withdrawal", key=phone.kid, last=max(0, phone.number - self.rng.randrange(3)),
                       why="the phone was stolen")
        elif what == 3 and self.rng.random() < 0.3:
            lead, role = self.rng.choice(self.leads), self.shop.people[phone.person]
            lead.about("register", "role-taken", person=phone.person, role=role,
                       lasts=[[p.kid, max(0, p.number - 1), p.kid] for p in self.phones.values()
                              if p.person == phone.person], why="left")
        elif what == 4:
            lead = self.rng.choice(self.leads)
            first = max(1, phone.number - self.rng.randrange(4))
            last = phone.number + self.rng.randrange(2)
            lead.about("register", "letting-in", key=phone.kid, why="it was he",
                       runs=str(first) if last <= first else f"{first}-{last}")
        elif what == 5:
            phone.insist("note", text="a fine day")
        else:
            card = phone.card()
            if card.gaps:
                kid = sorted(card.gaps)[0]
                self.say(phone, "gap-accepted", key=kid, runs=card.gaps[kid], why="it fell into the pit")

    def restore(self, phone):
        """The phone is restored from a copy that lacks its last lines."""
        kept = [j for j in phone.held() if self.rng.random() > 0.02]
        mine = sorted([e for e in phone.book.about("card:card1") if e.kid == phone.kid], key=lambda e: e.number)
        gone = set(e.jws for e in mine[-self.rng.choice((1, 2)):]) if mine else set()
        self.rng.choice(list(self.phones.values())).meet(phone)
        register = [e.jws for e in phone.book.about("register")]
        phone.book = Book(self.shop.root_kid)
        phone.book.take_procedure(self.shop.procedures[0])
        for j in register + [j for j in kept if j not in gone]:
            phone.take(j)
        if not any(e.kind == "opening" for e in phone.book.about("card:card1")):
            self.leads[0].meet(phone)
        phone.number -= len([j for j in gone])

    def skip_a_line(self, phone):
        """A line is lost with everybody: a note that only this phone held, wiped."""
        phone.insist("note", text="lost")
        lost = [h for h, e in phone.book.lines["card:card1"].items() if e.kid == phone.kid and e.number == phone.number]
        del phone.book.lines["card:card1"][lost[0]]
        phone.book._cards.clear()
        # It signs on behind the hole, as a phone would whose store lost a line.
        self.raw(phone, "note", {"text": "after the hole"}, number_here=self.next_here(phone) + 1)

    def next_here(self, phone):
        return max([e.number_here for e in phone.book.about("card:card1") if e.kid == phone.kid] + [0]) + 1

    def raw(self, phone, kind, body, about="card:card1", number=None, number_here=None, before=None, register=None):
        """Signs anything that has the form of an entry."""
        card_lines = list(phone.book.about(about))
        payload = {"kind": kind, "about": about, "number": number or phone.number + 1,
                   "number_here": number_here or self.next_here(phone), "at": self.shop.now(), "body": body,
                   "before": [e.hash for e in card_lines[-2:]] if before is None else before,
                   "register": [e.hash for e in phone.book.about("register")[-3:]] if register is None else register}
        if about == "register":
            payload["register"] = []
        if about.startswith("card:"):
            payload["version"] = self.shop.version
        phone.take(fake_jws(form.signing_input(phone.kid, payload)))
        phone.number = max(phone.number, payload["number"])

    def rogue(self, phone):
        """An enrolled key in bad hands."""
        card = phone.card()
        what = self.rng.randrange(9)
        lines = card.lines
        if what == 0:
            self.raw(phone, "note", {"text": "far"}, number_here=self.rng.choice((50, 500, 1 << 29)))
        elif what == 1:
            runs = self.rng.choice(["1-50000", "1-3,7-9000", "1", "1073741000-1073741800"])
            lists = [{"key": k, "runs": runs, "hashes": []} for k in sorted(set(e.kid for e in lines))]
            self.raw(phone, "sign-off", {"hold": "h1", "lists": lists, "digest": phone.kid, "content": phone.kid})
        elif what == 2:
            place = self.place(phone, "hold")
            covered = set(card.holds[place.id].covered) | {self.rng.choice(lines).hash}
            self.insist_sign(phone, place, covered)
        elif what == 3:
            target = self.rng.choice(lines).hash
            for _ in range(6):
                target = phone.insist("strike-out", entry=target, why="no")
        elif what == 4:
            self.raw(phone, "said-done", {"step": "count", "shown": [["a", "b"]]}, before=[phone.kid])
        elif what == 5:
            self.raw(phone, "reading", {"step": "nowhere", "name": "bore", "text": "9.9", "unit": "in",
                                        "measured_by": "nobody"}, register=[])
        elif what == 6:
            self.raw(phone, "withdrawal", {"key": phone.kid, "last": 0, "why": "x"}, about="register",
                     before=[phone.kid], number_here=self.rng.randrange(1, 5))
        elif what == 7:
            self.raw(phone, "choice", {"name": "bore", "between": [phone.kid], "holds": phone.kid})
        else:
            number = self.rng.randrange(1, phone.number + 1) if phone.number else 1
            self.raw(phone, "note", {"text": "twice"}, number=number, before=[])

    # --- afterwards ---------------------------------------------------------------------------------------------

    def everything(self):
        return sorted(set(j for p in self.phones.values() for j in p.held()) | set(self.shop.root.held()))

    def book_of(self, jws):
        book = Book(self.shop.root_kid)
        book.take_procedure(self.shop.procedures[0])
        for j in jws:
            book.take(j)
        return book


def played(seed, hostile=False, people=PEOPLE, turns=TURNS):
    rng = random.Random(seed)
    positions = ("a", "b") if rng.random() < 0.4 else ("a",)
    play = Play(rng, people, hostile, positions, PHONES)
    for _ in range(turns):
        play.turn()
    return play


def body_of(jws):
    return strict_json.read(form.unb64(jws.split(".")[1]), 70000)["body"]


__all__ = ["Play", "WorkingError", "body_of", "played"]
