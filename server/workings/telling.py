"""Entries, steps and keys in words, as screens, pages and reasons say them."""


def key_owner(card, kid):
    person = card.register.now["people"].get(kid)
    return card.register.name(person) + "'s phone" if person else "a key not in the register"


def who(card, entry):
    """The name of an entry's author."""
    return card.register.name(card.author(entry) or "somebody unknown")


def label_of(card, name):
    d = card.procedure.names.get(name.split(".")[0])
    return card.words(d["definition"].get("label", name)) if d is not None else name


def place_words(card, place):
    label = card.road.labels.get(place.position)
    return card.words(place.item["title"]) + (" (%s)" % label if label else "")


def as_typed(body):
    """A reading as it was typed, with its unit where it is a number ("bottom quarter" wants none)."""
    number = any([c in "0123456789½¼¾⅛⅜⅝⅞" for c in body["text"]])
    return body["text"] + (" " + body["unit"] if body.get("unit") and number else "")


def describe(card, e):
    """An entry in words: what it says, and by whom."""
    body, who = e.body, card.register.name(card.author(e) or "somebody unknown")
    at = card.road.labels.get(body.get("position")) if card.road else None
    at = " (%s)" % at if at else ""
    if e.kind in ("reading", "way", "data-value"):
        return "%s%s: %s, by %s" % (label_of(card, body["name"]), at, as_typed(body), who)
    if e.kind in ("check", "said-done", "invitation", "presence", "waiver"):
        place = card.procedure.place(body["step"])
        title = card.words(place["step"]["title"]) if place else body["step"]
        if e.kind == "check" and place:
            for c in place["step"].get("checks", ()):
                if c["id"] == body["check"]:
                    title = card.plain(c["words"], body.get("position"))
        return "%s%s: %s, by %s" % (title, at, {"check": "ticked", "said-done": "said done"}.get(e.kind, e.kind), who)
    if e.kind == "sign-off":
        place = card.procedure.place(body["hold"])
        return "%s%s: signed by %s" % (card.words(place["step"]["title"]) if place else body["hold"], at, who)
    if e.kind in ("concession", "doubt", "choice") and "name" in body:
        return "%s on %s%s, by %s: %s" % (e.kind, label_of(card, body["name"]), at, who,
                                         body.get("why", "which reading holds"))
    words = body.get("why") or body.get("text") or body.get("title") or body.get("label") or ""
    return "%s, by %s%s" % (e.kind.replace("-", " "), who, ": " + words if words else "")
