"""Which placed parts conflict, found once: boxes first, in arrays, then the pairs that come near each other exactly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from planner.knockon.budget import Budget
from planner.knockon.conflicts import PairRules
from planner.knockon.cores import CoreBook
from planner.knockon.options import Option
from planner.knockon.placed import Placed

Bounds = tuple[float, float, float, float, float, float]
"""Low corner, then high corner [mm]."""
_PAIR_S = 2e-4
"""An exact look at a pair, counted as seconds of work."""
_NOWHERE: Bounds = (np.inf, np.inf, np.inf, -np.inf, -np.inf, -np.inf)


@dataclass(slots=True)
class ClashBook:
    """Conflicts between placed parts, remembered by object: what is offered again must be the same object again."""

    rules: PairRules
    budget: Budget
    _bounds: dict[int, tuple[Placed, Bounds]] = field(default_factory=dict)
    _broken: dict[tuple[int, int], bool] = field(default_factory=dict)
    _partners: frozenset[frozenset[str | None]] = frozenset()
    _cores: CoreBook = field(default_factory=CoreBook)
    _rows: dict[str, _Rows] = field(default_factory=dict)
    _known: dict[tuple[str, str], np.ndarray] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Note which parts are bound to each other at any distance."""
        self._partners = frozenset(frozenset((r.part, r.of)) for r in self.rules.relations.values())

    def bounds(self, placed: Placed) -> Bounds:
        """Box of a part with its rooms, grown by the most that any pair with it has to keep."""
        known = self._bounds.get(id(placed))
        if known is None:
            grow = self.rules.keeps.reach_mm(placed.part)
            bodies = (placed.body, *(room for _, room in placed.rooms))
            low = [min(b.lo_mm[i] for b in bodies) - grow for i in range(3)]
            high = [max(b.hi_mm[i] for b in bodies) + grow for i in range(3)]
            # The object is kept with its box: its id stays its own.
            known = self._bounds[id(placed)] = (placed, (low[0], low[1], low[2], high[0], high[1], high[2]))
        return known[1]

    def bound_together(self, a: str, b: str) -> bool:
        """Whether a relation ties two parts, however far apart they are."""
        return frozenset((a, b)) in self._partners

    def broken(self, a: Placed, b: Placed) -> bool:
        """Whether two placed parts conflict."""
        key = (id(a), id(b)) if a.part.id < b.part.id else (id(b), id(a))
        known = self._broken.get(key)
        if known is None:
            p, q = self.bounds(a), self.bounds(b)
            near = all(p[i] <= q[i + 3] and q[i] <= p[i + 3] for i in range(3))
            known = False
            if near or self.bound_together(a.part.id, b.part.id):
                known = self.surely_broken(a, b) or self._looked_at(a, b)
            self._broken[key] = known
        return known

    def surely_broken(self, a: Placed, b: Placed) -> bool:
        """Whether two parts overlap so plainly that nothing else counts."""
        if not self._cores.overlap(a, b) or self.rules.meant_to_touch(a.part, b.part):
            return False
        return self.rules.kept_before(a, b, self.rules.keeps.keep(a.part, b.part).mm)

    def _looked_at(self, a: Placed, b: Placed) -> bool:
        self.budget.spend(_PAIR_S)
        return self.rules.broken(a, b)

    def clash(self, a: Option, b: Option) -> bool:
        """Whether any part of one option conflicts with any of the other."""
        return any(self.broken(x, y) for x in a.bundle for y in b.bundle)

    def clashes(self, p: str, p_options: Sequence[Option], q: str, q_options: Sequence[Option]) -> np.ndarray:
        """Which options of part p conflict with which of part q, shape (options of p, options of q), of bool."""
        if p > q:
            return self.clashes(q, q_options, p, p_options).T
        first, second = self._rows_of(p, p_options), self._rows_of(q, q_options)
        known = self._grown(p, q)
        old = self._known.get((p, q), known)
        for i, j in self._unknown(self._rows[p], self._rows[q], old.shape if (p, q) in self._known else (0, 0)):
            known[i, j] = self.clash(self._rows[p].options[i], self._rows[q].options[j])
        self._known[p, q] = known
        return known[np.ix_(first, second)]

    def _grown(self, p: str, q: str) -> np.ndarray:
        shape = (len(self._rows[p].options), len(self._rows[q].options))
        known = np.zeros(shape, dtype=bool)
        old = self._known.get((p, q))
        if old is not None:
            if old.shape == shape:
                return old
            known[: old.shape[0], : old.shape[1]] = old
        return known

    def _unknown(self, first: _Rows, second: _Rows, done: tuple[int, ...]) -> Iterator[tuple[int, int]]:
        """Pairs of options not looked at before that may conflict at all."""
        if done == (len(first.options), len(second.options)):
            return
        a, b = first.boxes(), second.boxes()
        near = may_meet(a, b)
        if any(self.bound_together(i, j) for i in first.parts for j in second.parts):
            near[:] = True
        near[: done[0], : done[1]] = False
        yield from ((int(i), int(j)) for i, j in np.argwhere(near))

    def _rows_of(self, part: str, options: Sequence[Option]) -> list[int]:
        rows = self._rows.setdefault(part, _Rows())
        return [rows.row(option, self) for option in options]

    def boxes(self, part: str, options: Sequence[Option]) -> np.ndarray:
        """Boxes of options with rooms and reach, shape (options, 6) [mm]; empty when nothing is there."""
        indices = self._rows_of(part, options)
        return self._rows[part].boxes()[indices]


@dataclass(slots=True)
class _Rows:
    """The options of a part that were ever looked at, by their bundle."""

    options: list[Option] = field(default_factory=list)
    parts: dict[str, None] = field(default_factory=dict)
    _index: dict[int, int] = field(default_factory=dict)
    _boxes: list[Bounds] = field(default_factory=list)
    _array: np.ndarray | None = None

    def row(self, option: Option, book: ClashBook) -> int:
        key = id(option.bundle) if option.bundle else 0
        if key not in self._index:
            self._index[key] = len(self.options)
            self.options.append(option)
            self.parts.update((p.part.id, None) for p in option.bundle)
            self._boxes.append(_around([book.bounds(p) for p in option.bundle]))
            self._array = None
        return self._index[key]

    def boxes(self) -> np.ndarray:
        if self._array is None:
            self._array = np.asarray(self._boxes)
        return self._array


def _around(several: Sequence[Bounds]) -> Bounds:
    if not several:
        return _NOWHERE
    low = [min(b[i] for b in several) for i in range(3)]
    high = [max(b[i + 3] for b in several) for i in range(3)]
    return (low[0], low[1], low[2], high[0], high[1], high[2])


def may_meet(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Which boxes (n, 6) meet which of (m, 6), shape (n, m)."""
    low = np.maximum(a[:, None, :3], b[None, :, :3])
    high = np.minimum(a[:, None, 3:], b[None, :, 3:])
    return np.asarray((low <= high).all(axis=2))


@dataclass(slots=True)
class Vicinity:
    """Some placed parts, to be asked which of them come near another one."""

    book: ClashBook
    placed: Mapping[str, Placed]
    _boxes: np.ndarray = field(init=False)
    _ids: list[str] = field(init=False)

    def __post_init__(self) -> None:
        """Put the boxes in one array."""
        self._ids = sorted(self.placed)
        self._boxes = np.asarray([self.book.bounds(self.placed[i]) for i in self._ids]).reshape(-1, 6)

    def near(self, part: Placed) -> Iterator[Placed]:
        """Those whose boxes meet that of a part, and those bound to it by a relation; never the part itself."""
        box = np.asarray(self.book.bounds(part))
        meets = ((self._boxes[:, :3] <= box[3:]) & (self._boxes[:, 3:] >= box[:3])).all(axis=1)
        found = {self._ids[n] for n in np.flatnonzero(meets).tolist()}
        found |= {i for i in self._bound_to(part.part.id) if i in self.placed}
        yield from (self.placed[i] for i in sorted(found - {part.part.id}))

    def broken(self, part: Placed) -> Iterator[Placed]:
        """Those that conflict with a part."""
        yield from (other for other in self.near(part) if self.book.broken(part, other))

    def any_broken(self, parts: Iterable[Placed]) -> bool:
        """Whether any of some parts conflicts with any of these."""
        return any(True for part in parts for _ in self.broken(part))

    def _bound_to(self, part: str) -> Iterator[str]:
        for relation in self.book.rules.relations.values():
            if part in {relation.part, relation.of} and relation.of is not None:
                yield relation.of if relation.part == part else relation.part
