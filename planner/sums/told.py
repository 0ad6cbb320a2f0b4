"""Sums in words: values, limits and margins in their own units, lengths in the owner's."""

from __future__ import annotations

from collections.abc import Sequence

from planner.model.sums import SumLine, Verdict
from planner.units import format_length

MARKS = {
    Verdict.FINE: "  fine",
    Verdict.CLOSE: "C close",
    Verdict.FAILS: "F FAILS",
    Verdict.UNKNOWN: "? not known",
    Verdict.TOLD: "",
}
"""A verdict as it is printed, with its letter: colour never says it alone."""
_DIGITS = {"N": 0, "mm": 1, "deg": 1, "%": 1, "K": 0, "MPa": 1, "to 1": 2, "ml": 2, "l": 2, "m/s2": 2}


def amount(value: float, unit: str, units: str) -> str:
    """A value in its unit, or in the owner's where that is a length."""
    if unit == "mm" and units == "inch":
        return format_length(value, units)
    return f"{value:.{_DIGITS.get(unit, 2)}f} {unit}"


def value_words(line: SumLine, units: str) -> str:
    """The value of a sum, with what the doubt of the sizes makes of it; empty when there is none."""
    if line.value is None:
        return ""
    told = amount(line.value, line.unit, units)
    if line.least == line.most:
        return told
    least, most = ("?" if end is None else amount(end, line.unit, units) for end in (line.least, line.most))
    if least == most == told:
        return told
    return f"{told} ({_bare(least, line.unit)} to {_bare(most, line.unit)})"


def limit_words(line: SumLine, units: str) -> str:
    """The limits of a sum; empty when it has none."""
    low, high = (
        "" if side is None else _bare(amount(side, line.unit, units), line.unit) for side in (line.low, line.high)
    )
    return f"{low} to {high}" if low and high else f"least {low}" if low else f"most {high}" if high else ""


def margin_words(line: SumLine, units: str) -> str:
    """How far a sum lies inside its limits; empty when it has none."""
    return "" if line.margin is None else _bare(amount(line.margin, line.unit, units), line.unit)


def _bare(text: str, unit: str) -> str:
    return text.removesuffix(f" {unit}")


def missing(lines: Sequence[SumLine]) -> dict[str, list[str]]:
    """What to give -> the sums that wait for it."""
    found: dict[str, list[str]] = {}
    for line in lines:
        for what in line.missing:
            found.setdefault(what, []).append(line.id)
    return found
