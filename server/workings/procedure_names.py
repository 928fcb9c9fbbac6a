# What each name of a procedure is: its kind, dimension, units, words, format and gauge.

from workings import quantities, registry
from workings.errors import WorkingError
from workings.procedure_fields import at, listing

NUMBER, TEXT, YES_NO = "number", "text", "yes/no"


def type_of_output(output):
    """The type of a working's output in formulas, or None where a formula cannot use it."""
    if output.shape.startswith("yes/no"):
        return (YES_NO,)
    if output.shape.startswith("choice") or output.shape.startswith("text"):
        return (TEXT,)
    if output.shape.startswith("number") or output.shape.startswith("whole number"):
        if output.dimension in quantities.DIMENSIONS:
            return (NUMBER, quantities.DIMENSIONS[output.dimension])
    return None


def kind_of(entry):
    """number, words or yes/no of a name's definition."""
    default = "words" if entry["kind"] == "way" else "number"
    return entry["definition"].get("kind", default)


class Names:
    """Judges definitions; `found` takes what is wrong with them."""

    def __init__(self, found, procedure):
        self.found = found
        self.procedure = procedure

    def gauge(self, gauge):
        here = at("", "gauge", gauge["id"])
        if gauge["dimension"] not in quantities.DIMENSIONS:
            self.found.add(here, self._no_dimension(gauge["dimension"]))
            return
        # A thermometer's fineness is a span of temperature, not a point on the scale.
        name = gauge["dimension"]
        if name == "temperature":
            name = "temperature difference"
        for field in ("resolution", "uncertainty"):
            try:
                number = quantities.parse(gauge[field], name, None, field)[0]
            except WorkingError as error:
                self.found.add(here, error.message)
                continue
            if number < 0 or (field == "resolution" and number == 0):
                self.found.add(here, '"' + field + '" is ' + gauge[field] + "; give more than nothing")

    def _no_dimension(self, name):
        return '"' + name + '" is no dimension; give ' + listing(sorted(quantities.DIMENSIONS))

    def definition(self, here, entry, kind=None):
        """A datum, a reading or a formula's value: what its kind must say of itself."""
        kind = kind or entry.get("kind", "number")
        if kind == "number":
            return self._number(here, entry)
        for field in ("dimension", "units", "gauge", "lower", "upper"):
            if field in entry:
                self.found.add(
                    here, '"' + field + '" belongs to a number; take it out, or make the kind "number"'
                )
        if kind == "words" and "formula" not in entry and not entry.get("words"):
            self.found.add(here, 'it is told in words, but has none to choose from; add "words"')
        for word in entry.get("good_words", []):
            if word not in entry.get("words", []):
                self.found.add(
                    here, 'the good word "' + word + '" is not one of its words; add it to "words"'
                )
        return True

    def _number(self, here, entry):
        for field in ("words", "good_words"):
            if field in entry:
                self.found.add(
                    here, '"' + field + '" belongs to words; take it out, or make the kind "words"'
                )
        dimension = entry.get("dimension")
        if dimension is None:
            self.found.add(here, '"dimension" is missing; give one such as length, angle, force or plain')
            return False
        if dimension not in quantities.DIMENSIONS:
            self.found.add(here, self._no_dimension(dimension))
            return False
        allowed = quantities.units_for(dimension)
        if "units" not in entry and "formula" not in entry:
            self.found.add(here, '"units" is missing; give those a person may type: ' + listing(allowed))
        for unit in entry.get("units", []):
            if unit not in allowed:
                self.found.add(
                    here, '"' + unit + '" is no unit of ' + dimension + "; give " + listing(allowed)
                )
        if "show" not in entry:
            self.found.add(
                here, '"show" is missing; say how it is shown, such as in/16 or ' + allowed[0] + " 0.1"
            )
        else:
            self.format(here, entry["show"], dimension)
        gauge = entry.get("gauge")
        if gauge is not None:
            self._gauge_of(here, gauge, dimension)
        return True

    def _gauge_of(self, here, ident, dimension):
        gauges = self.procedure.gauges
        if ident not in gauges:
            self.found.add(here, 'the gauge "' + ident + '" is not declared; add it to "gauges"')
        elif gauges[ident]["dimension"] != dimension:
            self.found.add(
                here,
                'the gauge "'
                + ident
                + '" measures '
                + gauges[ident]["dimension"]
                + ", not "
                + dimension
                + "; take another gauge",
            )

    def format(self, here, text, dimension):
        try:
            form = quantities.read_format(text, dimension)
        except WorkingError as error:
            self.found.add(here, error.message)
            return
        if form["kind"] in ("words", "yes/no"):
            self.found.add(
                here, '"' + text + '" does not show a number; give a format such as in/16 or mm 0.1'
            )

    def type_of(self, name):
        """The type of a dotted name, or a text that says what is wrong with it."""
        base, dot, output = name.partition(".")
        entry = self.procedure.names.get(base)
        if entry is None:
            return (
                '"'
                + base
                + '" is not defined; give it a reading, a way, a value or a datum, or mend the name'
            )
        definition = entry["definition"]
        if entry["kind"] == "value" and "working" in definition:
            return self._output_type(name, base, output, definition)
        if dot:
            return '"' + name + '" has no outputs: "' + base + '" is no working; write "' + base + '"'
        kind = kind_of(entry)
        if kind == "words":
            return (TEXT,)
        if kind == "yes/no":
            return (YES_NO,)
        if definition.get("dimension") not in quantities.DIMENSIONS:
            return None
        return (NUMBER, quantities.DIMENSIONS[definition["dimension"]])

    def _output_type(self, name, base, output, definition):
        working = registry.known(definition["working"])
        if working is None:
            return None
        names = listing([base + "." + one.name for one in working.outputs])
        if not output:
            return '"' + base + '" is a working; name one of its outputs: ' + names
        for one in working.outputs:
            if one.name == output:
                return type_of_output(one) or '"' + name + '" cannot be used in a formula; take ' + names
        return '"' + name + '" is no output of ' + definition["working"] + "; take " + names

    def _dimension_name(self, name):
        base, _, output = name.partition(".")
        definition = self.procedure.names[base]["definition"]
        if "working" in definition:
            for one in registry.find(definition["working"]).outputs:
                if one.name == output:
                    return one.dimension
        return definition.get("dimension")
