"""Placed parts in arrays: which pairs of them plainly conflict, which plainly do not, and the rest asked in one go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from planner.knockon.budget import Budget
from planner.knockon.conflicts import TOUCH_MM, PairRules
from planner.knockon.cores import BOX, MOST_CORES, SURE_MM, CoreBook
from planner.knockon.placed import Placed
from planner.space import are_closer

Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]
"""Arrays; their shapes are given in each docstring."""

_LOOK_S = 4e-5
"""An exact look at a pair among many, counted as seconds of work."""
_PLAIN_S = 1e-6
"""A pair settled in arrays, counted the same."""
_NOWHERE = (np.inf, np.inf, np.inf, -np.inf, -np.inf, -np.inf)
_CORNERS = 6
_ROUNDING_MM = 1e-6
_ROUND_MM = 0.02
"""Gaps of round parts are exact to this at least."""
_ROWS = 1 << 18
"""Pairs looked at in one go."""


@dataclass(frozen=True, slots=True)
class _Facts:
    """What counts between two parts wherever they are: the gap below which they conflict, None when none counts."""

    limit_mm: float | None
    touching: bool
    rooms: bool
    tied: bool


@dataclass(slots=True)
class _Table:
    """Rows of numbers, one for each placed part, with room for more."""

    width: int
    rows: Floats = field(init=False)

    def __post_init__(self) -> None:
        """Begin with room for a few."""
        self.rows = np.zeros((64, self.width))

    def put(self, at: int, row: Sequence[float]) -> None:
        if at == len(self.rows):
            self.rows = np.concatenate([self.rows, np.zeros_like(self.rows)])
        self.rows[at] = row


@dataclass(slots=True)
class Roll:
    """Every placed part that was ever asked about, by number; what is asked about again must be the same object."""

    rules: PairRules
    budget: Budget
    cores: CoreBook = field(default_factory=CoreBook)
    placed: list[Placed] = field(default_factory=list)
    _numbers: dict[int, int] = field(default_factory=dict)
    _reach: _Table = field(default_factory=lambda: _Table(6))
    _bodies: _Table = field(default_factory=lambda: _Table(6))
    _still: _Table = field(default_factory=lambda: _Table(6))
    _rooms: _Table = field(default_factory=lambda: _Table(6))
    _inside: _Table = field(default_factory=lambda: _Table(6 * MOST_CORES))
    _kinds: _Table = field(default_factory=lambda: _Table(2))
    """Number of the sort, and what a plain part is (``CoreBook.plain``), -1 for any other."""
    _sort_numbers: dict[tuple[str, str | None], int] = field(default_factory=dict)
    _facts: dict[tuple[int, int], _Facts] = field(default_factory=dict)
    _cuts: dict[tuple[int, int], float] = field(default_factory=dict)
    _partners: frozenset[frozenset[str | None]] = frozenset()

    def __post_init__(self) -> None:
        """Note which parts are bound to each other at any distance."""
        self._partners = frozenset(frozenset((r.part, r.of)) for r in self.rules.relations.values())

    def bound_together(self, a: str, b: str) -> bool:
        """Whether a relation ties two parts, however far apart they are."""
        return frozenset((a, b)) in self._partners

    def number(self, placed: Placed) -> int:
        """The number of a placed part, the same for the same object."""
        known = self._numbers.get(id(placed))
        if known is None:
            known = self._numbers[id(placed)] = len(self.placed)
            # The object is kept, so that its id stays its own.
            self.placed.append(placed)
            self._enter(known, placed)
        return known

    def _enter(self, at: int, placed: Placed) -> None:
        body, still = (*placed.body.lo_mm, *placed.body.hi_mm), (*placed.still.lo_mm, *placed.still.hi_mm)
        rooms = _NOWHERE
        for _, room in placed.rooms:
            rooms = _both(rooms, (*room.lo_mm, *room.hi_mm))
        grow = self.rules.keeps.reach_mm(placed.part)
        reach = _both(body, rooms)
        place = placed.part.pose.at_mm
        cores = [
            v + a for core in self.cores.of(placed.part) for corner in core for v, a in zip(corner, place, strict=True)
        ]
        plain = self.cores.plain(placed.part)
        sort = (placed.part.id, placed.part.mounted_on)
        self._reach.put(at, [*(v - grow for v in reach[:3]), *(v + grow for v in reach[3:])])
        self._bodies.put(at, body)
        self._still.put(at, still)
        self._rooms.put(at, rooms)
        self._inside.put(at, [*cores, *((MOST_CORES - len(cores) // _CORNERS) * _NOWHERE)])
        self._kinds.put(
            at, (self._sort_numbers.setdefault(sort, len(self._sort_numbers)), -1.0 if plain is None else float(plain))
        )

    def boxes(self, numbers: Ints) -> Floats:
        """Boxes (n, 6) [mm] of parts with their rooms, grown by the most that any pair with them has to keep."""
        return self._reach.rows[numbers]

    def conflicts(self, first: Ints, second: Ints) -> Bools:
        """Whether each pair (n,) of placed parts, by number, conflicts; the same as ``PairRules.broken``."""
        found = np.zeros(len(first), dtype=bool)
        self.budget.spend(_PLAIN_S * len(first))
        for start in range(0, len(first), _ROWS):
            part = slice(start, start + _ROWS)
            plain, unsure = self.plainly(first[part], second[part])
            rows = np.flatnonzero(unsure)
            plain[rows] = self.exactly(first[part][rows], second[part][rows])
            found[part] = plain
        return found

    def plainly(self, first: Ints, second: Ints) -> tuple[Bools, Bools]:
        """Whether each pair (n,) conflicts for certain, and whether that has to be looked at more closely."""
        limit, rooms, tied, touching = self._facts_of(first, second)
        apart = _apart(self._bodies.rows[first], self._bodies.rows[second])
        broken, unsure = np.zeros(len(first), dtype=bool), tied.copy()
        rows = np.flatnonzero(apart < limit)
        cut = self._cuts_of(first[rows], second[rows])
        rows, cut = rows[apart[rows] < cut + _ROUNDING_MM], cut[apart[rows] < cut + _ROUNDING_MM]
        sure, clear = self._settled(first[rows], second[rows], cut)
        rows, cut, sure = rows[~clear], cut[~clear], sure[~clear]
        deep = np.flatnonzero(~sure & ~touching[rows] & (cut > _ROUNDING_MM - SURE_MM))
        sure[deep] = _cores_meet(self._inside.rows[first[rows[deep]]], self._inside.rows[second[rows[deep]]])
        broken[rows] = sure
        unsure[rows] = True
        rows = np.flatnonzero(rooms)
        for one, other in ((first[rows], second[rows]), (second[rows], first[rows])):
            unsure[rows] |= _apart(self._rooms.rows[one], self._still.rows[other]) < -TOUCH_MM
        return broken, unsure & ~broken

    def overlap(self, a: int, b: int) -> bool:
        """Whether two placed parts, not meant to touch, overlap so plainly that nothing else counts."""
        first, second = np.array([a]), np.array([b])
        if self._facts_of(first, second)[3][0] or self._cuts_of(first, second)[0] <= _ROUNDING_MM - SURE_MM:
            return False
        return bool(_cores_meet(self._inside.rows[first], self._inside.rows[second])[0])

    def _settled(self, first: Ints, second: Ints, cut_mm: Floats) -> tuple[Bools, Bools]:
        """Whether each pair (n,) is surely nearer than a gap, and surely not: known for good of plain parts."""
        sure, clear = np.zeros(len(first), dtype=bool), np.zeros(len(first), dtype=bool)
        one, other = self._kinds.rows[first, 1], self._kinds.rows[second, 1]
        for axis in range(3):
            fits = ((one == axis) | (one == BOX)) & ((other == axis) | (other == BOX))
            if axis and len(fits):
                fits &= (one == axis) | (other == axis)
            rows = np.flatnonzero(fits)
            a, b = self._bodies.rows[first[rows]], self._bodies.rows[second[rows]]
            apart = _prisms_apart(axis, (a, one[rows] == axis), (b, other[rows] == axis))
            sure[rows] = apart < cut_mm[rows] - _ROUND_MM
            clear[rows] = apart > cut_mm[rows] + _ROUND_MM
        return sure, clear

    def exactly(self, first: Ints, second: Ints) -> Bools:
        """The same as ``PairRules.broken`` for pairs (n,) that are not plain."""
        if not len(first):
            return np.zeros(0, dtype=bool)
        self.budget.spend(_LOOK_S * len(first))
        limit, rooms, tied, _ = self._facts_of(first, second)
        pairs = [(self.placed[i], self.placed[j]) for i, j in zip(first.tolist(), second.tolist(), strict=True)]
        counted = np.flatnonzero(np.isfinite(limit)).tolist()
        closer = are_closer([(pairs[k][0].body, pairs[k][1].body) for k in counted], limit[counted].tolist())
        broken = np.zeros(len(first), dtype=bool)
        for k, near in zip(counted, closer, strict=True):
            broken[k] = near and self.rules.got_worse(*pairs[k])
        for k in np.flatnonzero((rooms | tied) & ~broken).tolist():
            a, b = pairs[k]
            broken[k] = (rooms[k] and self.rules.rooms_lost(a, b)) or (tied[k] and self.rules.kept.any_between(a, b))
        return broken

    def plainly_barred(self, template: Placed, at_mm: Floats, others: Ints) -> Bools:
        """Whether a part, its origin at places (n, 3) [mm], plainly conflicts with any of some others (m,).

        ``template`` is the part at the origin, mounted on what it would be mounted on there.
        """
        me = self.number(template)
        found = np.zeros(len(at_mm), dtype=bool)
        _, _, _, touching = self._facts_of(np.full(len(others), me), others)
        others = others[~touching]
        step = max(1, _ROWS // max(1, len(others)))
        for start in range(0, len(at_mm), step):
            shift = np.tile(at_mm[start : start + step], (1, 2))
            body = self._bodies.rows[me] + shift
            meets = np.argwhere(_apart(body[:, None, :], self._bodies.rows[others][None, :, :]) < -SURE_MM)
            rows, columns = meets[:, 0], others[meets[:, 1]]
            cores = self._inside.rows[me] + np.tile(shift[rows], (1, MOST_CORES))
            hit = np.flatnonzero(_cores_meet(cores, self._inside.rows[columns]))
            hit = hit[self._cuts_of(np.full(len(hit), me), columns[hit]) > _ROUNDING_MM - SURE_MM]
            found[start + rows[hit]] = True
        return found

    def _facts_of(self, first: Ints, second: Ints) -> tuple[Floats, Bools, Bools, Bools]:
        """For each pair (n,): the gap limit [mm] (-inf: none counts), whether rooms count, a tie, meant to touch."""
        keys, back = self._pair_sorts(first, second)
        facts = []
        for n, key in enumerate(keys):
            if key not in self._facts:
                self._facts[key] = self._fact(*self._example(first, second, back, n))
            facts.append(self._facts[key])
        limit = np.array([-np.inf if f.limit_mm is None else f.limit_mm for f in facts])
        flags = np.array([(f.rooms, f.tied, f.touching) for f in facts], dtype=bool).reshape(-1, 3)
        return limit[back], flags[back, 0], flags[back, 1], flags[back, 2]

    def _cuts_of(self, first: Ints, second: Ints) -> Floats:
        """For each pair (n,) the gap [mm] below which they conflict, seen how they stood at the start."""
        keys, back = self._pair_sorts(first, second)
        for n, key in enumerate(keys):
            if key not in self._cuts:
                self._cuts[key] = self.rules.gap_cut_mm(*self._example(first, second, back, n))
        return np.array([self._cuts[key] for key in keys])[back]

    def _pair_sorts(self, first: Ints, second: Ints) -> tuple[list[tuple[int, int]], Ints]:
        """The pairs of sorts there are among some pairs (n,), and which of them each is."""
        many = len(self._sort_numbers)
        codes = self._kinds.rows[first, 0].astype(np.int64) * many + self._kinds.rows[second, 0].astype(np.int64)
        if len(codes) and (codes == codes[0]).all():
            return [divmod(int(codes[0]), many)], np.zeros(len(codes), dtype=np.int64)
        several, back = np.unique(codes, return_inverse=True)
        return [divmod(code, many) for code in several.tolist()], back.reshape(-1)

    def _example(self, first: Ints, second: Ints, back: Ints, n: int) -> tuple[Placed, Placed]:
        row = int(np.argmax(back == n))
        return self.placed[int(first[row])], self.placed[int(second[row])]

    def _fact(self, a: Placed, b: Placed) -> _Facts:
        return _Facts(
            limit_mm=self.rules.gap_limit_mm(a.part, b.part),
            touching=self.rules.meant_to_touch(a.part, b.part),
            rooms=self.rules.rooms_count(a.part, b.part),
            tied=self.bound_together(a.part.id, b.part.id),
        )


def _both(a: Sequence[float], b: Sequence[float]) -> tuple[float, float, float, float, float, float]:
    """The box round two boxes."""
    low, high = [min(a[i], b[i]) for i in range(3)], [max(a[i], b[i]) for i in range(3, 6)]
    return (low[0], low[1], low[2], high[0], high[1], high[2])


def _apart(a: Floats, b: Floats) -> Floats:
    """Signed distance [mm] of boxes (..., 6): what lies in them is at least so far apart."""
    x, y, z = (np.maximum(a[..., i] - b[..., i + 3], b[..., i] - a[..., i + 3]) for i in range(3))
    most = np.maximum(np.maximum(x, y), z)
    outside = [np.maximum(v, 0.0) for v in (x, y, z)]
    far = np.sqrt(outside[0] ** 2 + outside[1] ** 2 + outside[2] ** 2)
    return np.asarray(np.where(most > 0.0, far, most))


def _prisms_apart(axis: int, one: tuple[Floats, Bools], other: tuple[Floats, Bools]) -> Floats:
    """Signed distance (n,) [mm] of upright boxes or, where told, cylinders along an axis, by their boxes (n, 6)."""
    (a, a_round), (b, b_round) = one, other
    along = np.maximum(a[:, axis] - b[:, axis + 3], b[:, axis] - a[:, axis + 3])
    across, radius = [], np.zeros(len(a))
    u, v = (i for i in range(3) if i != axis)
    for box, is_round in ((a, a_round), (b, b_round)):
        radius += np.where(is_round, (box[:, u + 3] - box[:, u]) / 2.0, 0.0)
    for i in (u, v):
        half = sum(np.where(is_round, 0.0, (box[:, i + 3] - box[:, i]) / 2.0) for box, is_round in (one, other))
        middles = (a[:, i] + a[:, i + 3] - b[:, i] - b[:, i + 3]) / 2.0
        across.append(np.abs(middles) - half)
    outside = np.hypot(np.maximum(across[0], 0.0), np.maximum(across[1], 0.0))
    plane = outside + np.minimum(np.maximum(across[0], across[1]), 0.0) - radius
    return np.where((along > 0.0) & (plane > 0.0), np.hypot(along, plane), np.maximum(along, plane))


def _cores_meet(a: Floats, b: Floats) -> Bools:
    """Whether any core of one part surely overlaps one of the other, for rows (n, 6 * cores)."""
    found = np.zeros(len(a), dtype=bool)
    for p in range(MOST_CORES):
        one = a[:, 6 * p : 6 * p + 6]
        if not np.isfinite(one).any():
            continue
        for q in range(MOST_CORES):
            other = b[:, 6 * q : 6 * q + 6]
            hit = np.minimum(one[:, 3], other[:, 3]) - np.maximum(one[:, 0], other[:, 0]) > SURE_MM
            for i in (1, 2):
                hit &= np.minimum(one[:, i + 3], other[:, i + 3]) - np.maximum(one[:, i], other[:, i]) > SURE_MM
            found |= hit
    return found
