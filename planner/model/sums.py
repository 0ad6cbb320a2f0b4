"""The lines the sums come out as."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """What a sum says of its limit."""

    FINE = "fine"
    CLOSE = "close"
    """Within the limit by less than its doubt or a twentieth of the limit, or a little outside common practice."""
    FAILS = "fails"
    UNKNOWN = "not known"
    """It lacks a figure; or, with a figure, what it would have to be enough for is not known."""
    TOLD = "no limit"
    """A figure to know, without a limit to hold it against."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SumLine:
    """One sum. ``low`` and ``high`` are its limits, ``least`` and ``most`` what the doubt of the sizes makes of it.

    ``margin`` is how far it lies inside its limits (negative outside), in its own unit.
    """

    id: str
    about: str
    """The part, link or axle it is about."""
    title: str
    unit: str
    value: float | None = None
    least: float | None = None
    most: float | None = None
    low: float | None = None
    high: float | None = None
    margin: float | None = None
    verdict: Verdict
    limit: str = ""
    """Where the limit comes from, in words."""
    note: str = ""
    """Why there is no figure, or what it means."""
    missing: tuple[str, ...] = ()
    """What to give before it can be worked out."""
    assumed: tuple[str, ...] = ()
    not_covered: tuple[str, ...] = ()
    source: str = ""
