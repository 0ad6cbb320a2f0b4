"""How a way out is written: a direction, or first moves and then a direction."""

from __future__ import annotations

from typing import Annotated, NamedTuple

from pydantic import BeforeValidator, Field, ValidationInfo, WithJsonSchema

from planner.files.values import read_length, refuse
from planner.finding.words import did_you_mean, listed, quoted
from planner.model.shapes import Direction
from planner.units import Size

_MOST_LEGS = 6
_WAYS = [direction.value for direction in Direction]
_HINT = "one way of several legs stands in brackets of its own: `way_out: [[40 mm forwards, up]]`"


class LegFile(NamedTuple):
    """One leg; ``size`` is None when it goes on until the part is out."""

    direction: Direction
    size: Size | None


def _leg(value: object, info: ValidationInfo) -> LegFile:
    if isinstance(value, LegFile):
        return value
    if not isinstance(value, str) or not value.split():
        raise refuse("wrong-type", f"a leg of a way out must be text, found {quoted(value)}", _HINT)
    *far, last = value.split()
    if last not in _WAYS:
        hint = did_you_mean(
            last, _WAYS, otherwise=f"name one of {listed(_WAYS, ' or ')}, behind its length if it has one"
        )
        raise refuse("unknown-choice", f"{quoted(value)} ends in no direction", hint)
    return LegFile(Direction(last), read_length(" ".join(far), info) if far else None)


def _legs(value: object) -> object:
    return value if isinstance(value, list) else [value]


LegText = Annotated[
    LegFile,
    BeforeValidator(_leg),
    WithJsonSchema({"type": "string", "description": "a direction, or a length and a direction: 40 mm forwards"}),
]
WayText = Annotated[
    list[LegText],
    BeforeValidator(_legs),
    Field(min_length=1, max_length=_MOST_LEGS),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": _WAYS},
                {"type": "array", "items": {"type": "string"}, "minItems": 1, "maxItems": _MOST_LEGS},
            ],
            "description": "up, down, left, right, forwards or rearwards; or first moves and then one of these: "
            "[40 mm forwards, up]",
        }
    ),
]
