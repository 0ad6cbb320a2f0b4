"""The shortest clear run found between two ports: a line of legs whose corners can be bent.

"Shortest" is on the lattice after pulling tight, over the ways round that were looked at; ``bound_mm`` is a length
that no clear run goes below, so the two tell how much could be gained at most.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from planner.model.runs import NoRun, Snag
from planner.model.shapes import Vec
from planner.space.body import Body, body_of
from planner.space.distance import closer_than, gap
from planner.space.frames import as_vec
from planner.space.pieces import segment_piece
from planner.space.route_bends import along, chords, developed_mm, spare_mm, unit_to
from planner.space.route_bound import bound_mm
from planner.space.route_fence import Fence, Firm, Guard
from planner.space.route_grid import Terms, lattice_of, search
from planner.space.route_tighten import (
    Course,
    bendable,
    corner_candidates,
    corners_on,
    legs,
    pulled,
    tightened,
    without_flats,
)

_FIRST = ((36.0, 140.0, 0.0), (28.0, 140.0, 0.3))
"""Lattice step [mm], how far beyond the ends it reaches [mm], what is added to the gaps as a share of the bend."""
_WIDER = ((32.0, 400.0, 0.0), (16.0, 120.0, 0.0))
"""Tried as well where the first find no way at all."""
_FARTHEST_MM = 500.0
"""A run stays within this of the box about its ends."""
_HASTE = 1.2
_SMALLER = (0.7, 0.4)
"""Shares of the bend radius tried in turn where the full one does not go."""
_PUSH_MM = 14.0
_APART_MM = 5.0
_SAME_MM = 1e-6
_MOST_CORNERS = 56
_FEW = 400
_LESSER = (0.5, 0.0)
"""Shares of the gaps tried in turn to find out where a run that is not to be had is stopped."""
_THIN = 0.2
_CORNER_MM = 15.0
"""What one more bend has to save in length (starting guess)."""
FIRM_MM = 60.0
"""A clip reaches to what is within this of a run (a tab or P-clip; starting guess)."""
_LOOSE = 1.0
"""What a millimetre in the air counts more than one along something firm (starting guess)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunTask:
    """A run to be found.

    ``points_mm`` are start, places it must go through in this order, and finish. Its corners are bent round
    ``bend_mm`` (centre line); ``straight_mm`` is kept straight at each end for its fittings. ``leaves`` are unit
    directions in which it leaves its start and, seen from there, its finish; None: as it pleases. It stays inside the
    box ``within_mm``.
    """

    points_mm: tuple[Vec, ...]
    across_mm: float
    bend_mm: float
    guards: tuple[Guard, ...]
    within_mm: tuple[Vec, Vec]
    straight_mm: float = 0.0
    firm: tuple[Body, ...] = ()
    """What it may be clipped to; where it hangs in the air a millimetre counts as more. Empty: it hangs as it likes."""
    leaves: tuple[Vec | None, Vec | None] = (None, None)
    known_mm: tuple[Vec, ...] = ()
    """Corners of a run that was made or agreed before: it stays where it still goes, though another may be shorter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearRun:
    """A clear run: its corners from start to finish, its bent length and a length no clear run goes below [mm]."""

    points_mm: tuple[Vec, ...]
    length_mm: float
    bound_mm: float


def find_run(task: RunTask) -> ClearRun | NoRun:
    """Find the shortest clear run by a search over a lattice, made bendable and pulled tight; the same every time."""
    fixed = _fixed(task)
    reach = _window(task, fixed, _FARTHEST_MM)
    fence = Fence(task.guards, task.across_mm, *reach)
    course = Course(
        fence=fence,
        bend_mm=task.bend_mm,
        straight_mm=task.straight_mm,
        corner_mm=_CORNER_MM,
        firm=Firm(task.firm, FIRM_MM, *reach) if task.firm else None,
        loose=_LOOSE if task.firm else 0.0,
    )
    straight = without_flats(fixed)
    if all(course.goes(*leg) for leg in legs(straight)) and course.fits(straight):
        return _route(task, straight, fence)
    known = (fixed[0], *task.known_mm, fixed[-1])
    if task.known_mm and {*fixed} <= {*known} and course.fits(known):
        return _route(task, known, fence)
    sections = legs(fixed)
    lines: list[list[tuple[Vec, ...]]] = [[s] if course.goes(*s) else [] for s in sections]
    for attempt in (*_FIRST, *_WIDER):
        before = sum(len(found) for found in lines)
        for n, found in enumerate(lines):
            if found[:1] != [sections[n]] and not (found and attempt in _WIDER):
                line = _searched(task, course, sections[n], attempt)
                found.extend([pulled(course, line)] if line is not None else [])
        if not all(lines) or (attempt != _FIRST[0] and before == sum(len(found) for found in lines)):
            continue
        bent = _as_found(course, fixed, lines) or bendable(course, fixed, _candidates(course, fixed, lines))
        if bent is not None:
            return _route(task, _settled(course, bent, fixed), fence)
    if all(lines):
        return _too_tight(course, fixed, lines)
    return _stopped(task, [s for s, found in zip(sections, lines, strict=True) if not found])


def _as_found(course: Course, fixed: tuple[Vec, ...], lines: list[list[tuple[Vec, ...]]]) -> tuple[Vec, ...] | None:
    """The last lines found put together, where they can be bent just so."""
    line = (*(p for found in lines for p in found[-1][:-1]), fixed[-1])
    return line if course.fits(line) else None


def _candidates(course: Course, fixed: tuple[Vec, ...], lines: list[list[tuple[Vec, ...]]]) -> list[list[Vec]]:
    """For each section the corners that may be of use."""
    found: list[list[Vec]] = []
    for n, section in enumerate(lines):
        corners = [c for line in reversed(section) for c in line[1:-1]] + corners_on(fixed, n, course.bend_mm)
        corners += [c for line in reversed(section) for c in corner_candidates(line, course, _PUSH_MM)]
        found.append(_thinned(corners))
    return found


def _thinned(corners: list[Vec]) -> list[Vec]:
    """The first of them, none next to another: every pair is a leg to be proved."""
    kept: list[Vec] = []
    for corner in corners:
        if len(kept) < _MOST_CORNERS and all(math.dist(corner, k) > _APART_MM for k in kept):
            kept.append(corner)
    return kept


def _too_tight(course: Course, fixed: tuple[Vec, ...], lines: list[list[tuple[Vec, ...]]]) -> NoRun:
    """There is a way, but not for bends of that radius: what is near where the legs are shortest.

    How small they would have to be is found out by trial.
    """
    line = without_flats([*(p for found in lines for p in found[0][:-1]), fixed[-1]])
    spare = spare_mm(line, course.bend_mm, course.straight_mm)
    worst = spare.index(min(spare))
    at = along(line[worst], unit_to(line[worst], line[worst + 1]), math.dist(line[worst], line[worst + 1]) / 2.0)
    stopped = NoRun(snags=_nearest(course.fence, at, course.bend_mm), at_mm=at, bends=True)
    for share in _SMALLER:
        smaller = replace(course, bend_mm=course.bend_mm * share)
        if bendable(smaller, fixed, _candidates(smaller, fixed, lines), _FEW) is not None:
            return replace(stopped, bend_mm=smaller.bend_mm)
    return stopped


def _nearest(fence: Fence, at_mm: Vec, within_mm: float) -> tuple[Snag, ...]:
    """The guards near a place, the nearest first, each with what is left between it and a run there [mm]."""
    spot = route_body((at_mm, at_mm), 0.0, 2.0 * fence.radius_mm)
    near = [(gap(spot, g.body).mm - g.keep_mm, g.id) for g in fence.guards if closer_than(spot, g.body, within_mm)]
    return tuple(Snag(guard=i, short_mm=max(0.0, -mm)) for mm, i in sorted(near))


def _settled(course: Course, line: tuple[Vec, ...], fixed: Sequence[Vec]) -> tuple[Vec, ...]:
    """The line pulled tight, its flat corners taken out where it still fits without them."""
    tight = tightened(course, line, fixed)
    flat = without_flats(tight)
    return flat if course.fits(flat) else tight


def _fixed(task: RunTask) -> tuple[Vec, ...]:
    """Start, where it has left its port straight, the places it must go through, and the same at the finish."""
    lead = task.straight_mm + task.bend_mm
    start, *between, finish = task.points_mm
    out, back = task.leaves
    first = [along(start, out, lead)] if out is not None else []
    last = [along(finish, back, lead)] if back is not None else []
    return (start, *first, *between, *last, finish)


def _searched(
    task: RunTask, course: Course, section: tuple[Vec, Vec], attempt: tuple[float, float, float]
) -> tuple[Vec, ...] | None:
    step, margin, share = attempt
    lo, hi = _window(task, section, margin)
    extra = share * task.bend_mm
    if not all(b - a > step for a, b in zip(lo, hi, strict=True)):
        return None
    lattice = lattice_of(course.fence, lo, hi, step, extra_mm=extra, firm=course.firm)
    terms = Terms(
        extra_mm=extra,
        corner_mm=_CORNER_MM,
        firm=course.firm,
        loose=course.loose,
        haste=_HASTE if attempt in _WIDER else 1.0,
    )
    return search(lattice, course.fence, *section, terms)


def _window(task: RunTask, section: Sequence[Vec], margin: float) -> tuple[Vec, Vec]:
    """The box of places with a margin round it, inside the box the run stays in (the places included)."""
    ends = np.array(section)
    low, high = ends.min(axis=0), ends.max(axis=0)
    least, most = np.minimum(np.array(task.within_mm[0]), low), np.maximum(np.array(task.within_mm[1]), high)
    return as_vec(np.maximum(low - margin, least)), as_vec(np.minimum(high + margin, most))


def _stopped(task: RunTask, sections: list[tuple[Vec, Vec]]) -> NoRun:
    """What stands in the way: let the run come nearer or be thinner until it gets through, and see what it offends."""
    full = Fence(task.guards, task.across_mm, *task.within_mm)
    for section in sections:
        for share in (*_LESSER, None):
            thinner = task.across_mm * (_THIN if share is None else 1.0)
            lesser = replace(task, guards=tuple(replace(g, keep_mm=g.keep_mm * (share or 0.0)) for g in task.guards))
            fence = Fence(lesser.guards, thinner, *task.within_mm)
            course = Course(fence=fence, bend_mm=0.0, straight_mm=0.0, corner_mm=_CORNER_MM)
            line = section if fence.clear(*section) else _searched(lesser, course, section, _FIRST[0])
            found = _offended(full, line, task.across_mm) if line is not None else None
            if found is not None and found.snags:
                return found
    return NoRun(snags=(), at_mm=None)


def _offended(fence: Fence, line: Sequence[Vec], across_mm: float) -> NoRun:
    """The guards a line comes too near to, each by how much, and the middle of its worst leg."""
    worst: dict[str, tuple[float, Vec]] = {}
    for leg in legs(line):
        for guard in fence.broken_by(*leg):
            found = gap(route_body(leg, 0.0, across_mm), guard.body)
            worst[guard.id] = max(worst.get(guard.id, (0.0, found.at_mm)), (guard.keep_mm - found.mm, found.at_mm))
    order = sorted(worst.items(), key=lambda w: (-w[1][0], w[0]))
    snags = tuple(Snag(guard=i, short_mm=short) for i, (short, _) in order)
    return NoRun(snags=snags, at_mm=order[0][1][1] if order else None)


def _route(task: RunTask, line_mm: tuple[Vec, ...], fence: Fence) -> ClearRun:
    points_mm = (line_mm[0], *(b for a, b in pairwise(line_mm) if math.dist(a, b) > _SAME_MM))
    length = developed_mm(points_mm, task.bend_mm)
    # A bend at a place it must go through cuts past it: only the two ports are sure to be reached.
    return ClearRun(
        points_mm=points_mm,
        length_mm=length,
        bound_mm=bound_mm(fence, task.points_mm[0], task.points_mm[-1], length),
    )


def route_body(points_mm: Sequence[Vec], bend_mm: float, across_mm: float) -> Body:
    """Body of a run with its corners bent, as short straight round-ended pieces."""
    pieces = chords(points_mm, bend_mm)
    return body_of([segment_piece(np.array(a), np.array(b), across_mm / 2.0) for a, b, _ in pieces])


def place_along(points_mm: Sequence[Vec], bend_mm: float, at_mm: float) -> Vec:
    """The place ``at_mm`` along the bent centre line from its start, to the fineness of the chords of its bends."""
    left = at_mm
    for a, b, _ in chords(points_mm, bend_mm):
        far = math.dist(a, b)
        if left <= far:
            return along(a, unit_to(a, b), left)
        left -= far
    return points_mm[-1]
