"""What a vehicle file may say that a tape does not show: weights, brakes, coolant, for the sums."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.files.amount_values import GripAmount, MassAmount, PressureAmount, VolumeAmount
from planner.files.schema_pedals import BracketFile, LinkageFile, PedalFile, SoleFile
from planner.files.values import Degrees, Entry, Length, Slug, Temperature, Text, one_of
from planner.model.figures import BrakeSort

SortText = Annotated[BrakeSort, one_of(BrakeSort)]
Pistons = Annotated[int, Field(ge=1, le=16)]
Safety = Annotated[float, Field(ge=1, le=20)]


class WeightFile(Entry):
    """The vehicle on its wheels, as it is used."""

    mass: MassAmount | None = None
    """With everybody aboard."""
    wheelbase: Length | None = None
    """Front axle to rear axle."""
    ahead_of_rear: Length | None = None
    """Centre of gravity ahead of the rear axle."""
    height: Length | None = None
    """Centre of gravity above the ground."""
    grip: GripAmount | None = None
    """Friction of tyre on road to reckon with: 0.8 is dry tarmac."""


class ShoeFile(Entry):
    """One brake shoe."""

    width: Length
    """Of the lining."""
    pivot: Length
    """From the middle of the drum to the shoe's pivot."""
    arm: Length
    """From the pivot to the line of the push."""
    begins: Degrees
    """Where the lining begins: angle from the pivot, seen from the middle of the drum."""
    ends: Degrees
    """Where it ends."""


class DuoFile(Entry):
    """A duo-servo drum: its first shoe pushes the second through a link."""

    cylinder: Length
    """Height of the cylinder above the middle of the drum."""
    link: Length
    """Depth of the link below it."""
    anchor: Length
    """Height of the anchor above it."""


class SwellFile(Entry):
    """How much all hoses of an axle swell at a pressure."""

    volume: VolumeAmount
    """Fluid that takes: `0.4 ml`."""
    at: PressureAmount
    """The pressure it was measured at: `70 bar`."""


class AxleFile(Entry):
    """The brakes of one axle, both wheels alike. Bore and pistons are best told at the part itself."""

    system: Text
    """The circuit that works them."""
    kind: SortText
    """drum or disc."""
    bore: Length | None = None
    """Of a wheel cylinder or caliper, where the vehicle has no part for it."""
    pistons: Pistons | None = None
    """Of one wheel."""
    travel: Length | None = None
    """How far each piston goes before the lining bites."""
    radius: Length | None = None
    """Of the drum inside, or from the axle to the middle of the pad."""
    friction: GripAmount | None = None
    """Of the lining: 0.35 is usual."""
    shoe: ShoeFile | None = None
    """A shoe of a drum brake."""
    leading: Annotated[list[bool], Field(min_length=1, max_length=4)] | None = None
    """One for each shoe of a wheel: true where the drum's turning pulls it on; `[true, false]` is usual."""
    duo: DuoFile | None = None
    """A duo-servo drum's heights; `leading` does not count then."""
    tyre_radius: Length | None = None
    """Axle to road."""
    pipe_volume: VolumeAmount | None = None
    """Fluid held in its pipes and hoses: `20 ml`."""
    hose_swell: SwellFile | None = None
    """How much its hoses swell."""
    iron: MassAmount | None = None
    """Mass of one drum or disc."""


class PipeFile(Entry):
    """The brake pipe."""

    wall: Length
    """Thickness of its wall: `22 swg`."""
    strength: PressureAmount
    """Tensile strength of its metal: `250 MPa`."""
    factor: Safety
    """How many times the pressure it must stand."""
    flare: Text | None = None
    """How its ends are flared."""
    nuts: dict[Slug, Text] = Field(default_factory=dict)
    """Thread of the tube nut at each place it screws into: `{front-cylinder: 3/8-24 UNF}`."""
    threads: dict[Slug, Text] = Field(default_factory=dict)
    """Thread in the part at that place, measured or from its maker."""


class BottleFile(Entry):
    """The catch bottle: heights above its bottom."""

    level: Length
    """Of the cold level in it."""
    hose: Length
    """Of the open end of the overflow hose."""


class CoolantFile(Entry):
    """The cooling circuit."""

    fill: VolumeAmount | None = None
    """All of it, cold."""
    tank: VolumeAmount | None = None
    """What the header tank holds, brim full."""
    tanks: dict[Slug, VolumeAmount] = Field(default_factory=dict)
    """The same by part, where a job brings another one: `{header-tank: 3 l, larger-tank: 5 l}`."""
    mix: Text | None = None
    """Water, or which half-and-half mix."""
    cold: Temperature | None = None
    """When it is filled."""
    hot: Temperature | None = None
    """The hottest it runs."""
    level: Length | None = None
    """Cold level above the underside of the header tank."""
    bottle: BottleFile | None = None
    """The catch bottle the overflow goes to."""
    hose: Length | None = None
    """Bore of the main hoses."""
    flow: VolumeAmount | None = None
    """What the pump moves in a minute: `60 l`."""


class ClutchFile(Entry):
    """The hydraulic clutch."""

    release: Length | None = None
    """How far the slave's rod must go to clear it."""


class FiguresFile(Entry):
    """What a tape does not show and the sums need."""

    weight: WeightFile | None = None
    """Mass and where it lies."""
    brakes: dict[Slug, AxleFile] = Field(default_factory=dict)
    """By axle: `front`, `rear`."""
    brake_pipe: PipeFile | None = None
    """The brake pipe."""
    coolant: CoolantFile | None = None
    """The cooling circuit."""
    clutch: ClutchFile | None = None
    """The hydraulic clutch."""
    pedals: dict[Slug, PedalFile] = Field(default_factory=dict)
    """By the pedal's own id, also of one that a job adds."""
    linkages: dict[Slug, LinkageFile] = Field(default_factory=dict)
    """By a name of your own: `throttle`, `handbrake`."""
    brackets: dict[Slug, BracketFile] = Field(default_factory=dict)
    """Folded brackets, by a name of your own."""
    shoe: SoleFile | None = None
    """The shoe it is driven in."""
