"""Cutting a flat outline into convex parts."""

from __future__ import annotations

import manifold3d
import numpy as np

from planner.space.frames import FloatArray

_SAME_MM = 1e-9


def signed_area_mm2(points: FloatArray) -> float:
    """Area [mm2] of a polygon (n, 2), positive when it runs anticlockwise (shoelace formula)."""
    x, y = points[:, 0], points[:, 1]
    return float(x @ np.roll(y, -1) - np.roll(x, -1) @ y) / 2.0


def convex_parts(points_mm: tuple[tuple[float, float], ...]) -> tuple[FloatArray, ...]:
    """Convex anticlockwise polygons (n, 2) [mm] that together make the outline.

    An outline that crosses itself is taken as everything it winds round, so nothing of it is lost.

    Raises
    ------
    ValueError
        When the outline encloses nothing.

    """
    polygon = _tidy(np.array(points_mm, dtype=np.float64))
    if len(polygon) < 3:  # noqa: PLR2004 - fewer enclose nothing
        raise ValueError("an outline must enclose an area")
    if signed_area_mm2(polygon) < 0.0:
        polygon = polygon[::-1]
    if _is_convex(polygon):
        return (polygon,)
    rings = [polygon]
    if _crosses_itself(polygon):
        rings = manifold3d.CrossSection(rings, manifold3d.FillRule.NonZero).to_polygons()
    corners, triangles = np.vstack(rings), manifold3d.triangulate(rings)
    parts = [tuple(int(i) for i in triangle) for triangle in triangles]
    return tuple(corners[list(part)] for part in _merge(corners, parts))


def _tidy(points: FloatArray) -> FloatArray:
    """Leave out repeated points and points on the straight line between their neighbours."""
    kept = list(points)
    for _ in range(len(points)):
        for i in range(len(kept)):
            before, here, after = kept[i - 1], kept[i], kept[(i + 1) % len(kept)]
            a, b = here - before, after - here
            scale = max(1.0, float(np.abs(a).max() * np.abs(b).max()))
            if abs(a[0] * b[1] - a[1] * b[0]) <= _SAME_MM * scale and len(kept) > 2:  # noqa: PLR2004 - two points are no outline anyway
                del kept[i]
                break
        else:
            break
    return np.array(kept)


def _is_convex(polygon: FloatArray) -> bool:
    sides = np.roll(polygon, -1, axis=0) - polygon
    following = np.roll(sides, -1, axis=0)
    bends = sides[:, 0] * following[:, 1] - sides[:, 1] * following[:, 0]
    angles = np.arctan2(bends, np.einsum("ij,ij->i", sides, following))
    return bool(np.all(bends > 0.0)) and abs(float(angles.sum()) - 2.0 * np.pi) < 1.0  # once round, not twice


def _crosses_itself(polygon: FloatArray) -> bool:
    """Whether any two sides that do not follow each other cross."""
    count = len(polygon)
    start, end = polygon, np.roll(polygon, -1, axis=0)

    def side_of(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
        turned: FloatArray = (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (
            c[..., 0] - a[..., 0]
        )
        return turned

    p, q, r, s = start[:, None], end[:, None], start[None, :], end[None, :]
    first = side_of(p, q, r) * side_of(p, q, s)
    second = side_of(r, s, p) * side_of(r, s, q)
    apart = (np.arange(count)[:, None] - np.arange(count)[None, :]) % count
    return bool(np.any((first < 0.0) & (second < 0.0) & (apart > 1) & (apart < count - 1)))


def _merge(corners: FloatArray, parts: list[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """Join neighbours across shared sides while the result stays convex (Hertel and Mehlhorn 1983)."""
    merged = True
    while merged:
        merged = False
        owner = {(p[k], p[(k + 1) % len(p)]): n for n, p in enumerate(parts) for k in range(len(p))}
        for (a, b), n in sorted(owner.items()):
            m = owner.get((b, a))
            if m is None or m == n:
                continue
            joined = _joined(parts[n], parts[m], a, b)
            if _is_convex(corners[list(joined)]):
                parts = [p for k, p in enumerate(parts) if k not in (n, m)] + [joined]
                merged = True
                break
    return parts


def _joined(first: tuple[int, ...], second: tuple[int, ...], a: int, b: int) -> tuple[int, ...]:
    """Walk round two parts that share the side a-b (first) and b-a (second)."""
    i, j = first.index(b), second.index(a)
    return first[i:] + first[:i] + (second[j:] + second[:j])[1:-1]
