"""What a name on a card stands for: data, readings and ways as they stand, computed values from them.

A name in a repeated section means that position's. A computed value has a value when all its inputs have;
otherwise it names what it waits for. Raw values are passed on; what is shown is rounded once, at the end.
"""

from workings import formula, registry, weaving
from workings.errors import WorkingError
from workings.units_table import DIMENSIONS

MOST_RUNS = 2000


class Missing(Exception):
    """A value that waits: names are what it waits for; optional where all of them may be left out."""

    def __init__(self, names, optional=False):
        super().__init__(", ".join(names))
        self.names, self.optional = names, optional


class Trouble(Exception):
    """A value that cannot be calculated from what stands; message says why."""

    def __init__(self, message):
        super().__init__(message)
        self.message = message


class Values:
    """Names to values on one card.

    standing: {(name, position): Standing} of data, readings and ways, filled as the fold goes on;
    kept: a Kept that outlives the fold (same inputs, same outputs).
    """

    def __init__(self, procedure, standing, kept):
        self.procedure, self.standing, self.kept = procedure, standing, kept
        self._memo, self._misses = {}, {}
        self._trials, self._before, self._changed = {}, None, ()

    def learned(self):
        """Something stands now that did not before: what was missing is looked for again."""
        self._misses.clear()

    def place_of(self, name, position):
        """The key under which a name stands: with the position only where it belongs to one."""
        d = self.procedure.names.get(name.split(".")[0])
        return (name, position if d is not None and d["repeat"] else None)

    def get(self, name, position):
        """(kind, value) of a name or name.output; raises Missing or Trouble."""
        base = name.split(".")[0]
        d = self.procedure.names.get(base)
        if d is None:
            raise Trouble("There is nothing called %s in this procedure." % base)
        key = self.place_of(name, position)
        if key in self._memo:
            return self._memo[key]
        if key in self._misses:
            raise self._misses[key]
        if self._before is not None and not any([n in all_behind(self.procedure, base) for n in self._changed]):
            return self._before.get(name, position)
        if d["kind"] != "value":
            stands = self.standing.get(key)
            if stands is None or stands.value is None:
                raise Missing([d["definition"].get("label", base)], bool(d["definition"].get("optional")))
            return stands.value
        try:
            found, whole = self._compute(d["definition"], name, key[1])
        except (Missing, Trouble) as gap:
            self._misses[key] = gap
            raise
        if whole:
            self._memo[key] = found
        return found

    def evaluate(self, text, position):
        """(kind, value) of a formula's text at a position."""
        key = ("=" + text, position)
        if key in self._misses:
            raise self._misses[key]
        try:
            return self._evaluate(text, position)[0]
        except (Missing, Trouble) as gap:
            self._misses[key] = gap
            raise

    def type_of(self, name):
        return type_of(self.procedure, name)

    def with_changed(self, numbers):
        """The same card with other numbers for some readings, {key: SI}: for the propagation of uncertainty.

        What does not rest on a number that differs is taken from here, and runs of workings are shared."""
        other = {k: numbers[k] for k in numbers if self.standing[k].value != ("number", numbers[k])}
        changed = dict(self.standing)
        for key in other:
            changed[key] = _Changed(("number", other[key]))
        out = Values(self.procedure, changed, self.kept)
        out._before, out._changed, out._trials = self, [k[0] for k in other], self._trials
        return out

    def readings_behind(self, names, position):
        """Keys of the readings, and of the data, that names rest on: (readings, data)."""
        readings, data = set(), set()
        for name in sorted(closure(self.procedure, names)):
            d = self.procedure.names[name]
            if d["kind"] != "value":
                (data if d["kind"] == "data" else readings).add((name, position if d["repeat"] else None))
        return readings, data

    def _evaluate(self, text, position):
        compiled = compiled_formula(text)
        values, waits, optional, whole = {}, [], True, True
        for name in compiled.names:
            try:
                values[name] = self.get(name, position)[1]
            except Missing as gap:
                waits.extend([n for n in gap.names if n not in waits])
                optional = optional and gap.optional
        if waits:
            raise Missing(waits, optional)
        types = {name: self.type_of(name) for name in compiled.names}
        try:
            return compiled.evaluate(values, types), whole
        except WorkingError as error:
            raise Trouble(error.message)

    def _compute(self, definition, name, position):
        if "formula" in definition:
            return self._evaluate(definition["formula"], position)
        inputs, waits, whole, optional = {}, [], True, True
        needed = {i.name: i for i in registry.find(definition["working"]).inputs}
        for input_name in sorted(definition["inputs"]):
            try:
                inputs[input_name] = self.evaluate(definition["inputs"][input_name], position)[1]
            except Missing as gap:
                if gap.optional and needed[input_name].optional:
                    whole = False
                else:
                    waits.extend([n for n in gap.names if n not in waits])
                    optional = optional and gap.optional
        if waits:
            raise Missing(waits, optional)
        outputs = self._run(definition["working"], inputs)
        output = name.split(".")[1]
        value = outputs[output]
        if value is None:
            raise Missing(["%s (%s)" % (definition.get("label", definition["name"]), output.replace("_", " "))], True)
        kind = "yes/no" if value is True or value is False else "text" if isinstance(value, str) else "number"
        return (kind, value), whole

    def _run(self, working, inputs):
        mark = (working, tuple(sorted(inputs.items(), key=lambda item: item[0])))
        runs = self.kept.runs if self._before is None else self._trials
        if mark not in runs:
            if len(runs) > MOST_RUNS:
                runs.clear()
            try:
                runs[mark] = registry.run(working, inputs)
            except WorkingError as error:
                runs[mark] = error
        found = runs[mark]
        if isinstance(found, WorkingError):
            raise Trouble(found.message)
        return found

    def working_inputs(self, definition, position):
        """The inputs of a value's working, in base SI, those left out aside."""
        inputs = {}
        for input_name in sorted(definition["inputs"]):
            try:
                inputs[input_name] = self.evaluate(definition["inputs"][input_name], position)[1]
            except Missing:
                pass
        return inputs


class Kept:
    """What folds leave for later ones, by what it hangs on: runs of workings, readings as typed, uncertainties,
    roads. Nothing here decides anything; without it the same state comes out, later."""

    def __init__(self):
        self.runs, self.typed, self.uncertainties, self.roads = {}, {}, {}, {}


class _Changed:
    def __init__(self, value):
        self.value = value


_compiled = {}


def compiled_formula(text):
    if text not in _compiled:
        if len(_compiled) > 2000:
            _compiled.clear()
        _compiled[text] = formula.compile_formula(text)
    return _compiled[text]


def type_of(procedure, name):
    """("number", dimension) or ("text",) or ("yes/no",) of a name or name.output."""
    base, output = name.split(".")[0], name.split(".")[1] if "." in name else None
    d = procedure.names[base]
    definition = d["definition"]
    if d["kind"] == "value" and "working" in definition:
        for o in registry.find(definition["working"]).outputs:
            if o.name == output:
                if o.shape.startswith("yes/no"):
                    return ("yes/no",)
                if o.shape.startswith("choice") or o.shape.startswith("text"):
                    return ("text",)
                return ("number", DIMENSIONS[o.dimension])
    kind = definition.get("kind", "words" if d["kind"] == "way" else "number")
    if kind == "words":
        return ("text",)
    if kind == "yes/no":
        return ("yes/no",)
    return ("number", DIMENSIONS[definition["dimension"]])


def closure(procedure, names):
    """Every base name that these names rest on, themselves included, through computed values."""
    kept = procedure.closures
    out, todo = set(), [n.split(".")[0] for n in names]
    while todo:
        name = todo.pop()
        if name in out or name not in procedure.names:
            continue
        out.add(name)
        d = procedure.names[name]
        if d["kind"] == "value":
            if name not in kept:
                kept[name] = _direct_names(d["definition"])
            todo.extend(kept[name])
    return out


def all_behind(procedure, base):
    """The set of every base name that one rests on, itself included."""
    key = "behind:" + base
    if key not in procedure.closures:
        procedure.closures[key] = closure(procedure, [base])
    return procedure.closures[key]


def _direct_names(definition):
    texts = [definition["formula"]] if "formula" in definition else list(definition["inputs"].values())
    return names_of_formulas(texts)


def names_of_formulas(texts):
    return [n.split(".")[0] for t in texts for n in compiled_formula(t).names]


def names_in_step(item, section):
    """Every name that a step uses: woven into its text, in limits, conditions and the drawing."""
    names, texts = [], []
    for t in (section, item):
        if t.get("when"):
            texts.append(t["when"])
    woven = list(item.get("text", ())) + [c["words"] for c in item.get("checks", ())]
    for r in list(item.get("readings", ())) + list(item.get("judged", ())):
        texts.extend([r[limit] for limit in ("lower", "upper") if r.get(limit)])
        if "value" in r:
            names.append(r["value"])
    names.extend([v["name"] for v in item.get("values", ())])
    drawing = item.get("drawing")
    if drawing:
        texts.extend(list(drawing.get("inputs", {}).values()))
        woven.extend(list(drawing.get("texts", {}).values()))
    for text in woven:
        names.extend([piece[1] for piece in weaving.woven(text) if piece[0] == "value"])
    for text in texts:
        names.extend(compiled_formula(text).names)
    return names
