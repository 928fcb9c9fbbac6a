"""A small job for cards at random: every kind of step, in few steps.

One repeat in order, a section that stands only on one way, a step that does, a reading at any time, a
computed value with a limit, data for the whole card and for each position. What the rules make of it is
told a second time, naively, in card_model.py.
"""


def number(name, **more):
    return {"name": name, "label": name.replace("_", " ").capitalize(), "kind": "number", "dimension": "length",
            "units": ["in"], "show": "in 0.001", "gauge": "mic", **more}


def words(name, *choices, **more):
    return {"name": name, "label": name.capitalize(), "kind": "words", "words": list(choices), **more}


def hold(ident, **more):
    return {"id": ident, "title": "Signal " + ident, "hold": {"role": "lead", "words": "It is so.", **more}}


PROCEDURE = {
    "format": "trammel-procedure/1", "id": "at-random", "version": "1", "title": "A job at random",
    "summary": "Measure, fit each rod, count.", "notice": "Local codes have the last word.",
    "data": [
        {"name": "largest", "label": "Largest bore", "kind": "number", "dimension": "length", "units": ["in"],
         "show": "in 0.001"},
        {"name": "room", "label": "Room", "kind": "number", "dimension": "length", "units": ["in"],
         "show": "in 0.001", "per_position": True},
        {"name": "fit", "label": "Kind of fit", "kind": "words", "words": ["running", "driving"]},
    ],
    "repeats": {"rod": {"label": "Rod", "order": "in order"}},
    "gauges": [{"id": "mic", "label": "micrometer", "dimension": "length", "resolution": "0.001 in",
                "uncertainty": "0.002 in"}],
    "sections": [
        {"id": "first", "title": "Measure", "steps": [
            {"id": "found", "title": "As found", "any_time": True, "text": ["Read it as it lies."],
             "readings": [number("as_found", optional=True)]},
            {"id": "measure", "title": "Measure the bore", "text": ["At most ‹largest›."],
             "readings": [number("bore", upper="largest", limit_source="the drawing", tries=True, settle=True),
                          words("kind", "plain", "bushed")],
             "checks": [{"id": "clean", "words": "The bore is clean"}]},
            hold("h1")]},
        {"id": "bush", "title": "Bush it", "after": ["first"], "when": "kind = 'bushed'", "steps": [
            {"id": "drive", "title": "Drive the bush", "text": ["Drive it home."],
             "checks": [{"id": "home", "words": "Home"}]},
            hold("hb")]},
        {"id": "each", "title": "Fit each rod", "repeat": "rod", "after": ["first"], "steps": [
            {"id": "pin", "title": "Measure the pin", "text": ["Play comes to ‹play›."],
             "readings": [number("pin_size"), words("feel", "free", "tight", good_words=["free"])],
             "way": {"name": "how", "label": "How", "words": ["by hand", "by press"]},
             "values": [{"name": "play", "label": "Play", "dimension": "length", "show": "in 0.001",
                         "formula": "bore - pin_size"}],
             "judged": [{"value": "play", "label": "Play", "upper": "room", "limit_source": "the drawing"}]},
            {"id": "press", "title": "Press it in", "when": "how = 'by press' and fit = 'driving'",
             "text": ["Press it home."], "checks": [{"id": "pressed", "words": "Pressed home"}]},
            hold("hr")]},
        {"id": "last", "title": "Count", "after": ["bush", "each"], "steps": [
            {"id": "count", "title": "Count the tools", "text": ["Count them."],
             "checks": [{"id": "counted", "words": "All counted"}]},
            hold("h2")]},
    ],
}

DATA = [("largest", None, "10", "in"), ("room", "a", "0.020", "in"), ("room", "b", "0.020", "in"),
        ("fit", None, "driving", "")]
