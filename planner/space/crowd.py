"""Many bodies at once: which come in each other's way at all, by boxes, in one sweep over arrays."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from planner.model.shapes import Direction, Vec
from planner.space.body import Body
from planner.space.cushions import Cushions
from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.pair_batches import Placings, depths_between
from planner.space.pieces import Piece
from planner.space.separation import separation
from planner.space.supports import DIRECTIONS
from planner.space.surfaces import IntArray

_SURE_MM = 1e-9
_CELLS = 4_000_000
"""Cells of a table of bodies against bodies that are looked at in one go."""

Counts = Callable[[str, str], bool]
"""Whether the second body counts as an obstacle for the first."""


class Passage(NamedTuple):
    """A straight leg of a body: ``travel_mm`` along ``direction``, from ``from_mm`` off its present place."""

    body: str
    direction: Direction
    travel_mm: float
    from_mm: Vec = (0.0, 0.0, 0.0)


class Pairs(NamedTuple):
    """Rows of pieces: row k is piece ``first[k]`` on the way of ``row[k]`` and piece ``second[k]`` near that way."""

    row: IntArray
    first: IntArray
    second: IntArray


class Crowd:
    """Bodies by name, with the boxes and extents of all their pieces in arrays (vehicle axes, mm)."""

    def __init__(self, bodies: Mapping[str, Body], counts: Counts | None = None) -> None:
        """Take the bodies; ``counts`` says which of them is an obstacle for which (all, when not given)."""
        self.names: tuple[str, ...] = tuple(bodies)
        self.index = {name: k for k, name in enumerate(self.names)}
        self.bodies = tuple(bodies.values())
        self.lows = np.array([body.lo_mm for body in self.bodies]).reshape(-1, 3)
        self.highs = np.array([body.hi_mm for body in self.bodies]).reshape(-1, 3)
        sizes = np.array([len(body.pieces) for body in self.bodies], dtype=np.int64)
        self.sizes = sizes
        self.starts = np.cumsum(sizes) - sizes
        self.owner = np.repeat(np.arange(len(self.bodies)), sizes)
        self.pieces: tuple[Piece, ...] = tuple(piece for body in self.bodies for piece in body.pieces)
        self.places = np.vstack([np.zeros((0, 3)), *(body.places for body in self.bodies)])
        self.piece_lows = np.vstack([np.zeros((0, 3)), *(body.lows for body in self.bodies)])
        self.piece_highs = np.vstack([np.zeros((0, 3)), *(body.highs for body in self.bodies)])
        pack = Pack(self.pieces)
        low, high = pack.extents(DIRECTIONS)
        along = self.places @ DIRECTIONS.T
        self.extent_lows, self.extent_highs = low + along, high + along
        self.upright = pack.upright_boxes()
        self.cushions = Cushions(self.pieces, self.places)
        self._counts = counts
        self._counted: dict[tuple[int, int], bool] = {}
        self._depths: dict[tuple[int, int], float] = {}
        self._normals: dict[tuple[int, int], FloatArray] = {}
        self._proved: dict[tuple[int, int], float] = {}
        self._allowed: dict[tuple[int, int], float] = {}
        self._allowed_exactly: dict[tuple[int, int], float] = {}
        self._bounds: dict[tuple[int, int], tuple[FloatArray, FloatArray]] = {}
        self._between: dict[tuple[int, int], tuple[float, float]] = {}

    def met(self, bodies: IntArray, lows: FloatArray, highs: FloatArray) -> tuple[IntArray, IntArray]:
        """Rows and obstacles (m,) whose boxes meet: row k asks for body ``bodies[k]`` and a box (n, 3) [mm]."""
        rows, others = [], []
        step = max(1, _CELLS // max(1, len(self.names)))
        for start in range(0, len(bodies), step):
            part = slice(start, start + step)
            near = np.ones((len(bodies[part]), len(self.names)), dtype=bool)
            for axis in range(3):
                near &= lows[part, axis, None] < self.highs[None, :, axis]
                near &= self.lows[None, :, axis] < highs[part, axis, None]
            near[np.arange(len(near)), bodies[part]] = False
            row, other = np.nonzero(near)
            rows.append(row + start)
            others.append(other)
        row, other = np.concatenate(rows or [np.zeros(0, int)]), np.concatenate(others or [np.zeros(0, int)])
        kept = self._obstacles(bodies[row], other)
        return row[kept], other[kept]

    def near(self, body: Body) -> list[str]:
        """Bodies whose boxes meet that of any body, whether they count as obstacles or not."""
        low, high = np.array(body.lo_mm), np.array(body.hi_mm)
        return [self.names[k] for k in np.flatnonzero(np.all((low < self.highs) & (self.lows < high), axis=1)).tolist()]

    def _obstacles(self, bodies: IntArray, others: IntArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        if self._counts is None:
            return np.ones(len(bodies), dtype=bool)
        known, names, counts = self._counted, self.names, self._counts
        keys, back = np.unique(bodies * len(names) + others, return_inverse=True)
        answers = np.zeros(len(keys), dtype=bool)
        for k, key in enumerate(keys.tolist()):
            pair = divmod(key, len(names))
            if pair not in known:
                known[pair] = counts(names[pair[0]], names[pair[1]])
            answers[k] = known[pair]
        return answers[back]

    def pairs(self, rows: IntArray, bodies: IntArray, others: IntArray) -> Pairs:
        """Every piece of ``bodies[k]`` with every piece of ``others[k]``, each marked with ``rows[k]``."""
        counts = self.sizes[bodies] * self.sizes[others]
        at = np.repeat(np.arange(len(rows)), counts)
        within = np.arange(len(at)) - np.repeat(np.cumsum(counts) - counts, counts)
        columns = self.sizes[others][at]
        return Pairs(rows[at], self.starts[bodies][at] + within // columns, self.starts[others][at] + within % columns)

    def in_line(
        self, pairs: Pairs, low_mm: FloatArray, high_mm: FloatArray
    ) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Whether (m,) boxes of pieces meet, the first stretched by its row of ``low_mm`` and ``high_mm`` (n, 3)."""
        near = np.ones(len(pairs.row), dtype=bool)
        for axis in range(3):
            near &= self.piece_lows[pairs.first, axis] + low_mm[pairs.row, axis] < self.piece_highs[pairs.second, axis]
            near &= self.piece_lows[pairs.second, axis] < self.piece_highs[pairs.first, axis] + high_mm[pairs.row, axis]
        return near

    def allowed_mm(self, first: IntArray, second: IntArray) -> FloatArray:
        """How deep (m,) [mm] each piece ``first[k]`` lies, where it is now, in the body of piece ``second[k]``."""
        pieces, others, back = self._asked(first, second)
        depths = np.zeros(len(pieces))
        for k in np.flatnonzero(self._touch(pieces, others)).tolist():
            pair = (int(pieces[k]), int(others[k]))
            if pair not in self._allowed:
                self._allowed[pair] = self._deepest(*pair)
            depths[k] = self._allowed[pair]
        return depths[back]

    def allowed_between(self, first: IntArray, second: IntArray) -> tuple[FloatArray, FloatArray]:
        """What :meth:`allowed_mm` is not below and not above (m,) twice [mm], without looking for any exact depth."""
        pieces, others, back = self._asked(first, second)
        depths = np.zeros((2, len(pieces)))
        touch = np.flatnonzero(self._touch(pieces, others))
        keys = list(zip(pieces[touch].tolist(), others[touch].tolist(), strict=True))
        new = np.array([k for k, key in enumerate(keys) if key not in self._between], dtype=np.int64)
        if len(new):
            found = self._looked_between(pieces[touch[new]], others[touch[new]])
            self._between.update(zip((keys[k] for k in new.tolist()), map(tuple, found.T.tolist()), strict=True))
        depths[:, touch] = np.array([self._between[key] for key in keys]).reshape(-1, 2).T
        return depths[0, back], depths[1, back]

    def allowed_exactly(self, piece: int, other: int) -> float:
        """How deep [mm] a piece lies in a body where it is now; without the pieces that others surely lie deeper in."""
        if (piece, other) in self._allowed_exactly:
            return self._allowed_exactly[piece, other]
        sure = self.allowed_between(np.array([piece]), self.starts[other : other + 1])[1]
        if (piece, other) not in self._bounds:
            return float(sure[0])
        least, most = self._bounds[piece, other]
        deepest = float(least.max(initial=0.0))
        for k in np.argsort(-most, kind="stable").tolist():
            if most[k] <= deepest + _SURE_MM:
                break
            deepest = max(deepest, self._depth(piece, int(self.starts[other]) + k))
        self._allowed_exactly[piece, other] = deepest
        return deepest

    def _asked(self, first: IntArray, second: IntArray) -> tuple[IntArray, IntArray, IntArray]:
        """Pieces and bodies, each pair once, and which of them each row asks for."""
        keys, back = np.unique(first * len(self.names) + self.owner[second], return_inverse=True)
        pieces, others = np.divmod(keys, len(self.names))
        return pieces, others, back

    def _touch(self, pieces: IntArray, others: IntArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        touch: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] = np.all(
            (self.piece_lows[pieces] < self.highs[others]) & (self.lows[others] < self.piece_highs[pieces]), axis=1
        )
        return touch

    def _looked_between(self, pieces: IntArray, others: IntArray) -> FloatArray:
        """Bounds (2, n) [mm] of how deep pieces lie in bodies."""
        counts = self.sizes[others]
        at = np.repeat(np.arange(len(pieces)), counts)
        theirs = self.starts[others][at] + np.arange(len(at)) - np.repeat(np.cumsum(counts) - counts, counts)
        least, most = self._pairs_between(pieces[at], theirs)
        found = np.zeros((2, len(pieces)))
        np.maximum.at(found[0], at, least)
        np.maximum.at(found[1], at, most)
        ends = np.cumsum(counts)
        for k in np.flatnonzero(found[0] < found[1]).tolist():
            mine = slice(int(ends[k] - counts[k]), int(ends[k]))
            self._bounds[int(pieces[k]), int(others[k])] = least[mine], most[mine]
        return found

    def _pairs_between(self, mine: IntArray, theirs: IntArray) -> tuple[FloatArray, FloatArray]:
        """What the depth of each pair of pieces (m,) is not below and not above (m,) twice [mm]."""
        most = np.minimum(
            self.extent_highs[mine] - self.extent_lows[theirs], self.extent_highs[theirs] - self.extent_lows[mine]
        ).min(axis=1)
        most = np.maximum(most, 0.0)
        least = np.where(self.upright[mine] & self.upright[theirs], most, 0.0)
        askew = np.flatnonzero(least < most)
        if len(askew):
            low, high = depths_between(Placings(self.pieces, self.places), mine[askew], theirs[askew])
            least[askew], most[askew] = low, np.minimum(most[askew], high)
        return least, most

    def _deepest(self, piece: int, other: int) -> float:
        theirs = np.arange(self.starts[other], self.starts[other] + self.sizes[other])
        low, high = self.piece_lows[piece], self.piece_highs[piece]
        shared = np.minimum(high, self.piece_highs[theirs]) - np.maximum(low, self.piece_lows[theirs])
        deepest = 0.0
        for k in np.flatnonzero((shared > 0.0).all(axis=1)).tolist():
            deepest = max(deepest, self._depth(piece, int(theirs[k])))
        return deepest

    def _depth(self, a: int, b: int) -> float:
        """How deep [mm] two pieces whose boxes overlap lie in each other."""
        key = (min(a, b), max(a, b))
        if key not in self._depths:
            a, b = key
            if self.upright[a] and self.upright[b]:
                ways = np.minimum(self.piece_highs[a] - self.piece_lows[b], self.piece_highs[b] - self.piece_lows[a])
                self._depths[key] = max(0.0, float(ways.min()))
            elif self._apart(a, b):
                self._depths[key] = 0.0
            else:
                found = separation(self.pieces[a], self.pieces[b], self.places[b] - self.places[a])
                self._depths[key] = max(0.0, -found.mm)
                self._normals[key], self._proved[key] = found.normal, -found.mm
        return self._depths[key]

    def present_normal(self, a: int, b: int) -> FloatArray | None:
        """Unit direction (3,) that proves how two pieces are where they are now, if it had to be looked for."""
        return self._normals.get((min(a, b), max(a, b)))

    def present_depth_mm(self, a: int, b: int) -> float:
        """How deep [mm] two pieces lie in each other where they are now, with the sign, as that direction proves it."""
        return self._proved[(min(a, b), max(a, b))]

    def _apart(self, a: int, b: int) -> bool:
        gaps = np.maximum(self.extent_lows[a] - self.extent_highs[b], self.extent_lows[b] - self.extent_highs[a])
        return bool(gaps.max() >= 0.0)


def vectors_of(directions: Sequence[Direction]) -> FloatArray:
    """Unit vectors (n, 3) of directions."""
    return np.array([direction.vector for direction in directions]).reshape(-1, 3)
