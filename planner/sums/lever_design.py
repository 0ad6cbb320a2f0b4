"""The other way round: which lever layouts give what is wanted, which is best, what binds it.

Each want is a band for one figure (stroke, ratio, rod lean, where the pad is). A layout's *room* to a band is how far
it lies inside, in units of a scale that says what a small miss of that figure is; a layout's room is the least over its
bands, so a layout of room >= 0 does all that is wanted, and the best is the one with the most room: it bears the most
error in drilling. The search screens a low-discrepancy net over the unknowns, then narrows down round the best few.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np

from planner.sums.basis import Basis
from planner.sums.lever import LEVER_BASIS, Lever, state_at
from planner.sums.lever_screen import Floats, Layouts, Screened, layouts, lever_of, screened

SCALES = {
    "stroke_mm": 1.0,
    "ratio_rest": 0.25,
    "ratio_full": 0.25,
    "ratio_mean": 0.25,
    "rod_mm": 2.0,
    "rod_most_deg": 1.0,
    "pad_arc_mm": 5.0,
    "pad_x_low_mm": 5.0,
    "pad_x_high_mm": 5.0,
    "pad_z_low_mm": 5.0,
    "pad_z_high_mm": 5.0,
}
"""What counts as a small miss of each figure, in its own unit (starting guesses): it weighs the bands."""
UNKNOWN = tuple(f.name for f in fields(Layouts))


class DesignError(ValueError):
    """The question cannot be asked so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A figure of the lever that is to lie between two values; infinite where one side does not matter."""

    figure: str
    low: float = -math.inf
    high: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A size that may be chosen: its name in :class:`Layouts`, its ends, the step it can be marked out in."""

    name: str
    low: float
    high: float
    step: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Fixed sizes by name, what may be chosen, what is wanted. Every name of :class:`Layouts` is in one of the two."""

    fixed: Mapping[str, float]
    free: tuple[Range, ...]
    wanted: tuple[Band, ...]

    def checked(self) -> Problem:
        """The same problem.

        Raises
        ------
        DesignError
            A size is told twice, not at all or not known, a range or band is upside down, or there is no want.
        """
        names = [*self.fixed, *(r.name for r in self.free)]
        for name in UNKNOWN:
            if names.count(name) != 1:
                raise DesignError(f"`{name}` must be told once, fixed or free; it is told {names.count(name)} times")
        unknown = [n for n in names if n not in UNKNOWN] + [b.figure for b in self.wanted if b.figure not in SCALES]
        if unknown:
            raise DesignError(f"`{unknown[0]}` is no size or figure of a lever")
        for r in self.free:
            if not r.low < r.high or r.step <= 0.0:
                raise DesignError(f"`{r.name}` runs from {r.low:g} to {r.high:g} in steps of {r.step:g}")
        for b in self.wanted:
            if not b.low < b.high:
                raise DesignError(f"`{b.figure}` is wanted from {b.low:g} to {b.high:g}")
        if not self.wanted:
            raise DesignError("nothing is wanted of the lever")
        if not self.free:
            raise DesignError("no layout can be told apart from another: no size may be chosen")
        return self

    def layouts_at(self, points: Floats) -> Layouts:
        """Layouts for points of the free sizes, an array of (points, free sizes)."""
        chosen: dict[str, float | Floats] = {r.name: points[:, n] for n, r in enumerate(self.free)}
        return layouts(**{**self.fixed, **chosen})


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """A want that binds: which side of which band, and how much room is left, in the figure's unit."""

    figure: str
    side: str
    limit: float
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One layout: the free sizes, the lever, its room (>= 0 does what is wanted), what binds it, its figures."""

    sizes: dict[str, float]
    lever: Lever
    room: float
    binding: tuple[Binding, ...]
    figures: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """What the search gave. ``share`` is the part of all layouts in the ranges that does what is wanted.

    ``region`` gives for each free size the least and greatest value among those; ``drilling`` how much room an error of
    one step in each size costs; ``holes`` two clevis arms worth drilling in one lever, the longer first, or nothing.
    """

    best: Found
    marked: Found
    others: tuple[Found, ...]
    share: float
    region: dict[str, tuple[float, float]]
    drilling: dict[str, float]
    holes: tuple[Found, ...]
    looked_at: int
    basis: Basis = LEVER_BASIS


NET = 65_536
"""Layouts of the first net; whole numbers of 2 suit it."""
KEPT = 6
"""Places the search narrows down round."""
SEEDS = 4_096
"""Layouts of the first net that are looked at for those places, those with the most room first."""
ROUNDS = 26
CROWD = 2_048
"""Layouts in each round of narrowing down, for each place."""
SHRINK = 0.6
_APART = 0.1
"""Share of some range by which two layouts differ to be told apart."""
HOLE_GAP_MM = 14.0
"""Least distance of two holes for 8 mm pins: common practice, no published source."""


def designed(problem: Problem) -> Design:
    """Find the layout with the most room, the region of those that do, and what can be marked out.

    Raises
    ------
    DesignError
        See :meth:`Problem.checked`.
    """
    problem = problem.checked()
    low, high = _ends(problem)
    net = low + (high - low) * _net(NET, len(problem.free))
    room = room_of(problem, net)
    good = room >= 0.0
    peaks = _narrowed(problem, net, room)
    points = [p for p, _ in peaks]
    best = _found(problem, points[0])
    return Design(
        best=best,
        marked=_found(problem, _marked(problem, points[0])),
        others=tuple(_found(problem, p) for p in points[1:] if room_of(problem, p[None, :])[0] >= 0.0),
        share=float(good.mean()),
        region={
            r.name: (float(net[good, n].min()), float(net[good, n].max()))
            for n, r in enumerate(problem.free)
            if good.any()
        },
        drilling=_drilling(problem, points[0], best.room),
        holes=_holes(problem, points[0]),
        looked_at=NET + ROUNDS * CROWD * KEPT,
    )


def room_of(problem: Problem, points: Floats) -> Floats:
    """Room of each point, an array of (points, free sizes); minus infinity where the lever does not work."""
    found = screened(problem.layouts_at(points))
    room = np.full(len(points), np.inf)
    for band in problem.wanted:
        value, scale = getattr(found, band.figure), SCALES[band.figure]
        room = np.minimum(room, np.minimum(value - band.low, band.high - value) / scale)
    works = found.reaches & (found.ratio_rest > 0.0) & (found.ratio_full > 0.0) & (found.stroke_mm > 0.0)
    return np.where(works & np.isfinite(room), room, -np.inf)


def _ends(problem: Problem) -> tuple[Floats, Floats]:
    return np.array([r.low for r in problem.free]), np.array([r.high for r in problem.free])


def _net(count: int, sizes: int) -> Floats:
    """Evenly spread points in the unit box: the additive recurrence on powers of the generalised golden ratio.

    Source: M. Roberts, "The unreasonable effectiveness of quasirandom sequences" (value from memory).
    """
    ratio = 2.0
    for _ in range(64):
        ratio = (1.0 + ratio) ** (1.0 / (sizes + 1))
    steps = (1.0 / ratio) ** np.arange(1, sizes + 1)
    net: Floats = np.mod(0.5 + np.outer(np.arange(1, count + 1), steps), 1.0)
    return net


def _narrowed(problem: Problem, net: Floats, room: Floats) -> list[tuple[Floats, float]]:
    """The best few places, far from each other, each narrowed down; the best first."""
    low, high = _ends(problem)
    span = high - low
    seeds: list[Floats] = []
    for n in np.argsort(-room, kind="stable")[:SEEDS]:
        if all(np.max(np.abs(net[n] - s) / span) > _APART for s in seeds):
            seeds.append(net[n])
        if len(seeds) == KEPT:
            break
    cloud = _net(CROWD, len(problem.free)) * 2.0 - 1.0
    peaks = []
    for seed in seeds:
        at, reach = seed, 0.25
        top = float(room_of(problem, at[None, :])[0])
        for _ in range(ROUNDS):
            near = np.clip(at + cloud * span * reach, low, high)
            rooms = room_of(problem, near)
            n = int(np.argmax(rooms))
            if rooms[n] > top:
                at, top = near[n], float(rooms[n])
            else:
                reach *= SHRINK
        peaks.append((at, top))
    apart: list[tuple[Floats, float]] = []
    for peak in sorted(peaks, key=lambda p: -p[1]):
        if all(np.max(np.abs(peak[0] - other[0]) / span) > _APART for other in apart):
            apart.append(peak)
    return apart


def _marked(problem: Problem, at: Floats) -> Floats:
    """The best point on the grid of sizes that can be marked out, among the corners round the best point."""
    steps = [
        sorted(
            {
                min(max(r.step * k, r.low), r.high)
                for k in (math.floor(v / r.step), math.ceil(v / r.step), round(v / r.step))
            }
        )
        for r, v in zip(problem.free, at, strict=True)
    ]
    corners = np.array(list(itertools.product(*steps)))
    best: Floats = corners[int(np.argmax(room_of(problem, corners)))]
    return best


def _drilling(problem: Problem, at: Floats, room: float) -> dict[str, float]:
    """Room lost by the worse of one step more and one step less, for each free size."""
    lost = {}
    for n, r in enumerate(problem.free):
        off = np.zeros(len(problem.free))
        off[n] = r.step
        worse = float(room_of(problem, np.array([at + off, at - off])).min())
        lost[r.name] = room - worse
    return lost


def _holes(problem: Problem, at: Floats) -> tuple[Found, ...]:
    """Two clevis holes in one arm that both do what is wanted, as far apart as may be, the rod made for each."""
    names = [r.name for r in problem.free]
    if "clevis_arm_mm" not in names:
        return ()
    n = names.index("clevis_arm_mm")
    arms = np.arange(problem.free[n].low, problem.free[n].high + 1e-9, problem.free[n].step)
    rows = np.repeat(at[None, :], len(arms), axis=0)
    rows[:, n] = arms
    room = room_of(problem, rows)
    fine = rows[room >= 0.0]
    if not len(fine):
        return ()
    longer, shorter = fine[np.argmax(fine[:, n])], fine[np.argmin(fine[:, n])]
    if longer[n] - shorter[n] < HOLE_GAP_MM:
        return ()
    return _found(problem, longer), _found(problem, shorter)


def _found(problem: Problem, at: Floats) -> Found:
    point = at[None, :]
    many = problem.layouts_at(point)
    figures = _figures(screened(many))
    room = float(room_of(problem, point)[0])
    binding = []
    for band in problem.wanted:
        value = figures[band.figure]
        for side, limit, left in (("least", band.low, value - band.low), ("most", band.high, band.high - value)):
            if math.isfinite(limit) and left / SCALES[band.figure] <= room + _ALIKE:
                binding.append(Binding(figure=band.figure, side=side, limit=limit, value=value))
    return Found(
        sizes={r.name: float(v) for r, v in zip(problem.free, at, strict=True)},
        lever=lever_of(many, 0),
        room=room,
        binding=tuple(binding),
        figures=figures,
    )


_ALIKE = 0.02
"""Bands whose room is within this of the least bind too."""


def _figures(found: Screened) -> dict[str, float]:
    return {f.name: float(getattr(found, f.name)[0]) for f in fields(Screened) if f.name != "reaches"}


def asked_of(lever: Lever, free: Sequence[Range], wanted: Sequence[Band]) -> Problem:
    """The problem of changing some sizes of a lever that is there: all the others stay as they are.

    The rod is made to fit, so that the piston stands where it stood.
    """

    def polar(point: tuple[float, float]) -> tuple[float, float]:
        x, z = point[0] - lever.pivot_mm[0], point[1] - lever.pivot_mm[1]
        return math.hypot(x, z), math.degrees(math.atan2(z, x))

    (clevis, clevis_deg), (pad, pad_deg) = polar(lever.clevis_mm), polar(lever.pad_mm)
    seat = state_at(lever, 0.0).seat_mm
    sizes = {
        "pivot_x_mm": lever.pivot_mm[0],
        "pivot_z_mm": lever.pivot_mm[1],
        "clevis_arm_mm": clevis,
        "clevis_deg": clevis_deg,
        "pad_arm_mm": pad,
        "pad_deg": pad_deg,
        "mouth_x_mm": seat[0],
        "mouth_z_mm": seat[1],
        "push_deg": lever.push_deg,
        "travel_deg": lever.travel_deg,
        "beside_mm": lever.beside_mm,
    }
    chosen = {r.name for r in free}
    return Problem(fixed={k: v for k, v in sizes.items() if k not in chosen}, free=tuple(free), wanted=tuple(wanted))
