"""The invented railway: its people with a phone each, its gauges, its engines, its job cards.

Everything goes through the public ways: people through the command line, all else through signed entries.
"""

import json
import re
from pathlib import Path

from phone import Phone

DATA = Path(__file__).resolve().parent / "data"


def data(name):
    return json.loads((DATA / f"{name}.json").read_text())


class Railway:
    """One shop on one server, and the phones of its crew by person."""

    def __init__(self, server):
        self.server = server
        self.crew = data("railway")["crew"]
        self.phones = {}
        self.holder = None

    def sign_on(self):
        """Writes the crew into the register with the root key, and enrols a phone for each."""
        for one in self.crew:
            roles = [word for role in one["roles"] for word in ("--role", role)]
            said = self.server.command("person", "add", one["name"], "--id", one["person"], *roles)
            phone = Phone(self.server.url, f"{one['name'].split()[0]}'s phone")
            self.phones[one["person"]] = phone.enrol(code_in(said))
        for phone in self.phones.values():
            phone.pull()

    def invite(self, person):
        """The link that enrols one more phone for a person."""
        return re.search(r"\S+/#/enrol/\S+", self.server.command("person", "invite", person)).group(0)

    def hand_to(self, person):
        """The phone of a person, holding all that the one used before has written."""
        phone = self.phones[person]
        if self.holder is not phone:
            if self.holder:
                self.holder.push()
            phone.pull()
            self.holder = phone
        return phone

    def lay_down_gauges(self):
        phone = self.hand_to("maren")
        for gauge in data("gauges")["gauges"]:
            phone.sign("gauge", "gauges", gauge)

    def bring_in(self, engine=None, rods=None):
        """Writes an engine's data sheet: No. 63's, or that of a sister engine; of all its rods or of some."""
        sheet = data("engine")
        engine = engine or sheet["engine"]
        phone = self.hand_to("maren")
        about = f"engine:{engine['id']}"
        phone.sign("opening", about, {"name": engine["name"], "class": engine["class"]})
        for value in sheet["data"]:
            if rods is not None and value.get("position", rods[0]) not in rods:
                continue
            phone.sign("data-value", about, {**value, "origin": "the engine's drawings"})

    def open_card(self, card=None, engine=None, rods=None):
        """Opens the card of the side rods, of all of an engine's or of some; returns its id."""
        sheet = data("engine")
        card, engine = card or sheet["card"], engine or sheet["engine"]
        phone = self.hand_to("maren")
        version = [p for p in phone.ask("procedures") if p["id"] == sheet["card"]["procedure"]][-1]
        phone.sign("opening", f"card:{card['id']}", {
            "engine": engine["id"], "procedure": version["digest"], "title": card["title"],
            "positions": [p for p in sheet["positions"] if rods is None or p["id"] in rods],
        })  # fmt: skip
        return card["id"]


def code_in(said):
    return re.search(r"Enrolment code (\S+),", said).group(1)
