r"""Levers joined in a row by rods and cables, in space: throttle, handbrake, gear change. Exact, one angle at a time.

A rod keeps the distance of its two ends; a cable gives at its far end what it is drawn at its near one. Either way the
driven end Q lies on a sphere of radius rho about a centre C, and on the circle it turns on. With d from C to the
circle's middle and e_1, e_2 its radii at rest and a quarter turn on:

.. math::
    A \cos\varphi + B \sin\varphi &= \rho^2 - d^2 - r^2 \\
    A &= 2 \vec d \cdot \vec e_1, \quad B = 2 \vec d \cdot \vec e_2

which has two answers; the one that holds at rest is followed. Rates by the two ends' speeds along rod or cable, forces
by virtual work. Source: plane and spatial four-bar geometry; the tests close the vector loop numerically.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from planner.model.shapes import Vec
from planner.sums.basis import Basis
from planner.sums.lever import LeverError

LINKAGE_BASIS = Basis(
    source="four-bar geometry in space, forces by virtual work",
    assumed=("stiff levers, rods and outers", "no play in joints", "no friction", "cables always taut"),
    not_covered=(
        "play, stretch and friction, which eat travel: the helper at the pedal and an eye on the lever decide",
        "rods and levers that touch something on their way",
        "return springs: each alone must close a throttle",
    ),
)
_SHORT = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinge:
    """A line a lever turns about: a point of it [mm] and its unit direction; turns are right-handed about that."""

    about_mm: Vec
    axis: Vec


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A rod or cable at rest, from ``start_mm`` on the lever before it to ``end_mm`` on ``hinge``'s lever [mm].

    ``outer_mm``: where a cable's outer ends, near and far; None for a rod. Without a hinge the far end of a cable is
    only told how far it is drawn; the far outer does not matter then.
    """

    start_mm: Vec
    end_mm: Vec
    hinge: Hinge | None
    outer_mm: tuple[Vec, Vec] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A first lever, where it is pushed at rest, and the stages after it in order."""

    hinge: Hinge
    push_mm: Vec
    stages: tuple[Stage, ...]

    @property
    def push_arm_mm(self) -> float:
        """From the first lever's line to where it is pushed."""
        return arm_mm(self.hinge, self.push_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """What one stage does when the first lever has turned.

    ``turn_deg`` is how far its lever has turned from rest, ``rate`` that turn per turn of the first lever (for a cable
    without a lever: mm drawn, and mm per rad); ``pull_mm`` is how far its near end has gone along it; ``meets_deg`` the
    angle of rod or cable to the lever it works, 90 at best and 0 at a dead centre.
    """

    turn_deg: float
    rate: float
    pull_mm: float
    pull_rate_mm: float
    meets_deg: float


def arm_mm(hinge: Hinge, point_mm: Vec) -> float:
    """Distance of a point from a hinge's line [mm]."""
    return _long(_cross(hinge.axis, _less(point_mm, hinge.about_mm)))


def swung(point_mm: Vec, hinge: Hinge, turn_rad: float) -> Vec:
    """A point turned about a hinge, right-handed (Rodrigues)."""
    r, a = _less(point_mm, hinge.about_mm), hinge.axis
    c, s = math.cos(turn_rad), math.sin(turn_rad)
    across, along = _cross(a, r), _dot(a, r) * (1.0 - c)
    x, y, z = (o + c * q + s * w + along * n for o, q, w, n in zip(hinge.about_mm, r, across, a, strict=True))
    return x, y, z


def followed(chain: Chain, turn_deg: float) -> tuple[Followed, ...]:
    """Every stage with the first lever turned from rest.

    Raises
    ------
    LeverError
        A rod or cable does not reach, a lever stands at its dead centre, or a lever has no arm.
    """
    found: list[Followed] = []
    hinge, turn, speed = chain.hinge, math.radians(turn_deg), 1.0
    for number, stage in enumerate(chain.stages, start=1):
        start = swung(stage.start_mm, hinge, turn)
        start_speed = _scaled(_cross(hinge.axis, _less(start, hinge.about_mm)), speed)
        drawn = _drawn(stage, start, start_speed)
        if stage.hinge is None:
            found.append(drawn)
            return tuple(found)
        worked = _worked(stage, stage.hinge, (start, start_speed), drawn, number)
        found.append(worked)
        hinge, turn, speed = stage.hinge, math.radians(worked.turn_deg), worked.rate
    return tuple(found)


def _drawn(stage: Stage, start_mm: Vec, speed_mm: Vec) -> Followed:
    """How far the near end goes along the rod or out of the cable's outer, with nothing at the far end."""
    if stage.outer_mm is None:
        if stage.hinge is None:
            raise LeverError("a rod must work a lever: nothing is told of what its far end turns about")
        return Followed(turn_deg=0.0, rate=0.0, pull_mm=0.0, pull_rate_mm=0.0, meets_deg=_SQUARE)
    near = stage.outer_mm[0]
    pull = math.dist(start_mm, near) - math.dist(stage.start_mm, near)
    rate = _dot(_unit(_less(start_mm, near)), speed_mm)
    return Followed(turn_deg=pull, rate=rate, pull_mm=pull, pull_rate_mm=rate, meets_deg=_SQUARE)


_SQUARE = 90.0


def _worked(stage: Stage, hinge: Hinge, start: tuple[Vec, Vec], drawn: Followed, number: int) -> Followed:
    """The lever at the far end; ``start`` is where the near end now is and how fast it goes."""
    start_mm, speed_mm = start
    rest = stage.start_mm if stage.outer_mm is None else stage.outer_mm[1]
    centre = start_mm if stage.outer_mm is None else rest
    turn = _turn_to(hinge, stage.end_mm, (rest, centre), math.dist(stage.end_mm, rest) - drawn.pull_mm, number)
    end = swung(stage.end_mm, hinge, turn)
    way = _cross(hinge.axis, _less(end, hinge.about_mm))
    along = _unit(_less(end, centre))
    bite = _dot(along, way)
    meets = abs(bite) / _long(way)
    if meets < _SHORT:
        raise LeverError(f"the lever of stage {number} stands at its dead centre")
    pull_rate = _dot(along, speed_mm) if stage.outer_mm is None else drawn.pull_rate_mm
    return replace(
        drawn,
        turn_deg=math.degrees(turn),
        # A rod pushes the far end on by what a cable would draw it back.
        rate=(pull_rate if stage.outer_mm is None else -pull_rate) / bite,
        pull_rate_mm=pull_rate,
        meets_deg=math.degrees(math.asin(min(1.0, meets))),
    )


def _turn_to(hinge: Hinge, end_mm: Vec, centres_mm: tuple[Vec, Vec], radius_mm: float, number: int) -> float:
    """Turn that brings a lever's end to a distance from a centre, on the side on which it is at rest [rad].

    ``centres_mm``: the centre at rest and now.
    """
    r = _less(end_mm, hinge.about_mm)
    first = _less(r, _scaled(hinge.axis, _dot(hinge.axis, r)))
    second = _cross(hinge.axis, first)
    arm = _long(first)
    if arm < _SHORT or radius_mm <= 0.0:
        raise LeverError(f"the lever of stage {number} has no arm, or its cable is drawn in whole")
    middle = _less(end_mm, first)
    side = _dot(_less(middle, centres_mm[0]), second)
    d = _less(middle, centres_mm[1])
    a, b = 2.0 * _dot(d, first), 2.0 * _dot(d, second)
    most, wanted = math.hypot(a, b), radius_mm**2 - _dot(d, d) - arm**2
    if abs(side) < _SHORT * arm:
        raise LeverError(f"the lever of stage {number} stands at its dead centre")
    if abs(wanted) > most * (1.0 + _SHORT):
        raise LeverError(f"the rod or cable of stage {number} does not reach its lever there")
    away = math.acos(max(-1.0, min(1.0, wanted / most)))
    return math.remainder(math.atan2(b, a) - math.copysign(away, side), 2.0 * math.pi)


def turn_for(chain: Chain, travel_deg: float, wanted_deg: float) -> float:
    """How far the first lever has turned, within its travel, when the last has turned so much either way [deg].

    Raises
    ------
    LeverError
        The travel does not give it.
    """
    low, high = 0.0, travel_deg
    if abs(followed(chain, high)[-1].turn_deg) < wanted_deg:
        raise LeverError("the travel does not give that turn")
    for _ in range(_HALVINGS):
        mid = (low + high) / 2.0
        if abs(followed(chain, mid)[-1].turn_deg) < wanted_deg:
            low = mid
        else:
            high = mid
    return (low + high) / 2.0


_HALVINGS = 60
_STEPS = 40


def least_meeting_deg(chain: Chain, travel_deg: float) -> float:
    """Least angle at which a rod or cable meets the lever it works, over the travel [deg]."""
    return min(stage.meets_deg for n in range(_STEPS + 1) for stage in followed(chain, travel_deg * n / _STEPS))


def turns_back(chain: Chain, travel_deg: float) -> bool:
    """Whether the last lever stops and comes back while the first goes on."""
    rates = [followed(chain, travel_deg * n / _STEPS)[-1].rate for n in range(_STEPS + 1)]
    return min(rates) * max(rates) <= 0.0


def _less(one: Vec, other: Vec) -> Vec:
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def _scaled(one: Vec, by: float) -> Vec:
    return one[0] * by, one[1] * by, one[2] * by


def _dot(one: Vec, other: Vec) -> float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def _cross(one: Vec, other: Vec) -> Vec:
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def _long(one: Vec) -> float:
    return math.hypot(*one)


def _unit(one: Vec) -> Vec:
    length = _long(one)
    if length < _SHORT:
        raise LeverError("two places that must lie apart are one")
    return _scaled(one, 1.0 / length)
