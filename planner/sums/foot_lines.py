"""Where the driver's foot lands on each pedal, and how much room the shoe has beside the next one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial

from planner.model.figures import Figure, ShoeSize
from planner.model.shapes import Pose, Tube, Turn, Vec
from planner.model.vehicle import Component, Driver, FootBand, Spot
from planner.space import component_body, extent_mm, gap, port_mm, solid_body
from planner.sums.basis import Basis
from planner.sums.doubtful import Known, Values, spot_doubts_mm
from planner.sums.levers_there import PAD
from planner.sums.lines import Asked

SHOE_GAP_MM = 10.0
"""Least gap from shoe to neighbour: common practice, no published source; the checkpoint asks the same."""
PAD_REACH_MM = 60.0
"""A body whose middle is this near to the pad's port is the pad."""
FOOT_BASIS = Basis(
    source="heel to ball of the foot by ANSUR II with what the shoe adds, or your own foot; plane geometry",
    assumed=("heel on its place on the floor", "foot square to the pedals", "pads as drawn, at rest"),
    not_covered=(
        "a heel that is lifted, as for a high pedal it must be",
        "a foot turned out",
        "soldiers were measured: few old people, no children",
        "boots, carpet and wet soles: try it with eyes shut",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """A pedal's pad at rest: its middle, half its width across the car, half its length up the face [mm]."""

    part: Component
    at_mm: Vec
    half_wide_mm: float
    half_long_mm: float


def foot_lines(
    parts: Mapping[str, Component], driver: Driver | None, shoe: ShoeSize | None, known: Known
) -> Iterator[Asked]:
    """Two lines a pedal for where the ball lands, one for each side that has a neighbour."""
    known.note("shoe.width", None if shoe is None else shoe.width_mm, "`width` of `figures.shoe`")
    known.note("shoe.length", None if shoe is None else shoe.length_mm, "`length` of `figures.shoe`")
    pads = sorted((p for part in parts.values() if (p := _pad(part)) is not None), key=lambda p: p.at_mm[1])
    heel = None if driver is None or driver.heel is None else _spot(driver.heel, parts)
    foot = None if driver is None else driver.foot
    for number, pad in enumerate(pads):
        if heel is not None and foot is not None:
            yield from _landing(pad, heel, foot, known)
        if number + 1 < len(pads):
            yield _beside(pad, pads[number + 1], known)
        if heel is not None:
            yield _toe(pad, heel, parts)
        yield from _steering(pad, parts)


def _spot(spot: Spot, parts: Mapping[str, Component]) -> Vec | None:
    if spot.on is None:
        return spot.at_mm
    return port_mm(parts[spot.on], spot.port) if spot.on in parts else None


def _pad(part: Component) -> Pad | None:
    """The pad of a pedal; None for a part that is none. Only what turns and has the port is one."""
    if PAD not in part.ports_mm or not isinstance(part.motion, Turn):
        return None
    near = [s for s in part.solids if math.dist(s.pose.at_mm, part.ports_mm[PAD]) <= PAD_REACH_MM]
    if not near:
        return None
    body = max((solid_body([s], part.pose) for s in near), key=lambda b: b.hi_mm[1] - b.lo_mm[1])
    return Pad(
        part=part,
        at_mm=port_mm(part, PAD),
        half_wide_mm=(body.hi_mm[1] - body.lo_mm[1]) / 2.0,
        half_long_mm=(body.hi_mm[2] - body.lo_mm[2]) / 2.0,
    )


def _landing(pad: Pad, heel_mm: Vec, foot: FootBand, known: Known) -> Iterator[Asked]:
    """How far from the pad's middle the ball of the shortest and of the longest foot comes down, the heel in place."""
    name = pad.part.id
    doubts = spot_doubts_mm(pad.part, PAD)
    for axis, n in (("x", 0), ("z", 2)):
        known.figures[f"{name}.pad_{axis}"] = Figure(pad.at_mm[n], doubts[n])

    def past(foot_mm: float, v: Values) -> float:
        return foot_mm - math.hypot(v[f"{name}.pad_x"] - heel_mm[0], v[f"{name}.pad_z"] - heel_mm[2])

    for key, words, mm, whose in (
        ("ball-short", "shortest", foot.low_mm, foot.low_words),
        ("ball-long", "longest", foot.high_mm, foot.high_words),
    ):
        # A foot too long goes back by its heel; one too short lifts it.
        least = -pad.half_long_mm if key == "ball-short" else None
        yield Asked(
            id=f"{name}.{key}",
            about=name,
            title=f"ball of {words} foot over pad's middle",
            unit="mm",
            needs=(f"{name}.pad_x", f"{name}.pad_z"),
            work=partial(past, mm),
            low=least,
            limit="" if least is None else "half the pad: a ball that lands lower misses it, or the heel is lifted",
            practice=True,
            note=f"{words} foot: {whose}",
            basis=FOOT_BASIS,
        )


def _beside(left: Pad, right: Pad, known: Known) -> Asked:
    """Room between the shoe on one pad and the pad beside it, whichever of the two is pressed."""
    one, other = left.part, right.part
    doubt = sum(spot_doubts_mm(p, PAD)[1] for p in (one, other))
    apart = f"{one.id}.apart"
    known.figures[apart] = Figure(right.at_mm[1] - left.at_mm[1], doubt)
    wide = max(left.half_wide_mm, right.half_wide_mm)
    return Asked(
        id=f"{one.id}.beside-{other.id}",
        about=one.id,
        title=f"shoe to `{other.id}`",
        unit="mm",
        needs=(apart, "shoe.width"),
        work=lambda v: v[apart] - v["shoe.width"] / 2.0 - wide,
        low=SHOE_GAP_MM,
        limit="common practice: the shoe never touches two pads",
        practice=True,
        basis=FOOT_BASIS,
    )


def _steering(pad: Pad, parts: Mapping[str, Component]) -> Iterator[Asked]:
    """Room between the pedal, through its whole travel, and the steering."""
    others = [p for p in parts.values() if p.group == STEERING and p.solids and p.id != pad.part.id]
    if not others:
        return

    @cache
    def least() -> float:
        swept = component_body(pad.part)
        return min(gap(swept, component_body(p)).mm for p in others)

    yield Asked(
        id=f"{pad.part.id}.steering",
        about=pad.part.id,
        title="to the steering, whole travel",
        unit="mm",
        needs=(),
        work=lambda _: least(),
        low=0.0,
        limit="it never touches the steering; what is to be kept free of it `moves` knows",
        basis=_STEERING_BASIS,
    )


STEERING = "steering"
_STEERING_BASIS = Basis(
    source="signed distance of the swept pedal and the parts of the steering",
    assumed=("parts as drawn",),
    not_covered=("a column that flexes or a mounting that gives", "a joint that is drawn as a plain bar"),
)


def _toe(pad: Pad, heel_mm: Vec, parts: Mapping[str, Component]) -> Asked:
    """Room between the toe, the sole flat on the pad at rest, and the nearest other part."""
    name, at = pad.part.id, pad.at_mm
    reach = math.hypot(at[0] - heel_mm[0], at[2] - heel_mm[2])
    way = ((at[0] - heel_mm[0]) / reach, (at[2] - heel_mm[2]) / reach)

    @cache
    def least(long_mm: float) -> float:
        return min((mm for mm, _ in _near_toe(pad, heel_mm, way, long_mm, parts)), default=math.inf)

    return Asked(
        id=f"{name}.toe",
        about=name,
        title="toe to the nearest part",
        unit="mm",
        needs=("shoe.length",),
        work=lambda v: least(v["shoe.length"]),
        low=SHOE_GAP_MM,
        limit="common practice: the toe never catches",
        practice=True,
        note=f"the toe is taken as a roll {TOE_MM:g} mm across (starting guess), the pedal at rest",
        basis=FOOT_BASIS,
    )


def _near_toe(
    pad: Pad, heel_mm: Vec, way: tuple[float, float], long_mm: float, parts: Mapping[str, Component]
) -> Iterator[tuple[float, str]]:
    """Gap from the toe to each part about it."""
    # Square to the sole, towards the driver's leg: the shoe lies on that side of the line from heel to toe.
    lift = (-way[1], way[0]) if -way[1] > 0.0 or (way[1] == 0.0 and way[0] > 0.0) else (way[1], -way[0])
    ends = []
    for far in (long_mm - 2.0 * TOE_MM, long_mm - TOE_MM / 2.0):
        x, z = (h + far * w + TOE_MM / 2.0 * n for h, w, n in zip((heel_mm[0], heel_mm[2]), way, lift, strict=True))
        ends.append((x, pad.at_mm[1], z))
    toe = solid_body([Tube(across_mm=TOE_MM, through_mm=tuple(ends))], Pose())
    for part in parts.values():
        if part.id != pad.part.id and part.solids:
            low, high = extent_mm(part.solids, part.pose)
            if all(
                lo - _FAR_MM <= b and a <= hi + _FAR_MM
                for lo, hi, a, b in zip(low, high, toe.lo_mm, toe.hi_mm, strict=True)
            ):
                yield gap(toe, solid_body(part.solids, part.pose)).mm, part.id


TOE_MM = 45.0
_FAR_MM = 150.0
