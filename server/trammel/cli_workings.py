"""The workings on the command line: list them, run one with units, run many as JSON lines."""

import argparse
import json
import sys
from collections.abc import Iterable, Iterator
from typing import Any, BinaryIO

from workings import quantities, registry, story
from workings.errors import WorkingError
from workings.working import SI_UNITS, Input, Working, given_text

# A value of any dimension is tried as these, in the order people expect.
_ANY = ("plain", "length", "angle", "force", "pressure", "mass", "temperature", "time", "speed")


def _typed_any(text: str, name: str) -> tuple[float, str]:
    trouble = None
    for dimension in _ANY:
        try:
            return quantities.parse(text, dimension, None, name)[0], dimension
        except WorkingError as error:
            trouble = trouble or error
    raise WorkingError(name, f"“{text}”", "a number with its unit, such as 8.002 in") from trouble


def _typed(spec: Input, text: str, found: dict[str, str]) -> Any:
    """One NAME=VALUE as the working takes it; found remembers the dimension of "any" and "as value"."""
    shape = spec.shape
    if shape == "yes/no":
        if text not in ("yes", "no"):
            raise WorkingError(spec.name, f"“{text}”", "yes or no")
        return text == "yes"
    if shape in ("number", "whole number"):
        if spec.dimension in ("any", "as value"):
            value, dimension = _typed_any(text, spec.name)
            if value != 0 and found.setdefault("dimension", dimension) != dimension:
                raise WorkingError(spec.name, f"“{text}”", f"a {found['dimension']}, as the others")
            return value
        return quantities.parse(text, spec.dimension, None, spec.name)[0]
    if shape.startswith(("list", "object")):
        try:
            return json.loads(text)
        except ValueError:
            raise WorkingError(spec.name, f"“{text[:60]}”", f"a {shape}, as JSON in base SI") from None
    return text


def typed_inputs(working: Working, words: Iterable[str]) -> tuple[dict[str, Any], dict[str, str]]:
    """(inputs in base SI, dimension found) of NAME=VALUE words; WorkingError for what makes no sense."""
    inputs: dict[str, Any] = {}
    found: dict[str, str] = {}
    for word in words:
        name, sign, text = word.partition("=")
        spec = working.input(name)
        if not sign:
            raise WorkingError(name, "a word without =", "NAME=VALUE, such as wheel_diameter=66in")
        if spec is None:
            inputs[name] = text  # registry.checked says which names there are
            continue
        if name in inputs:
            raise WorkingError(name, "twice", "each input once")
        inputs[name] = _typed(spec, text.strip(), found)
    return inputs, found


def _shown(value: Any, dimension: str) -> str:
    if value is None:
        return "–"
    if value is True or value is False:
        return "yes" if value else "no"
    if isinstance(value, (str, int)):
        return str(value)
    if not isinstance(value, float):
        return json.dumps(value)
    text = story.shown(value, dimension, "in")
    return f"{text} = {story.shown(value, dimension, 'mm')}" if dimension in ("length", "force") else text


def run_one(id: str, words: Iterable[str], as_json: bool) -> str:
    """What `trammel workings run` prints."""
    working = registry.find(id)
    inputs, found = typed_inputs(working, words)
    outputs = registry.run(id, inputs)
    if as_json:
        return json.dumps({"working": id, "inputs": inputs, "outputs": outputs}, ensure_ascii=False)
    lines = [working.title]
    wide = max(len(one.name) for one in working.outputs)
    for one in working.outputs:
        dimension = found.get("dimension", "plain") if one.dimension == "as value" else one.dimension
        if one.dimension == "as that output":
            inner = registry.find(inputs["working"]).output(inputs["output"])
            dimension = inner.dimension if inner else "plain"
        lines.append(f"  {one.name:<{wide}}  {_shown(outputs[one.name], dimension)}")
    for words_of, texts in (("assumed", working.assumptions), ("caution", working.cautions),
                            ("source", working.sources)):
        lines += [f"  {words_of}: {text}" for text in texts]
    return "\n".join(lines)


def list_text(id: str | None) -> str:
    """What `trammel workings list [ID]` prints."""
    if id is None:
        wide = max(len(one) for one in registry.ids())
        return "\n".join(f"{one:<{wide}}  {registry.find(one).title}" for one in registry.ids())
    working = registry.find(id)
    lines = [f"{working.id}: {working.title}", "takes"]
    for spec in working.inputs:
        unit = SI_UNITS.get(spec.dimension, "")
        name = f"[{spec.name}]" if spec.optional else spec.name
        kind = spec.shape
        if kind == "number":
            kind = spec.dimension + (f" ({unit} in a batch)" if unit else "")
        lines.append(f"  {name}  {kind}  {spec.meaning}".rstrip())
    lines.append("gives")
    for out in working.outputs:
        lines.append(f"  {out.name}  {out.dimension}, {out.shape}  {out.meaning}".rstrip())
    return "\n".join(lines)


def answer_line(line: bytes) -> dict[str, Any]:
    """The answer to one line of a batch: its outputs, or an error that names one input."""
    working: Any = None
    try:
        try:
            asked = json.loads(line)
        except (ValueError, RecursionError):
            raise WorkingError("line", "what stands here", "one JSON object a line",
                               "line: is not JSON; give one JSON object a line.") from None
        if not isinstance(asked, dict):
            raise WorkingError("line", given_text(asked), 'an object {"working": ID, "inputs": {…}}')
        working = asked.get("working")
        registry.find(working)
        return {"working": working, "outputs": registry.run(working, asked.get("inputs"))}
    except WorkingError as error:
        named = working if isinstance(working, str) else None
        return {"working": named, "error": {"input": error.input, "message": error.message}}


def answers(lines: Iterable[bytes]) -> Iterator[bytes]:
    """One JSON line for each line, in order."""
    encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode
    for line in lines:
        yield encode(answer_line(line)).encode("utf-8", "replace") + b"\n"


def run_batch(source: BinaryIO, sink: BinaryIO) -> None:
    """Answer line by line; each answer is flushed, so that a program can hold a conversation."""
    for line in answers(source):
        sink.write(line)
        sink.flush()


def _list(arguments: argparse.Namespace) -> int:
    print(list_text(arguments.id))
    return 0


def _run(arguments: argparse.Namespace) -> int:
    print(run_one(arguments.id, arguments.inputs, arguments.json))
    return 0


def _batch(arguments: argparse.Namespace) -> int:
    run_batch(sys.stdin.buffer, sys.stdout.buffer)
    return 0


def add_commands(subparsers: Any) -> None:
    """Add `workings list|run|batch` to a command line; each sets `run` to a function of its arguments."""
    workings = subparsers.add_parser("workings", help="the calculations, by themselves")
    commands = workings.add_subparsers(dest="workings_command", required=True)
    listing = commands.add_parser("list", help="every working, or what one takes and gives")
    listing.add_argument("id", nargs="?", metavar="ID")
    listing.set_defaults(run=_list)
    running = commands.add_parser("run", help="run one, with units: trammel workings run ID name=value…")
    running.add_argument("id", metavar="ID")
    running.add_argument("inputs", nargs="*", metavar="NAME=VALUE")
    running.add_argument("--json", action="store_true", help="inputs and outputs in base SI, as JSON")
    running.set_defaults(run=_run)
    batch = commands.add_parser("batch", help="JSON lines on standard input, one answer a line, base SI")
    batch.set_defaults(run=_batch)
