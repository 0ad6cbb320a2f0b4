"""By how much parts miss what must stay true of them: the formulas, in numbers only."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from planner.knockon.placed import Placed
from planner.model.shapes import Pose, Tube, Vec
from planner.model.vehicle import Component, Driver, FootBand, Keeps, Relation, Spot, Vehicle
from planner.space import Body, gap, port_mm, rotated, solid_body

_THREAD_MM = 0.02
"""Thickness of the straight line between two places, as a body."""
_SAME_MM = 0.01
"""Two places nearer than this have no line between them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """By how much something is missed: a length [mm] or an angle [deg], zero or less when it holds.

    ``found`` is what was measured, in the same unit; ``case`` says which of several limits it was held against.
    """

    mm: float = 0.0
    deg: float = 0.0
    found: float = 0.0
    case: str = ""


HELD = Shortfall()


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What relations are measured from besides the parts: the ground and the driver, in vehicle axes [mm]."""

    ground_z_mm: float
    bump_mm: float = 0.0
    foot: FootBand | None = None
    heel_mm: Vec | None = None
    hip_mm: Vec | None = None
    points_mm: Mapping[str, Vec] = field(default_factory=dict)


def setting_of(vehicle: Vehicle, driver: Driver | None, parts: Mapping[str, Component]) -> Setting:
    """The ground of a vehicle and a driver who sits on ``parts``."""
    driver = driver or Driver()
    points = {name: at for name, spot in driver.points.items() if (at := _spot_mm(spot, parts)) is not None}
    return Setting(
        ground_z_mm=vehicle.ground_z_mm,
        bump_mm=vehicle.bump_mm or 0.0,
        foot=driver.foot,
        heel_mm=_spot_mm(driver.heel, parts),
        hip_mm=_spot_mm(driver.hip, parts),
        points_mm=points,
    )


def _spot_mm(spot: Spot | None, parts: Mapping[str, Component]) -> Vec | None:
    if spot is None or spot.on is None:
        return None if spot is None else spot.at_mm
    return port_mm(parts[spot.on], spot.port) if spot.on in parts else None


def shortfall(relation: Relation, part: Placed, of: Placed | None, setting: Setting) -> Shortfall:
    """By how much one or two placed parts miss a relation.

    A straight run is held here only against the direction it must follow; what stands in it is
    :func:`run_shortfall_mm`.
    """
    if of is None:
        return _alone(relation, part, setting)
    if relation.keeps is Keeps.STRAIGHT_RUN:
        return _off_line(relation, part, of)
    if relation.keeps in {Keeps.FALLS, Keeps.LEVEL}:
        return _heights(relation, *ends_mm(relation, part, of))
    return Shortfall(mm=_between_mm(relation, part.still, of.still))


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


def _alone(relation: Relation, part: Placed, setting: Setting) -> Shortfall:
    match relation.keeps:
        case Keeps.OFF_GROUND:
            down_mm = setting.bump_mm if relation.at_bump and not part.part.unsprung else 0.0
            found = part.still.lo_mm[2] - down_mm - setting.ground_z_mm
            return Shortfall(mm=relation.by_mm - found, found=found)
        case Keeps.UPRIGHT:
            # The z axis of Rz Ry Rx has the vertical share cos x cos y.
            x, y, _ = (math.radians(angle) for angle in part.part.pose.turn_deg)
            lean_deg = math.degrees(math.acos(max(-1.0, min(1.0, math.cos(x) * math.cos(y)))))
            return Shortfall(deg=lean_deg - (relation.within_deg or 0.0), found=lean_deg)
        case Keeps.HAND_REACH:
            start = setting.points_mm.get(relation.from_point)
            if start is None:
                return HELD
            found = math.dist(start, port_mm(part.part, relation.port))
            return Shortfall(mm=found - relation.by_mm, found=found)
        case Keeps.FOOT_REACH:
            return _foot(relation, port_mm(part.part, relation.port), setting)
        case _:
            return HELD


def _foot(relation: Relation, place_mm: Vec, setting: Setting) -> Shortfall:
    """Where the ball of the foot comes down, seen from the side, the heel on its place on the floor.

    The lower leg is steeper than the line from heel to hip, so the angle found here is never smaller than the ankle's
    own: one below the least is surely too small, one above it is no proof.
    """
    if setting.heel_mm is None or setting.foot is None:
        return HELD
    forward, up = setting.heel_mm[0] - place_mm[0], place_mm[2] - setting.heel_mm[2]
    reach = math.hypot(forward, up)
    limits = (
        Shortfall(mm=setting.foot.low_mm - relation.by_mm - reach, found=reach, case="near"),
        Shortfall(mm=reach - setting.foot.high_mm - relation.by_mm, found=reach, case="far"),
        Shortfall(mm=-up, found=-up, case="under"),
        Shortfall(mm=-forward, found=-forward, case="behind"),
    )
    worst = max(limits, key=lambda s: s.mm)
    least = setting.foot.ankle_least_deg
    if worst.mm > 0.0 or setting.hip_mm is None or least is None or reach < _SAME_MM:
        return worst
    leg = (setting.hip_mm[0] - setting.heel_mm[0], setting.hip_mm[2] - setting.heel_mm[2])
    angle_deg = abs(math.degrees(math.atan2(leg[1], -leg[0]) - math.atan2(up, forward)))
    angle_deg = min(angle_deg, 360.0 - angle_deg)
    return Shortfall(deg=least - angle_deg, found=angle_deg, case="ankle")


def ends_mm(relation: Relation, part: Placed, of: Placed) -> tuple[Vec, Vec]:
    """The two places a relation is about, in vehicle axes [mm]."""
    return port_mm(part.part, relation.port), port_mm(of.part, relation.of_port)


def _off_line(relation: Relation, part: Placed, of: Placed) -> Shortfall:
    start, end = ends_mm(relation, part, of)
    if relation.along_dir is None or relation.within_deg is None or math.dist(start, end) < _SAME_MM:
        return HELD
    wanted = rotated(part.part.pose.turn_deg, relation.along_dir)
    line = [b - a for a, b in zip(start, end, strict=True)]
    cosine = sum(a * b for a, b in zip(wanted, line, strict=True)) / (math.hypot(*wanted) * math.hypot(*line))
    off_deg = math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
    return Shortfall(deg=off_deg - relation.within_deg, found=off_deg)


def _heights(relation: Relation, start: Vec, end: Vec) -> Shortfall:
    if relation.keeps is Keeps.LEVEL:
        apart = abs(start[2] - end[2])
        return Shortfall(mm=apart - relation.by_mm, found=apart)
    fall = start[2] - end[2]
    return Shortfall(mm=needed_fall_mm(relation, start, end) - fall, found=fall)


def needed_fall_mm(relation: Relation, start: Vec, end: Vec) -> float:
    """How much lower the end must be [mm]: ``by_mm`` for each metre of level distance."""
    return relation.by_mm * math.dist(start[:2], end[:2]) / 1000.0


def line_of(relation: Relation, part: Placed, of: Placed) -> Body | None:
    """The straight line of a run as a thin body, None when its two places are one."""
    start, end = ends_mm(relation, part, of)
    if math.dist(start, end) < _SAME_MM:
        return None
    return solid_body((Tube(across_mm=_THREAD_MM, through_mm=(start, end)),), Pose())


def run_shortfall_mm(relation: Relation, line: Body, other: Placed) -> float:
    """By how much a third part is too near the line of a straight run [mm]; zero or less when the run is free."""
    return relation.by_mm - (gap(line, other.body).mm + _THREAD_MM / 2)
