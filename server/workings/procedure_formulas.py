# The names and formulas of a procedure: everything that is named exists, exists by the time it is
# used, and has the dimension that the place wants.

from workings import formula, quantities, registry, weaving
from workings.errors import WorkingError
from workings.procedure_fields import at, listing
from workings.procedure_names import NUMBER, TEXT, YES_NO, Names, kind_of
from workings.working import words_of

# What a drawing takes (see drawings.py): the dimension of each input, None for words.
DRAWN = {
    "wheel_on_wedge": {
        "wheel_diameter": "length",
        "wedge_length": "length",
        "wedge_height": "length",
        "axle_rise": "length",
        "lay_distance": "length",
        "pull_direction": None,
        "raise": None,
    }
}
DRAWN_ALWAYS = ("wheel_diameter", "wedge_length", "wedge_height")
DRAWN_TEXTS = ("axle_rise", "lay_distance", "travel")

_SAID = {"number": "a number", "text": "words", "yes/no": "yes or no"}


def check(found, procedure, where):
    _Checker(found, procedure, where).run()


class _Checker(Names):
    def __init__(self, found, procedure, where):
        super().__init__(found, procedure)
        self.where = where
        self.used = set()
        self.direct = {}

    def run(self):
        for gauge in self.procedure.raw.get("gauges", []):
            self.gauge(gauge)
        for entry in self.procedure.data:
            here = at("", "data", entry["name"])
            if entry.get("per_position") and not self.procedure.repeats:
                self.found.add(
                    here, '"per_position" needs a repeat; declare one in "repeats", or take it out'
                )
            self.definition(here, entry)
        for section in self.procedure.sections:
            if section.get("when"):
                self._when(at("", "section", section["id"]), section["when"], section, None)
        for place in self.procedure.steps:
            if place["kind"] == "step":
                self._step(place)
        self._circles()
        self._unused()

    # --- where a name may be used ---

    def _reaches(self, here, name, section, step, strictly):
        """Whether a name exists at a place, and by the time that place is worked."""
        base = name.split(".")[0]
        entry = self.procedure.names[base]
        self.used.add(base)
        if entry["repeat"] and section.get("repeat") is None:
            self.found.add(
                here,
                '"' + base + '" has a value for every position, and this section is not repeated; '
                "use it in a repeated section",
            )
            return False
        if entry["step"] is None:
            return True
        if step is None:
            early = entry["section"] in self.procedure.after(section["id"])
        elif entry["step"] == step["id"]:
            early = not strictly
        else:
            early = self.procedure.stands_before(entry["step"], step["id"])
        if not early:
            self.found.add(
                here,
                '"' + base + '" comes from step "' + entry["step"] + '", which does not stand before this; '
                "move that step forward, or this one back",
            )
        return early

    def _formula(self, here, text, section, step, strictly=False):
        """(compiled, type) of a formula where all its names hold, else (compiled or None, None)."""
        try:
            compiled = formula.compile_formula(text)
        except WorkingError as error:
            self.found.add(here, error.message)
            return None, None
        types, good = {}, True
        for name in compiled.names:
            kind = self.type_of(name)
            if isinstance(kind, str):
                self.found.add(here, kind)
                good = False
            elif kind is None:
                good = False
            else:
                types[name] = kind
                good = self._reaches(here, name, section, step, strictly) and good
        if not good:
            return compiled, None
        try:
            return compiled, compiled.check(types)
        except WorkingError as error:
            self.found.add(here, error.message)
            return compiled, None

    def _when(self, here, text, section, step):
        compiled, kind = self._formula(at(here, "when", "").replace(' ""', ""), text, section, step, True)
        if kind is not None and kind[0] != YES_NO:
            self.found.add(
                here, '"when" gives ' + _SAID[kind[0]] + "; write a comparison that gives yes or no"
            )
        if compiled is not None:
            self._literals(here, text, compiled.names)

    def _literals(self, here, text, names):
        """A word compared with a name's words must be one of them: a slip here shuts a way for good."""
        known = []
        for name in names:
            base, _, output = name.partition(".")
            entry = self.procedure.names.get(base)
            if entry is None:
                return
            if "working" in entry["definition"]:
                working = registry.known(entry["definition"]["working"])
                for one in working.outputs if working else ():
                    if one.name == output and one.shape.startswith("choice"):
                        known.extend(words_of(one.shape))
            elif kind_of(entry) == "words" and "formula" not in entry["definition"]:
                known.extend(entry["definition"].get("words", []))
            elif kind_of(entry) == "words":
                return
        parts = text.split("'")
        for index in range(1, len(parts), 2):
            if known and parts[index] not in known and parts[index - 1].rstrip()[-1:] in ("=", ">"):
                self.found.add(
                    here, "'" + parts[index] + "' is none of the words here; take " + listing(known)
                )

    def _same(self, here, field, kind, wanted):
        """A formula's type against the type its place wants; True where they agree."""
        if kind is None or wanted is None or isinstance(wanted, str) or kind == wanted:
            return
        if kind[0] != wanted[0]:
            self.found.add(
                here, '"' + field + '" gives ' + _SAID[kind[0]] + "; here stands " + _SAID[wanted[0]]
            )
        else:
            self.found.add(
                here,
                '"'
                + field
                + '" gives '
                + self._called(kind[1])
                + "; here stands "
                + self._called(wanted[1])
                + "; mend the formula or the dimension",
            )

    def _called(self, dimension):
        for name in ("length", "angle", "force", "plain", "temperature", "mass", "area", "pressure", "time"):
            if quantities.DIMENSIONS[name] == dimension:
                return name
        for name in sorted(quantities.DIMENSIONS):
            if quantities.DIMENSIONS[name] == dimension:
                return name
        return "a dimension without a name"

    # --- a step ---

    def _step(self, place):
        step, section, here = place["step"], place["section"], self.where(place)
        if step.get("when"):
            self._when(here, step["when"], section, step)
        for entry in step.get("readings", []):
            inner = at(here, "reading", entry["name"])
            if self.definition(inner, entry):
                self._limits(inner, entry, self.type_of(entry["name"]), section, step)
        for entry in step.get("values", []):
            self._value(at(here, "value", entry["name"]), entry, section, step)
        for entry in step.get("judged", []):
            self._judged(at(here, "judged", entry["value"]), entry, section, step)
        for text in self.woven_texts(step):
            for run in weaving.woven(text):
                if run[0] == "value":
                    self._woven(here, run[1], run[2], section, step)
        if "drawing" in step:
            self._drawing(at(here, "drawing", step["drawing"]["kind"]), step["drawing"], section, step)

    @staticmethod
    def woven_texts(step):
        texts = list(step.get("text", [])) + [entry["words"] for entry in step.get("checks", [])]
        texts.extend((step.get("drawing") or {}).get("texts", {}).values())
        return texts

    def _limits(self, here, entry, kind, section, step):
        limited = False
        for field in ("lower", "upper"):
            if field in entry:
                limited = True
                self._same(here, field, self._formula(here, entry[field], section, step)[1], kind)
        if limited and not entry.get("limit_source"):
            self.found.add(here, 'it has a limit without "limit_source"; say whose limit it is')
        if entry.get("settle") and not limited and "good_words" not in entry:
            self.found.add(here, '"settle" stands without a limit; add "lower" or "upper", or take it out')

    def _judged(self, here, entry, section, step):
        kind = self.type_of(entry["value"])
        if isinstance(kind, str):
            self.found.add(here, kind)
        elif kind is not None and self._reaches(here, entry["value"], section, step, False):
            if kind[0] != NUMBER:
                if not entry.get("good_words"):
                    self.found.add(here, 'it is judged in words, but no word is good; add "good_words"')
                return
            self._show(here, entry["value"], entry.get("show"))
            self._limits(here, entry, kind, section, step)
            if "lower" not in entry and "upper" not in entry:
                self.found.add(here, 'it is judged against nothing; add "lower" or "upper"')

    def _show(self, here, name, form):
        """A number's own format, or the one its definition gives."""
        shown = form
        if form is None and "." not in name:
            shown = self.procedure.names[name]["definition"].get("show")
        if shown is None:
            self.found.add(
                here, '"' + name + '" has no format; say how it is shown, as in ‹' + name + " : in/16›"
            )
        elif form is not None:
            self.format(here, form, self._dimension_name(name))

    def _woven(self, here, name, form, section, step):
        kind = self.type_of(name)
        if isinstance(kind, str):
            self.found.add(here, kind)
        elif kind is not None and self._reaches(here, name, section, step, False):
            if kind[0] == NUMBER:
                self._show(here, name, form)
            elif form is not None and form not in ("words", "yes/no"):
                self.found.add(here, '"' + name + '" is no number; write ‹' + name + "› without a format")

    def _value(self, here, entry, section, step):
        if ("formula" in entry) == ("working" in entry):
            self.found.add(here, 'give it either a "formula" or a "working", not both and not neither')
            return
        if "formula" in entry:
            if "inputs" in entry:
                self.found.add(here, '"inputs" belongs to a working; take it out')
            compiled, kind = self._formula(here, entry["formula"], section, step)
            if self.definition(here, entry):
                self._same(here, "formula", kind, self.type_of(entry["name"]))
            self.direct[entry["name"]] = [n.split(".")[0] for n in compiled.names] if compiled else []
            return
        for field in ("kind", "dimension", "show"):
            if field in entry:
                self.found.add(here, 'a working knows its own "' + field + '"; take it out')
        self._working(here, entry, section, step)

    def _working(self, here, entry, section, step):
        working = registry.known(entry["working"])
        if working is None:
            self.found.add(
                here, '"' + entry["working"] + '" is no working; take ' + listing(registry.ids())
            )
            return
        direct = []
        inputs = entry.get("inputs", {})
        for name in sorted(inputs):
            spec = working.input(name)
            if spec is None:
                known = listing([one.name for one in working.inputs])
                self.found.add(here, '"' + name + '" is no input of ' + working.id + "; it takes " + known)
                continue
            inner = at(here, "input", name)
            compiled, kind = self._formula(inner, inputs[name], section, step)
            if compiled is not None:
                direct.extend([n.split(".")[0] for n in compiled.names])
                self._choice(inner, spec, inputs[name], compiled)
            self._same(inner, name, kind, self._input_type(inner, spec))
        for spec in working.inputs:
            if not spec.optional and spec.name not in inputs:
                self.found.add(here, 'the input "' + spec.name + '" of ' + working.id + " is missing; add it")
        self.direct[entry["name"]] = direct

    def _input_type(self, here, spec):
        if spec.shape.startswith("yes/no"):
            return (YES_NO,)
        if spec.shape.startswith("choice") or spec.shape == "text":
            return (TEXT,)
        if spec.shape.startswith("number") or spec.shape == "whole number":
            return (
                (NUMBER, quantities.DIMENSIONS[spec.dimension])
                if spec.dimension in quantities.DIMENSIONS
                else None
            )
        self.found.add(here, "a procedure cannot give this input; it takes " + spec.shape)
        return None

    def _choice(self, here, spec, text, compiled):
        """Words that go straight to a working must be words it takes."""
        if not spec.shape.startswith("choice") or compiled.names != [text]:
            return
        entry = self.procedure.names.get(text)
        if entry is None or "." in text:
            return
        for word in entry["definition"].get("words", []):
            if word not in words_of(spec.shape):
                self.found.add(
                    here, '"' + word + '" is not taken here; it takes ' + listing(words_of(spec.shape))
                )

    def _drawing(self, here, drawing, section, step):
        known = DRAWN[drawing["kind"]]
        for name in sorted(drawing["inputs"]):
            if name not in known:
                self.found.add(
                    here, '"' + name + '" is no input of this drawing; it takes ' + listing(sorted(known))
                )
                continue
            wanted = (TEXT,) if known[name] is None else (NUMBER, quantities.DIMENSIONS[known[name]])
            inner = at(here, "input", name)
            kind = self._formula(inner, drawing["inputs"][name], section, step)[1]
            self._same(inner, name, kind, wanted)
        for name in DRAWN_ALWAYS:
            if name not in drawing["inputs"]:
                self.found.add(here, 'its input "' + name + '" is missing; add it')
        for name in sorted(drawing.get("texts", {})):
            if name not in DRAWN_TEXTS:
                self.found.add(
                    here, '"' + name + '" is no text of this drawing; it takes ' + listing(DRAWN_TEXTS)
                )

    # --- the whole ---

    def _circles(self):
        """Values that rest on each other would wait for ever."""
        for name in sorted(self.direct):
            seen, todo = set(), list(self.direct[name])
            while todo:
                one = todo.pop()
                if one == name:
                    entry = self.procedure.names[name]
                    here = at(at("", "step", entry["step"]), "value", name)
                    self.found.add(here, "it rests on itself, by way of its formula; break the circle")
                    return
                if one not in seen:
                    seen.add(one)
                    todo.extend(self.direct.get(one, []))

    def _unused(self):
        for name in sorted(self.procedure.names):
            entry = self.procedure.names[name]
            if name in self.used or name in ("vocabulary", "jurisdiction"):
                continue
            if entry["kind"] == "data":
                self.found.add(at("", "data", name), "nothing uses it; use it or take it out", "advice")
            elif entry["kind"] == "value" and "working" in entry["definition"]:
                here = at(at("", "step", entry["step"]), "value", name)
                self.found.add(here, "nothing uses any of its outputs; use one or take it out", "advice")
