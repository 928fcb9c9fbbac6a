"""Blueprint: units and workings by themselves, for whoever wants a number without a card."""

from __future__ import annotations

from functools import cache
from typing import Any

from workings import registry

from trammel import schemas
from trammel.cli_workings import typed_inputs
from trammel.errors import TrammelError
from trammel.sessions import session_needed
from trammel.web import Blueprint

blueprint = Blueprint("workings", __name__, url_prefix="/api", description="Units and workings.")
ID = schemas.in_path("id", schemas.IDENTIFIER, "the working")


@blueprint.route("/units", methods=["GET"])
@blueprint.response(200, schemas.Unit(many=True))
def units() -> Any:
    """Every unit that is known, with its factor to base SI; needs no session."""
    return known_units()


@cache
def known_units() -> list[dict[str, Any]]:
    # Asked of pint itself, which takes half a second to load.
    from trammel import units as authority

    return authority.described()


@blueprint.route("/workings", methods=["GET"])
@blueprint.response(200, schemas.WorkingTold(many=True))
def workings() -> Any:
    """Every working: what it takes and gives, what it assumes, where it comes from; needs no session."""
    return [registry.describe(id) for id in registry.ids()]


@blueprint.route("/workings/<id>", methods=["POST"], parameters=[ID])
@session_needed
@blueprint.arguments(schemas.WorkingAsk)
@blueprint.response(200, schemas.WorkingAnswer)
@blueprint.may_fail(400, 401, 404, 413, 415, 422)
def run(asked: dict[str, Any], id: str) -> Any:
    """Run one working. An input is a text with its unit, or a plain number in base SI."""
    if id not in registry.ids():
        raise TrammelError(
            "not-found", f"There is no working {id[:64]}; /api/workings lists them.", "working"
        )
    inputs = in_base_si(id, asked["inputs"])
    outputs = registry.run(id, inputs)
    return {"outputs": outputs, "story": registry.story(id, inputs, outputs)}


def in_base_si(id: str, given: dict[str, Any]) -> dict[str, Any]:
    """Texts are read as the command line reads them; all else is base SI already."""
    working = registry.find(id)
    texts, rest = [], {}
    for name, value in given.items():
        spec = working.input(name)
        if isinstance(value, str) and spec is not None and spec.shape in ("number", "whole number", "yes/no"):
            texts.append(f"{name}={value}")
        else:
            rest[name] = value
    read, _ = typed_inputs(working, texts)
    return {**rest, **read}
