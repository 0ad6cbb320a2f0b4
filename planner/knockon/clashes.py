"""Which placed parts conflict, found once: boxes first, in arrays, then the pairs that come near each other exactly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from planner.knockon.budget import Budget
from planner.knockon.conflicts import PairRules
from planner.knockon.options import Option
from planner.knockon.placed import Placed
from planner.knockon.roll import Bools, Floats, Ints, Roll

_NOWHERE = (np.inf, np.inf, np.inf, -np.inf, -np.inf, -np.inf)


@dataclass(slots=True)
class ClashBook:
    """Conflicts between placed parts, remembered by object: what is offered again must be the same object again."""

    rules: PairRules
    budget: Budget
    roll: Roll = field(init=False)
    _broken: dict[tuple[int, int], bool] = field(default_factory=dict)
    _rows: dict[str, _Rows] = field(default_factory=dict)
    _known: dict[tuple[str, str], Bools] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Begin a roll of placed parts."""
        self.roll = Roll(self.rules, self.budget)

    def broken(self, a: Placed, b: Placed) -> bool:
        """Whether two placed parts conflict."""
        first, second = sorted((self.roll.number(a), self.roll.number(b)))
        if (first, second) not in self._broken:
            self._broken[first, second] = bool(self.roll.conflicts(np.array([first]), np.array([second]))[0])
        return self._broken[first, second]

    def surely_broken(self, a: Placed, b: Placed) -> bool:
        """Whether two parts overlap so plainly that nothing else counts."""
        return self.roll.overlap(self.roll.number(a), self.roll.number(b))

    def clashes(self, p: str, p_options: Sequence[Option], q: str, q_options: Sequence[Option]) -> Bools:
        """Which options of part p conflict with which of part q, shape (options of p, options of q)."""
        if p > q:
            return self.clashes(q, q_options, p, p_options).T
        return self.between(p, self.rows_of(p, p_options), q, self.rows_of(q, q_options))

    def between(self, p: str, p_rows: Sequence[int], q: str, q_rows: Sequence[int]) -> Bools:
        """The same for options by where they stand in the book (:meth:`rows_of`); p comes before q."""
        one, other = self._rows[p], self._rows[q]
        if not self._could(one, other):
            return np.zeros((len(p_rows), len(q_rows)), dtype=bool)
        old = self._known.get((p, q), np.zeros((0, 0), dtype=bool))
        shape = (len(one), len(other))
        if old.shape != shape:
            known = np.zeros(shape, dtype=bool)
            known[: old.shape[0], : old.shape[1]] = old
            self._find(one, other, old.shape, known)
            self._known[p, q] = known
        return self._known[p, q][np.ix_(p_rows, q_rows)]

    def _could(self, one: _Rows, other: _Rows) -> bool:
        """Whether any option of one part may conflict with any of another at all."""
        a, b = one.around(), other.around()
        meet = all(a[i] <= b[i + 3] and b[i] <= a[i + 3] for i in range(3))
        return meet or any(self.roll.bound_together(i, j) for i in one.parts for j in other.parts)

    def _find(self, one: _Rows, other: _Rows, done: tuple[int, ...], known: Bools) -> None:
        """Look at the pairs of options that were not looked at before and may conflict at all."""
        near = may_meet(one.boxes(), other.boxes())
        if any(self.roll.bound_together(i, j) for i in one.parts for j in other.parts):
            near[:] = True
        near[: done[0], : done[1]] = False
        rows, columns = np.nonzero(near)
        for mine in one.bundles().T:
            for theirs in other.bundles().T:
                left = ~known[rows, columns]
                first, second = mine[rows], theirs[columns]
                there = np.flatnonzero(left & (first >= 0) & (second >= 0))
                hit = self.roll.conflicts(first[there], second[there])
                known[rows[there[hit]], columns[there[hit]]] = True

    def rows_of(self, part: str, options: Sequence[Option]) -> list[int]:
        """Where in the book some options of a part stand."""
        rows = self._rows.setdefault(part, _Rows())
        return [rows.row(option, self.roll) for option in options]

    def boxes(self, part: str, options: Sequence[Option]) -> Floats:
        """Boxes of options with rooms and reach, shape (options, 6) [mm]; empty when nothing is there."""
        indices = self.rows_of(part, options)
        return self._rows[part].boxes()[indices]


@dataclass(slots=True)
class _Rows:
    """The options of a part that were ever looked at, by their bundle."""

    parts: dict[str, None] = field(default_factory=dict)
    _index: dict[int, int] = field(default_factory=dict)
    _kept: list[Option] = field(default_factory=list)
    """So that the ids of their bundles stay theirs."""
    _bundles: list[list[int]] = field(default_factory=list)
    _boxes: list[Sequence[float]] = field(default_factory=list)
    _around: Sequence[float] = _NOWHERE
    _box_array: Floats | None = None
    _bundle_array: Ints | None = None

    def __len__(self) -> int:
        return len(self._kept)

    def row(self, option: Option, roll: Roll) -> int:
        key = id(option.bundle) if option.bundle else 0
        if key not in self._index:
            self._index[key] = len(self._kept)
            self._kept.append(option)
            self.parts.update((p.part.id, None) for p in option.bundle)
            numbers = [roll.number(p) for p in option.bundle]
            self._bundles.append(numbers)
            box = _around(roll.boxes(np.array(numbers, dtype=np.int64)))
            self._boxes.append(box)
            self._around = _around(np.array([self._around, box]))
            self._box_array = self._bundle_array = None
        return self._index[key]

    def around(self) -> Sequence[float]:
        """The box round all of them."""
        return self._around

    def boxes(self) -> Floats:
        """Box of each bundle, shape (rows, 6) [mm]."""
        if self._box_array is None:
            self._box_array = np.asarray(self._boxes, dtype=float)
        return self._box_array

    def bundles(self) -> Ints:
        """Numbers of the parts of each bundle, shape (rows, most parts); -1 where there are no more."""
        if self._bundle_array is None:
            most = max((len(b) for b in self._bundles), default=0)
            self._bundle_array = np.array([b + [-1] * (most - len(b)) for b in self._bundles]).reshape(-1, most)
        return self._bundle_array


def _around(several: Floats) -> Sequence[float]:
    if not len(several):
        return _NOWHERE
    return [*several[:, :3].min(axis=0).tolist(), *several[:, 3:].max(axis=0).tolist()]


def may_meet(a: Floats, b: Floats) -> Bools:
    """Which boxes (n, 6) meet which of (m, 6), shape (n, m)."""
    # axis after axis in memory, which arrays are compared quickest along
    one, other = np.ascontiguousarray(a.T)[:, :, None], np.ascontiguousarray(b.T)
    found: Bools = one[0] <= other[3]
    found &= other[0] <= one[3]
    for i in (1, 2):
        found &= one[i] <= other[i + 3]
        found &= other[i] <= one[i + 3]
    return found


@dataclass(slots=True)
class Vicinity:
    """Some placed parts, to be asked which of them come near another one."""

    book: ClashBook
    placed: Mapping[str, Placed]
    _ids: list[str] = field(init=False)
    _numbers: Ints = field(init=False)
    _boxes: Floats = field(init=False)
    _at: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        """Put the boxes in one array."""
        self._ids = sorted(self.placed)
        self._at = {i: n for n, i in enumerate(self._ids)}
        self._numbers = np.array([self.book.roll.number(self.placed[i]) for i in self._ids], dtype=np.int64)
        self._boxes = self.book.roll.boxes(self._numbers)

    def near(self, part: Placed) -> Iterator[Placed]:
        """Those whose boxes meet that of a part, and those bound to it by a relation; never the part itself."""
        found = np.flatnonzero(self._meeting([part])[0]).tolist()
        yield from (self.placed[self._ids[n]] for n in found)

    def broken(self, part: Placed) -> Iterator[Placed]:
        """Those that conflict with a part."""
        yield from (other for other in self.near(part) if self.book.broken(part, other))

    def any_broken(self, parts: Iterable[Placed]) -> bool:
        """Whether any of some parts conflicts with any of these."""
        return self.barred([tuple(parts)])[0]

    def barred(self, bundles: Sequence[Sequence[Placed]]) -> list[bool]:
        """Of each of some bundles, whether any part of it conflicts with any of these."""
        parts = [(n, part) for n, bundle in enumerate(bundles) for part in bundle]
        found = np.zeros(len(bundles), dtype=bool)
        if not parts:
            return [False] * len(bundles)
        rows, columns = np.nonzero(self._meeting([part for _, part in parts]))
        owner = np.array([n for n, _ in parts])[rows]
        mine = np.array([self.book.roll.number(part) for _, part in parts])[rows]
        theirs = self._numbers[columns]
        plain, unsure = self.book.roll.plainly(mine, theirs)
        found[owner[plain]] = True
        rest = np.flatnonzero(unsure & ~found[owner])
        hit = self.book.roll.exactly(mine[rest], theirs[rest])
        found[owner[rest[hit]]] = True
        return [bool(f) for f in found]

    def plainly_barred(self, template: Placed, at_mm: Floats) -> Bools:
        """Whether a part, its origin at places (n, 3) [mm], plainly conflicts with any of these.

        ``template`` is the part at the origin, mounted on what it would be mounted on there.
        """
        roll = self.book.roll
        others = np.array([n for i, n in zip(self._ids, self._numbers.tolist(), strict=True) if i != template.part.id])
        if not len(at_mm) or not len(others):
            return np.zeros(len(at_mm), dtype=bool)
        mine = roll.boxes(np.array([roll.number(template)]))[0]
        span = np.concatenate([mine[:3] + at_mm.min(axis=0), mine[3:] + at_mm.max(axis=0)])
        near = may_meet(span[None, :], roll.boxes(others))[0]
        return roll.plainly_barred(template, at_mm, others[near])

    def _meeting(self, parts: Sequence[Placed]) -> Bools:
        """Which of these (columns) come near which of some parts (rows)."""
        numbers = np.array([self.book.roll.number(p) for p in parts], dtype=np.int64)
        meets = may_meet(self.book.roll.boxes(numbers), self._boxes)
        for n, part in enumerate(parts):
            for i in self._bound_to(part.part.id):
                if i in self._at:
                    meets[n, self._at[i]] = True
            if part.part.id in self._at:
                meets[n, self._at[part.part.id]] = False
        return meets

    def _bound_to(self, part: str) -> Iterator[str]:
        for relation in self.book.rules.relations.values():
            if part in {relation.part, relation.of} and relation.of is not None:
                yield relation.of if relation.part == part else relation.part
