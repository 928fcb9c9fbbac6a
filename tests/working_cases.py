"""Cases of the workings for both Pythons: tests/cases/workings*.json, and the one way to run them.

Each case: {"case": NAME, "working": ID, "inputs": {…} in base SI, and
    "outputs": {…}, "tolerance": {"relative", "absolute"}, "tolerance_by_output": {NAME: …}
    or "error": {"input": [names, one of which the error must name]}}
compare() holds answers of one Python against the other's, with the story told. Runs on MicroPython.
"""

import json

from workings import registry, story, typeset
from workings.errors import WorkingError

# Between the two Pythons: a sine may differ in its last bit, and differences of lengths lose digits.
BETWEEN = {"relative": 1e-9, "absolute": 1e-12}


def is_number(value):
    return isinstance(value, (int, float)) and value is not True and value is not False


def agree(found, wanted, tolerance):
    if is_number(wanted):
        return is_number(found) and (
            abs(found - wanted) <= tolerance["absolute"] + tolerance["relative"] * abs(wanted)
        )
    if isinstance(wanted, list):
        return (
            isinstance(found, list)
            and len(found) == len(wanted)
            and all([agree(found[n], wanted[n], tolerance) for n in range(len(wanted))])
        )
    if isinstance(wanted, dict):
        return (
            isinstance(found, dict)
            and sorted(found) == sorted(wanted)
            and all([agree(found[name], wanted[name], tolerance) for name in wanted])
        )
    return found is wanted if wanted is None or wanted is True or wanted is False else found == wanted


def trouble(case):
    """What is wrong with a case, or None where it is as it should be."""
    try:
        found = registry.run(case["working"], case["inputs"])
    except WorkingError as error:
        wanted = case.get("error", {}).get("input", [])
        if error.input in wanted:
            return None
        return "{}: raised {}: {}".format(case["case"], error.input, error.message)
    if "error" in case:
        return "{}: gave {} where an error was due".format(case["case"], found)
    for name in case["outputs"]:
        tolerance = case.get("tolerance_by_output", {}).get(name, case["tolerance"])
        if name not in found or not agree(found[name], case["outputs"][name], tolerance):
            return "{}: {} is {}, not {}".format(case["case"], name, found.get(name), case["outputs"][name])
    declared = sorted([one.name for one in registry.find(case["working"]).outputs])
    if sorted(found) != declared:
        return "{}: gives {}, but declares {}".format(case["case"], sorted(found), declared)
    return None


def told(id, inputs, outputs):
    """The texts of a story: what is said, and the length and look of what is drawn."""
    texts = []
    for line in registry.story(id, inputs, outputs)["lines"]:
        texts.append(line["spoken"])
        numbers = story.numbers_row(line)
        texts.append(typeset.svg(story.formula_row(line), 18, 320))
        texts.append(typeset.svg(numbers, 18, 320) if numbers else "")
    return texts


def answer(ask, with_story):
    """What this Python makes of {"working", "inputs"}: outputs and story, or the error."""
    try:
        outputs = registry.run(ask["working"], ask["inputs"])
    except WorkingError as error:
        return {"error": [error.input, error.message]}
    if not with_story:
        return {"outputs": outputs}
    return {"outputs": outputs, "told": told(ask["working"], ask["inputs"], outputs)}


def differences(text):
    """Answers of the other Python, one JSON line each ({"working", "inputs", "answer"}), against ours."""
    lines = [line for line in text.split("\n") if line]
    found = []
    for line in lines:
        ask = json.loads(line)
        theirs = ask["answer"]
        ours = answer(ask, "told" in theirs)
        tolerance = ask.get("tolerance", BETWEEN)
        if ours.get("error") != theirs.get("error"):
            found.append("{}: {} against {}".format(line, ours.get("error"), theirs.get("error")))
        elif not agree(ours.get("outputs"), theirs.get("outputs"), tolerance):
            found.append("{}: {}".format(line, ours["outputs"]))
        elif ours.get("told") != theirs.get("told"):
            pairs = [(a, b) for a, b in zip(ours["told"], theirs["told"]) if a != b]  # noqa: B905
            found.append(f"{line}: told {pairs[:1]}")
    return len(lines), found


def run(path):
    """(number of cases, what is wrong) of one file."""
    with open(path, encoding="utf-8") as file:
        cases = json.loads(file.read())
    return len(cases), [t for t in [trouble(case) for case in cases] if t]
