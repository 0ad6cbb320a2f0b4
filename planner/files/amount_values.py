"""Amounts other than lengths that carry a doubt: how a file writes them and how each is read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, cast

from pydantic import BeforeValidator, WithJsonSchema

from planner.files.values import refuse
from planner.finding.words import quoted
from planner.units import (
    Amount,
    UnitError,
    parse_doubtful,
    parse_force,
    parse_mass,
    parse_plain,
    parse_pressure,
    parse_volume,
)

MOST_GRIP = 2.0


def _read(parse: Callable[[str | float], float]) -> Callable[[object], Amount]:
    def read(value: object) -> Amount:
        try:
            # A value that is neither number nor text is refused by `parse`, with the right words.
            amount = parse_doubtful(cast("str | float", value), parse)
        except UnitError as error:
            raise refuse("wrong-unit", "{key}: " + error.message, error.hint) from None
        if amount.doubt and amount.doubt >= abs(amount.value):
            raise refuse("absurd-doubt", "{key}: the doubt in " + quoted(value) + " is no smaller than the value", "")
        return amount

    return read


def _grip(value: object) -> Amount:
    amount = _read(parse_plain)(value)
    if not 0.0 < amount.value - amount.doubt < amount.value + amount.doubt + 1e-9 <= MOST_GRIP + 1e-9:
        hint = "friction is a share of the load: 0.35 for a lining, 0.8 for a tyre on dry tarmac"
        raise refuse("out-of-range", "{key} must be above 0 and at most 2, found " + quoted(value), hint)
    return amount


def _amount(read: Callable[[object], Amount], text: str) -> tuple[BeforeValidator, WithJsonSchema]:
    return BeforeValidator(read), WithJsonSchema({"type": ["number", "string"], "description": text})


MassAmount = Annotated[Amount, *_amount(_read(parse_mass), "a mass: 2.4 (kg), 690 kg +/- 10")]
VolumeAmount = Annotated[Amount, *_amount(_read(parse_volume), "a volume: 3 (litres), 22 ml +/- 2")]
PressureAmount = Annotated[Amount, *_amount(_read(parse_pressure), "a pressure or stress: 10 (MPa), 320 MPa +/- 20")]
ForceAmount = Annotated[Amount, *_amount(_read(parse_force), "a force: 500 (N), 2 kN, 450 lbf +/- 20")]
GripAmount = Annotated[Amount, *_amount(_grip, "a share of friction: 0.35, 0.38 +/- 0.03")]
