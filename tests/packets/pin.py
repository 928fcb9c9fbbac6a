"""A small job, "Fit a pin", with one of everything that a packet has to print."""

import json

from crew import Shop

PROCEDURE = {
    "format": "trammel-procedure/1",
    "id": "fit-a-pin",
    "version": "3",
    "title": "Fit a pin in a {side rod}",
    "summary": "A pin is measured, judged and fitted.",
    "notice": "The responsible engineer has the last word.",
    "data": [
        {"name": "vocabulary", "label": "Shop words", "kind": "words", "words": ["american", "british"]},
        {"name": "jurisdiction", "label": "Code in force", "kind": "words", "words": ["the shop's own"]},
        {"name": "play_limit", "label": "Most play", "kind": "number", "dimension": "length", "units": ["in"],
         "show": "in 0.001"},
    ],
    "tools": ["Press", "Lamp"],
    "materials": ["Oil"],
    "gauges": [{"id": "mic", "label": "Micrometer", "dimension": "length", "resolution": "0.001 in",
                "uncertainty": "0.001 in"}],
    "sections": [
        {"id": "work", "title": "The pin", "steps": [
            {"id": "measure", "title": "Measure",
             "text": ["The pin has ‹play : thou 1› of play. Mind the {side rods}."],
             "cautions": [
                 {"signal": "danger", "symbol": "crush", "words": "Nothing under the press but the pin."},
                 {"signal": "warning", "symbol": "suspended-load", "words": "Nobody under the rod."},
                 {"signal": "caution", "symbol": "no-hands", "words": "No finger in the eye."},
                 {"signal": "notice", "symbol": "hot", "words": "The bush comes warm."}],
             "notes": ["Measure at two places."], "if_out": "Turn a new pin.",
             "readings": [
                 {"name": "bore", "label": "Bore of the bush", "kind": "number", "dimension": "length",
                  "units": ["in", "mm"], "show": "in 0.001", "gauge": "mic", "tries": True},
                 {"name": "pin", "label": "Pin across", "kind": "number", "dimension": "length",
                  "units": ["in", "mm"], "show": "in 0.001", "gauge": "mic", "lower": "2[in]", "upper": "3[in]",
                  "limit_source": "The drawing"},
                 {"name": "reach", "label": "Reach of the pin", "kind": "number", "dimension": "length",
                  "units": ["in"], "show": "in/64"},
                 {"name": "feel", "label": "By hand", "kind": "words", "words": ["free", "tight"],
                  "good_words": ["free"]}],
             "values": [{"name": "play", "label": "Play", "dimension": "length", "show": "in 0.001",
                         "formula": "bore - pin"}],
             "judged": [{"value": "play", "label": "Play", "lower": "0[in]", "upper": "play_limit",
                         "limit_source": "The engine's drawing", "settle": False}]},
            {"id": "press", "title": "Press", "no_stopping": True, "in_order": True, "text": ["Press it home."],
             "checks": [{"id": "clear", "words": "Hands clear"}, {"id": "home", "words": "Pin home"}]},
            {"id": "boiler", "title": "The inspector looks",
             "witness": {"who": "The inspector", "words": "He may watch."}},
            {"id": "in", "title": "Pin in", "hold": {"role": "lead", "words": "The pin is in and stays in."}},
        ]},
    ],
    "sources": ["The drawing"],
}  # fmt: skip
TEXT = json.dumps(PROCEDURE, ensure_ascii=False)
MICROMETER = {"id": "mic-7", "label": "Micrometer no. 7", "resolution": "0.001 in", "uncertainty": "0.002 in",
              "calibrated": "2031-01-31"}  # fmt: skip


class Pin(Shop):
    """Opened by a lead; Ann measures and writes, Bea leads, Cy measures too."""

    card_id = "pin-1"

    def __init__(self):
        super().__init__(TEXT, [("ann", "mechanic"), ("cy", "mechanic"), ("bea", "lead")])
        for person, name in (("ann", "Ann Ames"), ("cy", "Cy Court"), ("bea", "Bea Bright")):
            self.root.about("register", "person", person=person, name=name)
        self.bea, self.ann, self.cy = self.phone("bea"), self.phone("ann"), self.phone("cy")
        self.bea.about("engine:e1", "opening", name="No. 7", **{"class": "0-6-0"})
        for name, text, unit in (("vocabulary", "american", ""), ("jurisdiction", "the shop's own", ""),
                                 ("play_limit", "0.010", "in")):  # fmt: skip
            self.bea.about("engine:e1", "data-value", name=name, text=text, unit=unit)
        self.bea.about("gauges", "gauge", dimension="length", **MICROMETER)
        self.bea.say("opening", engine="e1", procedure=self.version, title="A new pin", positions=[])
        self.ann.meet(self.bea, self.cy)

    def read(self, name, text, unit="in", **more):
        body = {"measured_by": "cy", **more}
        if name in ("bore", "pin"):
            body["gauge"] = MICROMETER
        return self.ann.say("reading", "measure", name=name, text=text, unit=unit, **body)

    def measured(self):
        """All read and said done; the first try at the bore is replaced by a second."""
        self.read("bore", "2.511")
        self.read("bore", "2.508")
        self.read("pin", "2.503")
        self.read("reach", "7 5/16")
        self.read("feel", "free", "")
        self.ann.say("said-done", "measure")
        return self

    def pressed(self):
        for check in ("clear", "home"):
            self.ann.say("check", "press", check=check)
        self.ann.say("said-done", "press")
        return self

    def signed(self):
        self.bea.meet(self.ann)
        self.bea.say("sign-off", "in")
        self.ann.meet(self.bea)
        return self

    @property
    def book(self):
        return self.ann.book
