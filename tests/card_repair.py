"""A small shop that brings its card to the close by doing, again and again, what the screen asks for next.

One lead, one mechanic, and the shop's root key for new phones. Nothing here knows the rules: what to do is
read from the frame, the step and the hold point as they are shown; a refusal moves on to the next thing.
"""

from crew import Refused
from workings import hold_view, step_view, view

CARD = "card1"
NUMBERS = {"bore": "9.990", "as_found": "9.990", "pin_size": "9.990"}
WORDS = {"feel": "free", "kind": "plain", "how": "by hand"}
DATA = {"largest": ("10", "in"), "room": ("0.020", "in"), "fit": ("running", "")}


class Repair:
    def __init__(self, play):
        self.play, self.shop = play, play.shop
        self.lead, self.mechanic = play.phones["L"], play.phones["M"]
        self.said = []

    def to_the_close(self, most=150):
        """True once the card is closed; False where the screens lead nowhere."""
        while len(self.said) < most:
            self.meet()
            if self.lead.card().closed:
                return True
            if not any(act() for act in (self.crew, self.gaps, self.doubts, self.beside, self.at_hand)):
                return False
        return False

    def meet(self):
        self.shop.root.meet(*self.play.phones.values(), self.lead, self.mechanic)

    def words(self):
        frame = view.frame(self.lead.book, CARD)
        return [frame["words"], frame["problems"], self.said[-8:]]

    def say(self, phone, kind, place=None, **body):
        try:
            made = phone.book.draft("card:" + CARD, kind, phone.kid, phone.number + 1, self.shop.now(), body, place)
        except Refused as reason:
            self.said.append([phone.person, kind, place, body, reason.message])
            return False
        phone._keep(made)
        self.said.append([phone.person, kind, place, body])
        return True

    # --- what the frame names ---------------------------------------------------------------------------------

    def crew(self):
        """A phone that needs a new key gets one, and who lost his role gets it back."""
        card = self.lead.card()
        if card.opening is None:
            opening = [e for e in card.lines if e.kind == "opening"][0]
            self.shop.root.about("register", "letting-in", key=opening.kid, runs=f"1-{self.most(opening.kid)}",
                                 why="it was he")
            self.said.append(["root", "letting-in"])
            return True
        people = {p["person"]: p for p in self.lead.book.people()}
        for phone in (self.lead, self.mechanic):
            held, role = people[phone.person], self.shop.people[phone.person]
            if role not in held["roles"]:
                self.shop.root.about("register", "role-given", person=phone.person, role=role)
                self.said.append(["root", "role-given", phone.person])
                return True
            if phone.kid not in held["keys"] or phone.kid in self.lead.card().doubled:
                new = self.shop.phone(phone.person, f"new{len(self.said)}")
                self.said.append(["root", "key", phone.person])
                setattr(self, "lead" if phone is self.lead else "mechanic", new)
                return True
        return False

    def most(self, kid):
        return max(e.number for e in self.lead.card().lines if e.kid == kid)

    def gaps(self):
        gaps = self.lead.card().gaps
        return any(self.say(self.lead, "gap-accepted", key=k, runs=gaps[k], why="lost") for k in sorted(gaps))

    def doubts(self):
        """Answered; or, where nobody may, struck out by the lead."""
        for place in self.lead.card().hold_places:
            for d in hold_view.hold(self.lead.book, CARD, place.id)["open_doubts"]:
                if self.say(self.lead, "answer", doubt=d["entry"], why="looked at again"):
                    return True
                if self.say(self.lead, "strike-out", entry=d["entry"], why="looked at again"):
                    return True
        return False

    def beside(self):
        card = self.lead.card()
        for name, position in sorted((k for k in card.standing if card.standing[k].beside), key=str):
            if card.procedure.names[name]["kind"] == "data":
                return self.datum(name, position)
            place = card.procedure.names[name]["step"] + ("@" + position if position else "")
            heads = card.standing[(name, position)].heads
            if self.say(self.lead, "choice", place, name=name, holds=heads[0].hash):
                return True
            if heads[0].kind == "reading" and self.read(place, name):
                return True
            if heads[0].kind == "way" and self.say(self.mechanic, "way", place, text=WORDS[name]):
                return True
        return False

    def datum(self, name, position):
        text, unit = DATA[name]
        body = {"position": position} if position else {}
        return self.say(self.lead, "data-value", name=name, text=text, unit=unit, why="looked up", **body)

    def read(self, place, name):
        text = NUMBERS.get(name) or WORDS[name]
        return self.say(self.mechanic, "reading", place, name=name, text=text, unit="in" if name in NUMBERS else "")

    # --- the step and the hold point at hand ------------------------------------------------------------------

    def at_hand(self):
        card = self.lead.card()
        at = view.here(card)
        place = card.road.by_id[at]
        for name in ("fit", "largest"):
            if card.standing.get((name, None)) is None:
                return self.datum(name, None)
        if place.position and card.standing.get(("room", place.position)) is None:
            return self.datum("room", place.position)
        return self.hold(at) if place.kind == "hold" else self.step(at)

    def step(self, at):
        shown = step_view.step(self.lead.book, CARD, at)
        for r in shown["readings"]:
            bad = r["value"] is not None and r["value"]["verdict"] not in ("inside", "good", "none")
            if (r["value"] is None and r["required"]) or (bad and not r["value"]["conceded"]):
                if self.read(at, r["name"]):
                    return True
        for j in shown["judged"]:
            if j["verdict"] == "outside" and not j["conceded"]:
                asked = [r for r in shown["readings"] if r["kind"] == "number"]
                if self.say(self.lead, "concession", at, name=j["name"], why="it serves", until="close"):
                    return True
                if asked and self.read(at, asked[0]["name"]):
                    return True
        if shown["way"] and shown["way"]["value"] is None:
            if self.say(self.mechanic, "way", at, text=WORDS[shown["way"]["name"]]):
                return True
        for c in shown["checks"]:
            if c["can"] and self.say(self.mechanic, "check", at, check=c["id"]):
                return True
        return shown["say_done"]["can"] and self.say(self.mechanic, "said-done", at)

    def hold(self, at):
        shown = hold_view.hold(self.lead.book, CARD, at)
        if shown["can_sign"] and self.say(self.lead, "sign-off", at):
            return True
        for row in shown["covered"]:
            e = self.lead.card().by_hash[row["entry"]]
            if row["kind"] == "concession" and self.say(self.lead, "strike-out", entry=e.hash, why="put right"):
                return True
            if not self.lead.card().own(e, "L"):
                continue
            if row["kind"] == "reading" and self.read(row["place"], e.body["name"]):
                return True
            if row["kind"] == "way" and self.say(self.mechanic, "way", row["place"], text=WORDS[e.body["name"]]):
                return True
            own = row["kind"] in ("check", "said-done")
            if own and self.say(self.lead, "strike-out", entry=e.hash, why="not mine"):
                return True
        return False
