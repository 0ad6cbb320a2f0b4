"""What a tape does not show and the sums need."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from planner.model.shapes import Vec


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


@dataclass(frozen=True, slots=True, kw_only=True)
class DuoFigures:
    """Heights in a duo-servo drum from its middle: cylinder and anchor above, link below."""

    cylinder_mm: Figure
    link_mm: Figure
    anchor_mm: Figure


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
    duo: DuoFigures | None = None
    """A duo-servo drum; then ``leading`` does not count."""
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
    flare: str | None = None
    nuts: dict[str, str] = field(default_factory=dict)
    """Thread of the tube nut by the place it screws into."""
    threads: dict[str, str] = field(default_factory=dict)
    """Thread of that place itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolantFigures:
    """The cooling circuit. ``level_mm`` is the cold level above the header tank's underside.

    ``bottle_level_mm`` and ``bottle_hose_mm`` are heights in the catch bottle: of its cold level, and of the open end
    of the overflow hose. ``flow_mm3`` is what the pump moves in a minute.
    """

    fill_mm3: Figure | None = None
    tank_mm3: Figure | None = None
    tanks_mm3: dict[str, Figure] = field(default_factory=dict)
    """By part, also one that only a job adds; then ``tank_mm3`` does not count."""
    mix: str | None = None
    cold_c: float | None = None
    hot_c: float | None = None
    level_mm: Figure | None = None
    bottle_level_mm: Figure | None = None
    bottle_hose_mm: Figure | None = None
    hose_mm: Figure | None = None
    flow_mm3: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchFigures:
    """How far the slave's rod must go to clear the clutch."""

    release_mm: Figure | None = None


class BarSort(StrEnum):
    """The section of a bar."""

    FLAT = "flat"
    """On edge: thickness and depth."""
    ROUND = "round"
    TUBE = "tube"
    """Round: outside and wall."""
    BOX = "box"
    """Width, depth, wall."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ArmFigures:
    """A pedal's arm where it is bent most. ``hole_mm`` is drilled there, ``across_mm`` as :class:`BarSort` says."""

    sort: BarSort
    across_mm: tuple[Figure, ...]
    yield_mpa: Figure
    hole_mm: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PinFigures:
    """A pivot bolt or bar held on both sides (``sides`` 2) or one (1) of a bush ``long_mm`` long."""

    across_mm: Figure
    long_mm: Figure
    yield_mpa: Figure
    bush_mpa: Figure | None = None
    """What the bush bears on its length times its bore."""
    sides: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltFigures:
    """The bolts that hold a pedal's mounting: places in the frame of the part ``on`` and the way they point there."""

    on: str
    thread_mm: float
    grade: str
    along: str
    at_mm: tuple[Vec, ...]
    edge_mm: Figure | None = None
    """Middle of the outermost row to the edge about which the mounting tips."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFigures:
    """The sheet the bolts hold to, with the doubler behind it. ``edge_mm`` is from a hole to the nearest free edge."""

    thick_mm: Figure
    doubler_mm: Figure
    tensile_mpa: Figure
    washer_mm: Figure
    edge_mm: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldFigures:
    """A fillet: straight runs of ``long_mm`` together, or once round ``round_mm``; ``electrode_mpa`` is its metal's."""

    leg_mm: Figure
    electrode_mpa: Figure
    long_mm: Figure | None = None
    round_mm: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalFigures:
    """What a pedal and its mounting are made of. ``factor`` is wanted against yield at the push ``panic_n``."""

    arm: ArmFigures | None = None
    pivot: PinFigures | None = None
    bolts: BoltFigures | None = None
    sheet: SheetFigures | None = None
    weld: WeldFigures | None = None
    panic_n: Figure | None = None
    factor: float = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnFigures:
    """An axis in the frame of the part that turns about it."""

    about_mm: Vec
    axis: Vec


@dataclass(frozen=True, slots=True, kw_only=True)
class StageFigures:
    """A rod or cable and the lever it works. ``turns`` is None for the far end of a cable that works no lever told.

    ``outer`` are the places (part, port) where the outer of a cable ends, the near one first; empty for a rod.
    """

    link: str
    turns: TurnFigures | None = None
    outer: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkageFigures:
    """Levers joined by rods and cables: throttle, handbrake, gear change. ``part`` and ``port``: where it is pushed."""

    part: str
    port: str
    stages: tuple[StageFigures, ...]
    turns: TurnFigures | None = None
    """Of the first lever; None: by its own motion."""
    travel_deg: float | None = None
    full_deg: Figure | None = None
    """How far the last lever turns from its one stop to its other."""
    pull_mm: Figure | None = None
    """What the far end of a cable asks for."""


class Metal(StrEnum):
    """What sheet is made of."""

    STEEL = "steel"
    STAINLESS = "stainless"
    ALUMINIUM = "aluminium"


@dataclass(frozen=True, slots=True, kw_only=True)
class BracketFigures:
    """A folded bracket: outside lengths and widths of its legs, what each bend turns the sheet by.

    ``neutral`` is where the line of unchanged length lies, as a share of the thickness.
    """

    legs_mm: tuple[Figure, ...]
    widths_mm: tuple[Figure, ...]
    angles_deg: tuple[float, ...]
    radius_mm: Figure
    thick_mm: Figure
    neutral: Figure
    metal: Metal = Metal.STEEL


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoeSize:
    """The shoe it is driven in: sole, outside."""

    width_mm: Figure
    length_mm: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """All of them; what is not told stays unknown, and so do the sums that need it."""

    weight: Weight = Weight()
    axles: dict[str, AxleBrakes]
    pipe: PipeFigures | None = None
    coolant: CoolantFigures = CoolantFigures()
    clutch: ClutchFigures = ClutchFigures()
    pedals: dict[str, PedalFigures] = field(default_factory=dict)
    linkages: dict[str, LinkageFigures] = field(default_factory=dict)
    shoe: ShoeSize | None = None
    brackets: dict[str, BracketFigures] = field(default_factory=dict)
