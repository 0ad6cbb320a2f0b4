"""How long, wide, high and thin a vehicle and its parts can be: a slip of the tape or of the unit is beyond."""

from __future__ import annotations

from dataclasses import dataclass

from planner.model.shapes import Vec
from planner.units import Bare, UnitError, format_length


@dataclass(frozen=True, slots=True, kw_only=True)
class Believed:
    """A way to measure a whole vehicle, and what is believed of it, both ends in it."""

    words: str
    low_mm: float
    high_mm: float
    source: str


WHOLE = (
    Believed(
        words="length",
        low_mm=1_000.0,
        high_mm=20_000.0,
        source="starting guess; Directive 96/53/EC, Annex I, allows 18.75 m to a road train (value from memory)",
    ),
    Believed(
        words="width",
        low_mm=300.0,
        high_mm=4_000.0,
        source="starting guess; Directive 96/53/EC, Annex I, allows 2.55 m (value from memory)",
    ),
    Believed(
        words="height",
        low_mm=300.0,
        high_mm=5_000.0,
        source="starting guess; Directive 96/53/EC, Annex I, allows 4 m (value from memory)",
    ),
)
"""Of a vehicle over all, along x, y and z: wider than the law allows, since a trials car need not be on the road."""
THINNEST_MM = 0.2
"""Of a part, along any axis: foil is thinner, but nothing that is measured and moved (starting guess)."""
ALONG = ("front to rear", "side to side", "in height")
MOST_BEYOND_MM = 1_000.0
"""By so much a part may be longer than the vehicle over all, which is measured roughly (starting guess)."""


def see_whole(size_mm: Vec, bare: Bare) -> None:
    """Refuse a size over all that no vehicle has.

    Raises
    ------
    UnitError
        A side of it is not between the limits of `WHOLE`.
    """
    for mm, believed in zip(size_mm, WHOLE, strict=True):
        if not believed.low_mm <= mm <= believed.high_mm:
            low, high = (format_length(limit, bare) for limit in (believed.low_mm, believed.high_mm))
            raise UnitError(
                f"a {believed.words} of {format_length(mm, bare)}: a vehicle is believed from {low} to {high}",
                f"check the unit and the order; it was read as {told(size_mm, bare)}",
            )


def see_part(size_mm: Vec, bare: Bare, *, what: str, largest_mm: float, whole_mm: Vec | None) -> None:
    """Refuse a size that no part of its kind has, or no part of a vehicle of that size.

    Parameters
    ----------
    size_mm : Vec
        Along x, y and z.
    bare : Bare
        The unit of the message.
    what : str
        Its kind, for the message.
    largest_mm : float
        No part of its kind is believed longer.
    whole_mm : Vec, optional
        The vehicle over all.

    Raises
    ------
    UnitError
        It is thinner, longer, or too long for the vehicle along one axis.
    """
    hint = f"check the unit; it was read as {told(size_mm, bare)}"
    if max(size_mm) > largest_mm:
        message = f"a {what} {_length(max(size_mm), bare)} long: the largest believed is {_length(largest_mm, bare)}"
        raise UnitError(message, hint)
    if min(size_mm) < THINNEST_MM:
        message = f"a {what} {_length(min(size_mm), bare)} thin: the thinnest believed is {_length(THINNEST_MM, bare)}"
        raise UnitError(message, hint)
    for mm, whole, along in zip(size_mm, whole_mm or size_mm, ALONG, strict=True):
        if mm > whole + MOST_BEYOND_MM:
            message = f"a {what} {_length(mm, bare)} {along}: the vehicle over all is {_length(whole, bare)} {along}"
            raise UnitError(message, hint)


TIMES = 5.0
"""Links are believed so many times as thick as is usual for their kind, and as many times as thin (starting guess)."""


def thickness_fault(across_mm: float, usual_mm: float, what: str, units: str) -> str:
    """What is not to be believed of how thick a link is; empty where it is."""
    low_mm, high_mm = usual_mm / TIMES, usual_mm * TIMES
    if low_mm <= across_mm <= high_mm:
        return ""
    told_mm = [_length(mm, units) for mm in (across_mm, low_mm, high_mm)]
    return f"a {what} {told_mm[0]} thick: believed are {told_mm[1]} to {told_mm[2]}"


def told(size_mm: Vec, bare: Bare) -> str:
    """A size as it was read."""
    return " x ".join(format_length(mm, bare) for mm in size_mm)


def _length(mm: float, units: str) -> str:
    return f"`{format_length(mm, units)}`"
