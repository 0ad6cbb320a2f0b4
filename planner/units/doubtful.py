"""Amounts other than lengths with how sure they are: ``320 MPa +/- 20``, ``0.38 +/- 0.03``."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from planner.finding.words import quoted
from planner.units.error import UnitError
from planner.units.number import DOUBT, checked, plain_text, read_number

_UNIT = re.compile(r"[^\d\s.,+/-][^\d]*$")
_BARE = re.compile(r"[+-]?[\d. /-]+(?:[eE][+-]?\d+)?")


@dataclass(frozen=True, slots=True)
class Amount:
    """A value in its base unit and how sure it is, either way."""

    value: float
    doubt: float = 0.0


def parse_doubtful(value: str | float, parse: Callable[[str | float], float]) -> Amount:
    """Read an amount with its doubt; a doubt without a unit is in the unit of the value.

    Parameters
    ----------
    value : str, int or float
    parse : callable
        Reads one amount of the quantity, such as :func:`planner.units.parse_pressure`.

    Raises
    ------
    UnitError
        When either half is no such amount, or the doubt has a unit and the value has none.

    Examples
    --------
    >>> from planner.units import parse_pressure
    >>> parse_doubtful("100 bar +/- 5", parse_pressure)
    Amount(value=10.0, doubt=0.5)
    >>> parse_doubtful("0.38 +/- 0.03", parse_plain)
    Amount(value=0.38, doubt=0.03)
    """
    if not isinstance(value, str):
        return Amount(parse(value))
    text = plain_text(value)
    halves = DOUBT.split(text)
    if len(halves) == 1:
        return Amount(parse(text))
    if len(halves) > 2 or not all(halves):  # noqa: PLR2004  a value and its doubt
        raise UnitError(f"{quoted(text)} is not a value with its doubt", "write it such as `320 MPa +/- 20`")
    main, doubt = halves
    unit = _UNIT.search(main)
    if unit is None and not _BARE.fullmatch(doubt):
        raise UnitError(f"{quoted(text)} has a unit for its doubt only", "write the unit after both numbers")
    if unit is not None and _BARE.fullmatch(doubt):
        doubt = f"{doubt} {unit[0]}"
    worth = parse(doubt)
    if worth < 0.0:
        raise UnitError(f"the doubt in {quoted(text)} is negative", "doubt is either way: write it without a sign")
    return Amount(parse(main), worth)


def parse_plain(value: str | float) -> float:
    """Read a number without a unit.

    Raises
    ------
    UnitError
        When it is no number.

    Examples
    --------
    >>> parse_plain("0.35"), parse_plain(2)
    (0.35, 2.0)
    """
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return checked(value, value)
    text = plain_text(value) if isinstance(value, str) else ""
    if not _BARE.fullmatch(text):
        raise UnitError(f"{quoted(value)} is not a number", "write a number such as `0.35`, without a unit")
    return read_number(text)
