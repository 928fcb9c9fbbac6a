# Whether a procedure holds together: its order, its hold points, and the words of its text.
# Names, formulas, limits and formats are judged in procedure_formulas.py.
#
# A version with an error is not published: a card opened from it could stop for good, or let
# somebody pass who should have been stopped. Advice is for the writer to take or leave.

from workings import procedure_formulas, vocabulary, weaving
from workings.errors import WorkingError
from workings.procedure_fields import Findings, at, listing

_WORDS = {"step": "step", "hold": "hold point", "witness": "witness point"}


def where(place):
    """A step's place in words: 'section "rod", step "lay"'."""
    return at(at("", "section", place["section_id"]), _WORDS[place["kind"]], place["id"])


def check(procedure):
    """All findings, in the order in which a writer would mend them."""
    found = Findings()
    _doubled(found, procedure)
    if not _sections(found, procedure):
        return found.problems
    for place in procedure.steps:
        if place["kind"] == "step":
            _step(found, place)
    procedure_formulas.check(found, procedure, where)
    _holds(found, procedure)
    for place in procedure.steps:
        _prose(found, place)
    return found.problems


def _doubled(found, procedure):
    for word, ident in procedure.doubled:
        if word == "name":
            found.add(
                "", 'the name "' + ident + '" is given twice; every datum, reading, way and value has its own'
            )
        else:
            found.add("", "two " + word + 's are called "' + ident + '"; give one of them another id')


def _sections(found, procedure):
    good = True
    for section in procedure.sections:
        place = at("", "section", section["id"])
        for ident in section.get("after", []):
            if ident not in procedure.by_section:
                found.add(
                    place,
                    '"after" names "'
                    + ident
                    + '", which is no section; the sections are '
                    + listing(sorted(procedure.by_section)),
                )
                good = False
        repeat = section.get("repeat")
        if repeat is not None and repeat not in procedure.repeats:
            found.add(place, '"repeat" names "' + repeat + '", which is not declared; add it to "repeats"')
            good = False
    if good:
        for section in procedure.sections:
            try:
                procedure.after(section["id"])
            except WorkingError as error:
                found.add("", error.message)
                return False
        _one_at_a_time(found, procedure)
    for repeat in sorted(procedure.repeats):
        if not [s for s in procedure.sections if s.get("repeat") == repeat]:
            found.add(at("", "repeat", repeat), "no section is repeated so; take it out", "advice")
    return good


def _one_at_a_time(found, procedure):
    """In a repeat in order, the next position begins when this one is done with; a section between two
    of its sections that waits for every position would then wait for itself."""
    for section in procedure.sections:
        repeat = section.get("repeat")
        if repeat is None or procedure.repeats[repeat]["order"] != "in order":
            continue
        for ident in sorted(procedure.after(section["id"])):
            between = procedure.by_section[ident]
            if between.get("repeat") == repeat:
                continue
            before = [
                i for i in sorted(procedure.after(ident)) if procedure.by_section[i].get("repeat") == repeat
            ]
            if before:
                found.add(
                    at("", "section", section["id"]),
                    'it waits for "'
                    + ident
                    + '", which waits for "'
                    + before[0]
                    + '" at every position, and "'
                    + repeat
                    + '" goes one position at a time; give this section a repeat with the order "any"',
                )
                return


def _step(found, place):
    step, here = place["step"], where(place)
    seen = []
    for entry in step.get("checks", []):
        if entry["id"] in seen:
            found.add(here, 'two checks are called "' + entry["id"] + '"; give one of them another id')
        seen.append(entry["id"])
    if step.get("in_order") and not step.get("checks"):
        found.add(here, '"in_order" stands without checks; add "checks", or take it out')
    stopping = step.get("no_stopping") or place["section"].get("no_stopping")
    if stopping and (step.get("readings") or step.get("way")):
        found.add(
            here, "nothing is typed where nobody may stop; move its readings and its way to a step after it"
        )
    if stopping and step.get("any_time"):
        found.add(here, 'a step of a stretch without stopping has its place in it; take "any_time" out')
    if step.get("any_time") and step.get("checks"):
        found.add(
            here,
            "a check at any time says nothing about the work; move it to a step that has its turn, "
            'or take "any_time" out',
        )
    asked = []
    for entry in step.get("judged", []):
        if entry["value"] in asked:
            found.add(here, '"' + entry["value"] + '" is judged twice in one step; take one out')
        asked.append(entry["value"])
    for name in ("notes", "text"):
        for text in step.get(name, []):
            if step.get(name).count(text) > 1:
                found.add(here, "a paragraph stands here twice; take one out", "advice")
                return


def _whens(place):
    return [part["when"] for part in (place["section"], place["step"]) if part.get("when")]


def _holds(found, procedure):
    holds = [place for place in procedure.steps if place["kind"] == "hold"]
    if not holds:
        found.add("", "there is no hold point; add one that a lead signs when the work is done")
        return
    for place in holds:
        if place["section"].get("no_stopping"):
            found.add(
                where(place),
                "a hold point cannot stand where nobody may stop; move it to where the work stands safe",
            )
        if place["step"]["hold"].get("person") == "":
            found.add(where(place), "nobody can sign this hold point; name a person or leave it to a lead")
    for place in procedure.steps:
        if place["kind"] == "step" and not _guarded(procedure, place, holds):
            found.add(
                where(place), "no hold point comes after this step; add one, or move the step before one"
            )
    for place in holds:
        if not _covers(procedure, place, holds):
            found.add(
                where(place), "no step stands between this hold point and the one before it; take one out"
            )


def _after(procedure, step, hold):
    return procedure.stands_before(step["id"], hold["id"])


def _guarded(procedure, step, holds):
    """Whether a hold point comes after a step, and stands whenever the step does."""
    for hold in holds:
        unless = hold["section"].get("when")
        if _after(procedure, step, hold) and (unless is None or unless in _whens(step)):
            return True
    return False


def _covers(procedure, hold, holds):
    for step in procedure.steps:
        if step["kind"] == "hold" or not _after(procedure, step, hold):
            continue
        between = [h for h in holds if _after(procedure, step, h) and _after(procedure, h, hold)]
        if not between:
            return True
    return False


# --- the words: a bare wedge or shoe could be any of several, and a typed number goes stale ---

_UNITS = ("in", "ft", "mm", "thou", "lb", "lbf", "psi", "mph", "deg", "inch", "inches", "feet", "pounds")
_BARE = ("wedge", "wedges", "shoe", "shoes")
_KINDS = ("rail", "pedestal", "crosshead", "brake", "horn")


def _prose(found, place):
    step, here = place["step"], where(place)
    texts = list(step.get("text", [])) + list(step.get("notes", []))
    texts.extend([entry["words"] for entry in step.get("checks", [])])
    texts.extend([entry["words"] for entry in step.get("cautions", [])])
    for entry in step.get("readings", []) + step.get("judged", []):
        texts.append(entry["label"])
    texts.append(step["title"])
    if "if_out" in step:
        texts.append(step["if_out"])
    for kind in ("hold", "witness"):
        if kind in step:
            texts.append(step[kind]["words"])
    for text in texts:
        _bare_words(found, here, text)
        _untold_terms(found, here, text)
    for text in step.get("text", []):
        _typed_numbers(found, here, text)


def _plain(text):
    """The plain words of a text, with what is woven or a term left out."""
    return " | ".join([run[1] for run in weaving.woven(text) if run[0] == "text"])


def _split(text):
    out, word = [], ""
    for char in text.lower():
        if char in weaving.LETTERS or char in "-0123456789/.":
            word += char
        elif word:
            out.append(word.strip("."))
            word = ""
    if word:
        out.append(word.strip("."))
    return out


def _bare_words(found, here, text):
    words = _split(_plain(text))
    for index in range(len(words)):
        if words[index] in _BARE and (index == 0 or words[index - 1] not in _KINDS):
            found.add(
                here,
                'a bare "' + words[index] + '" could be several things; say rail wedge, {pedestal wedge}, '
                "{crosshead shoe} or {brake shoe}",
            )
            return


def _untold_terms(found, here, text):
    words = " " + " ".join(_split(_plain(text))) + " "
    for ident in sorted(vocabulary.TERMS):
        # Single words such as "guide" have a plain meaning too; only the two-word terms are sure.
        if " " in ident and " " + ident + " " in words:
            found.add(
                here,
                '"' + ident + '" stands outside braces; write {' + ident + "} so that it follows the shop",
                "advice",
            )
            return


def _typed_numbers(found, here, text):
    words = _split(_plain(text))
    for index in range(1, len(words)):
        if words[index] in _UNITS and words[index - 1][0] in "0123456789":
            found.add(
                here,
                'a number is typed into the text ("'
                + words[index - 1]
                + " "
                + words[index]
                + '"); weave a value in, so that it follows the readings',
                "advice",
            )
            return
