"""The working in full, at the end of a packet: what each value is worked out from and how sure it is.

Everything comes from the sheet behind a value (workings/sheet.py), as on the phone.
"""

from __future__ import annotations

import re
from typing import Any

from markupsafe import Markup
from workings import registry, sheet, telling, typeset
from workings import values as v

Page = dict[str, Any]

PAGE = 900  # how wide a formula may run on paper, at the size of sheet.SIZE


def outputs(card: Any, definition: Page) -> list[str]:
    """The names of a value as the procedure uses them: itself, or the outputs of its working."""
    name = definition["name"]
    if "working" not in definition:
        return [name]
    used = set(re.findall(rf"\b{name}\.([a-z0-9_]+)", str(card.procedure.raw["sections"])))
    named = [o.name for o in registry.find(definition["working"]).outputs if o.name in used]
    return [f"{name}.{o}" for o in named]


def workings(card: Any) -> list[Page]:
    out = []
    for place in card.road.places:
        if place.kind != "step" or card.steps[place.id].state == "off":
            continue
        for definition in place.item.get("values", ()):
            sheets = [sheet.working(card, place.id, n, PAGE) for n in outputs(card, definition)]
            sheets = [s for s in sheets if s["lines"]]
            if sheets:
                out.append(working(card, place, sheets))
    return out


def working(card: Any, place: Any, sheets: list[Page]) -> Page:
    first = sheets[0]
    position = card.road.labels.get(place.position)
    single = "." not in first["name"]
    return {
        "label": first["label"],
        "title": first["title"],
        "brief": False,
        "where": f"step {card.road.places.index(place) + 1}" + (f", {position}" if position else ""),
        "lines": [
            {
                "formula": pictured(line["formula_svg"], line["spoken"]),
                "numbers": line["numbers_svg"] and pictured(line["numbers_svg"], "with the numbers"),
            }
            for line in first["lines"]
        ],
        # One formula shows its result itself: then only its uncertainty is to be told.
        "results": [
            {**s, "name": "" if single else s["name"].split(".")[1].replace("_", " ")}
            for s in sheets
            if not single or s["uncertainty"]
        ],
        "behind": behind(first["readings"]),
        "assumptions": first["assumptions"],
        "cautions": first["cautions"],
        "sources": first["sources"],
        "doubts": [d["words"] + (" (answered)." if d["answered"] else " (open).") for s in sheets for d in s["doubts"]],
    }


def formulas(card: Any) -> list[Page]:
    """On a blank: each formula once, by its labels, and what each working takes and rests on."""
    out = []
    for place in card.procedure.steps:
        for definition in place["step"].get("values", ()):
            page: Page = {"label": card.words(definition["label"]), "title": "", "lines": [], "results": []}
            page.update(behind=[], assumptions=[], cautions=[], sources=[], doubts=[])
            page["brief"] = "formula" in definition
            page["where"] = "in " + card.words(place["step"]["title"])
            if "formula" in definition:
                page["lines"] = [formula(card, page["label"], definition["formula"])]
            else:
                told = registry.find(definition["working"])
                page["title"] = told.title
                takes = [f"{n.replace('_', ' ')}: {asked(card, t)}" for n, t in sorted(definition["inputs"].items())]
                page["behind"] = [{"who": None, "words": " · ".join(takes)}]
                for part in ("assumptions", "cautions", "sources"):
                    page[part] = [card.words(t) for t in getattr(told, part)]
            out.append(page)
    return out


def formula(card: Any, label: str, text: str) -> Page:
    compiled = v.compiled_formula(text)
    labels = {n: card.words(telling.label_of(card, n)) for n in compiled.names}
    for n in compiled.names:
        if "." in n:
            labels[n] += " " + n.split(".")[1].replace("_", " ")
    node = ["row", ["text", label], ["text", " = "], compiled.typeset(labels)]
    return {"formula": pictured(typeset.svg(node, sheet.SIZE, PAGE), str(typeset.spoken(node))), "numbers": None}


def asked(card: Any, text: str) -> str:
    """The formula of a way in words: the labels of its names, and what they have to be."""
    compiled = v.compiled_formula(text)
    labels = {n: card.words(telling.label_of(card, n)) for n in compiled.names}
    return str(typeset.spoken(compiled.typeset(labels))).replace(" equals ", ": ")


def behind(readings: list[Page]) -> list[Page]:
    """The readings and data behind a value, under the name of whoever took them or where they come from."""
    found: dict[str, list[str]] = {}
    for r in readings:
        said = r["origin"] or r["who"] or "not read yet"
        found.setdefault(said[:1].upper() + said[1:], []).append(
            r["label"] + (f" {r['shown']['text']}" if r["shown"] else "")
        )
    return [{"who": who, "words": " · ".join(words)} for who, words in found.items()]


def pictured(svg: str, words: str) -> str:
    """An SVG that says in words what it shows: the PDF takes its alternative text from the title."""
    head, sign, rest = svg.partition(">")
    return Markup(f"{head}{sign}<title>") + words + Markup(f"</title>{rest}")
