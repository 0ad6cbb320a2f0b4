"""What a vehicle file may hold."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, WithJsonSchema
from pydantic.functional_validators import BeforeValidator

from planner.files.schema_figures import FiguresFile, Pistons
from planner.files.schema_relations import DriverFile, RelationFile
from planner.files.schema_shapes import MotionText, RoomFile, SolidFile
from planner.files.schema_ways import WayText
from planner.files.values import (
    BeforeText,
    Currency,
    Days,
    Degrees,
    Entry,
    FreedomText,
    Hands,
    Length,
    Mass,
    Minutes,
    Point,
    Price,
    SideText,
    Slug,
    Text,
    Turns,
    UnitsText,
    Volume,
    refuse,
)
from planner.finding.words import quoted
from planner.model.vehicle import Before

VERSION = 1
"""Version of the file format."""


def _version(value: object) -> int:
    if value != VERSION or isinstance(value, bool):
        raise refuse("wrong-version", f"file format {quoted(value)} is not known here", f"write `knockon: {VERSION}`")
    return VERSION


Version = Annotated[int, BeforeValidator(_version), WithJsonSchema({"const": VERSION})]
Names = list[Text]


class ZeroFile(Entry):
    """Where the zero planes are, in words."""

    x: Text
    """What x = 0 is; x grows rearward."""
    y: Text
    """What y = 0 is; y grows to the right."""
    z: Text
    """What z = 0 is; z grows upward."""


class SystemFile(Entry):
    """One circuit of the vehicle."""

    kind: Text
    """Kind of system, from the catalog."""
    name: Text | None = None
    """What you call it."""


class RemakeFile(Entry):
    """What a part must be when it is made anew as a plain box to fill an odd space."""

    volume: Volume
    """What it must hold: `3 l`."""
    least: Point | None = None
    """The least it may measure outside, along x, y, z of its own frame."""
    thick: Length | None = None
    """How thick its walls are."""


class ComponentFile(Entry):
    """One part. What is not said comes from its kind."""

    kind: Text
    """Kind of part, from the catalog."""
    at: Point
    """Where its origin is: x rearward, y to the right, z up."""
    solids: Annotated[list[SolidFile], Field(min_length=1, max_length=100)]
    """Its shape, in its own frame."""
    name: Text | None = None
    """What you call it."""
    turn: Turns | None = None
    """Degrees about x, then y, then z."""
    mounted_on: Text | None = None
    """The part it is fixed to."""
    fixings: Text | None = None
    """What holds it: number, size and thread."""
    freedom: FreedomText | None = None
    """What may become of it when it is in the way."""
    rides: bool | None = None
    """It comes off with what it is mounted on."""
    turns: list[Turns] | None = None
    """Extra turns in which it may be fitted in a new home."""
    keep_clear: Length | None = None
    """Free gap all round it."""
    rooms: list[RoomFile] | None = None
    """Room to use it or to get it off."""
    motion: MotionText | None = None
    """How it moves in use; several motions as a list, the inner one first: `[{turns: ...}, {slides: ...}]`."""
    unsprung: bool | None = None
    """It stays with the wheels when the suspension moves."""
    way_out: Annotated[list[WayText], Field(min_length=1, max_length=12)] | None = None
    """Ways in which it comes out, when you know better than the drawing: `[up, [40 mm forwards, up]]`."""
    off: Minutes | None = None
    """Time to take it off."""
    on: Minutes | None = None
    """Time to put it back."""
    hands: Hands | None = None
    """People needed."""
    mass: Mass | None = None
    """Its mass."""
    systems: Names = Field(default_factory=list)
    """Systems it belongs to."""
    ports: dict[Slug, Point] = Field(default_factory=dict)
    """Named places where links join it, in its own frame."""
    touches: Names = Field(default_factory=list)
    """Parts and links it is meant to touch besides its mounting."""
    near: dict[Slug, Length] = Field(default_factory=dict)
    """Parts and links that may be as near as this, whatever else says more: shielded, or proved in use."""
    tools: Names | None = None
    """Tools to take it off."""
    needs: Names | None = None
    """Conditions under which it is taken off."""
    make: Minutes | None = None
    """Time to make a new one; null when it is bought."""
    may_be_remade: RemakeFile | None = None
    """It may be made anew in another shape: `{volume: 3 l, least: [60, 60, 80]}`."""
    price: Price | None = None
    """Price of a new one."""
    lead: Days | None = None
    """Days from order to arrival."""
    bore: Length | None = None
    """Bore of a cylinder or caliper."""
    stroke: Length | None = None
    """How far its piston can go."""
    pistons: Pistons | None = None
    """Pistons of a wheel cylinder or caliper."""


class LinkFile(Entry):
    """A rod, cable, hose, pipe, wire, shaft or belt. What is not said comes from its kind."""

    kind: Text
    """Kind of link, from the catalog."""
    from_: Text = Field(alias="from")
    """One end: part, or part.port."""
    to: Text
    """Other end."""
    name: Text | None = None
    """What you call it."""
    via: Annotated[list[Point], Field(max_length=200)] = Field(default_factory=list)
    """Points of its run, in vehicle axes."""
    across: Length | None = None
    """Outside diameter."""
    slack: Length | None = None
    """How far its ends may draw apart."""
    adjust: Length | None = None
    """How far its own adjuster goes."""
    bend: Length | None = None
    """Least bend radius."""
    rigid: bool | None = None
    """It keeps its shape."""
    swing: Degrees | None = None
    """How far its direction may change, in degrees, before it will not work."""
    system: Text | None = None
    """System it belongs to."""
    passes: Names = Field(default_factory=list)
    """Parts it goes through or is clipped to."""
    near: dict[Slug, Length] = Field(default_factory=dict)
    """Parts and links that may be as near as this, whatever else says more: shielded, or proved in use."""
    freedom: FreedomText | None = None
    """Whether it may be run anew."""
    off: Minutes | None = None
    """Time to take it off."""
    on: Minutes | None = None
    """Time to put it back."""
    hands: Hands | None = None
    """People needed."""
    remake: Minutes | None = None
    """Time to make it anew."""
    price: Price | None = None
    """Price of a new one."""
    lead: Days | None = None
    """Days from order to arrival."""
    tools: Names | None = None
    """Tools to take it off."""
    needs: Names | None = None
    """Conditions under which it is taken off."""


class SpaceFile(Entry):
    """A box in vehicle axes in which parts may find a home."""

    on: Text
    """The part whose face it is."""
    box: Point
    """Its sizes along x, y and z."""
    at: Point
    """Its middle."""
    against: SideText | None = None
    """The face of the box a part sits against: down for a shelf, forwards or rearwards for a wall."""
    name: Text | None = None
    """What you call it."""
    step: Length | None = None
    """Grid on which homes are tried."""
    takes: Names = Field(default_factory=list)
    """Parts or kinds it takes; none means any."""


class OwedFile(Entry):
    """A check, or work, that an earlier job left open."""

    what: Text
    """What has to be proved, or done."""
    limit: Text | None = None
    """What it is held against, in words."""
    check: Text | None = None
    """The checkpoint of the catalog that it is."""
    job: Text | None = None
    """The job that left it open."""
    why: Text | None = None
    """What was told of it, such as how it failed."""
    before: BeforeText = Before.START
    """The first use that it holds back: start, move or road."""


class VehicleFile(Entry):
    """A vehicle as it stands."""

    knockon: Version
    """Version of the file format."""
    name: Text
    """What you call the vehicle."""
    units: UnitsText
    """What a bare number means and what is printed: mm or inch."""
    ground: Length
    """Height (z) of the ground."""
    doubt: Length | None = None
    """How sure a size is when it does not say."""
    zero: ZeroFile | None = None
    """Where the zero planes are, in words."""
    systems: dict[Slug, SystemFile] = Field(default_factory=dict)
    """Circuits: brakes, clutch, fuel, cooling."""
    components: dict[Slug, ComponentFile] = Field(default_factory=dict)
    """Parts."""
    links: dict[Slug, LinkFile] = Field(default_factory=dict)
    """Rods, cables, hoses, pipes, wires, shafts, belts."""
    spaces: dict[Slug, SpaceFile] = Field(default_factory=dict)
    """Where parts may find a home."""
    relations: dict[Slug, RelationFile] = Field(default_factory=dict)
    """What must stay true."""
    to_prove: dict[Slug, OwedFile] = Field(default_factory=dict)
    """What earlier jobs left open: every plan holds the road until it is signed."""
    driver: DriverFile | None = None
    """Where the driver sits."""
    bump: Length | None = None
    """How far the body comes down from the measured ride height at full bump."""
    currency: Currency | None = None
    """What all prices are in, those of its jobs as well: EUR when left out."""
    figures: FiguresFile | None = None
    """What a tape does not show and the sums need: weights, brakes, coolant."""
