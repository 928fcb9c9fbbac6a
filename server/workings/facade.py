"""The one door of the workings on a phone: a question as JSON text in, an answer as JSON text out.

`answer` never raises: what a person can mend comes back as {"error": {"input", "message"}}; only what is a
defect of ours says so and carries its own words.
"""

import json

from workings import entries as form
from workings import hold_view, quantities, step_view, steps, view, vocabulary
from workings.book import Book, Refused
from workings.errors import WorkingError


class Desk:
    """One book and the questions that can be asked of it."""

    def __init__(self, root=None):
        self.book = Book(root)

    def answer(self, text):
        try:
            asked = json.loads(text)
            ask = asked.pop("ask")
            method = getattr(self, "ask_" + ask, None)
            if method is None:
                return json.dumps({"error": {"input": "ask", "message": "Nothing here answers to %s." % ask}})
            return json.dumps({"ok": method(**asked)})
        except WorkingError as error:
            return json.dumps({"error": {"input": error.input, "message": error.message}})
        except Refused as error:
            return json.dumps({"ok": {"refused": error.message}})

    # --- taking ---------------------------------------------------------------------------------------------

    def ask_begin(self, root=None, kept=None):
        """A new book. kept: what ask_kept gave to the same build of the workings, to spare its first fold."""
        self.book = Book(root)
        if kept:
            self.book.kept.uncertainties = kept
        return {}

    def ask_kept(self):
        return self.book.kept.uncertainties

    def ask_take_procedures(self, texts, kept=False):
        digests = []
        for text in texts:
            digests.append(self.book.take_procedure(text, kept))
        return {"digests": digests, "held": sorted(self.book.procedures)}

    def ask_take_kept(self, entries):
        """Entries of the phone's own store, at its start: [{"hash", "kid", "payload"}], read strictly before."""
        for e in entries:
            self.book.take_kept(e["hash"], e["kid"], e["payload"])
        return {"taken": len(entries)}

    def ask_take(self, entries):
        taken, refused = 0, []
        for i, jws in enumerate(entries):
            try:
                taken += self.book.take(jws)
            except WorkingError as error:
                refused.append({"index": i, "message": error.message})
        return {"taken": taken, "refused": refused}

    def ask_key_of(self, kid):
        """The public key that the register gives a kid, whether or not its holder may still sign."""
        for e in self.book.about("register"):
            if e.kind == "key" and form.thumbprint(e.body["key"]) == kid:
                return {"jwk": e.body["key"], "person": e.body["person"]}
        return {"jwk": None, "person": None}

    # --- asking ---------------------------------------------------------------------------------------------

    def ask_people(self):
        return self.book.people()

    def ask_root(self):
        kid = self.book.register().root
        return {"kid": kid, "fingerprint": form.fingerprint(kid) if kid else ""}

    def ask_fold_on(self, card=None):
        """Folds a part of one card, or of whichever is not folded yet: {"more"}. A phone asks until there is no
        more before it asks for what the card shows."""
        for card_id in [card] if card else self.book.card_ids():
            if self.book.fold_on(card_id):
                return {"more": True}
        return {"more": False}

    def ask_list(self, me=None):
        return view.listing(self.book, me)

    def ask_procedures(self):
        out = []
        for digest in sorted(self.book.procedures):
            p = self.book.procedures[digest]
            repeats = p.raw.get("repeats") or {}
            labels = [repeats[k]["label"] for k in sorted(repeats)]
            # No card yet says whose words; the file's own are the American ones.
            said = [vocabulary.say(t, "american") for t in [p.title, p.raw.get("summary", "")] + labels]
            out.append({"digest": digest, "id": p.id, "version": p.version, "title": said[0],
                        "summary": said[1], "repeats": said[2:]})
        return out

    def ask_engines(self):
        """Engines with the positions that their sheets know, for the opening of a card."""
        engines = self.book.engines()
        out = []
        for e in sorted(engines):
            positions = sorted(set([d["position"] for d in engines[e]["data"] if d.get("position")]))
            out.append({"engine": e, "name": engines[e]["name"], "class": engines[e]["class"], "positions": positions,
                        "data": engines[e]["data"]})
        return out

    def ask_gauges(self):
        gauges = self.book.gauges()
        return [gauges[g] for g in sorted(gauges)]

    def ask_card(self, card, me=None):
        return view.frame(self.book, card, me)

    def ask_step(self, card, place, me=None):
        return step_view.step(self.book, card, place, me)

    def ask_hold(self, card, place, me=None):
        return hold_view.hold(self.book, card, place, me)

    def ask_history(self, card):
        return view.history(self.book, card)

    def ask_working(self, card, place, name):
        from workings import sheet  # only who questions a number needs what sets formulas

        return sheet.working(self.book.card(card), place, name)

    def ask_echo(self, card, place, name, text, unit=""):
        """What is being typed, read back: {"ok", "echo", "message", "verdict"}."""
        folded = self.book.card(card)
        at = step_view.place_of(folded, place, "step")
        definition = None
        for r in at.item.get("readings", ()):
            if r["name"] == name:
                definition = r
        if definition is None or not text.strip():
            return {"ok": False, "echo": "", "message": None, "verdict": None, "verdict_words": ""}
        try:
            label = folded.words(definition["label"])
            value, read_unit = quantities.parse(text, definition["dimension"], unit or None, label)
        except WorkingError as error:
            return {"ok": False, "echo": "", "message": error.message, "verdict": None, "verdict_words": ""}
        judged = steps.judge_typed(folded, at, definition, value)
        return {"ok": True, "echo": quantities.echo(value, read_unit, definition["dimension"]), "message": None,
                "verdict": judged, "verdict_words": step_view.VERDICT_WORDS.get(judged, "")}

    def ask_draft(self, kind, about, kid, number, at, body, place=None):
        made = self.book.draft(about, kind, kid, number, at, body, place)
        return {"signing_inputs": [m[0] for m in made], "hashes": [m[1] for m in made]}


_desk = Desk()


def answer(text):
    """The answer of this worker's own desk."""
    return _desk.answer(text)


