"""What a vehicle file may say of pedals, linkages and the driver's shoe, for the sums."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.files.amount_values import ForceAmount, GripAmount, PressureAmount
from planner.files.values import AxisText, Degrees, Entry, Length, Point, Slug, Text, WayAxis, one_of
from planner.model.figures import BarSort, Metal

BarText = Annotated[BarSort, one_of(BarSort)]
MetalText = Annotated[Metal, one_of(Metal)]
Sides = Annotated[int, Field(ge=1, le=2)]
Safety = Annotated[float, Field(ge=1, le=20)]
Sizes = Annotated[list[Length], Field(min_length=1, max_length=3)]
Grade = Annotated[str, Field(min_length=3, max_length=5)]


class ArmFile(Entry):
    """The arm of a pedal where it is bent most: at its rod."""

    bar: BarText
    """Its section: flat, round, tube or box."""
    size: Sizes
    """flat: thickness, depth; round: across; tube: across, wall; box: width, depth, wall."""
    yields: PressureAmount
    """Stress at which its metal yields: `250 MPa` for plain mild steel."""
    hole: Length | None = None
    """A hole drilled there."""


class PinFile(Entry):
    """The bolt or bar a pedal turns on."""

    across: Length
    """Its diameter where it is held."""
    long: Length
    """Length of the bush between its supports."""
    yields: PressureAmount
    """Stress at which its metal yields."""
    bush: PressureAmount | None = None
    """What the bush bears on its length times its bore, from its maker."""
    sides: Sides = 2
    """Held on both sides of the bush: 2; at one end only: 1."""


class BoltsFile(Entry):
    """The bolts of a pedal's mounting."""

    on: Slug
    """The part whose frame the places are in, such as the pedal box."""
    thread: Length
    """Nominal diameter: `8 mm`."""
    grade: Grade
    """Strength class: `8.8`."""
    along: AxisText
    """The axis they point along."""
    at: Annotated[list[Point], Field(min_length=1, max_length=24)]
    """Their places."""
    edge: Length | None = None
    """Outermost row to the edge about which the mounting would tip; 0 when not told."""


class SheetFile(Entry):
    """The sheet the mounting is bolted to."""

    thick: Length
    """Of the sheet itself: `18 swg`."""
    doubler: Length | None = None
    """Of the plate behind or before it."""
    tensile: PressureAmount
    """Tensile strength of the weaker of the two."""
    washer: Length
    """Across the washer or bolt head that would pull through."""
    edge: Length
    """Middle of a hole to the nearest free edge."""


class WeldFile(Entry):
    """A fillet weld of the pedal: straight runs along it, or once round its boss."""

    leg: Length
    """Of the fillet."""
    electrode: PressureAmount
    """Tensile strength of the weld metal, from the rod's or wire's packet."""
    long: Length | None = None
    """Length of the straight runs together, without starts and ends."""
    round: Length | None = None
    """Across the boss or shaft it goes round."""


class PedalFile(Entry):
    """What a pedal and its mounting are made of; what is not told is not checked."""

    arm: ArmFile | None = None
    """Its arm."""
    pivot: PinFile | None = None
    """What it turns on."""
    bolts: BoltsFile | None = None
    """What holds its mounting."""
    sheet: SheetFile | None = None
    """What the bolts hold to."""
    weld: WeldFile | None = None
    """The weld that carries the push."""
    panic: ForceAmount | None = None
    """The hardest push you reckon with."""
    factor: Safety = 1.5
    """How many times that push it is to take before anything yields."""


class AxleLineFile(Entry):
    """The line a lever turns about."""

    about: Point
    """A point of it, in the part's frame."""
    axis: WayAxis
    """Its direction, in the part's frame."""


class StageFile(Entry):
    """A rod or cable, and the lever it works."""

    by: Slug
    """The link: rod or cable."""
    turns: AxleLineFile | None = None
    """What the lever at its far end turns about; left out where a cable's own pull is wanted."""
    outer: Annotated[list[Text], Field(min_length=1, max_length=2)] = Field(default_factory=list)
    """For a cable: the places (part.port) at which its outer ends, the near one first."""


class LinkageFile(Entry):
    """Levers joined by rods or cables: throttle, handbrake, gear change."""

    push: Text
    """Where it is pushed or pulled: part.port."""
    turns: AxleLineFile | None = None
    """What the first lever turns about, where the part has no motion of its own."""
    travel: Degrees | None = None
    """How far the first lever turns, where the part has no motion of its own."""
    stages: Annotated[list[StageFile], Field(min_length=1, max_length=6)]
    """From the first lever on."""
    full: Degrees | None = None
    """How far the last lever turns from one stop to the other."""
    pull: Length | None = None
    """How far the cable must pull at its far end."""


class BracketFile(Entry):
    """A bracket folded from sheet."""

    legs: Annotated[list[Length], Field(min_length=2, max_length=12)]
    """Outside lengths, to where the outer faces would meet."""
    widths: Annotated[list[Length], Field(min_length=1, max_length=12)]
    """Of each leg, or one for all."""
    bends: Annotated[list[Degrees], Field(min_length=1, max_length=11)]
    """What each bend turns the sheet by: `90 deg`."""
    radius: Length
    """Inside radius of the bends."""
    thick: Length
    """Of the sheet: `3 mm`, `18 swg`."""
    neutral: GripAmount
    """Where the line of unchanged length lies, as a share of the thickness: 0.44 for mild steel."""
    metal: MetalText = Metal.STEEL
    """steel, aluminium or stainless: for its weight."""


class SoleFile(Entry):
    """The shoe it is driven in."""

    width: Length
    """Of the sole, outside."""
    length: Length | None = None
    """Of the sole, outside."""
