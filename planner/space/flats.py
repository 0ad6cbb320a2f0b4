"""Flat-sided cores by their face normals and edge directions in arrays, and pairs of them in groups of like numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from planner.space.frames import FloatArray
from planner.space.packed import Pack
from planner.space.pieces import Hull, find_ways
from planner.space.surfaces import IntArray
from planner.space.vectors import cross

_WIDTHS: IntArray = np.array([1, 3, 6, 9, 12, 16, 20, 24, 32])
"""Numbers of directions up to which cores are told apart; one of more is left to the exact way, which is quicker."""
_CELLS = 400_000
_SPARE = 1_000
"""Groups are put together where so many directions more are tried for it at most: each group takes its time too."""
_LEVEL = 1e-18

_Group = tuple[IntArray, int, int]
"""Places (m,) in the pairs and how many directions of the first and of the second make room for all of them."""


class Filled:
    """Directions of cores in one table; of each as many as are asked for, the first ones again when it has less."""

    def __init__(self, directions: Sequence[FloatArray]) -> None:
        # a core without any has one of length zero
        rows = [own if len(own) else np.zeros((1, 3)) for own in directions]
        self.counts = np.array([len(own) for own in rows], dtype=np.int64)
        self._starts = np.cumsum(self.counts) - self.counts
        self._table: FloatArray = np.concatenate(rows)

    def taken(self, cores: IntArray, width: int) -> FloatArray:
        """``width`` directions (m, width, 3) of each of the cores (m,)."""
        columns = np.arange(width) % self.counts[cores][:, None]
        taken: FloatArray = self._table[self._starts[cores][:, None] + columns]
        return taken


class Flats:
    """Flat-sided cores; a row is an index into them."""

    def __init__(self, hulls: Sequence[Hull]) -> None:
        """Take the cores."""
        find_ways(hulls)
        self.pack = Pack(hulls)
        self._faces = Filled([hull.faces for hull in hulls])
        self._edges = Filled([hull.edges for hull in hulls])

    def faces_of(self, first: IntArray, second: IntArray) -> Iterator[tuple[IntArray, FloatArray]]:
        """Places (m,) in the pairs (n,) of rows that can be taken together, and face normals (m, k, 3) of both."""
        faces = self._faces
        for at, wide, narrow in _grouped(faces.counts[first], faces.counts[second], np.add):
            one, other = faces.taken(first[at], wide), faces.taken(second[at], narrow)
            yield at, np.concatenate([one, other], axis=1)

    def edges_of(self, first: IntArray, second: IntArray) -> Iterator[tuple[IntArray, FloatArray, FloatArray]]:
        """Places (m,) in the pairs (n,) of rows that can be taken together, and edge directions of both."""
        edges = self._edges
        for at, one, other in _grouped(edges.counts[first], edges.counts[second], np.multiply):
            yield at, edges.taken(first[at], one), edges.taken(second[at], other)

    def crossed(self, rows: IntArray, loose: FloatArray, scale: FloatArray | float = 1.0) -> FloatArray:
        """Directions (m, k, 3) of any length up to the root of ``scale`` (m, 1), at length 1.

        A face of each core of ``rows`` (m,) stands for those of no length.
        """
        lengths = np.einsum("ijk,ijk->ij", loose, loose)
        level = lengths <= _LEVEL * scale
        lengths[level] = 1.0
        loose /= np.sqrt(lengths)[:, :, None]
        at = level.nonzero()
        loose[at] = self._faces.taken(rows, 1)[at[0], 0]
        return loose


def crosses(first: FloatArray, second: FloatArray) -> FloatArray:
    """Cross products (m, k * l, 3) of directions (m, k, 3) and (m, l, 3), each with each."""
    return cross(first[:, :, None, :], second[:, None, :, :]).reshape(len(first), -1, 3)


def _grouped(first: IntArray, second: IntArray, cost: Callable[[int, int], int]) -> Iterator[_Group]:
    """Groups of pairs, given how many directions either core has (n,) and how many that makes for a pair.

    Left out are pairs with a core of more directions than the widest group takes.
    """
    most = len(_WIDTHS)
    codes = np.searchsorted(_WIDTHS, first) * (most + 1) + np.searchsorted(_WIDTHS, second)
    kinds, back, counts = np.unique(codes, return_inverse=True, return_counts=True)
    for members, one, other in _merged(kinds, counts, cost):
        rows = np.flatnonzero(np.isin(back, members)) if len(members) < len(kinds) else np.arange(len(first))
        step = max(1, _CELLS // int(cost(one, other)))
        for start in range(0, len(rows), step):
            yield rows[start : start + step], one, other


def _merged(kinds: IntArray, counts: IntArray, cost: Callable[[int, int], int]) -> list[tuple[list[int], int, int]]:
    """Kinds of pairs by number, put together where that asks for few directions more, and the widths that takes."""
    most = len(_WIDTHS)
    groups: list[tuple[list[int], int, int]] = []
    pairs = 0
    for k in np.argsort(-kinds, kind="stable").tolist():
        i, j = divmod(int(kinds[k]), most + 1)
        if max(i, j) == most:
            continue
        one, other, count = int(_WIDTHS[i]), int(_WIDTHS[j]), int(counts[k])
        if groups:
            members, wide, high = groups[-1]
            whole = cost(wide, max(high, other))
            if pairs * (whole - cost(wide, high)) + count * (whole - cost(one, other)) <= _SPARE:
                groups[-1] = [*members, k], wide, max(high, other)
                pairs += count
                continue
        groups.append(([k], one, other))
        pairs = count
    return groups
