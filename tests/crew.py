"""A small shop for tests of the card rules: people, phones with books of their own, and no server.

Signatures are made up: the fold never looks at them (whoever fills a book has checked them before).
"""

import json

from workings import entries as form
from workings import strict_json, view
from workings.book import Book, Refused, _Draft
from workings.knowing import Knowing

AT = "2031-05-04T08:%02d:%02dZ"


def fake_jws(signing_input):
    """The compact form with a well-formed signature that signs nothing."""
    return signing_input + "." + form.b64(b"\x01" * 32 + b"\x01" * 32)


def fake_key(name):
    """A public JWK and its kid, made from a name."""
    jwk = {"kty": "EC", "crv": "P-256", "x": form.sha(name + " x"), "y": form.sha(name + " y")}
    return jwk, form.thumbprint(jwk)


class Phone:
    """One person's key on one phone, with a book of its own."""

    def __init__(self, shop, person, device):
        self.shop, self.person = shop, person
        self.jwk, self.kid = fake_key(person + device)
        self.number = 0
        self.book = Book(shop.root_kid)
        for text in shop.procedures:
            self.book.take_procedure(text)

    def take(self, jws):
        self.book.take(jws)

    def held(self):
        return [e.jws for lines in self.book.lines.values() for e in lines.values()]

    def meet(self, *others):
        """Everything held by any of these phones, held by all of them."""
        phones = (self,) + others
        # They read each line once, when it is signed: what they pass on here has been read.
        everything = [(about, p.book.lines[about]) for p in phones for about in p.book.lines]
        for p in phones:
            for about, lines in everything:
                p.book.lines.setdefault(about, {}).update(lines)

    def say(self, kind, place=None, **body):
        """Drafts as the phone does and keeps it; Refused where the fold would not count it. The hash."""
        about = "card:" + self.shop.card_id
        return self._keep(self.book.draft(about, kind, self.kid, self.number + 1, self.shop.now(), body, place))

    def insist(self, kind, **body):
        """Signs whatever it is told to, as a phone that knew no better would have."""
        return self._insist("card:" + self.shop.card_id, kind, body)

    def about(self, about, kind, **body):
        return self._insist(about, kind, body)

    def _insist(self, about, kind, body):
        book = self.book
        lines, register = book.about(about), book.about("register")
        draft = _Draft(book, about, self.kid, self.number + 1, self.shop.now())
        knowing = Knowing(register if about == "register" else register + lines)
        version = self.shop.version if about.startswith("card:") else None
        draft._write(kind, body, lines, knowing, version)
        return self._keep(draft._answer())

    def _keep(self, made):
        for text, _ in made:
            self.take(fake_jws(text))
            self.number += 1
        return made[-1][1]

    def card(self):
        return self.book.card(self.shop.card_id)

    def jws_of(self, entry_hash):
        for lines in self.book.lines.values():
            if entry_hash in lines:
                return lines[entry_hash].jws

    def signal(self, hold):
        return self.card().holds[hold].signal

    def state(self, place):
        return self.card().steps[place].state

    def why(self, entry_hash):
        return self.card().status.get(entry_hash, ("counts", None))


class Shop:
    """A shop with a root key, a procedure, an engine and people; `phone(person)` enrols one more phone."""

    card_id = "card1"

    def __init__(self, procedure, people, positions=(), data=()):
        text = procedure if isinstance(procedure, str) else json.dumps(procedure, ensure_ascii=False)
        self.procedures = [text]
        self._seconds = 0
        jwk, self.root_kid = fake_key("root")
        self.root = Phone.__new__(Phone)
        self.root.shop, self.root.person, self.root.kid, self.root.number = self, "root", self.root_kid, 0
        self.root.book = Book(self.root_kid)
        self.version = self.root.book.take_procedure(text)
        self.root.about("register", "key", key=jwk, person="root", device="set-up")
        for person, role in people:
            self.root.about("register", "person", person=person, name=person)
            self.root.about("register", "role-given", person=person, role=role)
        self.phones = {}
        self.people = dict(people)
        self.positions, self.data = list(positions), list(data)

    def now(self):
        self._seconds += 1
        return AT % (self._seconds // 60, self._seconds % 60)

    def phone(self, person, device=""):
        phone = Phone(self, person, device)
        self.root.about("register", "key", key=phone.jwk, person=person, device=device or "phone")
        for j in self.root.held():
            phone.take(j)
        for other in self.phones.values():
            for e in self.root.book.about("register"):
                other.take(e.jws)
        self.phones[person + device] = phone
        return phone

    def open_card(self, lead):
        """The lead writes the engine's sheet and opens the card."""
        lead.about("engine:e1", "opening", name="Number One")
        for name, position, text, unit in self.data:
            body = {"name": name, "text": text, "unit": unit}
            if position:
                body["position"] = position
            lead.about("engine:e1", "data-value", **body)
        lead.say("opening", engine="e1", procedure=self.version, title="The job",
                 positions=[{"id": p, "label": "rod " + p} for p in self.positions])


def entry_states(card):
    """What the fold made of everything, as text: the same set must give the same text."""
    state = {
        "status": {h: [w, y] for h, (w, y) in card.status.items()},
        "steps": {p: [s.state, s.done_by.hash if s.done_by else None, s.waits, s.requirement]
                  for p, s in card.steps.items()},
        "holds": {p: [h.signal, h.in_force, h.needs, sorted(h.covered), h.signature.entry.hash if h.signature else None,
                      h.signature.lapses if h.signature else []] for p, h in card.holds.items()},
        "values": {k[0] + "@" + (k[1] or ""): [s.beside, s.entry.hash if s.entry else None]
                   for k, s in card.standing.items()},
        "closed": card.closed, "gaps": card.gaps, "doubled": sorted(card.doubled),
        "words": view.standing_words(card), "problems": view.problems(card),
    }
    return strict_json.write(state)


__all__ = ["Refused", "Phone", "Shop", "entry_states", "fake_jws", "fake_key"]
