"""Many convex pieces in arrays, so that thousands of them answer at once how far they reach along a direction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.space.frames import FloatArray
from planner.space.pieces import Bar, Hull, Piece
from planner.space.surfaces import IntArray

BoolArray = npt.NDArray[np.bool_]
"""Truth values; the shape is given in each docstring."""

_COARSE = (8, 32, 128)
"""Cores are kept in tables by how many points they have, each filled up with its first point to the table's widest."""
_FINE = (2, *_COARSE)
"""With these there are more tables, and mirrored cores have their own."""
_CORNERS = 8
_SAME_MM = 1e-9
_TINY = 1e-24
_CELLS = 1_000_000
_NO_POINTS: FloatArray = np.zeros((0, 3))


class _Table(NamedTuple):
    """Points (m, w, 3) [mm] of m cores; of ``mirrored`` ones half, the others being the same on the other side of 0."""

    points: FloatArray
    mirrored: bool

    def farthest(self, slots: IntArray, ways: FloatArray) -> FloatArray:
        """Points (n, 3) [mm] of cores that lie farthest along ``ways`` (n, 3)."""
        own = self.points.take(slots, axis=0)
        along = np.matmul(own, ways[:, :, None])[:, :, 0]
        rows = np.arange(len(slots))
        best = (np.abs(along) if self.mirrored else along).argmax(axis=1)
        found: FloatArray = own[rows, best]
        if self.mirrored:
            found *= np.copysign(1.0, along[rows, best])[:, None]
        return found

    def spans(self, slots: IntArray, ways: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Least and greatest coordinate (n, k) [mm] of cores along unit ``ways`` (n, k, 3)."""
        along = np.matmul(self.points.take(slots, axis=0), ways.transpose(0, 2, 1))
        return self._ends(along)

    def extents(self, directions: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Least and greatest coordinate (m, k) [mm] of every core along unit ``directions`` (k, 3)."""
        return self._ends(self.points @ directions.T)

    def _ends(self, along: FloatArray) -> tuple[FloatArray, FloatArray]:
        if not self.mirrored:
            return np.minimum.reduce(along, axis=1), np.maximum.reduce(along, axis=1)
        high: FloatArray = np.maximum.reduce(np.abs(along, out=along), axis=1)
        return -high, high


class Pack:
    """Pieces in arrays, each about its own origin; a row of a method is an index into them."""

    def __init__(self, pieces: Sequence[Piece], *, finely: bool = True) -> None:
        """Take the pieces; ``finely`` says that less work in more tables pays, as it does but for a few pieces."""
        count = len(pieces)
        self.pieces = pieces
        self.ball_mm = np.array([piece.ball_mm for piece in pieces])
        clouds = [piece.points_mm if isinstance(piece, Hull) else _NO_POINTS for piece in pieces]
        self._sizes = np.array(list(map(len, clouds)), dtype=np.int64)
        self.is_bar = self._sizes == 0
        self._table = np.full(count, -1, dtype=np.int64)
        self._slot = np.zeros(count, dtype=np.int64)
        self._tables = self._filled(clouds, finely=finely)
        self._axis, self._radius_mm, self._half_mm = np.zeros((count, 3)), np.zeros(count), np.zeros(count)
        bars = [piece for piece in pieces if isinstance(piece, Bar)]
        if bars:
            self._axis[self.is_bar] = [bar.axis for bar in bars]
            self._radius_mm[self.is_bar] = [bar.radius_mm for bar in bars]
            self._half_mm[self.is_bar] = [bar.half_mm for bar in bars]

    def _filled(self, clouds: Sequence[FloatArray], *, finely: bool) -> list[_Table]:
        tables: list[_Table] = []
        kinds = 2 * np.searchsorted(_FINE if finely else _COARSE, self._sizes)
        if finely:
            kinds += np.array([isinstance(piece, Hull) and piece.mirrored for piece in self.pieces], dtype=np.int64)
        for kind in np.unique(kinds[~self.is_bar]).tolist():
            members = ((kinds == kind) & ~self.is_bar).nonzero()[0]
            mirrored = kind % 2 == 1
            starts = np.cumsum(self._sizes[members]) - self._sizes[members]
            sizes = self._sizes[members] // (2 if mirrored else 1)
            columns = np.arange(int(sizes.max()))[None, :]
            index = starts[:, None] + np.where(columns < sizes[:, None], columns, 0)
            self._table[members] = len(tables)
            self._slot[members] = np.arange(len(members))
            tables.append(_Table(np.concatenate([clouds[k] for k in members.tolist()])[index], mirrored))
        return tables

    def farthest(self, rows: IntArray, ways: FloatArray) -> FloatArray:
        """Points (n, 3) [mm] of the cores of ``rows`` (n,) that lie farthest along ``ways`` (n, 3) of any length."""
        out = np.empty((len(rows), 3))
        table = self._table[rows]
        for k, points in enumerate(self._tables):
            at = (table == k).nonzero()[0]
            if len(at):
                out[at] = points.farthest(self._slot[rows[at]], ways.take(at, axis=0))
        at = (table < 0).nonzero()[0]
        if len(at):
            out[at] = self._bar_farthest(rows[at], ways.take(at, axis=0))
        return out

    def _bar_farthest(self, bars: IntArray, ways: FloatArray) -> FloatArray:
        axis = self._axis[bars]
        along = np.einsum("ij,ij->i", ways, axis)
        across = ways - along[:, None] * axis
        square = np.einsum("ij,ij->i", across, across)
        level = square <= _TINY * along * along
        share = np.where(level, 0.0, self._radius_mm[bars] / np.sqrt(np.where(level, 1.0, square)))
        points: FloatArray = np.copysign(self._half_mm[bars], along)[:, None] * axis + share[:, None] * across
        return points

    def spans(self, rows: IntArray, ways: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Least and greatest coordinate (n, k) [mm] of the cores of ``rows`` (n,) along unit ``ways`` (n, k, 3)."""
        low, high = np.empty(ways.shape[:2]), np.empty(ways.shape[:2])
        table = self._table[rows]
        for k, points in enumerate(self._tables):
            at = (table == k).nonzero()[0]
            if len(at):
                low[at], high[at] = points.spans(self._slot[rows[at]], ways.take(at, axis=0))
        at = (table < 0).nonzero()[0]
        if len(at):
            bars = rows[at]
            along = np.abs(np.matmul(ways[at], self._axis[bars][:, :, None])[:, :, 0])
            across = np.sqrt(np.maximum(0.0, 1.0 - along * along))
            reach = self._half_mm[bars, None] * along + self._radius_mm[bars, None] * across
            low[at], high[at] = -reach, reach
        return low, high

    def extents(self, directions: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Least and greatest coordinate (n, k) [mm] of every whole piece along the same unit ``directions`` (k, 3)."""
        low, high = np.empty((len(self.pieces), len(directions))), np.empty((len(self.pieces), len(directions)))
        for k, (points, mirrored) in enumerate(self._tables):
            at = np.flatnonzero(self._table == k)
            step = max(1, _CELLS // (points.shape[1] * len(directions)))
            for start in range(0, len(at), step):
                part = _Table(points[start : start + step], mirrored)
                low[at[start : start + step]], high[at[start : start + step]] = part.extents(directions)
        at = np.flatnonzero(self._table < 0)
        if len(at):
            along = np.abs(self._axis[at] @ directions.T)
            across = np.sqrt(np.maximum(0.0, 1.0 - along * along))
            high[at] = self._half_mm[at, None] * along + self._radius_mm[at, None] * across
            low[at] = -high[at]
        return low - self.ball_mm[:, None], high + self.ball_mm[:, None]

    def upright_boxes(self) -> BoolArray:
        """Which pieces (n,) are sharp-edged boxes with their edges along the vehicle's axes."""
        upright = np.zeros(len(self.pieces), dtype=bool)
        for k, (points, mirrored) in enumerate(self._tables):
            rows = np.flatnonzero((self._table == k) & (self._sizes == _CORNERS) & (self.ball_mm <= 0.0))
            if not len(rows):
                continue
            corners = points[self._slot[rows], : _CORNERS // 2 if mirrored else _CORNERS]
            corners = np.concatenate([corners, -corners], axis=1) if mirrored else corners
            low, high = corners.min(axis=1, keepdims=True), corners.max(axis=1, keepdims=True)
            on_face = np.minimum(np.abs(corners - low), np.abs(corners - high)) < _SAME_MM
            codes = np.sort((corners > (low + high) / 2.0) @ np.array([1, 2, 4]), axis=1)
            upright[rows] = on_face.all(axis=(1, 2)) & (codes == np.arange(_CORNERS)).all(axis=1)
        return upright
