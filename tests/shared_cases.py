"""Cases that both Pythons must agree on: tests/cases/*.json, and the one way to run them.

Each case calls one function of one module of workings:
    {"case": NAME, "module": "quantities", "function": "parse", "args": [...],
     "result": JSON value}                     what it gives, a tuple being a list
     or "error": {"input": NAME, "message": PART}   the WorkingError it raises; message may be left out
Numbers agree within a relative 1e-12 (a sine may differ in its last bit), everything else exactly.
This file itself runs on MicroPython.
"""

import json


def read(path):
    with open(path, encoding="utf-8") as file:
        return json.loads(file.read())


def is_number(value):
    return isinstance(value, (int, float)) and value is not True and value is not False


def agree(found, wanted):
    if isinstance(wanted, list):
        if not isinstance(found, (list, tuple)) or len(found) != len(wanted):
            return False
        return not [n for n in range(len(wanted)) if not agree(found[n], wanted[n])]
    if isinstance(wanted, dict):
        if not isinstance(found, dict) or sorted(found) != sorted(wanted):
            return False
        return not [key for key in wanted if not agree(found[key], wanted[key])]
    if is_number(wanted):
        return is_number(found) and abs(found - wanted) <= 1e-12 * abs(wanted) + 1e-18
    return found is wanted if wanted in (True, False, None) else found == wanted


def trouble(case):
    """What is wrong with a case, or None where it is as it should be."""
    module = getattr(__import__("workings." + case["module"]), case["module"])
    errors = __import__("workings.errors").errors
    try:
        found = getattr(module, case["function"])(*case["args"])
    except errors.WorkingError as error:
        wanted = case.get("error")
        if wanted and error.input == wanted["input"] and wanted.get("message", "") in error.message:
            return None
        return "{}: raised {}: {}".format(case["case"], error.input, error.message)
    if "error" in case:
        return "{}: gave {} where an error was due".format(case["case"], found)
    if not agree(found, case["result"]):
        return "{}: gave {}, not {}".format(case["case"], found, case["result"])
    return None


def run(path):
    """(number of cases, what is wrong) of one file."""
    cases = read(path)
    return len(cases), [t for t in [trouble(case) for case in cases] if t]
