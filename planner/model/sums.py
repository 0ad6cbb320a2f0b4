"""What a tape does not show and the sums need, and the lines the sums come out as."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class Figure:
    """A number and how sure it is, in the unit that the name of its field ends in."""

    value: float
    doubt: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """The vehicle on its wheels. ``ahead_of_rear_mm`` and ``height_mm`` are those of the centre of gravity.

    ``grip`` is the friction of tyre on road to reckon with.
    """

    mass_kg: Figure | None = None
    wheelbase_mm: Figure | None = None
    ahead_of_rear_mm: Figure | None = None
    height_mm: Figure | None = None
    grip: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoeFigures:
    """A brake shoe: lining width, pivot from the drum's middle, arm of the push about the pivot, the lining's ends.

    The ends are angles from the pivot, seen from the drum's middle.
    """

    width_mm: Figure
    pivot_mm: Figure
    arm_mm: Figure
    begins_deg: float
    ends_deg: float


class BrakeSort(StrEnum):
    """How a wheel brake presses."""

    DRUM = "drum"
    DISC = "disc"


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleBrakes:
    """The brakes of one axle, both wheels alike. ``radius_mm`` is the drum's, or that of the pad's middle.

    ``bore_mm`` and ``pistons`` are those of one wheel, for a vehicle file that has no part for it.
    """

    system: str
    sort: BrakeSort
    bore_mm: Figure | None = None
    pistons: int | None = None
    travel_mm: Figure | None = None
    """How far each piston goes before the lining bites."""
    radius_mm: Figure | None = None
    friction: Figure | None = None
    shoe: ShoeFigures | None = None
    leading: tuple[bool, ...] = (True, False)
    """One for each shoe of a wheel: whether the drum's turning pulls it on."""
    tyre_radius_mm: Figure | None = None
    pipe_mm3: Figure | None = None
    """Fluid held in pipes and hoses."""
    swell_mm3_per_mpa: Figure | None = None
    """Of all hoses together."""
    sink_kg: Figure | None = None
    """Iron that takes up the heat at one wheel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeFigures:
    """The brake pipe: wall, strength of its metal, and the share of its burst pressure it may see (1 / ``factor``)."""

    wall_mm: Figure
    strength_mpa: Figure
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolantFigures:
    """The cooling circuit. ``level_mm`` is the cold level above the header tank's underside."""

    fill_mm3: Figure | None = None
    tank_mm3: Figure | None = None
    mix: str | None = None
    cold_c: float | None = None
    hot_c: float | None = None
    level_mm: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchFigures:
    """How far the slave's rod must go to clear the clutch."""

    release_mm: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """All of them; what is not told stays unknown, and so do the sums that need it."""

    weight: Weight = Weight()
    axles: dict[str, AxleBrakes]
    pipe: PipeFigures | None = None
    coolant: CoolantFigures = CoolantFigures()
    clutch: ClutchFigures = ClutchFigures()


class Verdict(StrEnum):
    """What a sum says of its limit."""

    FINE = "fine"
    CLOSE = "close"
    """Within the limit by less than its doubt or a twentieth of the limit, or a little outside common practice."""
    FAILS = "fails"
    UNKNOWN = "not known"
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
