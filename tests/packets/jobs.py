"""The demo's whole job played on phones without a server, for the packets to print."""

import json
from pathlib import Path

from crew import Shop

HERE = Path(__file__).resolve()
ROOT = HERE.parents[2]
DATA = ROOT / "demo" / "data"
PROCEDURE = (ROOT / "server" / "trammel" / "procedures" / "hang-side-rods.json").read_text(encoding="utf-8")


def read(name):
    return json.loads((DATA / name).read_text(encoding="utf-8"))


class Job(Shop):
    """A shop with the demo's crew, gauges and engine, and one opened card."""

    def __init__(self, mechanic="wenna", lead="maren"):
        engine, railway = read("engine.json"), read("railway.json")
        self.card_id = engine["card"]["id"]
        self.engine = engine
        crew = [(p["person"], role) for p in railway["crew"] for role in p["roles"]]
        super().__init__(PROCEDURE, crew)
        for p in railway["crew"]:
            self.root.about("register", "person", person=p["person"], name=p["name"])
        self.lead, self.mechanic = self.phone(lead), self.phone(mechanic)
        self.lead.about(
            "engine:" + engine["engine"]["id"], "opening", **{k: engine["engine"][k] for k in ("name", "class")}
        )
        for datum in engine["data"]:
            self.lead.about("engine:" + engine["engine"]["id"], "data-value", **datum)
        for gauge in read("gauges.json")["gauges"]:
            self.lead.about("gauges", "gauge", **gauge)
        self.lead.say(
            "opening",
            engine=engine["engine"]["id"],
            procedure=self.version,
            title=engine["card"]["title"],
            positions=engine["positions"],
        )
        self.mechanic.meet(self.lead)

    def play(self, until=None):
        """Every reading of the rehearsal, every tick, said done and signature, up to a place."""
        said = {}
        for line in read("rehearsal.json")["run"]:
            said.setdefault(line["place"], []).append(line)
        for place in self.mechanic.card().road.places:
            if place.id == until:
                break
            self.work(place, said.get(place.id, []))
        return self

    def work(self, place, lines):
        if place.kind == "hold":
            self.lead.meet(self.mechanic)
            self.lead.say("sign-off", place.id)
            self.mechanic.meet(self.lead)
            return
        if self.mechanic.card().steps[place.id].state == "off":
            return
        # Written straight down, so that the card is folded once a step and not once a line.
        at = {"step": place.item["id"]}
        if place.position is not None:
            at["position"] = place.position
        for line in lines:
            if line["do"] == "way":
                self.mechanic.insist("way", name=line["name"], text=line["text"], **at)
                continue
            body = {k: line[k] for k in ("name", "text", "unit", "measured_by") if k in line}
            asked = self.asked(place, line)
            if asked is not None:
                body["gauge"] = asked
            self.mechanic.insist("reading", **body, **at)
        for check in place.item.get("checks", ()):
            self.mechanic.insist("check", check=check["id"], **at)
        self.mechanic.say("said-done", place.id)

    def asked(self, place, line):
        """The gauge of a reading as its entry carries it: the one named, else what the step asks for."""
        known = self.book.gauges()
        if "gauge" in line:
            return {k: known[line["gauge"]][k] for k in ("id", "label", "resolution", "uncertainty", "calibrated")}
        reading = next(r for r in place.item["readings"] if r["name"] == line["name"])
        kind = self.mechanic.card().procedure.gauges.get(reading.get("gauge"))
        return kind and {k: kind[k] for k in ("id", "label", "resolution", "uncertainty")}

    @property
    def book(self):
        return self.mechanic.book
