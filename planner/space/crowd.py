"""Many bodies at once: which come in each other's way at all, by boxes, in one sweep over arrays."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from planner.model.shapes import Direction, Vec
from planner.space.body import Body
from planner.space.frames import FloatArray
from planner.space.pieces import IntArray, Piece
from planner.space.separation import separation
from planner.space.supports import DIRECTIONS, is_upright_box, stacked

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
        low, high, inner_low, inner_high = stacked(self.pieces)
        along = self.places @ DIRECTIONS.T
        self.extent_lows, self.extent_highs = low + along, high + along
        self.inner_lows, self.inner_highs = inner_low + self.places, inner_high + self.places
        self.upright = np.array([is_upright_box(piece) for piece in self.pieces], dtype=bool)
        self._counts = counts
        self._counted: dict[tuple[int, int], bool] = {}
        self._depths: dict[tuple[int, int], float] = {}
        self._normals: dict[tuple[int, int], FloatArray] = {}
        self._allowed: dict[tuple[int, int], float] = {}

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
        keys, back = np.unique(first * len(self.names) + self.owner[second], return_inverse=True)
        pieces, others = np.divmod(keys, len(self.names))
        touch = np.all(
            (self.piece_lows[pieces] < self.highs[others]) & (self.lows[others] < self.piece_highs[pieces]), axis=1
        )
        depths = np.zeros(len(keys))
        for k in np.flatnonzero(touch).tolist():
            pair = (int(pieces[k]), int(others[k]))
            if pair not in self._allowed:
                self._allowed[pair] = self._deepest(*pair)
            depths[k] = self._allowed[pair]
        return depths[back]

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
                self._normals[key] = found.normal
        return self._depths[key]

    def present_normal(self, a: int, b: int) -> FloatArray | None:
        """Unit direction (3,) that proves how two pieces are where they are now, if it had to be looked for."""
        return self._normals.get((min(a, b), max(a, b)))

    def _apart(self, a: int, b: int) -> bool:
        gaps = np.maximum(self.extent_lows[a] - self.extent_highs[b], self.extent_lows[b] - self.extent_highs[a])
        return bool(gaps.max() >= 0.0)


def vectors_of(directions: Sequence[Direction]) -> FloatArray:
    """Unit vectors (n, 3) of directions."""
    return np.array([direction.vector for direction in directions]).reshape(-1, 3)
