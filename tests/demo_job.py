"""The demo engine's whole job, to be played reading by reading through the book, as the phones would."""

import json
from pathlib import Path

from crew import fake_jws, fake_key
from workings.book import Book

ROOT = Path(__file__).resolve().parents[1]
DATA = ROOT / "demo" / "data"


def of_demo(name):
    return json.loads((DATA / name).read_text(encoding="utf-8"))


class Job:
    """The card and what is said on it; checks and said-dones follow wherever a step is open."""

    def __init__(self):
        self.engine = of_demo("engine.json")
        self.run = of_demo("rehearsal.json")["run"]
        self.id = self.engine["card"]["id"]
        self.numbers = {}
        self.keys = {"root": fake_key("root")}
        self.book = Book(self.keys["root"][1])
        path = ROOT / "server" / "trammel" / "procedures" / (self.engine["card"]["procedure"] + ".json")
        self.digest = self.book.take_procedure(path.read_text(encoding="utf-8"))

    def say(self, who, about, kind, body, place=None):
        number = self.numbers.get(who, 0) + 1
        drafted = self.book.draft(about, kind, self.keys[who][1], number, "2031-05-04T08:00:00Z", body, place)
        for signing_input, _ in drafted:
            self.book.take(fake_jws(signing_input))
        self.numbers[who] = number + len(drafted) - 1

    def set_up(self):
        root = {"key": self.keys["root"][0], "person": "root", "device": "set-up"}
        self.say("root", "register", "key", root)
        for member in of_demo("railway.json")["crew"]:
            who = member["person"]
            self.keys[who] = fake_key(who)
            self.say("root", "register", "person", {"person": who, "name": member["name"]})
            for role in member["roles"]:
                self.say("root", "register", "role-given", {"person": who, "role": role})
            self.say("root", "register", "key", {"key": self.keys[who][0], "person": who, "device": "phone"})
        for gauge in of_demo("gauges.json")["gauges"]:
            self.say("ida", "gauges", "gauge", gauge)
        engine = self.engine["engine"]
        about = "engine:" + engine["id"]
        self.say("ida", about, "opening", {"name": engine["name"], "class": engine["class"]})
        for line in self.engine["data"]:
            self.say("ida", about, "data-value", line)
        opening = {"engine": engine["id"], "procedure": self.digest, "title": self.engine["card"]["title"]}
        self.say("maren", "card:" + self.id, "opening", {**opening, "positions": self.engine["positions"]})

    @property
    def card(self):
        return self.book.card(self.id)

    def play(self):
        for line in self.run:
            if line["do"] == "sign-off":
                self.finish(line["place"])
                self.say(line["by"], "card:" + self.id, "sign-off", {}, line["place"])
            else:
                body = {k: line[k] for k in ("name", "text", "unit", "measured_by", "gauge") if k in line}
                self.say(line["by"], "card:" + self.id, line["do"], body, line["place"])

    def finish(self, hold):
        """Ticks and says done whatever is open before a hold point."""
        for place in self.card.road.places:
            if place.id == hold:
                return
            if place.kind != "step" or self.card.steps[place.id].state != "open":
                continue
            for check in place.item.get("checks", []):
                self.say("wenna", "card:" + self.id, "check", {"check": check["id"]}, place.id)
            self.say("wenna", "card:" + self.id, "said-done", {}, place.id)
            assert self.card.steps[place.id].state == "done", place.id

    def states(self):
        places = [place for place in self.card.road.places if place.kind == "step"]
        return {place.id: self.card.steps[place.id].state for place in places}

    def get(self, name, position=None):
        return self.card.values.get(name, position)[1]
