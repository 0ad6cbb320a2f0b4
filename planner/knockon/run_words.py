"""The cut list of a run: what is cut, bent and fitted, in the order it is done."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from planner.model.catalog import LinkKind
from planner.model.runs import Bend, Laid, Run, RunSort
from planner.model.shapes import Direction, Vec
from planner.model.vehicle import Link
from planner.space import set_back_mm, turns_deg, unit_to

Length = Callable[[float], str]
"""Prints a length in the owner's units."""

_STRAIGHT_DEG = 0.5
_STRAIGHT_MM = 0.5
"""So much less straight at an end is no less."""
_WAYS = (
    (Direction.FORWARDS, Direction.REARWARDS),
    (Direction.LEFT, Direction.RIGHT),
    (Direction.DOWN, Direction.UP),
)
_CLEARLY = 0.4
_END_CLIP_MM = 60.0
_FEW = 0.4
_STRAIGHT_POINTS = 2
_CABLE_WORDS = "the inner is cut after the trial fit: the outer, its travel and what each end takes"


def sort_of(kind: LinkKind | None, link: Link) -> RunSort:
    """How a link is made: as its kind says, else by what it is like."""
    if kind is not None and kind.run is not None:
        return kind.run
    if not link.rigid:
        return RunSort.HOSE
    return RunSort.PIPE if link.bend_radius_mm > 0.0 or link.via_mm else RunSort.ROD


def bends_of(points_mm: Sequence[Vec], bend_mm: float, spare_mm: float) -> tuple[Bend, ...]:
    """The bends in order from the first end, as they are marked on the tube before it is bent."""
    bends: list[Bend] = []
    done, plane = spare_mm, None
    turns = turns_deg(points_mm)
    backs = [0.0, *(set_back_mm(t, bend_mm) for t in turns), 0.0]
    for n, (a, b) in enumerate(pairwise(points_mm)):
        done += math.dist(a, b) - backs[n] - backs[n + 1]
        if n == len(turns) or turns[n] < _STRAIGHT_DEG:
            continue
        way, onward = unit_to(a, b), unit_to(b, points_mm[n + 2])
        normal = _cross(way, onward)
        roll = 0.0 if plane is None else _roll_deg(plane, normal, way)
        bends.append(Bend(at_mm=done, angle_deg=turns[n], roll_deg=roll, towards=way_words(onward)))
        done += bend_mm * math.radians(turns[n])
        plane = normal
    return tuple(bends)


def way_words(way: Vec) -> str:
    """A direction in words: "rearwards and down"."""
    order = sorted(range(3), key=lambda axis: (-abs(way[axis]), axis))
    told = [_WAYS[axis][way[axis] > 0].value for axis in order if abs(way[axis]) > _CLEARLY]
    return " and ".join(told)


def clips_at(length_mm: float, pitch_mm: float) -> tuple[float, ...]:
    """Where a run is clipped: near each end, and between them no farther apart than the pitch."""
    if pitch_mm <= 0.0 or length_mm < _FEW * pitch_mm:
        return ()
    near = min(_END_CLIP_MM, pitch_mm / 3.0)
    if length_mm < 2.0 * near + pitch_mm / 3.0:
        return (length_mm / 2.0,)
    count = math.ceil((length_mm - 2.0 * near) / pitch_mm)
    return tuple(near + (length_mm - 2.0 * near) * k / count for k in range(count + 1))


def headline(run: Run, kind_name: str, across_mm: float, length: Length) -> str:
    """A run in one line: "412 mm of brake pipe, 4.8 mm across, 3 bends, 2 clips"."""
    told = [f"{length(round(run.cut_mm))} of {kind_name}, {length(across_mm)} across"]
    if run.sort is RunSort.PIPE:
        told.append(_count(len(run.bends), "bend"))
    if run.clips_mm:
        told.append(_count(len(run.clips_mm), "clip"))
    return ", ".join(told)


def cut_lines(run: Run, kind: LinkKind | None, length: Length, swing_deg: float) -> tuple[str, ...]:
    """Everything to cut, bend and fit, one thing a line."""
    fitted = kind.fitted if kind is not None else ""
    lines = [_cut_line(run, kind, length)]
    lines += [f"each end: {fitted}"] if fitted else []
    lines += [_way_line(run, length)] if len(run.points_mm) > _STRAIGHT_POINTS else []
    if run.sort is RunSort.PIPE:
        lines += [_bend_line(n, bend, run, length) for n, bend in enumerate(run.bends, start=1)]
        lines += _short_ends(run, kind, length)
    if run.sort in {RunSort.ROD, RunSort.SHAFT} and run.laid is not Laid.DRAWN:
        lines.append(f"its line swings {swing_deg:.1f} degrees at each joint against the line before")
    if run.sort is RunSort.CABLE:
        lines.append(_CABLE_WORDS)
    if run.clips_mm:
        lines.append(f"clips at {', '.join(length(round(at)) for at in run.clips_mm)}")
    if run.loose_mm:
        where = ", ".join(length(round(at)) for at in run.loose_mm)
        lines.append(f"nothing firm within a hand's width at {where}: make a bracket there or lead it along something")
    return tuple(lines)


def _cut_line(run: Run, kind: LinkKind | None, length: Length) -> str:
    if run.sort in {RunSort.ROD, RunSort.SHAFT}:
        return f"straight, {length(run.length_mm)} from joint to joint"
    if run.sort is RunSort.BELT:
        return f"{length(run.length_mm)} from pulley to pulley: measure its length round them with a string"
    spare = kind.spare_mm if kind is not None else 0.0
    inside = f", {length(spare)} spare at each end in it" if spare else ""
    what = "outer " if run.sort is RunSort.CABLE else ""
    return f"cut {what}{length(round(run.cut_mm))}{inside}"


def _way_line(run: Run, length: Length) -> str:
    """Where a run goes, leg by leg, measured from corner to corner."""
    told = [f"{length(round(math.dist(a, b)))} {way_words(unit_to(a, b))}" for a, b in pairwise(run.points_mm)]
    return f"corner to corner from the first end: {', then '.join(told)}"


def _short_ends(run: Run, kind: LinkKind | None, length: Length) -> Iterator[str]:
    """Where a drawn pipe is bent nearer to its end than its fitting allows."""
    wanted_mm = kind.straight_mm if kind is not None else 0.0
    if run.laid is not Laid.DRAWN or not run.bends:
        return
    last = run.bends[-1]
    spare_mm = (run.cut_mm - run.length_mm) / 2.0
    left_mm = run.cut_mm - spare_mm - last.at_mm - run.bend_mm * math.radians(last.angle_deg)
    for end, straight_mm in (("first", run.bends[0].at_mm - spare_mm), ("second", left_mm)):
        if straight_mm < wanted_mm - _STRAIGHT_MM:
            yield (
                f"only {length(round(straight_mm))} straight at the {end} end, its fitting wants "
                f"{length(wanted_mm)}: draw the corner there farther off"
            )


def _bend_line(number: int, bend: Bend, run: Run, length: Length) -> str:
    turned = ""
    if abs(bend.roll_deg) >= 1.0:
        sense = "clockwise" if bend.roll_deg > 0 else "anticlockwise"
        turned = f", the tube turned {abs(bend.roll_deg):.0f} degrees {sense} seen from the first end"
    return (
        f"bend {number}: begins {length(round(bend.at_mm))} from the first end, {bend.angle_deg:.0f} degrees round "
        f"{length(run.bend_mm)}{turned}; then {bend.towards}"
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _cross(a: Vec, b: Vec) -> Vec:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _roll_deg(before: Vec, after: Vec, way: Vec) -> float:
    """Angle [deg] from one plane's normal to the next about the way the tube runs, right-handed."""
    across = sum(c * w for c, w in zip(_cross(before, after), way, strict=True))
    return math.degrees(math.atan2(across, sum(p * q for p, q in zip(before, after, strict=True))))
