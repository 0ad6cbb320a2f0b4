"""Many convex pieces in arrays, so that thousands of them answer at once how far they reach along a direction."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.space.frames import FloatArray
from planner.space.pieces import Bar, Hull, Piece
from planner.space.surfaces import IntArray

_WIDTHS = (8, 32, 128, 1 << 30)
"""Cores are kept in tables by how many points they have, each filled up with its first point to the table's widest."""
_CORNERS = 8
_SAME_MM = 1e-9
_TINY = 1e-24
_CELLS = 1_000_000
_NO_POINTS: FloatArray = np.zeros((0, 3))


class Pack:
    """Pieces in arrays, each about its own origin; a row of a method is an index into them."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        count = len(pieces)
        self.pieces = pieces
        self.ball_mm = np.array([piece.ball_mm for piece in pieces])
        clouds = [piece.points_mm if isinstance(piece, Hull) else _NO_POINTS for piece in pieces]
        self._sizes = np.array(list(map(len, clouds)), dtype=np.int64)
        self.is_bar = self._sizes == 0
        self._table = np.full(count, -1, dtype=np.int64)
        self._slot = np.zeros(count, dtype=np.int64)
        self._points = self._fill_tables(clouds)
        self._axis, self._radius_mm, self._half_mm = np.zeros((count, 3)), np.zeros(count), np.zeros(count)
        bars = [piece for piece in pieces if isinstance(piece, Bar)]
        if bars:
            self._axis[self.is_bar] = [bar.axis for bar in bars]
            self._radius_mm[self.is_bar] = [bar.radius_mm for bar in bars]
            self._half_mm[self.is_bar] = [bar.half_mm for bar in bars]

    def _fill_tables(self, clouds: Sequence[FloatArray]) -> list[FloatArray]:
        tables: list[FloatArray] = []
        least = 1
        for width in _WIDTHS:
            members = np.flatnonzero((self._sizes >= least) & (self._sizes <= width))
            least = width + 1
            if not len(members):
                continue
            sizes = self._sizes[members]
            columns = np.arange(int(sizes.max()))[None, :]
            starts = np.cumsum(sizes) - sizes
            index = starts[:, None] + np.where(columns < sizes[:, None], columns, 0)
            self._table[members] = len(tables)
            self._slot[members] = np.arange(len(members))
            tables.append(np.concatenate([clouds[k] for k in members.tolist()])[index])
        return tables

    def farthest(self, rows: IntArray, ways: FloatArray) -> FloatArray:
        """Points (n, 3) [mm] of the cores of ``rows`` (n,) that lie farthest along ``ways`` (n, 3) of any length."""
        out = np.empty((len(rows), 3))
        table = self._table[rows]
        for k, points in enumerate(self._points):
            at = np.flatnonzero(table == k)
            if len(at):
                own = points[self._slot[rows[at]]]
                best = np.argmax(np.matmul(own, ways[at][:, :, None])[:, :, 0], axis=1)
                out[at] = own[np.arange(len(at)), best]
        at = np.flatnonzero(table < 0)
        if len(at):
            out[at] = self._bar_farthest(rows[at], ways[at])
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
        for k, points in enumerate(self._points):
            at = np.flatnonzero(table == k)
            if len(at):
                along = np.matmul(points[self._slot[rows[at]]], ways[at].transpose(0, 2, 1))
                low[at], high[at] = along.min(axis=1), along.max(axis=1)
        at = np.flatnonzero(table < 0)
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
        for k, points in enumerate(self._points):
            at = np.flatnonzero(self._table == k)
            step = max(1, _CELLS // (points.shape[1] * len(directions)))
            for start in range(0, len(at), step):
                along = points[start : start + step] @ directions.T
                low[at[start : start + step]], high[at[start : start + step]] = along.min(axis=1), along.max(axis=1)
        at = np.flatnonzero(self._table < 0)
        if len(at):
            along = np.abs(self._axis[at] @ directions.T)
            across = np.sqrt(np.maximum(0.0, 1.0 - along * along))
            high[at] = self._half_mm[at, None] * along + self._radius_mm[at, None] * across
            low[at] = -high[at]
        return low - self.ball_mm[:, None], high + self.ball_mm[:, None]

    def upright_boxes(self) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Which pieces (n,) are sharp-edged boxes with their edges along the vehicle's axes."""
        upright = np.zeros(len(self.pieces), dtype=bool)
        for k, points in enumerate(self._points):
            rows = np.flatnonzero((self._table == k) & (self._sizes == _CORNERS) & (self.ball_mm <= 0.0))
            if not len(rows):
                continue
            corners = points[self._slot[rows], :_CORNERS]
            low, high = corners.min(axis=1, keepdims=True), corners.max(axis=1, keepdims=True)
            on_face = np.minimum(np.abs(corners - low), np.abs(corners - high)) < _SAME_MM
            codes = np.sort((corners > (low + high) / 2.0) @ np.array([1, 2, 4]), axis=1)
            upright[rows] = on_face.all(axis=(1, 2)) & (codes == np.arange(_CORNERS)).all(axis=1)
        return upright
