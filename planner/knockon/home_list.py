"""Every home the mounting spaces offer a part, the cheapest first, before any body is put there.

Homes lie on the grid of each space and, where they are asked for, in contact: level with where the part stands now,
or flush with (or at the keep-clear from) something that stands near the space where the job leaves it. What is not
meant to touch is left as much more room as the sizes are in doubt: a home that is free on paper only is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from planner.knockon.asked import Asked
from planner.knockon.conflicts import PairRules
from planner.knockon.doubts import place_doubt_mm, size_doubt_mm, turned_back
from planner.knockon.options import Candidate, moving_cost, pinned, takes
from planner.knockon.placed import Placed, place
from planner.knockon.rigid import added
from planner.model.catalog import Catalog
from planner.model.shapes import AXES, Pose, Vec
from planner.model.vehicle import Component, Freedom, Space
from planner.space import Body, extent_mm

MOST_POSES = 1200
"""Up to so many homes of one space in one turn, contact along several axes at once is offered; above, along one."""
_SAME_MM = 1e-6
"""A home nearer than this to the present one is the present one."""
_FLUSH_MM = 1.0
"""Flush with the high face counts as the last grid stop when it is nearer to it than this."""
_NONE: Vec = (0.0, 0.0, 0.0)

Box = tuple[Vec, Vec]


@dataclass(frozen=True, slots=True)
class HomeList:
    """Homes in order of price: ``costs`` (n,) and ``rows`` (n, 5) of x, y, z [mm], number of the space, of the turn."""

    costs: np.ndarray
    rows: np.ndarray
    spaces: tuple[str, ...]
    turns_deg: tuple[Vec, ...]

    def __len__(self) -> int:
        return len(self.costs)

    def cost(self, index: int) -> int:
        """Price of a home [thousandths of a hand-minute]."""
        return int(self.costs[index])

    def __getitem__(self, index: int) -> Candidate:
        x, y, z, space, turn = (float(v) for v in self.rows[index])
        pose = Pose(at_mm=(x, y, z), turn_deg=self.turns_deg[int(turn)])
        return Candidate(cost=self.cost(index), pose=pose, space=self.spaces[int(space)])

    def __iter__(self) -> Iterator[Candidate]:
        return (self[n] for n in range(len(self)))


@dataclass(slots=True, kw_only=True)
class Standing:
    """What stands where the job leaves it, for homes in contact with it."""

    rules: PairRules
    base: Mapping[str, Placed]
    _around: dict[tuple[str, float], list[Placed]] = field(default_factory=dict)

    def stops(self, part: Placed, space: Space, leave: frozenset[str], *, beyond_mm: float = 0.0) -> list[set[float]]:
        """Along each axis, where the origin of a part (in the turn it is in) puts it level or in contact [mm].

        ``leave`` are parts that go where it goes; the part may stick out of the space by ``beyond_mm``.
        """
        found: list[set[float]] = [{round(v, 3)} for v in self.base[part.part.id].part.pose.at_mm]
        own = _relative(part, part.body)
        still = _relative(part, part.still)
        rooms = [_relative(part, room) for _, room in part.rooms]
        for other in self._near(space, self.rules.keeps.reach_mm(part.part) + beyond_mm):
            if other.part.id in leave or other.part.id == part.part.id:
                continue
            touching = self.rules.meant_to_touch(part.part, other.part)
            keep = 0.0 if touching else self.rules.keeps.keep(part.part, other.part).mm
            doubts = _NONE if touching else _doubts(part.part, other.part)
            _against(found, own, other.body, added((keep, keep, keep), doubts))
            for _, room in other.rooms:
                _against(found, still, room, _NONE)
            for room_box in rooms:
                _against(found, room_box, other.still, _NONE)
        return found

    def _near(self, space: Space, reach_mm: float) -> list[Placed]:
        """Parts that reach into a space or so near it that a part in it, which keeps so much free, is in contact."""
        key = (space.id, reach_mm)
        if key not in self._around:
            box = space_box(space)
            self._around[key] = [p for _, p in sorted(self.base.items()) if self._reaches(p, box, reach_mm)]
        return self._around[key]

    def _reaches(self, placed: Placed, box: Box, reach_mm: float) -> bool:
        keep = max(self.rules.keeps.reach_mm(placed.part), reach_mm)
        bodies = (placed.body, *(b for _, b in placed.rooms))
        return any(
            all(b.lo_mm[i] - keep <= box[1][i] and b.hi_mm[i] + keep >= box[0][i] for i in range(3)) for b in bodies
        )


def _relative(placed: Placed, body: Body) -> Box:
    at = placed.part.pose.at_mm
    return added(body.lo_mm, at, sign=-1.0), added(body.hi_mm, at, sign=-1.0)


def _doubts(part: Component, other: Component) -> Vec:
    """How far a gap between the two may be out along each axis [mm], the part being set with the tape in hand."""
    x, y, z = (_either_way(part, a) + _either_way(other, a) + place_doubt_mm(other, a) for a in AXES.values())
    return (x, y, z)


def _either_way(part: Component, axis: Vec) -> float:
    return max(size_doubt_mm(part, axis), size_doubt_mm(part, turned_back(axis)))


def _against(found: list[set[float]], own: Box, other: Body, keep: Vec) -> None:
    for i in range(3):
        found[i].add(round(other.hi_mm[i] + keep[i] - own[0][i], 3))
        found[i].add(round(other.lo_mm[i] - keep[i] - own[1][i], 3))


def space_box(space: Space) -> Box:
    """Low and high corner of a mounting space [mm]."""
    middle, size = space.box.pose.at_mm, space.box.size_mm
    low = [m - s / 2 for m, s in zip(middle, size, strict=True)]
    high = [m + s / 2 for m, s in zip(middle, size, strict=True)]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def spaces_for(part: Component, asked: Asked) -> Iterator[Space]:
    """Spaces that take a part; one on a part whose home the job changes is left out."""
    for space in asked.spaces.values():
        if takes(space, part) and space.on not in asked.carried and space.on not in asked.moved and space.on != part.id:
            yield space


def homes_of(
    part: Component, riders: tuple[Component, ...], asked: Asked, catalog: Catalog, standing: Standing | None = None
) -> HomeList:
    """New homes of a part, cheapest first; in contact as well when ``standing`` is given."""
    spaces = [] if part.freedom is not Freedom.MOVES else sorted(spaces_for(part, asked), key=lambda s: s.id)
    turns = sorted({added(part.pose.turn_deg, turn) for turn in ((0.0, 0.0, 0.0), *part.turns_deg)})
    leave = frozenset(r.id for r in riders)
    blocks = [np.zeros((0, 5))]
    for t, turn_deg in enumerate(turns):
        turned = replace(part, pose=Pose(turn_deg=turn_deg))
        extent = extent_mm(part.solids, turned.pose)
        body = place(turned) if standing is not None else None
        for s, space in enumerate(spaces):
            contact = standing.stops(body, space, leave) if standing is not None and body is not None else None
            at_mm = places(space, extent, contact)
            blocks.append(np.column_stack([at_mm, np.full(len(at_mm), s), np.full(len(at_mm), t)]))
    table = np.concatenate(blocks)
    far = np.sqrt(((table[:, :3] - np.asarray(part.pose.at_mm)) ** 2).sum(axis=1))
    now = turns.index(part.pose.turn_deg) if part.pose.turn_deg in turns else -1
    elsewhere = (far > _SAME_MM) | (table[:, 4] != now)
    table, costs = table[elsewhere], np.rint(far[elsewhere]).astype(np.int64) + moving_cost(part, riders, catalog, 0.0)
    order = np.lexsort((table[:, 4], table[:, 2], table[:, 1], table[:, 0], table[:, 3], costs))
    return HomeList(costs[order], table[order], tuple(s.id for s in spaces), tuple(turns))


def places(space: Space, extent: Box, contact: Sequence[set[float]] | None) -> np.ndarray:
    """Origins (n, 3) [mm] of a part with this extent inside a space; along ``against`` only on that face."""
    (space_lo, space_hi), (low, high) = space_box(space), extent
    spans = [(space_lo[i] - low[i], space_hi[i] - high[i]) for i in range(3)]
    fixed = [pinned(space.against, i) for i in range(3)]
    grid = [stops(*spans[i], space.step_mm, fixed[i]) for i in range(3)]
    if contact is None or not all(grid):
        return product(grid)
    more = [
        [] if fixed[i] else sorted(v for v in contact[i] if spans[i][0] < v < spans[i][1] and v not in grid[i])
        for i in range(3)
    ]
    whole = [g + m for g, m in zip(grid, more, strict=True)]
    if len(whole[0]) * len(whole[1]) * len(whole[2]) <= MOST_POSES:
        return product(whole)
    one_off = [product([more[i] if i == axis else grid[i] for i in range(3)]) for axis in range(3)]
    return np.concatenate([product(grid), *one_off])


def product(along: Sequence[Sequence[float]]) -> np.ndarray:
    """All combinations of stops along x, y and z, shape (n, 3) [mm]."""
    grids = np.meshgrid(*(np.asarray(a, dtype=float) for a in along), indexing="ij")
    return np.stack([g.ravel() for g in grids], axis=1)


def stops(first: float, last: float, step: float, fixed: int) -> list[float]:
    """Grid stops of an origin between two ends [mm]: from the low end in steps, and flush with the high end."""
    if last < first - _SAME_MM:
        return []
    if fixed:
        return [first if fixed < 0 else last]
    count = int((last - first) / step + 1e-9)
    found = [first + k * step for k in range(count + 1)]
    return found if last - found[-1] < _FLUSH_MM else [*found, last]
