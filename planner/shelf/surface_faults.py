"""From loose triangles to a closed surface seen from outside, or what keeps it from being one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from planner.model.shapes import Surface, Vec
from planner.shelf.surface_crossings import crossings

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

WELD_MM = 0.01
"""Corners on loose edges nearer than this are taken as one: text files round."""

_MOST_LOOSE = 2000
_LEAST_THICK_MM = 1e-3
_NO_AREA_MM2 = 1e-9
_HALF_ROUND = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceFault:
    """What is wrong with a surface: how many of what, and a place [mm] of the first."""

    kind: Literal["open", "mixed", "crossed", "crowded", "hollow", "flat triangles", "inside out"]
    count: int = 0
    at_mm: Vec | None = None

    @property
    def is_mended(self) -> bool:
        """Whether the surface could be made good all the same."""
        return self.kind in ("flat triangles", "inside out")


def surface_of(places_mm: FloatArray) -> tuple[Surface | None, tuple[SurfaceFault, ...]]:
    """A closed surface from triangles (t, 3, 3) [mm]; None when they make none.

    Corners in one place are joined. Shells that are inside out are turned. A hollow shut up in the solid is filled: its
    shell is left out.
    """
    return _Maker(places_mm).made()


class _Maker:
    """One surface in the making."""

    def __init__(self, places_mm: FloatArray) -> None:
        corners, index = np.unique(places_mm.reshape(-1, 3) + 0.0, axis=0, return_inverse=True)
        self.corners: FloatArray = corners
        self.triangles: IntArray = index.reshape(-1, 3).astype(np.int64)
        self.told: list[SurfaceFault] = []

    def made(self) -> tuple[Surface | None, tuple[SurfaceFault, ...]]:
        self._drop_flat()
        self._weld()
        found = self._seams()
        if found is not None:
            return None, (*self.told, found)
        try:
            crossed = crossings(self.corners, self.triangles)
        except OverflowError:
            return None, (*self.told, SurfaceFault(kind="crowded", count=len(self.triangles)))
        if crossed is not None:
            count, at = crossed
            return None, (*self.told, SurfaceFault(kind="crossed", count=count, at_mm=_vec(at)))
        if not self._turn_outwards():
            return None, (*self.told, SurfaceFault(kind="hollow"))
        used, index = np.unique(self.triangles, return_inverse=True)
        rows = index.reshape(-1, 3).tolist()
        surface = Surface(
            corners_mm=tuple(_vec(p) for p in self.corners[used]), triangles=tuple((a, b, c) for a, b, c in rows)
        )
        return surface, tuple(self.told)

    def _drop_flat(self) -> None:
        """Leave out triangles two corners of which are one; tell of all that have no area."""
        a, b, c = (self.corners[self.triangles[:, k]] for k in range(3))
        flat = np.linalg.norm(np.cross(b - a, c - a), axis=1) <= 2.0 * _NO_AREA_MM2
        if flat.any():
            first = a[np.flatnonzero(flat)[0]]
            self.told.append(SurfaceFault(kind="flat triangles", count=int(flat.sum()), at_mm=_vec(first)))
        self._drop_points()

    def _drop_points(self) -> None:
        t = self.triangles
        self.triangles = t[(t[:, 0] != t[:, 1]) & (t[:, 1] != t[:, 2]) & (t[:, 2] != t[:, 0])]

    def _sides(self) -> tuple[IntArray, IntArray]:
        """Each side of a triangle once (s, 2), lesser corner first, and how many run (up, down) it (s, 2)."""
        t = self.triangles
        sides = np.vstack([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
        rising = sides[:, 0] < sides[:, 1]
        once, index = np.unique(np.sort(sides, axis=1), axis=0, return_inverse=True)
        up = np.bincount(index.reshape(-1), rising, len(once))
        down = np.bincount(index.reshape(-1), ~rising, len(once))
        return once, np.column_stack([up, down]).astype(np.int64)

    def _weld(self) -> None:
        """Join corners of loose edges that are nearly in one place."""
        sides, runs = self._sides()
        loose = np.unique(sides[runs[:, 0] != runs[:, 1]])
        if not len(loose) or len(loose) > _MOST_LOOSE:
            return
        spots = self.corners[loose]
        near = np.abs(spots[:, None, :] - spots[None, :, :]).max(axis=2) < WELD_MM
        to = np.arange(len(self.corners))
        to[loose] = loose[np.argmax(near, axis=1)]
        self.triangles = to[self.triangles]
        self._drop_points()

    def _seams(self) -> SurfaceFault | None:
        """Edges that do not join two triangles seen from the same side."""
        if not len(self.triangles):
            return SurfaceFault(kind="hollow")
        sides, runs = self._sides()
        odd = np.flatnonzero(runs[:, 0] != runs[:, 1])
        if not len(odd):
            return None
        loose = odd[runs[odd].sum(axis=1) % 2 == 1]
        told = loose if len(loose) else odd
        middle = self.corners[sides[told[0]]].mean(axis=0)
        return SurfaceFault(kind="open" if len(loose) else "mixed", count=len(told), at_mm=_vec(middle))

    def _turn_outwards(self) -> bool:
        """Turn shells that are inside out, leave out those round a hollow; whether anything is enclosed."""
        shells = list(self._shells())
        volumes = [self._volume_mm3(shell) for shell in shells]
        # A body of no thickness has two faces for next to no volume.
        if sum(abs(v) for v in volumes) <= _LEAST_THICK_MM * self._area_mm2() / 2.0:
            return False
        kept = [s for s, v in zip(shells, volumes, strict=True) if v > 0.0]
        turned = 0
        for shell, volume in zip(shells, volumes, strict=True):
            if volume > 0.0 or self._is_hollow(shell, [s for s, v in zip(shells, volumes, strict=True) if v > 0.0]):
                continue
            kept.append(shell[:, ::-1])
            turned += len(shell)
        if turned:
            self.told.append(SurfaceFault(kind="inside out", count=turned))
        self.triangles = np.vstack(kept)
        return True

    def _shells(self) -> Iterator[IntArray]:
        """Triangles (t, 3) of each part of the surface that hangs together."""
        label = np.arange(len(self.corners))
        while True:
            least = label[self.triangles].min(axis=1)
            after = label.copy()
            np.minimum.at(after, self.triangles.reshape(-1), np.repeat(least, 3))
            after = after[after]
            if np.array_equal(after, label):
                break
            label = after
        owners = label[self.triangles[:, 0]]
        for owner in np.unique(owners):
            yield self.triangles[owners == owner]

    def _area_mm2(self) -> float:
        a, b, c = (self.corners[self.triangles[:, k]] for k in range(3))
        return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2.0

    def _volume_mm3(self, shell: IntArray) -> float:
        a, b, c = (self.corners[shell[:, k]] - self.corners[shell[0, 0]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0

    def _is_hollow(self, shell: IntArray, outer: list[IntArray]) -> bool:
        """Whether a shell that is inside out lies inside others: the solid angles of those add up to a full round.

        Source: A. van Oosterom and J. Strackee, "The Solid Angle of a Plane Triangle", IEEE Transactions on Biomedical
        Engineering 30 (1983).
        """
        at = self.corners[shell[0, 0]]
        turns = 0.0
        for other in outer:
            a, b, c = (self.corners[other[:, k]] - at for k in range(3))
            la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
            top = np.einsum("ij,ij->i", a, np.cross(b, c))
            dots = [np.einsum("ij,ij->i", p, q) for p, q in ((a, b), (b, c), (c, a))]
            under = la * lb * lc + dots[0] * lc + dots[1] * la + dots[2] * lb
            turns += float(2.0 * np.arctan2(top, under).sum()) / (4.0 * np.pi)
        return turns > _HALF_ROUND


def _vec(point: FloatArray) -> Vec:
    x, y, z = point.tolist()
    return (x, y, z)
