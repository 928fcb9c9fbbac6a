"""A job in two halves, and the shop whose stories are told of it: M and N measure, L and K are leads.

Nothing here is a published value; the numbers are invented.
"""

from crew import Shop

PROCEDURE = {
    "format": "trammel-procedure/1", "id": "story", "version": "1", "title": "A job in two halves",
    "summary": "Measure, sign, cut, sign.", "notice": "Local codes have the last word.",
    "data": [{"name": "largest", "label": "Largest bore", "kind": "number", "dimension": "length",
              "units": ["in"], "show": "in 0.001"}],
    "gauges": [{"id": "mic", "label": "micrometer", "dimension": "length", "resolution": "0.001 in",
                "uncertainty": "0.002 in"}],
    "sections": [
        {"id": "first", "title": "Measure", "steps": [
            {"id": "found", "title": "As found", "any_time": True, "text": ["Read it as it lies."],
             "readings": [{"name": "as_found", "label": "As found", "kind": "number", "dimension": "length",
                           "units": ["in"], "show": "in 0.001", "gauge": "mic", "optional": True}]},
            {"id": "measure", "title": "Measure the bore", "text": ["The bore is at most ‹largest›."],
             "readings": [{"name": "bore", "label": "Bore", "kind": "number", "dimension": "length", "units": ["in"],
                           "show": "in 0.001", "gauge": "mic", "upper": "largest", "limit_source": "the drawing",
                           "tries": True}],
             "checks": [{"id": "clean", "words": "The bore is clean"}]},
            {"id": "h1", "title": "Before cutting", "hold": {"role": "lead", "words": "Measured and clean."}},
        ]},
        {"id": "second", "title": "Cut", "after": ["first"], "steps": [
            {"id": "cut", "title": "Cut to depth", "text": ["Cut, then measure."],
             "readings": [{"name": "depth", "label": "Depth", "kind": "number", "dimension": "length", "units": ["in"],
                           "show": "in 0.001", "gauge": "mic"}]},
            {"id": "h2", "title": "Before it leaves", "hold": {"role": "lead", "words": "Cut to depth."}},
        ]},
    ],
}


class Story:
    """One shop with M, N, L and K, each with a phone that has met the others after the opening."""

    def __init__(self, procedure=PROCEDURE, **more):
        self.shop = Shop(procedure, [("M", "mechanic"), ("N", "mechanic"), ("L", "lead"), ("K", "lead")],
                         data=[("largest", None, "10", "in")], **more)
        self.M, self.N, self.L, self.K = [self.shop.phone(p) for p in "MNLK"]
        self.shop.open_card(self.L)
        self.meet()
        self.M.say("said-done", "found")
        self.meet()

    def meet(self):
        self.M.meet(self.N, self.L, self.K)

    def read(self, phone, text="9.990", name="bore", place="measure", **more):
        return phone.say("reading", place, name=name, text=text, unit="in", **more)

    def insist_read(self, phone, text, name="bore", step="measure"):
        return phone.insist("reading", step=step, name=name, text=text, unit="in", measured_by=phone.person)

    def measure(self, phone, text="9.990"):
        reading = self.read(phone, text)
        phone.say("check", "measure", check="clean")
        phone.say("said-done", "measure")
        return reading

    def cut(self, phone):
        reading = phone.say("reading", "cut", name="depth", text="0.5", unit="in")
        phone.say("said-done", "cut")
        return reading

    def to_h1(self):
        self.measure(self.M)
        self.L.meet(self.M)
        signed = self.L.say("sign-off", "h1")
        self.meet()
        return signed

    def to_end(self):
        first = self.to_h1()
        self.cut(self.M)
        self.L.meet(self.M)
        second = self.L.say("sign-off", "h2")
        self.meet()
        return first, second
