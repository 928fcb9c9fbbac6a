"""A whole procedure, small and sound, for tests that spoil one thing in it."""

import json


def reading(name, **more):
    return {
        "name": name,
        "label": name.replace("_", " ").capitalize(),
        "kind": "number",
        "dimension": "length",
        "units": ["in", "mm"],
        "show": "in 0.001",
        **more,
    }


def small():
    """A whole procedure, small and sound: every test below spoils one thing in a copy of it."""
    return {
        "format": "trammel-procedure/1",
        "id": "fit-a-pin",
        "version": "1",
        "title": "Fit a pin",
        "summary": "A pin is measured, turned and fitted.",
        "notice": "The responsible engineer has the last word.",
        "data": [
            {
                "name": "play_limit",
                "label": "Most play",
                "kind": "number",
                "dimension": "length",
                "units": ["in"],
                "show": "in 0.001",
            },
            {"name": "fit_kind", "label": "Kind of fit", "kind": "words", "words": ["running", "driving"]},
            {
                "name": "rod_weight",
                "label": "Weight of the rod",
                "kind": "number",
                "dimension": "force",
                "units": ["lbf"],
                "show": "lbf 10",
                "per_position": True,
            },
        ],
        "repeats": {"pin": {"label": "Pin", "order": "in order"}},
        "gauges": [
            {
                "id": "mic",
                "label": "Micrometer",
                "dimension": "length",
                "resolution": "0.001 in",
                "uncertainty": "0.001 in",
            }
        ],
        "sections": [
            {
                "id": "first",
                "title": "Measure",
                "steps": [
                    {
                        "id": "look",
                        "title": "Look it over",
                        "any_time": True,
                        "text": ["Measure the bore: ‹bore›. Mind the {side rods}."],
                        "readings": [reading("bore", gauge="mic")],
                    }
                ],
            },
            {
                "id": "each",
                "title": "Fit each pin",
                "repeat": "pin",
                "after": ["first"],
                "steps": [
                    {
                        "id": "measure",
                        "title": "Measure the pin",
                        "cautions": [
                            {"signal": "warning", "symbol": "pinch-hand", "words": "Mind the hand."}
                        ],
                        "text": [
                            "The pin is ‹play : thou 1› smaller; each leg pulls ‹leg.leg_tension : lbf 10›."
                        ],
                        "if_out": "Turn a new pin.",
                        "readings": [
                            reading("pin", upper="bore", limit_source="The bore"),
                            {
                                "name": "feel",
                                "label": "By hand",
                                "kind": "words",
                                "words": ["free", "tight"],
                                "good_words": ["free"],
                            },
                        ],
                        "way": {"name": "how", "label": "It is fitted", "words": ["by hand", "by press"]},
                        "values": [
                            {
                                "name": "play",
                                "label": "Play",
                                "dimension": "length",
                                "show": "in 0.001",
                                "formula": "bore - pin",
                            },
                            {
                                "name": "leg",
                                "label": "Sling",
                                "working": "sling_legs",
                                "inputs": {"load": "rod_weight", "legs": "2", "angle": "60[deg]"},
                            },
                        ],
                        "judged": [
                            {
                                "value": "play",
                                "label": "Play",
                                "upper": "play_limit",
                                "limit_source": "The drawing",
                                "settle": True,
                            }
                        ],
                    },
                    {
                        "id": "press",
                        "title": "Press it in",
                        "when": "how = 'by press' and fit_kind = 'driving'",
                        "no_stopping": True,
                        "in_order": True,
                        "text": ["Press without stopping."],
                        "checks": [
                            {"id": "clear", "words": "Hands clear"},
                            {"id": "home", "words": "Pin home, ‹play› of play"},
                        ],
                    },
                    {"id": "pin-in", "title": "Pin in", "hold": {"role": "lead", "words": "The pin is in."}},
                ],
            },
        ],
    }


def text_of(raw):
    return json.dumps(raw, ensure_ascii=False)
