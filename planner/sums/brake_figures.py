"""The brakes of a vehicle as the sums see them: which cylinder works which axle, and every figure by name."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.model.figures import AxleBrakes, BrakeSort, Figures
from planner.model.vehicle import Component
from planner.sums.axle_loads import Stance
from planner.sums.discs import disc_torque_nmm, wheel_force_n
from planner.sums.doubtful import Known, Values
from planner.sums.drums import Leading, Shoe, drum_torque_nmm
from planner.sums.duo_servo import DuoDrum, duo_torque
from planner.sums.hydraulics import Consumer, FluidDemand, fluid_demand, piston_force_n
from planner.sums.lever_lines import PUSH_N, line_mpa, needs_of
from planner.sums.levers_there import LeverThere

WHEEL_KINDS = {
    BrakeSort.DISC: frozenset({"brake-caliper"}),
    BrakeSort.DRUM: frozenset({"brake-drum", "wheel-cylinder", "brake-shoes"}),
}
"""Kinds of part that may say the bore and the pistons of a wheel brake."""
WHEELS = 2
"""Of an axle."""
DUO = ("shoe.lining", "duo.cylinder", "duo.link", "duo.anchor")
"""What a duo-servo drum is made of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel:
    """Names of the figures of one wheel's pistons, and how many wheels of the axle are just so."""

    bore: str
    pistons: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Axle:
    """One axle: its figures, its wheels, and the lever that works it (None: none is described)."""

    name: str
    brakes: AxleBrakes
    wheels: tuple[Wheel, ...]
    lever: LeverThere | None
    note: str = ""
    """Which source of its bores and pistons was left out for another, in words."""

    def key(self, figure: str) -> str:
        """Name of one of its figures."""
        return f"brakes.{self.name}.{figure}"

    @property
    def piston_needs(self) -> tuple[str, ...]:
        """Bores and pistons of its wheels."""
        return tuple(n for w in self.wheels for n in (w.bore, w.pistons))

    @property
    def fluid_needs(self) -> tuple[str, ...]:
        """What the fluid it takes depends on, pressure aside."""
        return (*self.piston_needs, self.key("travel"), self.key("pipe_volume"), self.key("hose_swell"))

    @property
    def push_needs(self) -> tuple[str, ...]:
        """What its line pressure depends on."""
        if self.lever is None:
            return (self.key("lever"),)
        return (*needs_of(self.lever), f"{self.lever.link}.share", f"{self.lever.cylinder}.bore")

    @property
    def force_needs(self) -> tuple[str, ...]:
        """What its brake force at the road depends on."""
        drum: tuple[str, ...] = ()
        if self.brakes.sort is BrakeSort.DRUM:
            drum = ("shoe.width", "shoe.pivot", "shoe.arm") if self.brakes.duo is None else DUO
        own = ("radius", "friction", "tyre_radius", *drum)
        return (*self.push_needs, *self.piston_needs, *(self.key(o) for o in own))


def axles_of(
    figures: Figures, parts: Mapping[str, Component], levers: tuple[LeverThere, ...], known: Known
) -> tuple[Axle, ...]:
    """Every axle that is told of; its figures are taken in."""
    found = []
    for name, brakes in figures.axles.items():
        lever = next((x for x in levers if brakes.system in parts[x.cylinder].systems), None)
        alike = [b for b in figures.axles.values() if (b.system, b.sort) == (brakes.system, brakes.sort)]
        wheels, note = _wheels(name, brakes, parts, known, alone=len(alike) == 1)
        axle = Axle(name=name, brakes=brakes, wheels=wheels, lever=lever, note=note)
        _note(axle, known)
        found.append(axle)
    return tuple(found)


def _wheels(
    name: str, brakes: AxleBrakes, parts: Mapping[str, Component], known: Known, *, alone: bool
) -> tuple[tuple[Wheel, ...], str]:
    """The wheels of an axle and what was left out: its own figure goes before those of the parts on its system.

    ``alone``: no other axle has brakes of this sort on the same system. Where one has, which part is whose is not
    told, and no part's figure is taken.
    """
    there = [p for p in parts.values() if p.kind in WHEEL_KINDS[brakes.sort] and brakes.system in p.systems]
    told = [p for p in there if p.bore_mm is not None or p.pistons is not None] or there
    ours = told if alone else []
    left = _left_out(name, brakes, told)
    pistons = f"brakes.{name}.pistons"
    if ours and brakes.bore_mm is None:
        known.note(pistons, brakes.pistons, "")
        for part in ours:
            known.note(f"{part.id}.bore", part.bore_mm, f"`bore` of `{part.id}`")
            known.note(f"{part.id}.pistons", part.pistons, f"`pistons` of `{part.id}`")
        keys = {p.id: f"{p.id}.pistons" if brakes.pistons is None else pistons for p in ours}
        return tuple(Wheel(bore=f"{p.id}.bore", pistons=keys[p.id], count=1) for p in ours), left
    wheel = Wheel(bore=f"brakes.{name}.bore", pistons=pistons, count=WHEELS)
    why = "" if alone or not told else f" (`{brakes.system}` serves another axle too: which part is whose is not told)"
    known.note(wheel.bore, brakes.bore_mm, f"`bore` of `figures.brakes.{name}`{why}")
    counts = {p.pistons for p in ours}
    count = counts.pop() if brakes.pistons is None and len(counts) == 1 else brakes.pistons
    known.note(wheel.pistons, count, f"`pistons` of `figures.brakes.{name}`{why}")
    return (wheel,), left


def _left_out(name: str, brakes: AxleBrakes, told: Sequence[Component]) -> str:
    """Parts whose bore or pistons differ from the axle's own, which is taken; empty when none does."""
    found = []
    for key, own in (("bore", brakes.bore_mm), ("pistons", brakes.pistons)):
        theirs = {p.id: p.bore_mm if key == "bore" else p.pistons for p in told}
        other = [f"`{i}`" for i, value in theirs.items() if value is not None and value != own]
        if own is not None and other:
            found.append(f"`{key}` of `figures.brakes.{name}` is taken, not that of {', '.join(other)}")
    return "; ".join(found)


def _note(axle: Axle, known: Known) -> None:
    b, shoe = axle.brakes, axle.brakes.shoe
    for key, figure in (
        ("travel", b.travel_mm),
        ("radius", b.radius_mm),
        ("friction", b.friction),
        ("tyre_radius", b.tyre_radius_mm),
        ("pipe_volume", b.pipe_mm3),
        ("hose_swell", b.swell_mm3_per_mpa),
        ("iron", b.sink_kg),
    ):
        known.note(axle.key(key), figure, f"`{key}` of `figures.brakes.{axle.name}`")
    for key in ("width", "pivot", "arm"):
        figure = None if shoe is None else getattr(shoe, f"{key}_mm")
        known.note(axle.key(f"shoe.{key}"), figure, f"`shoe` of `figures.brakes.{axle.name}`")
    lining = None if shoe is None else shoe.ends_deg - shoe.begins_deg
    known.note(axle.key("shoe.lining"), lining, f"`shoe` of `figures.brakes.{axle.name}`")
    for key in ("cylinder", "link", "anchor"):
        height = None if b.duo is None else getattr(b.duo, f"{key}_mm")
        known.note(axle.key(f"duo.{key}"), height, f"`duo` of `figures.brakes.{axle.name}`")
    if axle.lever is None:
        ask = f"a pedal with a rod to a cylinder of `{axle.brakes.system}`"
        known.note(axle.key("lever"), None, ask)


def note_weight(figures: Figures, known: Known) -> None:
    """Take the figures of the vehicle on its wheels in."""
    w = figures.weight
    for key, figure in (
        ("mass", w.mass_kg),
        ("wheelbase", w.wheelbase_mm),
        ("ahead_of_rear", w.ahead_of_rear_mm),
        ("height", w.height_mm),
        ("grip", w.grip),
    ):
        known.note(f"weight.{key}", figure, f"`{key}` of `figures.weight`")


def stance_of(values: Values) -> Stance:
    """The vehicle on its wheels."""
    return Stance(
        mass_kg=values["weight.mass"],
        wheelbase_mm=values["weight.wheelbase"],
        ahead_of_rear_mm=values["weight.ahead_of_rear"],
        height_mm=values["weight.height"],
    )


def demand_of(axles: tuple[Axle, ...], mpa: float, values: Values) -> FluidDemand:
    """Fluid the brakes of some axles take at a pressure."""
    return fluid_demand(
        [
            Consumer(
                bore_mm=values[w.bore], pistons=w.count * int(values[w.pistons]), travel_mm=values[axle.key("travel")]
            )
            for axle in axles
            for w in axle.wheels
        ],
        mpa,
        pipe_mm3=sum(values[axle.key("pipe_volume")] for axle in axles),
        swell_mm3_per_mpa=sum(values[axle.key("hose_swell")] for axle in axles),
    )


def axle_force_n(axle: Axle, values: Values, push_n: float = PUSH_N) -> float:
    """Brake force of an axle at the road for a push at the pad [N].

    Each shoe is pushed by one piston; a disc by the pistons of one side, which for a sliding caliper are all it has.

    Raises
    ------
    ValueError
        A leading shoe locks by itself, or the pistons do not share out among the shoes.
    """
    if axle.lever is None:
        raise ValueError("no lever works it")
    mpa = line_mpa(axle.lever, push_n)(values)
    return sum(w.count * _wheel_n(axle, w, mpa, values) for w in axle.wheels)


def _wheel_n(axle: Axle, wheel: Wheel, mpa: float, values: Values) -> float:
    friction, radius = values[axle.key("friction")], values[axle.key("radius")]
    piston = piston_force_n(mpa, values[wheel.bore])
    pistons = int(values[wheel.pistons])
    if axle.brakes.sort is BrakeSort.DISC:
        sided = math.ceil(pistons / 2)
        torque = disc_torque_nmm(piston * sided, friction, radius)
    elif axle.brakes.duo is not None:
        torque = duo_torque(_duo(axle, radius, values), friction, piston).torque_nmm
    else:
        shoes = tuple(Leading.LEADING if x else Leading.TRAILING for x in axle.brakes.leading)
        if len(shoes) != pistons:
            raise ValueError(f"{pistons} pistons push {len(shoes)} shoes")
        torque = drum_torque_nmm(_shoe(axle, radius, values), friction, piston, shoes)
    return wheel_force_n(torque, values[axle.key("tyre_radius")])


def _duo(axle: Axle, radius_mm: float, values: Values) -> DuoDrum:
    lining, cylinder, link, anchor = (values[axle.key(name)] for name in DUO)
    return DuoDrum(radius_mm=radius_mm, lining_deg=lining, cylinder_mm=cylinder, link_mm=link, anchor_mm=anchor)


def _shoe(axle: Axle, radius_mm: float, values: Values) -> Shoe:
    shoe = axle.brakes.shoe
    if shoe is None:
        raise ValueError("no shoe is told of")
    return Shoe(
        radius_mm=radius_mm,
        width_mm=values[axle.key("shoe.width")],
        pivot_mm=values[axle.key("shoe.pivot")],
        arm_mm=values[axle.key("shoe.arm")],
        begins_deg=shoe.begins_deg,
        ends_deg=shoe.ends_deg,
    )
