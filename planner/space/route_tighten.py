"""From the lattice's line to one that can be bent: choice of corners, then pulling tight, each step proved exactly."""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from planner.model.shapes import Vec
from planner.space.route_bends import (
    STRAIGHT_DEG,
    along,
    arc_chords,
    arc_points,
    chords,
    developed_mm,
    set_back_mm,
    spare_mm,
    turn_deg,
    turns_deg,
    unit_to,
)
from planner.space.route_fence import Fence, Firm

_AXES: tuple[Vec, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
_STEPS_MM = (40.0, 16.0, 6.0, 2.5, 1.0)
_ROUNDS = 8
AIR_MM = 60.0
"""A straight leg with less than this in the air, as it is counted, is not led round for the sake of clips."""
_ONWARD = (0.5, 1.0, 1.7, 2.5)
_GAIN_MM = 0.2
_MOST_LOOKS = 3_000
_SLACK_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What a run has to obey, whatever its corners: gaps, bend radius, straight ends; a corner is priced in mm.

    A millimetre of it with nothing of ``firm`` near counts as one and ``loose`` more.
    """

    fence: Fence
    bend_mm: float
    straight_mm: float
    corner_mm: float
    firm: Firm | None = None
    loose: float = 0.0

    def fits(self, points_mm: Sequence[Vec]) -> bool:
        """Whether the run can be bent so and keeps every gap."""
        if min(spare_mm(points_mm, self.bend_mm, self.straight_mm)) < -_SLACK_MM:
            return False
        return all(self.fence.clear(a, b, bow) for a, b, bow in chords(points_mm, self.bend_mm))

    def worth_mm(self, points_mm: Sequence[Vec]) -> float:
        """Length [mm] with the price of its corners and of what hangs in the air."""
        bends = sum(1 for t in turns_deg(points_mm) if t >= STRAIGHT_DEG)
        air = sum(self.air_mm(a, b) for a, b in pairwise(points_mm)) if self.firm is not None else 0.0
        return developed_mm(points_mm, self.bend_mm) + self.corner_mm * bends + air

    def goes(self, start_mm: Vec, end_mm: Vec) -> bool:
        """Whether a straight leg is clear, and hangs in the air for no more than is put up with."""
        return self.fence.clear(start_mm, end_mm) and self.air_mm(start_mm, end_mm) < AIR_MM

    def air_mm(self, start_mm: Vec, end_mm: Vec) -> float:
        """Price [mm] of what of a leg hangs in the air."""
        return self.loose * self.firm.loose_mm(start_mm, end_mm) if self.firm is not None else 0.0


@dataclass(slots=True)
class _Choice:
    """Best-first choice of corners among candidates; a state is the leg last taken."""

    course: Course
    places: list[Vec]
    sections: list[int]
    """For each place the section it lies in: fixed point n closes section n - 1 and opens section n."""
    fixed: list[int]
    onward: list[list[tuple[int, float]]]
    """For each place the clear legs from it: where to, and length with the price of its air."""
    least: list[float]
    """For each place the least from there to the finish, bends left out of account; infinite when there is no way."""
    heap: list[tuple[float, int, tuple[int, ...], float, float]] = field(default_factory=list)
    """(aim, corners, line, cost so far, what is left of its last leg)."""

    def run(self, most: int) -> tuple[Vec, ...] | None:
        seen: set[tuple[int, ...]] = set()
        self._offer((0,), 0.0, self.course.straight_mm)
        for _ in range(most):
            if not self.heap:
                return None
            _, _, line, cost, spare = heapq.heappop(self.heap)
            if line[-2:] in seen or not self._bends_clear(line):
                continue
            if line[-1] == self.fixed[-1]:
                return tuple(self.places[n] for n in line)
            seen.add(line[-2:])
            self._offer(line, cost, spare)
        return None

    def _bends_clear(self, line: tuple[int, ...]) -> bool:
        """Whether the bend before the last leg of a line keeps its gaps."""
        fence, bend_mm = self.course.fence, self.course.bend_mm
        *before, at, there = (self.places[n] for n in line[-3:])
        if not before:
            return True
        arc = arc_points(before[0], at, there, bend_mm)
        return all(fence.clear(a, b, bow) for a, b, bow in arc_chords(arc, turn_deg(before[0], at, there), bend_mm))

    def _offer(self, line: tuple[int, ...], cost: float, spare: float) -> None:
        """Every leg that may follow, as far as the bend fits on both legs."""
        course, at, last = self.course, self.places[line[-1]], self.fixed[-1]
        for k, leg in self.onward[line[-1]]:
            there = self.places[k]
            turn = turn_deg(self.places[line[-2]], at, there) if len(line) > 1 else 0.0
            back = set_back_mm(turn, course.bend_mm) if len(line) > 1 else course.straight_mm
            left = math.dist(at, there) - back
            if (len(line) > 1 and back > spare + _SLACK_MM) or math.isinf(self.least[k]):
                continue
            if left < (course.straight_mm if k == last else 0.0) - _SLACK_MM:
                continue
            total = cost + leg + (course.corner_mm if turn >= STRAIGHT_DEG else 0.0)
            heapq.heappush(self.heap, (total + self.least[k], len(line), (*line, k), total, left))


def _clear_legs(
    course: Course, places: list[Vec], sections: list[int], fixed: list[int]
) -> list[list[tuple[int, float]]]:
    """For each place where a clear leg goes from it within its section, with what it costs."""
    onward: list[list[tuple[int, float]]] = [[] for _ in places]
    pairs = [
        (n, k)
        for n in range(len(places) - 1)
        for k in range(fixed[sections[n]] + 1, fixed[sections[n] + 1] + 1)
        if k != n
    ]
    course.fence.prove_all([(places[n], places[k]) for n, k in pairs])
    for n, k in pairs:
        if course.fence.clear(places[n], places[k]):
            onward[n].append((k, math.dist(places[n], places[k]) + course.air_mm(places[n], places[k])))
    return onward


def _least(onward: list[list[tuple[int, float]]], last: int) -> list[float]:
    """The least from each place to the last over clear legs."""
    towards: list[list[tuple[int, float]]] = [[] for _ in onward]
    for n, found in enumerate(onward):
        for k, cost in found:
            towards[k].append((n, cost))
    least = [math.inf] * len(onward)
    least[last] = 0.0
    heap = [(0.0, last)]
    while heap:
        cost, n = heapq.heappop(heap)
        for k, leg in towards[n] if cost <= least[n] else ():
            if cost + leg < least[k]:
                least[k] = cost + leg
                heapq.heappush(heap, (least[k], k))
    return least


def bendable(
    course: Course, fixed: Sequence[Vec], candidates: Sequence[Sequence[Vec]], most: int = _MOST_LOOKS
) -> tuple[Vec, ...] | None:
    """The shortest line through the fixed points over candidate corners that can be bent and is clear.

    Parameters
    ----------
    fixed
        Start, places the run must go through, finish.
    candidates
        Corners to choose from, between each fixed point and the next.
    most
        Bends looked at before it is given up.

    """
    places: list[Vec] = [fixed[0]]
    sections, marks = [0], [0]
    for n, corners in enumerate(candidates):
        usable = [p for p in corners if course.fence.clear(p, p)]
        places.extend(usable)
        sections.extend([n] * len(usable))
        places.append(fixed[n + 1])
        sections.append(n + 1)
        marks.append(len(places) - 1)
    onward = _clear_legs(course, places, sections, marks)
    return _Choice(course, places, sections, marks, onward, _least(onward, marks[-1])).run(most)


def pulled(course: Course, line: Sequence[Vec]) -> tuple[Vec, ...]:
    """The line without the corners it does not need, bends left out of account."""
    kept = list(line)
    at = 1
    while at < len(kept) - 1:
        before, corner, after = kept[at - 1 : at + 2]
        round_mm = math.dist(before, corner) + math.dist(corner, after) + course.corner_mm
        round_mm += course.air_mm(before, corner) + course.air_mm(corner, after)
        straight = course.fence.clear(before, after)
        if straight and math.dist(before, after) + course.air_mm(before, after) <= round_mm:
            del kept[at]
            at = max(1, at - 1)
        else:
            at += 1
    return tuple(kept)


def corner_candidates(line: Sequence[Vec], course: Course, step_mm: float) -> list[Vec]:
    """Corners of a line, the same pushed outward to make room for the bend, and pairs of corners made into one.

    Its first and last leg are drawn on as well, to where the straight ends leave room for a bend.
    """
    bend_mm = course.bend_mm
    found = list(line[1:-1])
    for end, corner in ((line[0], line[1]), (line[-1], line[-2])):
        way = unit_to(end, corner)
        found += [along(end, way, course.straight_mm + share * bend_mm) for share in _ONWARD]
    for before, corner, after in zip(line, line[1:], line[2:], strict=False):
        turn = turn_deg(before, corner, after)
        behind, ahead = unit_to(corner, before), unit_to(corner, after)
        inward = (behind[0] + ahead[0], behind[1] + ahead[1], behind[2] + ahead[2])
        outward = unit_to(inward, (0.0, 0.0, 0.0))
        room = bend_mm * min(3.0, 1.0 / max(0.1, math.cos(math.radians(turn) / 2.0)) - 1.0)
        found += [along(corner, outward, push) for push in (room, 1.6 * room, room + step_mm, room + 2.5 * step_mm)]
        for way in (behind, ahead):
            back = along(corner, way, max(step_mm, min(bend_mm, 4.0 * step_mm)))
            found += [back, along(back, outward, room)]
    for a, b, c, d in zip(line, line[1:], line[2:], line[3:], strict=False):
        joined = _joined(a, b, c, d)
        if joined is not None:
            found.append(joined)
    return list(dict.fromkeys(found))


def corners_on(fixed: Sequence[Vec], section: int, bend_mm: float) -> list[Vec]:
    """Corners straight on from the holes by which a run comes to a section and leaves it."""
    found = []
    start, end = fixed[section], fixed[section + 1]
    for at, beyond in ((start, section - 1), (end, section + 2)):
        if 0 <= beyond < len(fixed):
            way = unit_to(fixed[beyond], at)
            found += [along(at, way, share * bend_mm) for share in _ONWARD]
    return found


def _joined(a: Vec, b: Vec, c: Vec, d: Vec) -> Vec | None:
    """Where the legs before b and after c would come together if drawn on past them; None when they run apart."""
    first, second = unit_to(a, b), unit_to(d, c)
    cosine = sum(p * q for p, q in zip(first, second, strict=True))
    gap = tuple(q - p for p, q in zip(b, c, strict=True))
    one, two = (sum(p * q for p, q in zip(gap, way, strict=True)) for way in (first, second))
    below = 1.0 - cosine * cosine
    if below < 1e-3:  # noqa: PLR2004 - nearly side by side: they meet too far away to be of use
        return None
    ahead, back = (one - cosine * two) / below, (cosine * one - two) / below
    if ahead <= 0.0 or back <= 0.0:
        return None
    p, q = along(b, first, ahead), along(c, second, back)
    return ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0, (p[2] + q[2]) / 2.0)


def tightened(course: Course, points_mm: tuple[Vec, ...], fixed: Sequence[Vec]) -> tuple[Vec, ...]:
    """Pull a run that fits tight: drop corners, then shift each by smaller and smaller steps while it gets shorter."""
    held = set(fixed)
    best, worth = points_mm, course.worth_mm(points_mm)
    for step in _STEPS_MM:
        for _ in range(_ROUNDS):
            before = worth
            at = 1
            while at < len(best) - 1:
                if best[at] not in held:
                    best, worth = _better(course, best, worth, at, step)
                at += 1
            if before - worth < _GAIN_MM:
                break
    return best


def _better(
    course: Course, points_mm: tuple[Vec, ...], worth: float, at: int, step: float
) -> tuple[tuple[Vec, ...], float]:
    """The run with one corner dropped or shifted, when that is shorter and fits; else as it was."""
    trials = [points_mm[:at] + points_mm[at + 1 :]]
    trials += [(*points_mm[:at], p, *points_mm[at + 1 :]) for p in _shifts(points_mm, at, step)]
    priced = sorted((w, n) for n, t in enumerate(trials) if (w := course.worth_mm(t)) < worth - _GAIN_MM / 4.0)
    for value, n in priced:
        if course.fits(trials[n]):
            return trials[n], value
    return points_mm, worth


def _shifts(points_mm: tuple[Vec, ...], at: int, step: float) -> list[Vec]:
    before, corner, after = points_mm[at - 1 : at + 2]
    ways = [way for axis in _AXES for way in (axis, along((0.0, 0.0, 0.0), axis, -1.0))]
    behind, ahead = unit_to(corner, before), unit_to(corner, after)
    inward = (behind[0] + ahead[0], behind[1] + ahead[1], behind[2] + ahead[2])
    ways += [behind, ahead, unit_to((0.0, 0.0, 0.0), inward)]
    return [along(corner, way, step) for way in ways if any(way)]


def without_flats(points_mm: Sequence[Vec]) -> tuple[Vec, ...]:
    """The line without corners that turn by next to nothing and without points twice in the same place."""
    kept = [points_mm[0]]
    for n, point in enumerate(points_mm[1:-1], start=1):
        if math.dist(kept[-1], point) > _SLACK_MM and turn_deg(kept[-1], point, points_mm[n + 1]) >= STRAIGHT_DEG / 10:
            kept.append(point)
    return (*kept, points_mm[-1])


def legs(points_mm: Sequence[Vec]) -> list[tuple[Vec, Vec]]:
    """The straight legs of a line."""
    return list(pairwise(points_mm))
