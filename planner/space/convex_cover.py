"""A closed surface of triangles as a few convex pieces that hold all it encloses.

The solid is cut by planes, the piece whose hull stands out the most first, until every hull stands out by no more than
``POCKET_MM`` or there are ``MOST_PIECES``. The hulls of the pieces hold the pieces, so nothing of the solid is lost. A
hull of very many corners is thinned to some of them and grown by a ball that makes up for the others.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import manifold3d
import numpy as np

from planner.model.shapes import Surface
from planner.space.frames import FloatArray
from planner.space.pieces import Hull, hull_piece
from planner.space.pockets import Plane, hollow_of
from planner.space.surfaces import IntArray
from planner.space.thinning import thinned

POCKET_MM = 0.5
"""Cutting ends when no hull stands out beyond its piece by more than this."""
MOST_PIECES = 64
"""Cutting ends when there are so many pieces."""

_BUSY = 1000
_COARSE_MM = 0.25
"""Cuts of a solid of many triangles are chosen on one that is simplified by this much; the solid itself is cut."""
_ALIKE_DIGITS = 2


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class CoverPart:
    """One convex piece: corners (n, 3) about its origin ``place_mm`` (3,), its triangles and the ball it grows by."""

    points_mm: FloatArray
    triangles: IntArray | None
    ball_mm: float
    place_mm: FloatArray


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Cover:
    """Convex pieces that hold a solid, the hollows shut up in it filled.

    ``excess_mm`` is how far they stand out beyond its surface, measured at many places; ``bound_mm`` is a proved bound
    of that, often much larger.
    """

    parts: tuple[CoverPart, ...]
    excess_mm: float
    bound_mm: float


@lru_cache(maxsize=64)
def convex_cover(surface: Surface) -> Cover:
    """Convex pieces that hold all that a closed surface encloses.

    Returns
    -------
    Cover
        ``excess_mm`` is 0 when every piece is convex as it is, and no more than ``POCKET_MM`` plus what thinning takes
        unless there would be more than ``MOST_PIECES``.

    Raises
    ------
    ValueError
        When the surface is not closed, is inside out or encloses nothing.
    """
    solid = _solid(surface)
    shells = [shell for shell in solid.decompose() if shell.volume() > 0.0]
    pieces = _cut_up([solid] if len(shells) > MOST_PIECES else shells)
    hulls = [piece.hull() for piece in pieces]
    parts = tuple(_part(hull) for hull in hulls)
    hollows = [hollow_of(piece, hull) for piece, hull in zip(pieces, hulls, strict=True)]
    ball_mm = max(part.ball_mm for part in parts)
    return Cover(
        parts=parts,
        excess_mm=max(hollow.mm for hollow in hollows) + ball_mm,
        bound_mm=max(hollow.bound_mm for hollow in hollows) + ball_mm,
    )


def _solid(surface: Surface) -> Any:  # noqa: ANN401 - the hull library ships no types
    mesh = manifold3d.Mesh64(np.array(surface.corners_mm), np.array(surface.triangles, dtype=np.uint64))
    solid = manifold3d.Manifold(mesh)
    if solid.status() != manifold3d.Error.NoError or solid.is_empty() or not solid.volume() > 0.0:
        raise ValueError("a mesh must be a closed surface, seen from outside, that encloses something")
    return solid


class _CutPiece(NamedTuple):
    """A piece of the solid, the coarser one that stands for it while cuts are chosen, and how far that one stands out.

    ``number`` tells pieces apart that stand out alike.
    """

    mm: float
    number: int
    solid: Any
    coarse: Any
    cuts: tuple[Plane, ...]


def _cut_up(shells: list[Any]) -> list[Any]:
    """All pieces, in the order they were made."""
    pieces = [_cut_piece(shell, _coarser(shell), n) for n, shell in enumerate(shells)]
    count = len(pieces)
    settled: list[_CutPiece] = []
    while pieces and len(pieces) + len(settled) < MOST_PIECES:
        worst = max(pieces, key=lambda piece: (piece.mm, -piece.number))
        if worst.mm <= POCKET_MM:
            break
        pieces.remove(worst)
        cut = _best_cut(worst.coarse, worst.cuts)
        if cut is None:
            settled.append(worst)
            continue
        for solid, coarse in zip(_split(worst.solid, cut), _split(worst.coarse, cut), strict=True):
            if not solid.is_empty():
                pieces.append(_cut_piece(solid, coarse, count))
                count += 1
    return [piece.solid for piece in sorted([*settled, *pieces], key=lambda piece: piece.number)]


def _coarser(solid: Any) -> Any:  # noqa: ANN401 - untyped
    return solid.simplify(_COARSE_MM) if solid.num_tri() > _BUSY else solid


def _cut_piece(solid: Any, coarse: Any, number: int) -> _CutPiece:  # noqa: ANN401 - untyped
    found = hollow_of(coarse, coarse.hull())
    return _CutPiece(found.mm, number, solid, coarse, found.cuts)


def _split(solid: Any, cut: Plane) -> tuple[Any, Any]:  # noqa: ANN401 - untyped
    ahead, behind = solid.split_by_plane(tuple(cut.normal.tolist()), cut.offset_mm)
    return ahead, behind


def _best_cut(piece: Any, cuts: tuple[Plane, ...]) -> Plane | None:  # noqa: ANN401 - untyped
    """The cut that parts a piece so that its hulls hold the least that is not in them; None when no cut parts it."""
    best: tuple[tuple[float, float], Plane | None] = ((np.inf, np.inf), None)
    whole = piece.volume()
    for cut in cuts:
        halves = _split(piece, cut)
        if any(half.is_empty() for half in halves):
            continue
        waste = sum(half.hull().volume() - half.volume() for half in halves)
        # Of cuts that are as good the one through the middle leads on best.
        score = (round(waste / whole, _ALIKE_DIGITS), max(half.volume() for half in halves))
        if score < best[0]:
            best = (score, cut)
    return best[1]


def _part(hull: Any) -> CoverPart:  # noqa: ANN401 - the hull library ships no types
    corners = np.asarray(hull.to_mesh64().vert_properties, dtype=np.float64)[:, :3]
    chosen, ball_mm = thinned(np.ascontiguousarray(corners))
    piece, place = hull_piece(chosen, ball_mm)
    if not isinstance(piece, Hull):
        raise TypeError("a hull of points is no bar")
    return CoverPart(points_mm=piece.points_mm, triangles=piece.triangles, ball_mm=piece.ball_mm, place_mm=place)
