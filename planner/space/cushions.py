"""Pairs of pieces of which one surely runs into the other: by blocks inside them, rounded, and two points of those.

A piece holds a block grown by a ball. Where a point of the one block comes nearer to a point of the other than their
balls together reach, the pieces overlap by what is over at least: more pieces can only lie deeper. Whether two points
are the nearest there are does not matter to that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from planner.model.shapes import Vec
from planner.space.flats import Filled
from planner.space.frames import FloatArray, as_vec
from planner.space.pieces import Bar, Hull, Piece, find_ways
from planner.space.surfaces import IntArray
from planner.space.vectors import perpendiculars

_ROUNDS = 3
"""Times that the two points are drawn to each other."""
_SOFT = 0.3
"""Share of a block's least half size by which it is rounded."""
_SURE_MM = 1e-6
_SQUARE = math.sqrt(0.5)
_SEGMENT = 2
_CORNERS = 8
_TINY_MM = 1e-9
_LEVEL = 1e-9
_UP: FloatArray = np.array([0.0, 0.0, 1.0])


_Two = tuple[FloatArray, FloatArray]
_Many = tuple[FloatArray, FloatArray, FloatArray, FloatArray]
"""Blocks inside pieces, about their origins: middles (n, 3), axes (n, 3, 3), half sizes (n, 3), balls (n,) [mm]."""


class Cushions:
    """The cushions of some placed pieces in arrays; each is found when it is first asked for."""

    def __init__(self, pieces: Sequence[Piece], places: FloatArray) -> None:
        """Take the pieces and where the origin of each lies (n, 3) [mm]."""
        self._pieces, self._places = pieces, places
        self._known = np.zeros(len(pieces), dtype=bool)
        self.middles_mm, self.halves_mm = np.zeros((len(pieces), 3)), np.zeros((len(pieces), 3))
        self.axes, self.balls_mm = np.zeros((len(pieces), 3, 3)), np.zeros(len(pieces))

    def find(self, pieces: IntArray) -> None:
        """Find those of some pieces (n,) that are not known yet."""
        new = np.unique(pieces[~self._known[pieces]])
        if not len(new):
            return
        kinds: dict[Callable[..., _Many], list[int]] = {}
        for k in new.tolist():
            kinds.setdefault(_way_of(self._pieces[k]), []).append(k)
        for way, members in kinds.items():
            middles, self.axes[members], self.halves_mm[members], self.balls_mm[members] = way(
                [self._pieces[k] for k in members]
            )
            self.middles_mm[members] = self._places[members] + middles
        self._known[new] = True

    def run_in(self, pairs: tuple[IntArray, IntArray], course: _Two, span: _Two) -> FloatArray:
        """How deep (m,) [mm] each first piece of pairs (m,) surely gets into the second; anything where below zero.

        Its way is where the first one starts (m, 3) off its place and the unit vector (m, 3) along which it goes; it
        is looked at between two travels (m,) [mm].
        """
        first, second = pairs
        self.find(np.concatenate(pairs))
        (shift, way), (start, end) = course, span
        base = self.middles_mm[first] + shift - self.middles_mm[second]
        own, theirs = self.axes[first], self.axes[second]
        own_half, their_half = self.halves_mm[first], self.halves_mm[second]
        travel = np.clip(-np.einsum("ij,ij->i", base, way), start, end)
        inside = np.zeros_like(base)
        away = base
        for _ in range(_ROUNDS):
            here = base + travel[:, None] * way + inside
            there = _drawn(here, theirs, their_half)
            away = there - base - inside
            travel = np.clip(np.einsum("ij,ij->i", away, way), start, end)
            inside = _drawn(there - base - travel[:, None] * way, own, own_half)
            away = there - base - travel[:, None] * way - inside
        depth: FloatArray = self.balls_mm[first] + self.balls_mm[second] - np.sqrt(np.einsum("ij,ij->i", away, away))
        return depth - _SURE_MM


def _drawn(points: FloatArray, axes: FloatArray, half_mm: FloatArray) -> FloatArray:
    """Points (n, 3) of blocks about zero that lie nearest to ``points`` (n, 3)."""
    own = np.einsum("ijk,ik->ij", axes, points)
    drawn: FloatArray = np.einsum("ij,ijk->ik", np.clip(own, -half_mm, half_mm), axes)
    return drawn


def _way_of(piece: Piece) -> Callable[..., _Many]:
    """Which function finds the cushion of a piece."""
    if isinstance(piece, Bar):
        return _of_bars
    if len(piece.points_mm) <= _SEGMENT:
        return _of_lines
    if len(piece.points_mm) == _CORNERS and piece.mirrored and piece.triangles is None:
        return _of_blocks
    return _of_hulls


def _of_bars(bars: Sequence[Bar]) -> _Many:
    axes = np.array([bar.axis for bar in bars])
    radius, half = np.array([(bar.radius_mm, bar.half_mm) for bar in bars]).T
    ball = _SOFT * np.minimum(radius, half)
    beside = _SQUARE * (radius - ball)
    frames = np.concatenate([perpendiculars(axes), axes[:, None, :]], axis=1)
    return np.zeros_like(axes), frames, np.stack([beside, beside, half - ball], axis=1), ball


def _of_lines(lines: Sequence[Hull]) -> _Many:
    starts, ends = (np.array([line.points_mm[end] for line in lines]) for end in (0, -1))
    half = (ends - starts) / 2.0
    lengths = np.sqrt(np.einsum("ij,ij->i", half, half))
    way = np.where(lengths[:, None] > _TINY_MM, half / np.maximum(lengths, _TINY_MM)[:, None], _UP)
    frames = np.concatenate([way[:, None, :], perpendiculars(way)], axis=1)
    halves = np.zeros_like(half)
    halves[:, 0] = lengths
    return (starts + ends) / 2.0, frames, halves, np.array([line.ball_mm for line in lines])


def _of_blocks(blocks: Sequence[Hull]) -> _Many:
    frames = np.array([block.faces for block in blocks])
    half = np.abs(np.einsum("ijk,ik->ij", frames, np.array([block.points_mm[0] for block in blocks])))
    return _rounded(np.zeros_like(half), frames, half)


def _of_hulls(hulls: Sequence[Hull]) -> _Many:
    find_ways(hulls)
    points, faces = _table([hull.points_mm for hull in hulls]), _table([hull.faces for hull in hulls])
    middles = points.mean(axis=1)
    about = (points - middles[:, None, :]).transpose(0, 2, 1)
    frames = np.linalg.eigh(np.matmul(about, about.transpose(0, 2, 1)))[1].transpose(0, 2, 1)
    for k, hull in enumerate(hulls):
        own = None if hull.ways is None else _own_axes(hull)
        if own is not None:
            frames[k] = own
    halves = np.maximum.reduce(np.abs(np.matmul(frames, about)), axis=2)
    along = np.matmul(faces, about)
    room = np.minimum(np.maximum.reduce(along, axis=2), -np.minimum.reduce(along, axis=2))
    across = np.einsum("ijk,ik->ij", np.abs(np.matmul(faces, frames.transpose(0, 2, 1))), halves)
    share = np.minimum.reduce(room / np.maximum(across, _TINY_MM), axis=1)
    return _rounded(middles, frames, halves * np.clip(share, 0.0, 1.0)[:, None])


def _table(clouds: Sequence[FloatArray]) -> FloatArray:
    """Vectors (n, k, 3) of each of n clouds; what is short is filled up with its own."""
    filled = Filled(clouds)
    return filled.taken(np.arange(len(clouds)), int(filled.counts.max()))


def _own_axes(prism: Hull) -> tuple[Vec, Vec, Vec] | None:
    """A face's normal, an edge square to it and the third way; None where it has no such."""
    x, y, z = as_vec(prism.faces[0])
    for edge in prism.edges[:_SEGMENT]:
        u, v, w = as_vec(edge)
        if abs(x * u + y * v + z * w) < _LEVEL:
            return (x, y, z), (u, v, w), (y * w - z * v, z * u - x * w, x * v - y * u)
    return None


def _rounded(middles: FloatArray, frames: FloatArray, halves: FloatArray) -> _Many:
    balls = _SOFT * np.minimum.reduce(halves, axis=1)
    return middles, frames, halves - balls[:, None], balls
