"""The book: everything a phone or the server holds, as one object to ask.

It takes procedures and entries, folds cards when asked, and drafts new entries: it says what is to be
signed, or why it would not count. It does no I/O and checks no signatures; whoever fills it has done so.
"""

import json

from workings import doubts as doubting
from workings import entries as form
from workings import procedure as procedures
from workings import readings, sign_offs, steps, values
from workings.errors import WorkingError
from workings.fold import Card
from workings.knowing import Knowing
from workings.register import Register, people


class Refused(Exception):
    """A draft that would not count, with the sentence that says why."""

    def __init__(self, message):
        super().__init__(message)
        self.message = message


class Book:
    def __init__(self, root=None):
        self.root = root
        self.procedures, self.lines, self._cards, self._sheets = {}, {"register": {}}, {}, {}
        # Cards half folded, and cards with an entry that has been drafted and not yet taken.
        self._begun, self._drafted = {}, {}
        self.kept = values.Kept()

    # --- taking -------------------------------------------------------------------------------------------

    def take_procedure(self, text, kept=False):
        """Holds a procedure version; the digest of its exact bytes. WorkingError where it cannot be read.

        kept: it comes from this phone's own store, where only what was read strictly is put.
        """
        found = procedures.Procedure(json.loads(text), procedures.digest_of(text)) if kept else procedures.read(text)
        self.procedures[found.digest] = found
        return found.digest

    def take(self, jws):
        """Holds an entry whose signature has been checked; True where it is new. WorkingError on its form."""
        return self._hold(form.take_apart(jws))

    def take_kept(self, hash, kid, payload):
        """Holds an entry from this phone's own store, where only what `take` has read is put."""
        return self._hold(form.read_kept(hash, kid, payload))

    def _hold(self, entry):
        lines = self.lines.setdefault(entry.about, {})
        new = entry.hash not in lines
        lines[entry.hash] = entry
        return new

    def about(self, about):
        return list(self.lines.get(about, {}).values())

    # --- asking -------------------------------------------------------------------------------------------

    def card_ids(self):
        return sorted([a[5:] for a in self.lines if a.startswith("card:")])

    def card(self, card_id):
        """The folded Card; WorkingError where nothing of it is here."""
        lines = self.lines.get("card:" + card_id)
        if not lines:
            raise WorkingError("card", card_id, "a card held here", "There is no card %s here." % card_id)
        while self.fold_on(card_id, len(lines)):
            pass
        return self._cards[card_id][1]

    def fold_on(self, card_id, count=12):
        """Folds a part of a card that is not folded yet; False once it is whole (see Card.fold_on)."""
        lines = self.lines.get("card:" + card_id)
        if not lines:
            return False
        mark = self._mark(lines)
        if card_id in self._cards and self._cards[card_id][0] == mark:
            return False
        if card_id in self._drafted and self._drafted[card_id][0] == mark:
            # The entry that was drafted has come: its fold goes on where the draft left it.
            self._begun[card_id] = self._drafted.pop(card_id)
        begun = self._begun.get(card_id)
        if begun is None or begun[0] != mark:
            begun = (mark, self._fold(list(lines.values()), False))
            self._begun[card_id] = begun
            if count < len(lines):
                return True
        if begun[1].fold_on(count):
            return True
        self._cards[card_id] = self._begun.pop(card_id)
        return False

    def _mark(self, lines):
        return (frozenset(lines), frozenset(self.lines["register"]), len(self.procedures))

    def _fold(self, lines, at_once=True):
        return Card(lines, self.about("register"), self.procedures.get, self.root, self.kept, at_once)

    def register(self):
        """The crew register alone."""
        mark = frozenset(self.lines["register"])
        if self._sheets.get("register", (None,))[0] != mark:
            knowing = Knowing(self.about("register"))
            self._sheets["register"] = (mark, Register(knowing, self.root))
        return self._sheets["register"][1]

    def people(self):
        return people(self.register())

    def sheet(self, about):
        """(knowing, register, [counting entries]) of an engine's sheet or of the gauges, replaced ones left out."""
        lines = self.about(about)
        mark = (frozenset([e.hash for e in lines]), frozenset(self.lines["register"]))
        if self._sheets.get(about, (None,))[0] != mark:
            knowing = Knowing(self.about("register") + lines)
            register = Register(knowing, self.root)
            good = [e for e in knowing.order if e.thing != "register" and register.bars(e, ("lead", "keeper")) is None]
            struck = set([e.body["entry"] for e in good if e.kind == "strike-out"])
            matters = {}
            for e in good:
                if e.hash not in struck:
                    key = (e.kind, e.body.get("id") or e.body.get("name"), e.body.get("position"))
                    matters.setdefault(key, []).append(e)
            heads = []
            for key in sorted(matters, key=lambda k: (k[0], k[1] or "", k[2] or "")):
                top = set(knowing.heads(matters[key]))
                heads.append(sorted([e for e in matters[key] if e.hash in top], key=lambda e: (e.at, e.hash))[-1])
            self._sheets[about] = (mark, (knowing, register, heads))
        return self._sheets[about][1]

    def gauges(self):
        """{id: body of its newest line}: the shop's measuring instruments."""
        return {e.body["id"]: e.body for e in self.sheet("gauges")[2] if e.kind == "gauge"}

    def engines(self):
        """{id: {"name", "class", "data": [bodies]}} of every engine sheet held here."""
        out = {}
        for about in sorted(self.lines):
            if about.startswith("engine:"):
                heads = self.sheet(about)[2]
                opening = [e.body for e in heads if e.kind == "opening"]
                out[about[7:]] = {"name": opening[0]["name"] if opening else about[7:],
                                  "class": opening[0].get("class", "") if opening else "",
                                  "data": [e.body for e in heads if e.kind == "data-value"]}
        return out

    # --- drafting -----------------------------------------------------------------------------------------

    def draft(self, about, kind, kid, number, at, body, place=None):
        """[(signing input, hash)] for what a person wants to say; Refused where it would not count.

        kid: the signing key; number: the next number of that key; at: the phone's clock, shown only;
        body: what was typed; whatever the rules make of it (shown texts, lists, digests) is filled in here.
        """
        draft = _Draft(self, about, kid, number, at)
        if about.startswith("card:"):
            if kind == "opening":
                return draft.opening(body)
            return draft.on_card(kind, dict(body), place)
        return draft.plain(kind, body)


class _Draft:
    def __init__(self, book, about, kid, number, at):
        self.book, self.about, self.kid, self.number, self.at = book, about, kid, number, at
        self.made = []

    def _write(self, kind, body, lines, knowing, version=None):
        """Adds one entry to the draft, standing on everything held and drafted so far."""
        # A line of the register that waits for others says nothing yet; who stood on it would wait with it.
        register = [e for e in knowing.order if e.thing == "register" and e.hash not in knowing.waits]
        here = [e for e in lines if e.kid == self.kid]
        payload = {"kind": kind, "about": self.about, "number": self.number,
                   "number_here": max([e.number_here for e in here] + [0]) + 1,
                   "before": [], "register": [], "at": self.at, "body": body}
        if self.about == "register":
            payload["before"] = knowing.named_first(register)
        else:
            payload["before"] = knowing.named_first(lines)
            payload["register"] = knowing.named_first(register)
        if version is not None:
            payload["version"] = version
        text = form.signing_input(self.kid, payload)
        entry = form.unsigned(self.kid, payload, text)
        self.made.append(entry)
        self.number += 1
        return entry

    def _answer(self):
        return [(e.signing_input, e.hash) for e in self.made]

    def plain(self, kind, body):
        """An entry about the register, an engine's sheet or the gauges."""
        lines = self.book.about(self.about)
        register = self.book.about("register")
        knowing = Knowing(register if self.about == "register" else register + lines)
        self._write(kind, body, lines, knowing)
        return self._answer()

    def opening(self, body):
        """The opening of a card and, one entry each, the engine's data that its procedure asks for."""
        procedure = self.book.procedures.get(body["procedure"])
        if procedure is None:
            raise Refused("This procedure version is not held here.")
        if self.book.about(self.about):
            raise Refused("This card is open already.")
        engine = self.book.engines().get(body["engine"])
        if engine is None:
            raise Refused("There is no engine %s here." % body["engine"])
        if procedure.raw.get("repeats") and not body["positions"]:
            raise Refused("Name the positions first: this procedure repeats for each of them.")
        opening = {"engine": body["engine"], "procedure": procedure.id, "title": body["title"],
                   "positions": body["positions"]}
        entry = self._write("opening", opening, [], Knowing(self.book.about("register")), procedure.digest)
        positions = [p["id"] for p in body["positions"]]
        numbers = 1
        for datum in sorted(engine["data"], key=lambda d: (d["name"], d.get("position") or "")):
            d = procedure.names.get(datum["name"])
            if d is None or d["kind"] != "data" or (d["repeat"] and datum.get("position") not in positions):
                continue
            numbers += 1
            copy = {"name": datum["name"], "text": datum["text"], "unit": datum["unit"],
                    "origin": "the engine's data sheet"}
            if d["repeat"]:
                copy["position"] = datum["position"]
            payload = {"kind": "data-value", "about": self.about, "number": self.number, "number_here": numbers,
                       "before": [self.made[-1].hash], "register": [], "at": self.at, "body": copy,
                       "version": procedure.digest}
            payload["register"] = list(entry.register)
            self.made.append(form.unsigned(self.kid, payload, form.signing_input(self.kid, payload)))
            self.number += 1
        trial = self.book._fold(self.made)
        for made in self.made:
            self._counts_in(trial, made)
        return self._answer()

    def on_card(self, kind, body, place):
        card = self.book.card(self.about[5:])
        if card.procedure is None:
            raise Refused("This card waits for its procedure version, which is not held here.")
        at = None
        if place is not None:
            at = card.road.by_id.get(place)
            if at is None:
                raise Refused("This card has no step %s." % place)
            if kind not in ("data-value", "choice", "concession", "doubt"):
                body["hold" if kind == "sign-off" else "step"] = at.item["id"]
            if at.position is not None:
                body["position"] = at.position
        fill = getattr(self, "fill_" + kind.replace("-", "_"), None)
        if fill is not None:
            fill(card, body, at)
        entry = self._write(kind, body, card.lines, card.knowing, card.version)
        self._must_count(entry)
        return self._answer()

    def _must_count(self, entry):
        # The fold decides what counts; the phone asks it before it signs, so that no rule stands twice.
        kept = self.book._cards.get(self.about[5:])
        trial = kept[1].with_one_more(entry, False) if kept is not None else None
        if trial is None:
            trial = self.book._fold(self.book.about(self.about) + [entry])
        self._counts_in(trial, entry)
        # Once signed this very entry is taken, and the fold need not be done again.
        lines = dict(self.book.lines.get(self.about, {}))
        lines[entry.hash] = entry
        self.book._drafted[self.about[5:]] = (self.book._mark(lines), trial)

    def _counts_in(self, trial, entry):
        word, why = trial.status.get(entry.hash, ("counts", None))
        if word not in ("counts", "replaced"):
            raise Refused(_sentence(why or word))

    def _person(self, card_or_register):
        return card_or_register.now["people"].get(self.kid)

    def fill_reading(self, card, body, place):
        definition = _part(card, place, "readings", body["name"])
        if "measured_by" not in body:
            body["measured_by"] = self._person(card.register) or "unknown"
        if isinstance(body.get("gauge"), str):
            gauge = self.book.gauges().get(body["gauge"])
            if gauge is None:
                raise Refused("There is no gauge %s in the shop's list." % body["gauge"])
            wanted = ("id", "label", "resolution", "uncertainty", "calibrated")
            body["gauge"] = {k: gauge[k] for k in wanted if k in gauge}
        if "gauge" not in body:
            asked = readings.asked_gauge(definition, card.procedure)
            if asked is not None:
                body["gauge"] = {"id": asked["id"], "label": asked["label"], "resolution": asked["resolution"],
                                 "uncertainty": asked["uncertainty"]}
        if "unit" not in body:
            body["unit"] = ""
        if not body.get("text"):
            raise Refused("%s: nothing is typed yet." % definition["label"])

    def fill_way(self, card, body, place):
        way = place.item.get("way") if place is not None else None
        if way is None:
            raise Refused("This step asks for no way.")
        body["name"] = way["name"]

    def fill_check(self, card, body, place):
        item = place.item
        if not item.get("in_order"):
            return
        ids = [c["id"] for c in item.get("checks", ())]
        ticked = set([e.body["check"] for e in card.counting_at.get(place.id, ()) if e.kind == "check"])
        for c in ids[:ids.index(body["check"])] if body["check"] in ids else []:
            if c not in ticked:
                raise Refused("These are ticked in turn: first the line above.")

    def fill_said_done(self, card, body, place):
        state = card.steps[place.id]
        why = state.waits or state.requirement
        if state.state in ("shut", "waiting") and why:
            raise Refused(_sentence(why[0]))
        shown, waits = steps.shown_texts(card, place)
        if waits:
            raise Refused("This step waits for %s." % ", ".join(waits))
        blocked = [w for w in state.requirement if not w.startswith("it was said done")]
        if state.state == "open" and blocked:
            raise Refused(_sentence(blocked[0]))
        body["shown"] = [list(pair) for pair in shown]

    def fill_sign_off(self, card, body, place):
        hold = card.holds.get(place.id) if place is not None else None
        if hold is None:
            raise Refused("That is not a hold point.")
        if hold.needs:
            raise Refused(_sentence(hold.needs[0]))
        person = self._person(card.register)
        roles = card.register.now["roles"].get(person, ())
        listed = sign_offs.to_list(card, hold, person)
        reason = sign_offs.bars_person(card, hold, person, roles, listed)
        if reason is not None:
            raise Refused(_sentence(reason))
        body["lists"] = sign_offs.write_lists(card, listed)
        body["digest"] = sign_offs.list_digest(card, listed)
        body["content"] = steps.content_digest(card, hold.places)
        if card.gaps:
            body["missing"] = [[kid, card.gaps[kid]] for kid in sorted(card.gaps)]

    def fill_choice(self, card, body, place):
        stands = card.standing.get(_matter(card, body))
        if stands is None or not stands.beside:
            raise Refused("No two readings of this stand side by side.")
        body["between"] = sorted([e.hash for e in stands.heads])

    def fill_concession(self, card, body, place):
        _matter(card, body)
        judged = card.judged_at(place).get(body["name"]) if place is not None and place.kind == "step" else None
        if judged is None or judged.verdict not in ("outside", "bad", "too_close"):
            raise Refused("There is nothing here to concede.")
        body["text"], body["limit"] = judged.text, judged.limit_text()
        until = body.get("until", "close")
        body["until"] = until.split("@")[0]
        if "@" in until:
            body["until_position"] = until.split("@")[1]

    def fill_doubt(self, card, body, place):
        if "name" not in body:
            return
        key = _matter(card, body)
        stands = card.standing.get(key)
        if stands is not None and stands.entry is not None and stands.entry.kind != "data-value":
            # A reading is doubted by its entry: measured again, the doubt rests, whatever the new number.
            body["entry"] = stands.entry.hash
            for field in ("name", "position"):
                body.pop(field, None)
            return
        shown = doubting.shown_values(card, place) if place is not None and place.kind == "step" else []
        texts = [text for name, text in shown if name == body["name"]]
        if not texts:
            try:
                texts = [steps.shown_value(card, body["name"], None, body.get("position"))["text"]]
            except (values.Missing, values.Trouble):
                raise Refused("That value has not been worked out yet.")
        body["text"] = texts[0]

    def fill_data_value(self, card, body, place):
        _matter(card, body)
        if "unit" not in body:
            body["unit"] = ""


def _matter(card, body):
    """The key under which what is decided or doubted stands; the position goes where a name has none."""
    if not isinstance(body.get("name"), str) or body["name"].split(".")[0] not in card.procedure.names:
        raise Refused("This procedure has nothing called %s." % body.get("name"))
    key = card.values.place_of(body["name"], body.get("position"))
    if key[1] is None:
        body.pop("position", None)
    return key


def _part(card, place, which, name):
    for part in place.item.get(which, ()) if place is not None else ():
        if part["name"] == name:
            return part
    raise Refused("This step does not ask for %s." % name)


def _sentence(text):
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
