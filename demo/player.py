"""Plays a job from a list of readings: whatever the card itself asks for besides, the player does in turn.

The list says which reading is taken where, by whom; checks are ticked and steps said done as the card lets
them, as a mechanic would who follows his phone.
"""

MECHANIC = "wenna"


class Player:
    def __init__(self, railway, card):
        self.railway, self.card = railway, card
        self.about = f"card:{card}"
        self.signed = []

    def play(self, run, until=None):
        """Plays the items in turn; stops before the first one at the place `until`."""
        place = None
        for item in run:
            if item["place"] == until:
                break
            if item["place"] != place:
                self.walk()
                place = item["place"]
            self.do(item)
        self.walk()

    def do(self, item):
        phone = self.railway.hand_to(item["by"])
        what, place = item["do"], item["place"]
        if what == "sign-off":
            phone.sign("sign-off", self.about, {}, place)
            self.signed.append((place, item["by"]))
            return
        kept = ("name", "text", "unit", "measured_by", "gauge", "from")
        phone.sign(what, self.about, {key: item[key] for key in kept if key in item}, place)

    def walk(self):
        """Ticks and says done, step after step, until the card waits for a reading, a way or a signature."""
        while True:
            place = self.frame()["here"]
            if place is None or not self.finish(place):
                return

    def finish(self, place):
        """Does what a step asks for besides its readings; True when it is done."""
        if self.kind_of(place) != "step":
            return False
        phone = self.railway.hand_to(MECHANIC)
        step = phone.ask("step", card=self.card, place=place, me=MECHANIC)
        while check := next((c for c in step["checks"] if not c["ticked"] and c["can"]), None):
            phone.sign("check", self.about, {"check": check["id"]}, place)
            step = phone.ask("step", card=self.card, place=place, me=MECHANIC)
        if not step["say_done"]["can"]:
            return False
        phone.sign("said-done", self.about, {}, place)
        return True

    def frame(self):
        phone = self.railway.holder
        return phone.ask("card", card=self.card, me=phone.person)

    def kind_of(self, place):
        return next(item["kind"] for item in self.frame()["line"] if item["place"] == place)
