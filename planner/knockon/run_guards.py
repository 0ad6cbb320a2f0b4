"""What a new run has to keep clear of, and the holes it still goes through."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from planner.knockon.clearances import KeepBook
from planner.knockon.rigid import follow
from planner.model.shapes import Pose, Vec
from planner.model.vehicle import Component, Link
from planner.space import Body, Ease, Guard, along, closer_than, gap, port_mm, route_body, shifted

OWN_REACH_MM = 25.0
"""How far round its port a run may lie on the part it joins: a union and its nut (starting guess)."""
_HOLE_MM = 80.0
"""A stretch longer than this inside a part is no hole: it is a run drawn along it with a tape measure's doubt."""
_FINE_MM = 1.0
SAME_HOLE_MM = 12.0
"""In a hole it goes through a run may touch the part as far off as it is thick, and a tape's doubt of the place."""
_SQUARE_MM = 12.0
"""A run goes square through a hole for this far on either side (starting guess)."""
_BESIDE_MM = 25.0
_GLANCING = 0.5
_THREAD_MM = 0.02
_QUARTER = math.tan(math.radians(22.5))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """Where a run goes through a part: the part, its depth there, and the places just before and just behind it."""

    part: str
    before_mm: Vec
    behind_mm: Vec
    deep_mm: float

    @property
    def middle_mm(self) -> Vec:
        """The place half-way through."""
        return _on(self.before_mm, self.behind_mm, 0.5)

    def beside(self, port: Vec) -> bool:
        """Whether it is hard by a port."""
        return min(math.dist(self.before_mm, port), math.dist(self.behind_mm, port)) < _BESIDE_MM


@dataclass(slots=True)
class RunScene:
    """The vehicle after the job, as a run sees it.

    ``bodies`` are the parts with all they sweep; ``stiff`` the rigid links that are there, each with its body: runs
    found join them one by one.
    """

    keeps: KeepBook
    parts: dict[str, Component]
    bodies: dict[str, Body]
    stiff: dict[str, tuple[Link, Body]]

    def ends_mm(self, link: Link) -> tuple[Vec, Vec]:
        """Where the ports of a link are."""
        first, second = (port_mm(self.parts[e.component], e.port) for e in link.ends)
        return first, second

    def within_mm(self, link: Link) -> tuple[Vec, Vec]:
        """The box a run's middle line stays in: that of the whole vehicle, with its own ports.

        It hangs no lower than the lowest sprung part, which meets the ground first, unless its own ports do.
        """
        ends = self.ends_mm(link)
        lows = [b.lo_mm for b in self.bodies.values()] + list(ends)
        highs = [b.hi_mm for b in self.bodies.values()] + list(ends)
        low, high = (tuple(f(v) for v in zip(*box, strict=True)) for f, box in ((min, lows), (max, highs)))
        sprung = [b.lo_mm[2] for i, b in self.bodies.items() if not self.parts[i].unsprung]
        floor = min(min(sprung, default=low[2]) + link.across_mm / 2.0, *(e[2] for e in ends))
        return (low[0], low[1], floor), (high[0], high[1], high[2])

    def guards(self, link: Link, points_mm: tuple[Vec, ...], holes: tuple[Hole, ...]) -> tuple[Guard, ...]:
        """Everything near that a run keeps clear of, eased round its ports and the holes it goes through."""
        own = {e.component for e in link.ends}
        found = []
        for i, part in self.parts.items():
            if link.id in part.touches:
                continue
            keep_mm = 0.0 if i in own or i in link.passes else self.keeps.keep(link, part).mm
            eases = list(_round_holes(link, i, holes))
            ports = (p for e, p in zip(link.ends, self.ends_mm(link), strict=True) if e.component == i)
            eases += [_round_port(link, self.bodies[i], p) for p in ports]
            eases += _near_fixed(link, self.bodies[i], keep_mm, points_mm)
            found.append(Guard(id=i, body=self.bodies[i], keep_mm=keep_mm, eased=tuple(eases)))
        for i, (other, body) in self.stiff.items():
            if i != link.id:
                keep_mm = self.keeps.keep(link, other).mm
                eases = _near_fixed(link, body, keep_mm, points_mm)
                found.append(Guard(id=i, body=body, keep_mm=keep_mm, eased=tuple(eases)))
        return tuple(found)

    def holes(self, link: Link, old: Link, before: dict[str, Component]) -> tuple[Hole, ...]:
        """The holes of a link's run as it was drawn (``old``, between parts as they were ``before``), in order.

        Each is gone through square to the part unless it was drawn far from square. A hole between whose sides the
        ends no longer lie is left out.
        """
        first, last = (port_mm(before[e.component], e.port) for e in old.ends)
        line = (first, *old.via_mm, last)
        found: list[tuple[float, Hole]] = []
        for part in link.passes:
            if part not in before or part not in self.parts or part in {e.component for e in link.ends}:
                continue
            poses = (before[part].pose, self.parts[part].pose)
            body = self.bodies[part] if poses[0] == poses[1] else _as_it_was(self.bodies[part], *poses)
            if body is not None:
                found.extend(_holes_in(link, part, body, line, poses))
        in_order = (hole for _, hole in sorted(found, key=lambda f: f[0]))
        return tuple(h for h in in_order if _parts(h, self.ends_mm(link), (first, last)))


def _parts(hole: Hole, ends: tuple[Vec, Vec], ends_before: tuple[Vec, Vec]) -> bool:
    """Whether the ends still lie on the two sides of a hole, as they did."""
    through = [q - p for p, q in zip(hole.before_mm, hole.behind_mm, strict=True)]

    def side(point: Vec) -> bool:
        return sum((c - p) * w for c, p, w in zip(point, hole.before_mm, through, strict=True)) > 0.0

    return side(ends[0]) != side(ends[1]) or side(ends_before[0]) == side(ends_before[1])


def _as_it_was(body: Body, before: Pose, after: Pose) -> Body | None:
    """The body back where it was; only plain shifts are followed."""
    if before.turn_deg != after.turn_deg:
        return None
    x, y, z = (a - b for a, b in zip(before.at_mm, after.at_mm, strict=True))
    return shifted(body, (x, y, z))


def _holes_in(
    link: Link, part: str, body: Body, line: tuple[Vec, ...], poses: tuple[Pose, Pose]
) -> Iterator[tuple[float, Hole]]:
    """Stretches of a line inside a body as holes; those at its own ends are none."""
    done = 0.0
    total = sum(math.dist(a, b) for a, b in pairwise(line))
    for a, b in pairwise(line):
        length = math.dist(a, b)
        for first, last in stretches_inside(body, a, b):
            start, end = math.dist(a, first), math.dist(a, last)
            if end - start > _HOLE_MM or done + start < _FINE_MM or total - done - end < _FINE_MM:
                continue
            middle = _on(first, last, 0.5)
            way = _on((0.0, 0.0, 0.0), tuple(q - p for p, q in zip(a, b, strict=True)), 1.0 / length)  # type: ignore[arg-type]
            square = _square_to(body, middle, way)
            deep = (end - start) * abs(sum(p * q for p, q in zip(square, way, strict=True)))
            yield done + start, _hole(link, part, middle, square, deep, poses)
        done += length


def _hole(link: Link, part: str, middle: Vec, way: Vec, deep_mm: float, poses: tuple[Pose, Pose]) -> Hole:
    reach = (deep_mm + link.across_mm) / 2.0 + max(_FINE_MM, min(_SQUARE_MM, link.bend_radius_mm * _QUARTER))
    before, behind = (_carried(along(middle, way, s), *poses) for s in (-reach, reach))
    return Hole(part=part, before_mm=before, behind_mm=behind, deep_mm=deep_mm)


def _square_to(body: Body, point: Vec, way: Vec) -> Vec:
    """The direction out of a body by the shortest way at a point inside it, turned to go along ``way``."""
    normal = gap(route_body((point, point), 0.0, _THREAD_MM), body).normal
    along_it = sum(p * q for p, q in zip(normal, way, strict=True))
    if abs(along_it) < _GLANCING:
        return way
    return _on((0.0, 0.0, 0.0), normal, math.copysign(1.0, along_it))


def through_holes(ends: tuple[Vec, Vec], holes: tuple[Hole, ...]) -> tuple[Vec, ...]:
    """Ports and holes as the places a run must go through; a hole hard by a port is found without being told."""
    mouths = (m for h in holes if not any(h.beside(e) for e in ends) for m in (h.before_mm, h.behind_mm))
    return (ends[0], *mouths, ends[1])


def _carried(point_mm: Vec, before: Pose, after: Pose) -> Vec:
    return follow(Pose(at_mm=point_mm), before, after).at_mm


def _on(a: Vec, b: Vec, share: float) -> Vec:
    x, y, z = (p + (q - p) * share for p, q in zip(a, b, strict=True))
    return (x, y, z)


def stretches_inside(body: Body, a: Vec, b: Vec) -> list[tuple[Vec, Vec]]:
    """The stretches of a straight line that lie inside a body, to a millimetre."""
    if math.dist(a, b) < _THREAD_MM or not closer_than(route_body((a, b), 0.0, _THREAD_MM), body, 0.0):
        return []
    if math.dist(a, b) <= _FINE_MM:
        return [(a, b)]
    middle = _on(a, b, 0.5)
    first, second = stretches_inside(body, a, middle), stretches_inside(body, middle, b)
    if first and second and first[-1][1] == second[0][0]:
        return [*first[:-1], (first[-1][0], second[0][1]), *second[1:]]
    return first + second


def _round_holes(link: Link, part: str, holes: tuple[Hole, ...]) -> Iterator[Ease]:
    """Balls along each hole: aslant a run touches as far off as it is thick, and farther off it needs a new hole."""
    reach = link.across_mm + SAME_HOLE_MM
    for hole in holes:
        if hole.part == part:
            share = hole.deep_mm / math.dist(hole.before_mm, hole.behind_mm) / 2.0
            count = max(1, math.ceil(hole.deep_mm / SAME_HOLE_MM))
            for k in range(count + 1):
                at = _on(hole.before_mm, hole.behind_mm, 0.5 + share * (2.0 * k / count - 1.0))
                yield Ease(at_mm=at, reach_mm=reach, keep_mm=-math.inf)


def _round_port(link: Link, body: Body, port: Vec) -> Ease:
    """Round its own port a run may lie in the part it joins: farther when the port is drawn deep inside it."""
    deep_mm = max(0.0, -_point_gap(body, port))
    return Ease(at_mm=port, reach_mm=1.5 * deep_mm + max(OWN_REACH_MM, 2.0 * link.across_mm), keep_mm=-math.inf)


def _near_fixed(link: Link, body: Body, keep_mm: float, points_mm: tuple[Vec, ...]) -> list[Ease]:
    """Where a run must go is nearer than it may: it gets away from there, and comes no nearer on the way."""
    need = keep_mm + link.across_mm / 2.0
    eases = []
    for point in points_mm:
        if all(body.lo_mm[k] - need < point[k] < body.hi_mm[k] + need for k in range(3)):
            near_mm = _point_gap(body, point)
            if near_mm < need:
                reach = 2.0 * (need - near_mm) + link.across_mm
                lesser = min(keep_mm, near_mm - link.across_mm / 2.0 - _FINE_MM)
                eases.append(Ease(at_mm=point, reach_mm=reach, keep_mm=lesser))
    return eases


def _point_gap(body: Body, point: Vec) -> float:
    return gap(route_body((point, point), 0.0, _THREAD_MM), body).mm + _THREAD_MM / 2.0
