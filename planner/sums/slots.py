"""The holes a job cuts against what the levers' arms and rods ask for where they pass through them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from planner.model.job import Cut
from planner.model.shapes import AXES, Box, Tube, Vec
from planner.model.sums import SumLine, Verdict
from planner.model.vehicle import Component, Link
from planner.space import pose_mm, rotated
from planner.sums.lever import LeverError
from planner.sums.lever_slot import SLOT_BASIS, Arm, Sheet, Slot, rod_slot, slot
from planner.sums.levers_there import LeverThere

CLEAR_MM = 5.0
"""Kept free round an arm or a rod: common practice, no published source."""
_LEVEL = 0.99
"""Cosine of how far a sheet may stand off square to the levers' planes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A flat sheet square to the levers' planes: ``along`` is the way it runs in them, ``corners_mm`` are its own."""

    sheet: Sheet
    along: Vec
    corners_mm: tuple[Vec, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """What passes through a sheet: a slot along it, and from where to where it needs it across, on the y axis."""

    what: str
    slot: Slot
    left_mm: float
    right_mm: float


def walls_of(part: Component) -> tuple[Wall, ...]:
    """The flat boxes of a part that stand square to the levers' planes."""
    found = []
    for solid in part.solids:
        if isinstance(solid, Box):
            axes = [rotated(part.pose.turn_deg, rotated(solid.pose.turn_deg, a)) for a in AXES.values()]
            thin = min(range(3), key=lambda n: solid.size_mm[n])
            rest = [n for n in range(3) if n != thin]
            across = max(rest, key=lambda n: abs(axes[n][1]))
            (along,) = (n for n in rest if n != across)
            if abs(axes[across][1]) > _LEVEL:
                way = axes[along]
                middle = pose_mm(part.pose, solid.pose.at_mm)
                sheet = Sheet(
                    at_mm=(middle[0], middle[2]),
                    runs_deg=math.degrees(math.atan2(way[2], way[0])),
                    thickness_mm=solid.size_mm[thin],
                )
                corners = tuple(pose_mm(part.pose, c) for c in _corners(solid))
                found.append(Wall(sheet=sheet, along=way, corners_mm=corners))
    return tuple(found)


def passing(there: LeverThere, part: Component, link: Link, wall: Wall, *, clear_mm: float) -> Iterator[Passing]:
    """What of a lever passes through a sheet: the tubes of its arm, and its rod."""
    for n, tube in enumerate(s for s in part.solids if isinstance(s, Tube)):
        points = [pose_mm(part.pose, pose_mm(tube.pose, p)) for p in tube.through_mm]
        arm = Arm(line_mm=tuple((p[0], p[2]) for p in points), width_mm=tube.across_mm, thick_mm=tube.across_mm)
        half = tube.across_mm / 2.0 + clear_mm
        try:
            asked = slot(there.lever, arm, wall.sheet, clear_mm=clear_mm)
        except LeverError:
            continue
        across = [p[1] for p in points]
        yield Passing(what=f"{part.id}.{n}", slot=asked, left_mm=min(across) - half, right_mm=max(across) + half)
    half = link.across_mm / 2.0 + clear_mm
    try:
        asked = rod_slot(there.lever, link.across_mm, wall.sheet, clear_mm=clear_mm)
    except LeverError:
        return
    seat = there.across_mm + there.aside_mm
    ends = (seat, seat - there.lever.beside_mm)
    yield Passing(what=link.id, slot=asked, left_mm=min(ends) - half, right_mm=max(ends) + half)


def slot_lines(
    levers: Sequence[LeverThere], parts: Mapping[str, Component], links: Mapping[str, Link], holes: Sequence[Cut]
) -> tuple[SumLine, ...]:
    """Two lines for each hole that an arm or a rod passes through: along the sheet, and across the car."""
    found: list[SumLine] = []
    for hole in holes:
        if hole.host not in parts or not isinstance(hole.hole, Box):
            continue
        box = _corners(hole.hole)
        for wall in walls_of(parts[hole.host]):
            through = [
                p
                for there in levers
                for p in passing(there, parts[there.part], links[there.link], wall, clear_mm=CLEAR_MM)
                if _meets(p, box, wall)
            ]
            if through and _near(box, wall):
                found += _lines(hole, wall, box, through)
                break
    return tuple(found)


def _corners(box: Box) -> list[Vec]:
    x, y, z = (s / 2.0 for s in box.size_mm)
    return [pose_mm(box.pose, (a * x, b * y, c * z)) for a, b, c in product((-1, 1), repeat=3)]


def _span(corners: Sequence[Vec], wall: Wall) -> tuple[float, float]:
    """From where to where a hole runs along the sheet, counted as a slot is."""
    x, z = wall.sheet.at_mm
    along = [float(np.dot(wall.along, (c[0] - x, 0.0, c[2] - z))) for c in corners]
    return min(along), max(along)


def _meets(each: Passing, corners: Sequence[Vec], wall: Wall) -> bool:
    """Whether it goes through what has these corners, hole or sheet, rather than past it."""
    low, high = _span(corners, wall)
    left, right = min(c[1] for c in corners), max(c[1] for c in corners)
    return each.slot.low_mm < high and each.slot.high_mm > low and each.left_mm < right and each.right_mm > left


def _near(corners: Sequence[Vec], wall: Wall) -> bool:
    """Whether the hole lies in this sheet: its corners on both sides of it."""
    x, z = wall.sheet.at_mm
    normal = (-wall.along[2], wall.along[0])
    off = [(c[0] - x) * normal[0] + (c[2] - z) * normal[1] for c in corners]
    return min(off) < 0.0 < max(off)


def _lines(hole: Cut, wall: Wall, corners: Sequence[Vec], through: Sequence[Passing]) -> Iterator[SumLine]:
    low, high = _span(corners, wall)
    left, right = min(c[1] for c in corners), max(c[1] for c in corners)
    asked = (min(p.slot.low_mm for p in through), max(p.slot.high_mm for p in through))
    wide = (min(p.left_mm for p in through), max(p.right_mm for p in through))
    note = (
        f"slot asked {asked[1] - asked[0]:.0f} x {wide[1] - wide[0]:.0f} mm; "
        f"the hole is {high - low:.0f} x {right - left:.0f} mm"
    )
    for name, (a, b), (c, d) in (("along", asked, (low, high)), ("across", wide, (left, right))):
        margin = min(a - c, d - b)
        yield SumLine(
            id=f"{hole.id}.{name}",
            about=hole.id,
            title=f"slot asked, {'along the sheet' if name == 'along' else 'across the car'}",
            unit="mm",
            value=b - a,
            least=b - a,
            most=b - a,
            high=d - c,
            margin=margin,
            verdict=Verdict.FAILS if margin < 0.0 else Verdict.FINE,
            limit=f"the hole, {CLEAR_MM:g} mm kept clear all round (common practice); margin at the nearer end",
            note=note,
            assumed=SLOT_BASIS.assumed,
            not_covered=SLOT_BASIS.not_covered,
            source=SLOT_BASIS.source,
        )


def sheet_slot(
    there: LeverThere, part: Component, link: Link, sheet: Component, *, clear_mm: float = CLEAR_MM
) -> tuple[Passing, Wall] | None:
    """The slot a lever asks for in a part it passes through; its arm before its rod; None when nothing passes."""
    for wall in walls_of(sheet):
        through = passing(there, part, link, wall, clear_mm=clear_mm)
        found = next((p for p in through if _meets(p, wall.corners_mm, wall)), None)
        if found is not None:
            return found, wall
    return None
