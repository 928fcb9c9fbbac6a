"""What stands on the pages of a packet, asked of the workings: the same words, drawings and order as the screen.

Nothing is decided here. Views are taken as they come and sorted for paper: what a page repeats is said once,
what a person is to write gets its place.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

import segno
from workings import drawings, hold_view, step_view, telling, view
from workings import entries as form
from workings.errors import WorkingError

from trammel import packet_workings
from trammel.packet_blank import blank_book, specimen_book

TRIES = 5  # empty rows for a reading that is tried again and again
WHOLE = 14  # a step of so many lines or fewer is not broken over two pages
# A sketch on a blank has places to write instead of numbers, and the proportions of a usual case.
SKETCHES = {"wheel_on_wedge": {"wheel_diameter": 1.4, "wedge_length": 0.3, "wedge_height": 0.038, "axle_rise": 0.03}}
WRITE_IN = "________"

Page = dict[str, Any]


def of_card(book: Any, card_id: str, blank: bool, base_url: str | None = None) -> Page:
    card = book.card(card_id)
    if card.road is None:
        words = view.standing_words(card)
        raise WorkingError(
            "card", card_id, "a card that can be folded here", f"The card {card_id} {words}; it cannot be printed yet."
        )
    address = f"{base_url.rstrip('/')}/#/card/{quote(card_id, safe='')}" if base_url else f"trammel:card:{card_id}"
    return Pages(blank_book(book, card_id) if blank else book, card_id, blank, address).all()


def of_procedure(procedure: Any, positions: list[str] | None, vocabulary: str) -> Page:
    book, card_id = specimen_book(procedure, positions, vocabulary)
    return Pages(book, card_id, True, f"trammel:procedure:{procedure.digest}", specimen=True).all()


class Pages:
    """Gathers a packet; `all()` is everything that its templates ask for."""

    def __init__(self, book: Any, card_id: str, blank: bool, address: str, specimen: bool = False) -> None:
        self.book, self.card_id, self.blank, self.address, self.specimen = book, card_id, blank, address, specimen
        self.card = book.card(card_id)
        self.procedure = self.card.procedure
        self.frame = view.frame(book, card_id)
        self.numbers = {p.id: n for n, p in enumerate(self.card.road.places, 1)}

    def all(self) -> Page:
        card, frame, raw = self.card, self.frame, self.procedure.raw
        opening = card.opening
        engine = {} if self.specimen else self.book.engines().get(opening.body["engine"], {"name": frame["engine"]})
        root = None if self.specimen else self.book.register().root
        title = frame["procedure"] if self.specimen else frame["title"]
        named = [frame["procedure"], "blank"] if self.specimen else [frame["engine"], title, f"card {self.card_id}"]
        written = None if self.specimen else max(e.at for e in card.lines)
        fingerprint = form.fingerprint(root) if root else None
        return {
            "blank": self.blank,
            "kind": "blank" if self.blank else "filled",
            "lang": "en-GB" if frame["vocabulary"] == "british" else "en-US",
            "title": ", ".join([*named[:2], "blank packet" if self.blank else "packet"]),
            "description": f"{frame['procedure']}, version {frame['procedure_version']}",
            "written": written,
            "head_left": " · ".join(named),
            "foot": (f"Root key {fingerprint} · t" if fingerprint else "T") + "imes in UTC",
            "quadrant": "lower" if frame["vocabulary"] == "british" else "upper",
            "tries": TRIES,
            "engine": {"name": engine.get("name", ""), "class": engine.get("class", "")},
            "job": title,
            "procedure": {
                "title": frame["procedure"],
                "version": frame["procedure_version"],
                "digest": self.procedure.digest,
            },
            "card": None if self.specimen else self.card_id,
            "opened": None if self.specimen else {"who": telling.who(card, opening), "at": opening.at},
            "jurisdiction": frame["jurisdiction"],
            "vocabulary": frame["vocabulary"],
            "standing": frame["words"],
            "problems": [] if self.blank else frame["problems"],
            "summary": card.words(raw.get("summary", "")),
            "notice": frame["notice"],
            "address": self.address,
            "qr": self.code(),
            "stretches": self.stretches(),
            "tools": [card.words(t) for t in raw.get("tools", ())],
            "materials": [card.words(t) for t in raw.get("materials", ())],
            "gauges": self.gauges(),
            "data": self.data_sheet(),
            "hands": self.hands(),
            "root": fingerprint,
            "sources": [card.words(t) for t in raw.get("sources", ())],
            "sections": self.sections(),
            "workings": packet_workings.formulas(self.card) if self.blank else packet_workings.workings(self.card),
            "history": [] if self.blank else view.history(self.book, self.card_id),
        }

    # --- the cover --------------------------------------------------------------------------------------

    def code(self) -> str:
        made: str = segno.make(self.address, error="m", micro=False).svg_inline(border=2, omitsize=True)
        return packet_workings.pictured(made, f"QR code: {self.address}")

    def stretches(self) -> list[Page]:
        out: list[Page] = []
        for item in self.frame["line"]:
            if not out or (out[-1]["title"], out[-1]["position"]) != (item["section"], item["position"]):
                out.append({"title": item["section"], "position": item["position"], "items": []})
            out[-1]["items"].append({**item, "state": "open"} if self.blank else item)
        for stretch in out:
            items = stretch["items"]
            stretch["holds"] = [i for i in items if i["kind"] == "hold"]
            done = sum(i["state"] == "done" for i in items if i["kind"] == "step")
            of = sum(i["kind"] == "step" for i in items)
            spoken = f"{of} steps" if self.blank else f"{done} of {of} steps done"
            for hold in stretch["holds"]:
                if self.blank:
                    hold["signal"] = "stop"
                spoken += f"; {hold['label']}" + ("" if self.blank else f": {hold['signal']}")
            stretch["spoken"] = spoken
        return out

    def gauges(self) -> list[Page]:
        """On a blank the gauges that are asked for; else those that counting readings were taken with."""
        keys = ("label", "resolution", "uncertainty", "calibrated")
        if self.blank:
            asked = [{k: g.get(k) for k in keys} for g in self.procedure.gauges.values()]
            return [{**g, "label": self.card.words(g["label"])} for g in asked]
        found: dict[tuple[Any, ...], int] = {}
        for e in self.card.lines:
            gauge = e.body.get("gauge") if e.kind == "reading" and self.card.counts(e) else None
            if gauge:
                key = tuple(gauge.get(k) or "" for k in keys)
                found[key] = found.get(key, 0) + 1
        return [
            {**dict(zip(keys, key, strict=True)), "label": self.card.words(key[0]), "count": found[key]}
            for key in sorted(found)
        ]

    def data_sheet(self) -> Page:
        positions = [] if self.specimen and len(self.card.road.positions) == 1 else self.card.road.positions
        common, by_position = [], []
        for datum in self.procedure.data:
            label = self.card.words(datum["label"])
            if datum.get("per_position"):
                cells = [self.datum(datum, p["id"]) for p in self.card.road.positions]
                by_position.append({"label": label, "cells": cells})
            else:
                common.append({"label": label, **self.datum(datum, None)})
        names = [p["label"] for p in positions] or ["Value"]
        return {"common": common, "by_position": by_position, "positions": names}

    def datum(self, datum: Page, position: str | None) -> Page:
        stands = self.card.standing.get((datum["name"], position))
        if stands is None or stands.entry is None:
            return {"shown": None, "said": None}
        e = stands.entry
        said = None
        if not e.body.get("origin"):
            said = f"{telling.who(self.card, e)}: {e.body.get('why', '')}".rstrip(": ")
        return {"shown": step_view.shown_entry(self.card, e, datum), "said": said}

    def hands(self) -> list[Page]:
        people = {p["person"]: p for p in self.book.people()}
        if self.blank:
            named = [] if self.specimen else [p for p in people.values() if p["roles"] and p["roles"] != ["keeper"]]
            return [
                {"name": p["name"], "roles": ", ".join(p["roles"]), "keys": [], "note": "", "count": ""} for p in named
            ]
        keys: dict[str, dict[str, int]] = {}
        for e in self.card.lines:
            signer = keys.setdefault(self.card.author(e) or "", {})
            signer[e.kid] = signer.get(e.kid, 0) + 1
            if e.body.get("measured_by"):
                keys.setdefault(e.body["measured_by"], {})
        out = []
        for person in sorted(keys, key=lambda p: (-sum(keys[p].values()), p)):
            known = people.get(person, {"name": person or "somebody unknown", "roles": []})
            out.append(
                {
                    "name": known["name"],
                    "roles": ", ".join(known["roles"]),
                    "keys": [form.fingerprint(k) for k in sorted(keys[person])],
                    "note": "measured; another wrote",
                    "count": sum(keys[person].values()),
                }
            )
        return out

    # --- steps and hold points ---------------------------------------------------------------------------

    def sections(self) -> list[Page]:
        out: list[Page] = []
        for place in self.card.road.places:
            title = self.card.words(place.section["title"])
            position = self.card.road.labels.get(place.position)
            if not out or (out[-1]["title"], out[-1]["position"]) != (title, position):
                out.append({"title": title, "position": position, "places": []})
            out[-1]["places"].append(self.hold(place) if place.kind == "hold" else self.step(place))
        return out

    def step(self, place: Any) -> Page:
        card = self.card
        s: Page = step_view.step(self.book, self.card_id, place.id)
        # What was written on a way not taken stays legible; where nothing was, a line is enough.
        s["off"] = s["state"] == "off" and (self.blank or not card.entries_at(place))
        if s["off"] or place.kind == "witness":
            return s
        s["condition"] = self.condition(place) if self.blank and s["state"] == "waiting" else None
        for r in s["readings"]:
            r["crank"] = r["kind"] == "number" and any(
                d.get("show") == "crank" for d in place.item["readings"] if d["name"] == r["name"]
            )
            r["unit_label"] = r["units"][0]["label"] if r["units"] else ""
            r["rows"] = [] if self.blank else [self.row(r, line) for line in r["table"]]
        s["tried"] = [r for r in s["readings"] if r["tries"]] if self.blank else []
        s["gauge"] = self.one_gauge(s["readings"])
        for j, asked in zip(s["judged"], place.item.get("judged", ()), strict=True):
            j["good_words"] = asked.get("good_words", ())
        limits = ("lower", "upper", "good_words", "limit_source")
        s["limited"] = any(part[k] for part in [*s["readings"], *s["judged"]] for k in limits)
        woven = {run["name"] for runs in s["text"] for run in runs if "name" in run}
        told = woven | {j["name"] for j in s["judged"]}
        s["worked"] = [x for x in s["values"] if x["name"] not in told]
        if s["drawing"] is None and self.blank and place.item.get("drawing"):
            s["drawing"] = self.sketch(place)
        stretch = s["stretch"]
        s["stretch_first"] = bool(stretch) and stretch[0] == place.id
        s["stretch_last"] = self.numbers[stretch[-1]] if len(stretch) > 1 else None
        rows = sum(max(len(r["rows"]), 1) for r in s["readings"]) + (TRIES if s["tried"] else 0)
        lines = 2 * rows + 2 * len(s["judged"]) + len(s["checks"]) + 2 * len(s["cautions"])
        s["short"] = lines + (9 if s["drawing"] else 0) <= WHOLE
        return s

    def one_gauge(self, readings: list[Page]) -> str | None:
        """The gauge of a whole table, said once over it; None where its readings differ in theirs."""
        found = set()
        for r in readings:
            found.update([row["by"] for row in r["rows"]] or [by_gauge(r["gauge"])])
        return found.pop() if len(found) == 1 else None

    def row(self, r: Page, line: Page) -> Page:
        """One line of a reading's table, with the verdict where it is the one that holds."""
        holds = r["value"] if r["value"] and r["value"]["entry"] == line["entry"] else None
        body = self.card.by_hash[line["entry"]].body
        unit = body.get("unit", "")
        note = "" if line["replaced"] and r["tries"] else line["words"].removeprefix("struck out: ")
        return {
            **line,
            "standing": holds is not None,
            "verdict": holds["verdict"] if holds else "none",
            "verdict_words": holds["verdict_words"] if holds else "",
            "uncertainty": holds["uncertainty"] if holds else None,
            "conceded": holds["conceded"] if holds else None,
            "typed": line["text_as_typed"] if unit not in ("", r["unit"]) else None,
            "by": by_gauge(body.get("gauge") or r["gauge"]),
            "gauge": (body.get("gauge") or r["gauge"] or {}).get("label"),
            "gone": line["struck"] or (line["replaced"] and not r["tries"]),
            "note": note,
        }

    def condition(self, place: Any) -> str:
        return "; ".join(packet_workings.asked(self.card, text) for text in place.when)

    def sketch(self, place: Any) -> Page | None:
        asked = place.item["drawing"]
        inputs = SKETCHES.get(asked["kind"])
        if inputs is None:
            return None
        texts = {name: WRITE_IN for name in asked.get("texts", {})}
        try:
            made: Page = drawings.draw(asked["kind"], inputs, texts, place.id.replace("@", "-"))
        except WorkingError:
            return None
        return {**made, "note": "A sketch, not to this engine's proportions: write its numbers in."}

    def hold(self, place: Any) -> Page:
        card = self.card
        h: Page = hold_view.hold(self.book, self.card_id, place.id)
        held, asked = card.holds[place.id], place.item["hold"]
        h.update({"kind": "hold", "off": held.off, "role": asked.get("role", "lead")})
        h["decided_by_another"] = bool(asked.get("decided_by_another"))
        steps_covered = [card.road.by_id[p] for p in held.places if card.steps[p].state != "off"]
        h["covers"] = " · ".join(f"{self.numbers[p.id]} {card.words(p.item['title'])}" for p in steps_covered)
        h["own"] = h["own_decisions"].get(card.author(held.signature.entry), []) if held.signature else []
        ticks = sum(row["kind"] == "check" for row in h["covered"])
        said = sum(row["kind"] == "said-done" for row in h["covered"])
        h["counted"] = (
            f"{ticks} ticks and {said} said done as they stand at their steps, and these" if ticks + said else ""
        )
        h["listed"] = self.listed(h)
        return h

    def listed(self, h: Page) -> list[Page]:
        """What is signed, ticks and said-dones apart, by step; what a step's lines repeat is said once."""
        groups: list[Page] = []
        for row in h["covered"]:
            if row["kind"] in ("check", "said-done"):
                continue
            place = self.card.road.by_id.get(row["place"])
            title = (
                f"{self.numbers[place.id]} {self.card.words(place.item['title'])}" if place else "Data sheet, decisions"
            )
            if not groups or groups[-1]["title"] != title:
                groups.append({"title": title, "rows": []})
            groups[-1]["rows"].append({**row, "conceded": None})
        for group in groups:
            signers = {row["who"] for row in group["rows"]}
            for row in group["rows"]:
                row["words"] = row["words"].replace(f" ({h['position']})", "")
                if len(signers) == 1 and row is not group["rows"][-1]:
                    row["words"] = row["words"].removesuffix(f", by {row['who']}")
        return groups


def by_gauge(gauge: Page | None) -> str | None:
    if not gauge:
        return None
    said = f"{gauge['label']}, reads to {gauge['resolution']}, ± {gauge['uncertainty']}"
    return said + (f", calibrated {gauge['calibrated']}" if gauge.get("calibrated") else "")
