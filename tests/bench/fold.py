#!/usr/bin/env python3
"""How long folding one card takes, as a table: .venv/bin/python tests/bench/fold.py [entries ...]

Two people measure eight tries, tick and say done over and over, and a lead signs ten times what they did: everything
stands at one step, which is the worst that a card can be. The table tells what twice as many entries cost (2 is
in proportion), what one more costs, and how it compares with reading the same entries as JSON. It is reported
and nothing is asserted: a busy machine tells little.
"""

import json
import sys
import time
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS), str(TESTS.parent / "server")]

import card_job  # noqa: E402
from crew import Shop, fake_jws  # noqa: E402
from workings import entries as form  # noqa: E402
from workings import steps  # noqa: E402

SIZES = (2500, 5000, 10000, 20000)
TRIES = ("9.981", "9.984", "9.988", "9.989", "9.990", "9.991", "9.990", "9.990")
SIGNED = 10


class Long:
    """A card as long as asked. Every line names the newest of the other two people's that its phone has heard."""

    def __init__(self, count):
        self.shop = Shop(card_job.PROCEDURE, [("M", "mechanic"), ("N", "mechanic"), ("L", "lead")], ("a",),
                         card_job.DATA)
        self.phones = [self.shop.phone(p) for p in "MNL"]
        self.lead = self.phones[2]
        self.shop.open_card(self.lead)
        self.lead.meet(*self.phones[:2])
        self.book = self.lead.book
        self.newest = {p.kid: [] for p in self.phones}
        self.here = {p.kid: 0 for p in self.phones}
        for e in self.book.about("card:card1"):
            self.newest[e.kid].append(e.hash)
            self.here[e.kid] = max(self.here[e.kid], e.number_here)
        self.register = self.book.card("card1").knowing.named_first(self.book.about("register"))
        self.seconds = 0
        self.lines = [e.jws for e in self.book.about("card:card1")]
        self.play(count)

    def now(self):
        self.seconds += 1
        return f"2031-05-{self.seconds // 86400 + 5:02}T{self.seconds // 3600 % 24:02}:{self.seconds // 60 % 60:02}:00Z"

    def say(self, phone, kind, **body):
        before = [self.newest[phone.kid][-1]] if self.newest[phone.kid] else []
        before += [lines[-1] for kid, lines in self.newest.items() if kid != phone.kid and lines]
        phone.number += 1
        self.here[phone.kid] += 1
        payload = {"kind": kind, "about": "card:card1", "number": phone.number, "number_here": self.here[phone.kid],
                   "before": sorted(before), "register": self.register, "at": self.now(),
                   "version": self.shop.version, "body": body}
        jws = fake_jws(form.signing_input(phone.kid, payload))
        self.lines.append(jws)
        self.book.take(jws)
        self.newest[phone.kid].append(form.take_apart(jws).hash)

    def sign(self, phone):
        for signing_input, _ in self.book.draft("card:card1", "sign-off", phone.kid, phone.number + 1,
                                                self.now(), {}, "h1"):
            jws = fake_jws(signing_input)
            self.book.take(jws)
            self.lines.append(jws)
            phone.number += 1
            self.here[phone.kid] += 1
            self.newest[phone.kid].append(form.take_apart(jws).hash)

    def play(self, count):
        self.say(self.phones[0], "said-done", step="found", shown=[])
        card = self.book.card("card1")
        shown = [list(p) for p in steps.shown_texts(card, card.road.by_id["measure"])[0]]
        self.say(self.phones[0], "reading", step="measure", name="kind", text="plain", unit="", measured_by="M")
        n = 0
        while len(self.lines) < count:
            phone = self.phones[n % 2]
            for text in TRIES:
                self.say(phone, "reading", step="measure", name="bore", text=text, unit="in", measured_by=phone.person)
            self.say(phone, "check", step="measure", check="clean")
            self.say(phone, "said-done", step="measure", shown=shown)
            n += 1
            if n % (count // (len(TRIES) + 2) // SIGNED) == 0:
                self.sign(self.lead)


def timed(work, *given):
    began = time.perf_counter()
    work(*given)
    return time.perf_counter() - began


def read_all(payloads):
    return [json.loads(p) for p in payloads]


def main():
    sizes = [int(a) for a in sys.argv[1:]] or SIZES
    print("entries  sign-offs   fold s  times the one before   one more s   fold / json.loads")
    last = None
    for size in sizes:
        long = Long(size)
        lines = long.book.about("card:card1")
        payloads = [form.unb64(j.split(".")[1]).decode() for j in long.lines]
        read = min(timed(read_all, payloads) for _ in range(3))
        whole = min(timed(long.book._fold, lines) for _ in range(3))
        card = long.book.card("card1")
        long.say(long.phones[0], "note", text="one more")
        more = timed(card.with_one_more, long.book.about("card:card1")[-1])
        signed = sum(1 for e in lines if e.kind == "sign-off")
        ratio = f"{whole / last:.2f}" if last else "-"
        print(f"{len(lines):7}  {signed:9}  {whole:7.2f}  {ratio:>20}  {more:11.3f}  {whole / read:18.1f}", flush=True)
        last = whole


if __name__ == "__main__":
    main()
