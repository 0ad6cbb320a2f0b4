"""Closed surfaces for tests, made by hand from numbers, and STL files of them."""

from __future__ import annotations

import math
import struct
from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from planner.model.shapes import Surface

Array = npt.NDArray[np.float64]

_QUADS = ((0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5))


def block(size: tuple[float, float, float], at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Array:
    """Triangles (12, 3, 3) of a block with its middle at ``at``, seen from outside."""
    corners = [[at[k] + size[k] * (bits >> k & 1) - size[k] / 2.0 for k in range(3)] for bits in range(8)]
    rows = [t for a, b, c, d in _QUADS for t in ((a, b, c), (a, c, d))]
    return np.array([[corners[i] for i in row] for row in rows])


def angle_iron(length: float, leg: float, thick: float) -> Array:
    """Triangles of an L section in x (foot) and z (upright), ``length`` long in y, its heel at zero."""
    ring = [(0.0, 0.0), (leg, 0.0), (leg, thick), (thick, thick), (thick, leg), (0.0, leg)]
    faces = [(0, 1, 2), (0, 2, 3), (0, 3, 4), (0, 4, 5)]
    found = []
    for a, b, c in faces:
        # seen from -y the ring runs anticlockwise
        found.append([(ring[i][0], 0.0, ring[i][1]) for i in (a, b, c)])
        found.append([(ring[i][0], length, ring[i][1]) for i in (a, c, b)])
    for k, (x, z) in enumerate(ring):
        u, w = ring[(k + 1) % len(ring)]
        found.append([(x, 0.0, z), (x, length, z), (u, length, w)])
        found.append([(x, 0.0, z), (u, length, w), (u, 0.0, w)])
    return np.array(found)


def ring_bar(radius: float, bar: float, around: int, across: int) -> Array:
    """Triangles of a round bar of radius ``bar`` bent to a closed ring of ``radius`` in x and y."""

    def spot(i: int, j: int) -> tuple[float, float, float]:
        a, b = 2.0 * math.pi * (i % around) / around, 2.0 * math.pi * (j % across) / across
        out = radius + bar * math.cos(b)
        return (out * math.cos(a), out * math.sin(a), bar * math.sin(b))

    found = []
    for i in range(around):
        for j in range(across):
            p, q, r, s = spot(i, j), spot(i + 1, j), spot(i + 1, j + 1), spot(i, j + 1)
            found += [[p, q, r], [p, r, s]]
    return np.array(found)


def ball(radius: float, around: int, down: int) -> Array:
    """Triangles of a ball with its corners on the sphere."""

    def spot(i: int, j: int) -> tuple[float, float, float]:
        a, b = 2.0 * math.pi * (i % around) / around, math.pi * j / down
        s = math.sin(b) if 0 < j < down else 0.0
        return (radius * s * math.cos(a), radius * s * math.sin(a), radius * math.cos(b) if j else radius)

    found = []
    for i in range(around):
        for j in range(down):
            p, q, r, s = spot(i, j), spot(i, j + 1), spot(i + 1, j + 1), spot(i + 1, j)
            found += ([[p, q, r]] if j < down - 1 else []) + ([[p, r, s]] if j else [])
    return np.array(found)


def surface(places: Array) -> Surface:
    corners, index = np.unique(places.reshape(-1, 3), axis=0, return_inverse=True)
    rows = index.reshape(-1, 3).tolist()
    return Surface(
        corners_mm=tuple((x, y, z) for x, y, z in corners.tolist()), triangles=tuple((a, b, c) for a, b, c in rows)
    )


def volume_mm3(places: Array) -> float:
    return float(np.einsum("ij,ij->", places[:, 0], np.cross(places[:, 1], places[:, 2]))) / 6.0


def binary_stl(places: Array, *, said: int | None = None, head: bytes = b"made for a test") -> bytes:
    rows = b"".join(struct.pack("<12fH", 0, 0, 0, *map(float, t.reshape(-1)), 0) for t in places)
    return head.ljust(80, b"\0") + struct.pack("<I", len(places) if said is None else said) + rows


def text_stl(places: Iterable[Array]) -> str:
    lines = ["solid bracket by hand"]
    for t in places:
        lines += [" facet normal 0 0 0", "  outer loop", *(f"   vertex {x:.9g} {y:.9g} {z:.9g}" for x, y, z in t)]
        lines += ["  endloop", " endfacet"]
    return "\n".join([*lines, "endsolid bracket by hand", ""])
