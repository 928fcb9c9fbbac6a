# The reader of procedure files. The format is told in full in server/trammel/procedures/README.md.
#
# A procedure is known by the SHA-256 of its exact bytes, so it is read here and never written back.

from workings import strict_json, weaving
from workings.entries import sha
from workings.errors import WorkingError

LIMIT = 400000


class Procedure:
    """A procedure version that has passed the check of its form.

    raw       the file as read
    digest    base64url SHA-256 of the file's bytes: the version's name everywhere
    sections  the sections in the order of the file
    steps     every step, hold point and witness point in the order of the file, each
              {"id", "kind": step|hold|witness, "step", "section", "section_id", "repeat", "index"}
    names     name -> {"kind": data|reading|way|value, "definition", "label", "step", "section",
              "repeat"}: repeat is True for a name that every position has for itself
    """

    def __init__(self, raw, digest):
        self.raw = raw
        self.digest = digest
        self.id = raw["id"]
        self.version = raw["version"]
        self.title = raw["title"]
        self.data = raw.get("data", [])
        self.repeats = raw.get("repeats", {})
        self.gauges = {}
        for gauge in raw.get("gauges", []):
            self.gauges[gauge["id"]] = gauge
        self.sections = raw["sections"]
        self.by_section = {}
        self.steps = []
        self.names = {}
        self.doubled = []
        self.closures = {}
        self._by_id = {}
        self._after = {}
        self._lay_out()

    def _lay_out(self):
        for entry in self.data:
            self._name("data", entry, None, None, bool(entry.get("per_position")))
        for section in self.sections:
            if section["id"] in self.by_section:
                self.doubled.append(("section", section["id"]))
            self.by_section[section["id"]] = section
            for step in section["steps"]:
                self._lay_step(section, step)

    def _lay_step(self, section, step):
        place = {
            "id": step["id"],
            "kind": kind_of_step(step),
            "step": step,
            "section": section,
            "section_id": section["id"],
            "repeat": section.get("repeat"),
            "index": len(self.steps),
        }
        if step["id"] in self._by_id:
            self.doubled.append(("step", step["id"]))
        self._by_id[step["id"]] = place
        self.steps.append(place)
        repeat = section.get("repeat") is not None
        for reading in step.get("readings", []):
            self._name("reading", reading, section, step, repeat)
        if "way" in step:
            self._name("way", step["way"], section, step, repeat)
        for value in step.get("values", []):
            self._name("value", value, section, step, repeat)

    def _name(self, kind, definition, section, step, repeat):
        name = definition["name"]
        if name in self.names:
            self.doubled.append(("name", name))
        self.names[name] = {
            "kind": kind,
            "definition": definition,
            "label": definition["label"],
            "section": section["id"] if section else None,
            "step": step["id"] if step else None,
            "repeat": repeat,
        }

    def place(self, step_id):
        """The step, hold point or witness point of this id, or None."""
        return self._by_id.get(step_id)

    def after(self, section_id):
        """Ids of all sections before this one, however far back. A circle is an error."""
        if section_id not in self._after:
            self._after[section_id] = self._all_before(section_id)
        return self._after[section_id]

    def _all_before(self, section_id):
        found = set()
        todo = list(self.by_section[section_id].get("after", []))
        while todo:
            ident = todo.pop()
            if ident == section_id:
                raise WorkingError(
                    "procedure",
                    section_id,
                    "an order without a circle",
                    'section "' + section_id + '": it stands after itself, by way of the sections that its '
                    '"after" names; take one of them out.',
                )
            if ident in found or ident not in self.by_section:
                continue
            found.add(ident)
            todo.extend(self.by_section[ident].get("after", []))
        return found

    def stands_before(self, first, second):
        """Whether one step stands before another, for the same position where both are repeated."""
        one, other = self._by_id[first], self._by_id[second]
        if one["section_id"] == other["section_id"]:
            return one["index"] < other["index"]
        return one["section_id"] in self.after(other["section_id"])

    def check(self):
        """What is wrong, or could be better, with the meaning of the procedure: a list of
        {"place", "message", "level": error|advice}; a version with an error is not published."""
        from workings import procedure_check

        return procedure_check.check(self)


def kind_of_step(step):
    """step, hold or witness: told by the field that makes it one."""
    return "hold" if "hold" in step else "witness" if "witness" in step else "step"


def _faults_of_form(raw):
    # A phone holds what the shop has published and checked, and not what checks it.
    from workings import procedure_form

    return procedure_form.check_form(raw)


def sentence(problem):
    """A finding as one sentence: the place, then what is wrong there."""
    text = problem["message"]
    if problem["place"]:
        text = problem["place"] + ": " + text
    return text if text.endswith(".") else text + "."


def _bytes(text):
    return text.encode("utf-8") if isinstance(text, str) else bytes(text)


def digest_of(text):
    """base64url SHA-256 of a file's exact bytes."""
    return sha(_bytes(text))


def _read_strictly(text):
    data = _bytes(text)
    raw = strict_json.read(data, LIMIT, "procedure")
    # A phone reads its kept copy with its interpreter's own reader, which splits escaped characters.
    if b"\\u" in data:
        raise WorkingError(
            "procedure",
            "\\u",
            "characters as they are",
            "procedure: it holds a \\u escape; write the character itself, in UTF-8.",
        )
    return raw


def problems(text):
    """Reads a procedure file and tells everything that is wrong with it: (procedure or None, findings)."""
    try:
        raw = _read_strictly(text)
    except WorkingError as error:
        return None, [{"place": "", "message": error.message, "level": "error"}]
    found = _faults_of_form(raw)
    if found:
        return None, found
    made = Procedure(raw, digest_of(text))
    return made, made.check()


def faults(text):
    """Everything that is found wrong with a file, one sentence each, advice among it."""
    return [sentence(problem) for problem in problems(text)[1]]


def read(text):
    """The procedure of a file's text or bytes. A file whose form is wrong raises a WorkingError that
    names the first place; whether its meaning holds is asked with check()."""
    raw = _read_strictly(text)
    found = _faults_of_form(raw)
    if found:
        message = sentence(found[0])
        if len(found) > 1:
            message += " (And " + str(len(found) - 1) + " more.)"
        raise WorkingError("procedure", found[0]["place"], "the form of a procedure file", message)
    return Procedure(raw, digest_of(text))


def step_digest(step):
    """base64url SHA-256 of a step's content, by which a sign-off says what it covered."""
    return digest_of(strict_json.write(step))


def woven(text):
    """A text taken apart into its words, woven values and terms; see weaving.py."""
    return weaving.woven(text)
