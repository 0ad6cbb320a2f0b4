"""Does what must stay true between parts hold: worked out anew from the places of the parts alone."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from planner.model.shapes import Pose, Tube, Vec
from planner.model.vehicle import Component, Driver, Keeps, Relation, Spot
from planner.space import Body, component_body, gap, near_pairs, solid_body
from planner.verify.poses import turn_matrix
from planner.verify.rebuild import AS_MUCH_MM, TOUCH_MM, Rebuilt

_THIN_MM = 1.0
"""Thickness of the bar laid along a straight run; half of it is given back."""
_AS_MUCH_DEG = 0.1
_HELD_DEG = 0.05
_MUST = {Keeps.FALLS: "fall towards", Keeps.LEVEL: "be level with"}

Parts = Mapping[str, Component]


def relation_faults(built: Rebuilt) -> Iterator[str]:
    """See that relations hold.

    Those of the vehicle may be missed by no more than at the start, and a replacement inherits them; those of the job
    hold in full.
    """
    for relation_id, relation in sorted({**built.vehicle.relations, **built.job.relations}.items()):
        part = built.parts.get(built.asked.stands_for(relation.part))
        of = None if relation.of is None else built.parts.get(built.asked.stands_for(relation.of))
        if part is None or (relation.of is not None and of is None) or not _has_places(relation, part, of):
            continue
        old = {} if relation_id in built.job.relations else built.vehicle.components
        then = part.id in old and (of is None or of.id in old)
        for miss in _misses(relation, part, of, built, built.parts, built.asked.heirs):
            before = 0.0
            if then:
                of_then = None if of is None else old[of.id]
                misses = _misses(relation, old[part.id], of_then, built, old, {})
                before = max((m.size for m in misses if m.degrees is miss.degrees), default=0.0)
            if before <= 0.0 or miss.size > before + miss.spare:
                yield f"relation `{relation_id}` is broken: {miss.text}"
        if of is not None and relation.keeps is Keeps.STRAIGHT_RUN:
            yield from _in_the_run(relation_id, relation, part, of, built, old)


def _has_places(relation: Relation, part: Component, of: Component | None) -> bool:
    """Whether the places a relation is about are there; the file's check tells of those that are lost."""
    return relation.port in {"", *part.ports_mm} and (of is None or relation.of_port in {"", *of.ports_mm})


@dataclass(frozen=True, slots=True)
class _Miss:
    """What is missed: ``size`` in mm, or in degrees, and the words."""

    size: float
    text: str
    degrees: bool = False

    @property
    def spare(self) -> float:
        """What counts as no more than before."""
        return _AS_MUCH_DEG if self.degrees else AS_MUCH_MM


def _misses(
    relation: Relation, part: Component, of: Component | None, built: Rebuilt, parts: Parts, heirs: Mapping[str, str]
) -> Iterator[_Miss]:
    """Give what a relation misses, without the third parts of a straight run."""
    towards = "" if of is None else f" `{of.id}`"
    match relation.keeps:
        case Keeps.UPRIGHT:
            off = math.degrees(math.atan2(*_lean(part))) - (relation.within_deg or 0.0)
            if off > _HELD_DEG:
                yield _Miss(off, f"`{part.id}` must stay upright and leans {off:.1f} degrees too far", degrees=True)
        case Keeps.STRAIGHT_RUN if of is not None:
            off = _off_line_deg(relation, part, of)
            if off > _HELD_DEG:
                text = f"the straight run from `{part.id}` to{towards} stands {off:.1f} degrees too far off its line"
                yield _Miss(off, text, degrees=True)
        case Keeps.FOOT_REACH:
            yield from _foot(relation, part, built.vehicle.driver, parts, heirs)
        case _:
            missed = _missed_mm(relation, part, of, built, parts, heirs)
            if missed > TOUCH_MM:
                must = _MUST.get(relation.keeps, f"be {relation.keeps.value}")
                by = f"by {relation.by_mm:g} mm{' a metre' if relation.keeps is Keeps.FALLS else ''}"
                yield _Miss(missed, f"`{part.id}` must {must}{towards} {by} and misses it by {missed:.1f} mm")


def _missed_mm(
    relation: Relation, part: Component, of: Component | None, built: Rebuilt, parts: Parts, heirs: Mapping[str, str]
) -> float:
    """By how much a relation is missed [mm]; zero or less when it holds. Parts are taken at rest."""
    if relation.keeps is Keeps.OFF_GROUND:
        down = (built.vehicle.bump_mm or 0.0) if relation.at_bump and not part.unsprung else 0.0
        return relation.by_mm + built.vehicle.ground_z_mm + down - _at_rest(part).lo_mm[2]
    if relation.keeps is Keeps.HAND_REACH:
        driver = built.vehicle.driver or Driver()
        start = _spot(driver.points.get(relation.from_point), parts, heirs)
        return 0.0 if start is None else float(np.linalg.norm(_place(part, relation.port) - start)) - relation.by_mm
    if of is None:
        return 0.0
    if relation.keeps in {Keeps.FALLS, Keeps.LEVEL}:
        return _heights_mm(relation, part, of)
    return _between_mm(relation, _at_rest(part), _at_rest(of))


def _heights_mm(relation: Relation, part: Component, of: Component) -> float:
    off = _place(part, relation.port) - _place(of, relation.of_port)
    if relation.keeps is Keeps.LEVEL:
        return float(abs(off[2]) - relation.by_mm)
    return float(relation.by_mm / 1000.0 * np.hypot(off[0], off[1]) - off[2])


def _between_mm(relation: Relation, mine: Body, theirs: Body) -> float:
    match relation.keeps:
        case Keeps.ABOVE:
            return relation.by_mm - (mine.lo_mm[2] - theirs.hi_mm[2])
        case Keeps.BELOW:
            return relation.by_mm - (theirs.lo_mm[2] - mine.hi_mm[2])
        case Keeps.WITHIN:
            return gap(mine, theirs).mm - relation.by_mm
        case Keeps.APART:
            return relation.by_mm - gap(mine, theirs).mm
        case _:
            return 0.0


def _foot(
    relation: Relation, part: Component, driver: Driver | None, parts: Parts, heirs: Mapping[str, str]
) -> Iterator[_Miss]:
    """See that the ball of the foot of somebody in range comes down on the place, the heel where it rests."""
    heel = None if driver is None else _spot(driver.heel, parts, heirs)
    if driver is None or driver.foot is None or heel is None:
        return
    pad = _place(part, relation.port) - heel
    ahead, up = -pad[0], pad[2]
    shortest, longest = driver.foot.low_mm - relation.by_mm, driver.foot.high_mm + relation.by_mm
    # The ball is on a circle about the heel; what it misses is the distance to the nearest circle that is covered.
    away = float(math.sqrt(ahead**2 + up**2))
    off = max(abs(away - min(max(away, shortest), longest)), -up, -ahead)
    if off > TOUCH_MM:
        yield _Miss(off, f"`{part.id}` is {off:.1f} mm out of reach of the driver's foot")
        return
    hip = _spot(driver.hip, parts, heirs)
    if hip is None or driver.foot.ankle_least_deg is None:
        return
    leg = np.array([heel[0] - hip[0], hip[2] - heel[2]])
    cosine = float(np.dot(leg, (ahead, up)) / (np.linalg.norm(leg) * max(away, TOUCH_MM)))
    closed = driver.foot.ankle_least_deg - math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
    if closed > _HELD_DEG:
        text = f"`{part.id}` closes the driver's ankle {closed:.1f} degrees too far"
        yield _Miss(closed, text, degrees=True)


def _in_the_run(
    relation_id: str, relation: Relation, part: Component, of: Component, built: Rebuilt, old: Parts
) -> Iterator[str]:
    """See that a straight run is free of every third part."""
    bar = _bar(relation, part, of)
    if bar is None:
        return
    spared = {part.id, of.id, *(built.asked.stands_for(p) for p in relation.passes)}
    others = [c for _, c in sorted(built.parts.items()) if not _spared(c, spared, built.parts)]
    bodies = [bar, *(component_body(c) for c in others)]
    for index in sorted(j for i, j in near_pairs(bodies, relation.by_mm) if i == 0):
        other = others[index - 1]
        missed = relation.by_mm - _from_line_mm(bar, bodies[index])
        if missed <= TOUCH_MM:
            continue
        if {part.id, of.id, other.id} <= old.keys():
            bar_then = _bar(relation, old[part.id], old[of.id])
            then = 0.0 if bar_then is None else relation.by_mm - _from_line_mm(bar_then, component_body(old[other.id]))
            if then > TOUCH_MM and missed <= then + AS_MUCH_MM:
                continue
        run = f"the straight run from `{part.id}` to `{of.id}`"
        yield f"relation `{relation_id}` is broken: `{other.id}` stands in {run} and misses it by {missed:.1f} mm"


def _spared(part: Component, spared: set[str], parts: Parts) -> bool:
    """Whether a part is an end of the run, what it passes, or rides on one of those."""
    at: Component | None = part
    while at is not None:
        if at.id in spared:
            return True
        at = parts.get(at.mounted_on or "") if at.rides else None
    return False


def _bar(relation: Relation, part: Component, of: Component) -> Body | None:
    start, end = _place(part, relation.port), _place(of, relation.of_port)
    if np.linalg.norm(end - start) < TOUCH_MM:
        return None
    return solid_body((Tube(across_mm=_THIN_MM, through_mm=(_vec(start), _vec(end))),), Pose())


def _from_line_mm(bar: Body, other: Body) -> float:
    return gap(bar, other).mm + _THIN_MM / 2


def _lean(part: Component) -> tuple[float, float]:
    """Give how far the part's own z axis goes sideways and up."""
    x, y, z = turn_matrix(part.pose.turn_deg)[:, 2]
    return math.hypot(x, y), float(z)


def _off_line_deg(relation: Relation, part: Component, of: Component) -> float:
    if relation.along_dir is None or relation.within_deg is None:
        return 0.0
    line = _place(of, relation.of_port) - _place(part, relation.port)
    wanted = turn_matrix(part.pose.turn_deg) @ np.array(relation.along_dir)
    # The angle from its sine and cosine both: it stays sharp near 0 and 180 degrees.
    sine, cosine = np.linalg.norm(np.cross(wanted, line)), float(np.dot(wanted, line))
    return math.degrees(math.atan2(float(sine), cosine)) - relation.within_deg


def _spot(spot: Spot | None, parts: Parts, heirs: Mapping[str, str]) -> np.ndarray | None:
    if spot is None:
        return None
    if spot.on is None:
        return np.array(spot.at_mm)
    part = parts.get(heirs.get(spot.on, spot.on))
    return None if part is None or spot.port not in {"", *part.ports_mm} else _place(part, spot.port)


def _place(part: Component, port: str) -> np.ndarray:
    """Give a port (empty: the origin) of a part in vehicle axes, shape (3,) [mm]."""
    own = np.array(part.ports_mm[port] if port else (0.0, 0.0, 0.0))
    return np.asarray(turn_matrix(part.pose.turn_deg) @ own + np.array(part.pose.at_mm))


def _at_rest(part: Component) -> Body:
    return solid_body(part.solids, part.pose)


def _vec(values: np.ndarray) -> Vec:
    x, y, z = (float(v) for v in values)
    return (x, y, z)
