r"""A lever that pushes a piston through a rod: pedal, clutch lever, handbrake lever. Exact kinematics in one plane.

The plane is the one the lever turns in, x rearward and z up [mm]; angles are counted from x towards z. With O the
pivot, r the clevis seen from it, u the way the piston is pushed, M a point on its axis, l the rod and e how far the
clevis lies beside the axis' plane:

.. math::
    P(\theta) &= O + R(\theta)\, r, \quad h = (P - M) \times u, \quad w = \sqrt{l^2 - e^2 - h^2} \\
    s(\theta) &= (P - M) \cdot u + w, \quad \frac{ds}{d\theta} = P' \cdot u - \frac{h}{w} (P' \times u)

The rod leans by asin(sqrt(h^2 + e^2) / l). Forces by virtual work: nothing is lost to friction. Source: plane geometry
of the slider-crank; the tests check it against the closed vector loop solved numerically.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from planner.sums.basis import Basis, positive

Point: TypeAlias = tuple[float, float]
"""x rearward, z up [mm]."""

LEVER_BASIS = Basis(
    source="slider-crank geometry, forces by virtual work",
    assumed=(
        "stiff lever, rod and mounting",
        "no play in pivot and clevis",
        "no friction",
        "the foot pushes along its arc",
    ),
    not_covered=(
        "the mounting that bends under a hard push and eats travel",
        "a rod that turns off its seat: it must be held at both ends",
        "what the sizes' doubt does: drill one hole, measure, then the next",
    ),
)
STEEP_DEG = 5.0
"""A rod that leans more wears the piston and its bore: common practice, no published source."""


class LeverError(ValueError):
    """The parts do not reach each other, or the mechanism cannot go where it is asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lever:
    """A lever at rest. ``push_deg`` is the direction the piston is pushed in: 180 is straight forward.

    ``travel_deg`` is how far it can turn from rest, with the sign of the turn that pushes. ``beside_mm``: the clevis
    lies so far out of the plane of the cylinder's axis.
    """

    pivot_mm: Point
    clevis_mm: Point
    pad_mm: Point
    mouth_mm: Point
    """Any point on the cylinder's axis; strokes are counted from rest, so which does not matter."""
    push_deg: float
    rod_mm: float
    travel_deg: float
    beside_mm: float = 0.0

    @property
    def clevis_arm_mm(self) -> float:
        """Pivot to clevis."""
        return math.dist(self.pivot_mm, self.clevis_mm)

    @property
    def pad_arm_mm(self) -> float:
        """Pivot to the middle of the pad."""
        return math.dist(self.pivot_mm, self.pad_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeverState:
    """The lever turned by ``angle_deg`` from rest.

    ``ratio`` is pad travel over piston travel here, and so the force on the piston over that on the pad; infinite at a
    dead centre, negative where the piston is drawn back. ``seat_mm`` is where the rod meets the piston.
    """

    angle_deg: float
    stroke_mm: float
    ratio: float
    rod_deg: float
    clevis_mm: Point
    pad_mm: Point
    seat_mm: Point


def turned(point: Point, about: Point, angle_deg: float) -> Point:
    """Turn a point about another, from x towards z."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    x, z = point[0] - about[0], point[1] - about[1]
    return about[0] + c * x - s * z, about[1] + s * x + c * z


def _along(lever: Lever, angle_deg: float) -> tuple[float, float, float, float]:
    """Piston position on its axis, its rate per rad, the rod's offset from the axis, and the clevis' way along it."""
    push = math.radians(lever.push_deg)
    u = (math.cos(push), math.sin(push))
    px, pz = turned(lever.clevis_mm, lever.pivot_mm, angle_deg)
    dx, dz = px - lever.mouth_mm[0], pz - lever.mouth_mm[1]
    rate = (-(pz - lever.pivot_mm[1]), px - lever.pivot_mm[0])
    if lever.travel_deg < 0.0:
        rate = (-rate[0], -rate[1])
    off = dx * u[1] - dz * u[0]
    square = lever.rod_mm**2 - lever.beside_mm**2 - off**2
    if square <= 0.0:
        short = math.hypot(off, lever.beside_mm) - lever.rod_mm
        raise LeverError(
            f"at {angle_deg:.1f} deg the rod of {lever.rod_mm:g} mm is {short:.1f} mm short of the cylinder"
        )
    reach = math.sqrt(square)
    ahead = dx * u[0] + dz * u[1]
    speed = rate[0] * u[0] + rate[1] * u[1] - off / reach * (rate[0] * u[1] - rate[1] * u[0])
    return ahead + reach, speed, off, reach


def state_at(lever: Lever, angle_deg: float) -> LeverState:
    """The lever turned from rest.

    Raises
    ------
    LeverError
        The rod does not reach the cylinder's axis there.
    ValueError
        A length is not above 0.
    """
    positive(rod_mm=lever.rod_mm, clevis_arm_mm=lever.clevis_arm_mm, pad_arm_mm=lever.pad_arm_mm)
    here, speed, off, reach = _along(lever, angle_deg)
    rest = _along(lever, 0.0)[0]
    clevis = turned(lever.clevis_mm, lever.pivot_mm, angle_deg)
    push = math.radians(lever.push_deg)
    u = (math.cos(push), math.sin(push))
    # The seat is the foot of the clevis on the axis, and the rod's own way along it from there.
    foot = (clevis[0] - off * u[1], clevis[1] + off * u[0])
    return LeverState(
        angle_deg=angle_deg,
        stroke_mm=here - rest,
        ratio=lever.pad_arm_mm / speed if speed else math.inf,
        rod_deg=math.degrees(math.asin(min(1.0, math.hypot(off, lever.beside_mm) / lever.rod_mm))),
        clevis_mm=clevis,
        pad_mm=turned(lever.pad_mm, lever.pivot_mm, angle_deg),
        seat_mm=(foot[0] + reach * u[0], foot[1] + reach * u[1]),
    )


def states(lever: Lever, count: int = 41) -> tuple[LeverState, ...]:
    """The lever at ``count`` even steps from rest to the end of its travel."""
    return tuple(state_at(lever, lever.travel_deg * n / (count - 1)) for n in range(count))


def angle_at(lever: Lever, stroke_mm: float) -> float:
    """How far the lever has turned when the piston has gone a stroke [deg].

    Raises
    ------
    LeverError
        The travel does not give that stroke, or a dead centre lies before it.
    """
    if stroke_mm <= 0.0:
        return 0.0
    most = max(states(lever), key=lambda s: s.stroke_mm)
    if most.stroke_mm < stroke_mm:
        raise LeverError(f"the travel gives {most.stroke_mm:.1f} mm of stroke, {stroke_mm:.1f} mm are wanted")
    low, high = 0.0, most.angle_deg
    for _ in range(_HALVINGS):
        mid = (low + high) / 2.0
        if state_at(lever, mid).stroke_mm < stroke_mm:
            low = mid
        else:
            high = mid
    return (low + high) / 2.0


_HALVINGS = 60


def dead_centres_deg(lever: Lever) -> tuple[float, ...]:
    """Angles within the travel at which the piston stops and turns back, though the lever goes on [deg]."""
    steps = [lever.travel_deg * n / _STEPS for n in range(_STEPS + 1)]
    found = []
    for (a, va), (b, vb) in pairwise((step, _along(lever, step)[1]) for step in steps):
        if va == 0.0 or va * vb < 0.0:
            low, high = a, b
            for _ in range(_HALVINGS):
                mid = (low + high) / 2.0
                low, high = (mid, high) if _along(lever, mid)[1] * va > 0.0 else (low, mid)
            found.append((low + high) / 2.0)
    return tuple(found)


_STEPS = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class LeverForces:
    """Forces with the foot pushing ``pad_n`` along the pad's arc, nothing lost [N].

    ``side_n`` is what the leaning rod presses the piston against its bore with; ``pivot_n`` the load on the pivot.
    """

    piston_n: float
    rod_n: float
    side_n: float
    pivot_n: float


def forces_at(lever: Lever, angle_deg: float, pad_n: float) -> LeverForces:
    """Forces in the mechanism at an angle.

    Raises
    ------
    LeverError
        The rod does not reach, or the lever stands at a dead centre, where no push is enough.
    """
    here = state_at(lever, angle_deg)
    if not math.isfinite(here.ratio):
        raise LeverError(f"at {angle_deg:.1f} deg the lever stands at a dead centre")
    piston = pad_n * here.ratio
    lean = math.radians(here.rod_deg)
    rod = piston / math.cos(lean)
    return LeverForces(
        piston_n=piston,
        rod_n=rod,
        side_n=piston * math.tan(lean),
        pivot_n=math.hypot(*pivot_push_n(lever, angle_deg, pad_n), rod * lever.beside_mm / lever.rod_mm),
    )


def foot_push_n(lever: Lever, angle_deg: float, pad_n: float) -> Point:
    """The foot's push on the pad along its arc, as x and z [N]."""
    pad = turned(lever.pad_mm, lever.pivot_mm, angle_deg)
    share = math.copysign(pad_n / lever.pad_arm_mm, lever.travel_deg)
    return -share * (pad[1] - lever.pivot_mm[1]), share * (pad[0] - lever.pivot_mm[0])


def pivot_push_n(lever: Lever, angle_deg: float, pad_n: float) -> Point:
    """What the lever presses on its pivot with, within its plane, as x and z [N].

    Raises
    ------
    LeverError
        See :func:`forces_at`.
    """
    here = state_at(lever, angle_deg)
    rod = pad_n * here.ratio / math.cos(math.radians(here.rod_deg)) / lever.rod_mm
    foot = foot_push_n(lever, angle_deg, pad_n)
    run = (here.seat_mm[0] - here.clevis_mm[0], here.seat_mm[1] - here.clevis_mm[1])
    return foot[0] - rod * run[0], foot[1] - rod * run[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeverSummary:
    """A lever over its whole travel. ``pad_arc_mm`` is how far the foot goes, ``warnings`` what is wrong, in words."""

    stroke_mm: float
    ratio_rest: float
    ratio_full: float
    ratio_mean: float
    rod_most_deg: float
    pad_arc_mm: float
    pad_chord_mm: float
    warnings: tuple[str, ...]
    basis: Basis = LEVER_BASIS


def summary(lever: Lever, *, stroke_mm: float | None = None) -> LeverSummary:
    """The lever over its travel, or up to the angle at which the piston has gone ``stroke_mm``.

    Raises
    ------
    LeverError
        The rod does not reach, or the stroke is not had.
    """
    end = lever.travel_deg if stroke_mm is None else angle_at(lever, stroke_mm)
    rest, full = state_at(lever, 0.0), state_at(lever, end)
    arc = lever.pad_arm_mm * abs(math.radians(end))
    steepest = steepest_deg(lever, end)
    return LeverSummary(
        stroke_mm=full.stroke_mm,
        ratio_rest=rest.ratio,
        ratio_full=full.ratio,
        ratio_mean=arc / full.stroke_mm if full.stroke_mm else math.inf,
        rod_most_deg=steepest,
        pad_arc_mm=arc,
        pad_chord_mm=math.dist(rest.pad_mm, full.pad_mm),
        warnings=_warnings(lever, end, steepest),
    )


def steepest_deg(lever: Lever, end_deg: float) -> float:
    """The most the rod leans between rest and an angle [deg]."""
    return max(state_at(lever, a).rod_deg for a in (0.0, end_deg, *_level_angles(lever, end_deg)))


def _level_angles(lever: Lever, end_deg: float) -> tuple[float, ...]:
    """Angles at which the rod's offset from the axis is greatest: the clevis goes along the axis there."""
    arm = math.degrees(math.atan2(lever.clevis_mm[1] - lever.pivot_mm[1], lever.clevis_mm[0] - lever.pivot_mm[0]))
    low, high = min(0.0, end_deg), max(0.0, end_deg)
    square_on = (lever.push_deg + 90.0 - arm + 180.0 * n for n in range(-4, 5))
    return tuple(a for a in square_on if low < a < high)


def _warnings(lever: Lever, end_deg: float, steepest_deg: float) -> tuple[str, ...]:
    told = []
    if state_at(lever, end_deg / _STEPS).stroke_mm <= 0.0:
        told.append("the lever draws the piston back instead of pushing it")
    told += [
        f"the piston stops at {a:.1f} deg and comes back while the lever goes on: a dead centre lies in the travel"
        for a in dead_centres_deg(lever)
        if a / lever.travel_deg > 0.0 and abs(a) < abs(end_deg)
    ]
    if steepest_deg > STEEP_DEG:
        told.append(f"the rod leans {steepest_deg:.1f} deg, more than {STEEP_DEG:g}: it wears the bore and loses force")
    return tuple(told)
