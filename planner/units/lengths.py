"""Reading lengths, with their doubt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.finding.words import quoted
from planner.units.error import UnitError
from planner.units.gauge import GAUGE, swg_mm
from planner.units.number import DOUBT, plain_text
from planner.units.registry import LENGTH, convert
from planner.units.written import bare_number, taken_apart

Bare = Literal["mm", "inch"]

LONGEST_MM = 1_000_000.0
"""Nothing a vehicle workshop measures is longer than a kilometre."""


@dataclass(frozen=True, slots=True)
class Size:
    """A length and how sure it is: ``doubt_mm`` either way, None when the value does not say."""

    mm: float
    doubt_mm: float | None = None


def parse_length(value: str | float, *, bare: Bare) -> Size:
    """Read a length.

    Parameters
    ----------
    value : str, int or float
        ``620``, ``620 mm``, ``1 1/4 in``, ``1' 6"``, ``20 thou``, ``18 swg``, ``620 mm +/- 5 mm``. A doubt
        without a unit is in the unit of the value.
    bare : {"mm", "inch"}
        Unit of a number that has none.

    Returns
    -------
    Size
        In millimetres; 1 in = 25.4 mm exactly (international inch, 1959).

    Raises
    ------
    UnitError
        When it is no length, of another dimension, or beyond a kilometre.

    Examples
    --------
    >>> parse_length("1 1/4 in", bare="mm")
    Size(mm=31.75, doubt_mm=None)
    >>> parse_length("620 +/- 5", bare="mm")
    Size(mm=620.0, doubt_mm=5.0)
    """
    number = bare_number(value, LENGTH)
    if number is not None:
        return Size(_limited(convert(number, bare, LENGTH), value))
    text = plain_text(str(value))
    halves = DOUBT.split(text)
    if len(halves) == 1:
        return Size(_limited(_one_length(text, bare), text))
    if len(halves) > 2 or not all(halves):  # noqa: PLR2004  a value and its doubt
        raise UnitError(f"{quoted(text)} is not a length with its doubt", "write it such as `620 mm +/- 5 mm`")
    return _with_doubt(text, halves[0], halves[1], bare)


def _with_doubt(text: str, main: str, doubt: str, bare: Bare) -> Size:
    if GAUGE.fullmatch(main) or GAUGE.fullmatch(doubt):
        return _checked_doubt(_one_length(main, bare), _one_length(doubt, bare), text)
    first, second = taken_apart(main, LENGTH), taken_apart(doubt, LENGTH)
    second_unit = bare if first.is_bare else first.parts[-1][1]
    if first.is_bare and not second.is_bare and convert(1, second.parts[0][1], LENGTH) != convert(1, bare, LENGTH):
        # "620 +/- 0.5 cm" in a millimetre file may mean either; a wrong guess is a part in the wrong place.
        raise UnitError(f"{quoted(text)} has a unit for its doubt only", "write the unit after both numbers")
    return _checked_doubt(first.worth(LENGTH, bare), second.worth(LENGTH, second_unit), text)


def _checked_doubt(mm: float, doubt_mm: float, text: str) -> Size:
    if doubt_mm < 0:
        raise UnitError(
            f"the doubt in {quoted(text)} is negative", "doubt is a size either way: write it without a sign"
        )
    return Size(_limited(mm, text), _limited(doubt_mm, text))


def _one_length(text: str, bare: Bare) -> float:
    gauge = GAUGE.fullmatch(text)
    if gauge is None:
        return taken_apart(text, LENGTH).worth(LENGTH, bare)
    mm = swg_mm(gauge[1])
    if mm is None:
        raise UnitError(
            f"there is no wire gauge {quoted(gauge[1])}",
            "standard wire gauge runs from `7/0 swg` to `50 swg`",
        )
    return mm


def _limited(mm: float, shown: object) -> float:
    if not abs(mm) <= LONGEST_MM:
        raise UnitError(f"{quoted(shown)} is longer than a kilometre", "check the unit")
    return mm
