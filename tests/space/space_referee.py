"""An independent way to signed distances, straight from the model's solids and in plain numpy.

It shares nothing with planner/space: its own turn matrices, its own extents along a direction, its own nearest
points. Signed distance = the greatest separation over all directions; here by brute force over many directions and
zooming in. Only convex solids: boxes, cylinders, tubes of one leg, outlines with convex corners.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from planner.model.shapes import Box, Cylinder, Outline, Pose, Solid, Tube, Vec

Array = npt.NDArray[np.float64]

PROOF_MM = 0.002
"""A distance known from above and from below to within this is proved."""


def turn_matrix(turn_deg: Vec) -> Array:
    """Turn each unit vector about x, then y, then z, by hand."""
    columns = []
    for unit in np.eye(3):
        x, y, z = unit
        a, b, c = (math.radians(t) for t in turn_deg)
        y, z = y * math.cos(a) - z * math.sin(a), y * math.sin(a) + z * math.cos(a)
        z, x = z * math.cos(b) - x * math.sin(b), z * math.sin(b) + x * math.cos(b)
        x, y = x * math.cos(c) - y * math.sin(c), x * math.sin(c) + y * math.cos(c)
        columns.append((x, y, z))
    return np.array(columns).T


class Shape:
    """One convex solid in a pose: extents along directions, nearest points, inside or not."""

    def __init__(self, solid: Solid, pose: Pose = Pose()) -> None:  # noqa: B008 - a frozen value
        self.solid = solid
        outer = turn_matrix(pose.turn_deg)
        self.turn = outer @ turn_matrix(solid.pose.turn_deg)
        self.at = outer @ np.array(solid.pose.at_mm) + np.array(pose.at_mm)
        if isinstance(solid, Outline):
            order = {"x": (1, 2, 0), "y": (0, 2, 1), "z": (0, 1, 2)}[solid.along]
            self.turn = self.turn[:, order]
        if isinstance(solid, Cylinder):
            # own frame: bar along its third axis; a cyclic swap keeps the handedness
            order = {"x": (1, 2, 0), "y": (2, 0, 1), "z": (0, 1, 2)}[solid.along]
            self.turn = self.turn[:, order]

    def reach(self, ways: Array) -> Array:
        """Greatest coordinate (n,) along unit directions (n, 3)."""
        own = ways @ self.turn
        s = self.solid
        if isinstance(s, Box):
            out = np.abs(own) @ (np.array(s.size_mm) / 2.0)
        elif isinstance(s, Cylinder):
            ring = np.hypot(own[:, 0], own[:, 1])
            out = np.abs(own[:, 2]) * s.length_mm / 2.0 + ring * s.across_mm / 2.0
        elif isinstance(s, Tube):
            out = (own @ np.array(s.through_mm).T).max(axis=1) + s.across_mm / 2.0
        else:
            flat = own[:, :2] @ np.array(s.points_mm).T
            out = flat.max(axis=1) + np.abs(own[:, 2]) * s.thick_mm / 2.0
        return out + ways @ self.at

    def nearest(self, point: Array) -> Array:
        """Point of the solid nearest to ``point`` (3,)."""
        p = (point - self.at) @ self.turn
        s = self.solid
        if isinstance(s, Box):
            half = np.array(s.size_mm) / 2.0
            q = np.clip(p, -half, half)
        elif isinstance(s, Cylinder):
            radius, half = s.across_mm / 2.0, s.length_mm / 2.0
            out = math.hypot(p[0], p[1])
            scale = min(1.0, radius / out) if out > 0.0 else 1.0
            q = np.array([p[0] * scale, p[1] * scale, min(max(p[2], -half), half)])
        elif isinstance(s, Tube):
            a, b = (np.array(e) for e in s.through_mm)
            t = min(max(float((p - a) @ (b - a)) / float((b - a) @ (b - a)), 0.0), 1.0)
            c = a + t * (b - a)
            d = float(np.linalg.norm(p - c))
            q = p if d <= s.across_mm / 2.0 else c + (p - c) * (s.across_mm / 2.0 / d)
        else:
            q = np.array([*_nearest_in_polygon(p[:2], np.array(s.points_mm)), 0.0])
            q[2] = min(max(p[2], -s.thick_mm / 2.0), s.thick_mm / 2.0)
        return self.turn @ q + self.at

    def tip(self, way: Array, rng: np.random.Generator) -> Array:
        """Any point of the solid that lies farthest along ``way``: a random one of an edge or face that does."""
        own = way @ self.turn
        s = self.solid

        def pick(part: Vec, half: float) -> float:
            return rng.uniform(-half, half) if abs(part) < 1e-9 else math.copysign(half, part)

        if isinstance(s, Box):
            q = np.array([pick(p, size / 2.0) for p, size in zip(own, s.size_mm, strict=True)])
        elif isinstance(s, Cylinder):
            ring, radius = math.hypot(own[0], own[1]), s.across_mm / 2.0
            angle = rng.uniform(0.0, 2.0 * math.pi) if ring < 1e-9 else math.atan2(own[1], own[0])
            out = radius * math.sqrt(rng.uniform()) if ring < 1e-9 else radius
            q = np.array([out * math.cos(angle), out * math.sin(angle), pick(own[2], s.length_mm / 2.0)])
        else:
            places = np.array(s.through_mm if isinstance(s, Tube) else s.points_mm)
            along = places @ own[: places.shape[1]]
            share = rng.uniform(size=len(places)) * (along > along.max() - 1e-9)
            q = share @ places / share.sum()
            q = q + own * s.across_mm / 2.0 if isinstance(s, Tube) else np.array([*q, pick(own[2], s.thick_mm / 2.0)])
        return self.turn @ q + self.at

    def probes(self, count: int, rng: np.random.Generator) -> Array:
        """Random points (count, 3) of the solid, many of them on its surface."""
        spread = rng.normal(size=(count, 3)) * 1e4
        far = self.at + spread
        skin = np.array([self.nearest(p) for p in far])
        mix = rng.uniform(size=(count, 1)) ** 0.3
        return skin[rng.permutation(count)] * (1.0 - mix) + skin * mix


def _nearest_in_polygon(p: Array, polygon: Array) -> Array:
    a, b = polygon, np.roll(polygon, -1, axis=0)
    side = b - a
    length = np.linalg.norm(side, axis=1)
    a, b, side = a[length > 0.0], b[length > 0.0], side[length > 0.0]  # a point told twice
    turned = side[:, 0] * (p[1] - a[:, 1]) - side[:, 1] * (p[0] - a[:, 0])
    if np.all(turned >= 0.0) or np.all(turned <= 0.0):
        return p
    t = np.clip(np.einsum("ij,ij->i", p - a, side) / np.maximum(np.einsum("ij,ij->i", side, side), 1e-300), 0.0, 1.0)
    q = a + t[:, None] * side
    return q[int(np.argmin(np.linalg.norm(q - p, axis=1)))]


def spread_ways(count: int) -> Array:
    k = np.arange(count) + 0.5
    z = 1.0 - 2.0 * k / count
    angle = k * math.pi * (1.0 + math.sqrt(5.0))
    r = np.sqrt(1.0 - z * z)
    return np.column_stack([r * np.cos(angle), r * np.sin(angle), z])


_WAYS = spread_ways(6000)


def separations(a: Shape, b: Shape, ways: Array) -> Array:
    """Separation (n,) of two solids along each direction, from a to b; every one bounds the signed distance."""
    return -b.reach(-ways) - a.reach(ways)


def signed_distance(a: Shape, b: Shape, rng: np.random.Generator, starts: int = 12, rounds: int = 140) -> float:
    """Greatest separation over all directions: coarse spread, then a random climb from the best few.

    Each climber takes longer steps after a success and shorter ones after a failure, so that it can follow a ridge.
    """
    values = separations(a, b, _WAYS)
    at = _WAYS[np.argsort(-values)[:starts]]
    best = separations(a, b, at)
    size = np.full(len(at), 0.06)
    rows = np.arange(len(at))
    for _ in range(rounds):
        tries = at[:, None, :] + size[:, None, None] * rng.normal(size=(len(at), 30, 3))
        tries /= np.linalg.norm(tries, axis=2, keepdims=True)
        found = separations(a, b, tries.reshape(-1, 3)).reshape(len(at), 30)
        pick = np.argmax(found, axis=1)
        better = found[rows, pick] > best
        at = np.where(better[:, None], tries[rows, pick], at)
        gained = found[rows, pick] > best + 1e-5
        best = np.maximum(best, found[rows, pick])
        size *= np.where(gained, 1.25, 0.8)
        if size.max() < 1e-8:
            break
    return float(best.max())


def true_gap(a: Shape, b: Shape, rng: np.random.Generator, told: Vec | None = None) -> tuple[float, bool]:
    """Signed distance, and whether it is proved from both sides (else it is the best bound that was found).

    Apart: nearest points by projecting to and fro, with the direction between them as the proof. A direction that
    is ``told`` by whoever is being checked counts as one more try: every direction's separation, worked out here, is
    a true lower bound, so a false direction helps nobody.
    """
    below, above = nearest_by_projection(a, b, rounds=400)
    if below > 0.0 and above - below < PROOF_MM:
        return above, True
    tries = [below, signed_distance(a, b, rng)]
    if told is not None:
        way = np.array(told)
        tries.append(float(separations(a, b, (way / np.linalg.norm(way))[None, :])[0]))
    return max(tries), False


def nearest_by_projection(a: Shape, b: Shape, rounds: int = 4000) -> tuple[float, float]:
    """Distance from above and from below, by projecting to and fro between two solids that are apart."""
    p = a.at
    for k in range(rounds):
        q = b.nearest(p)
        new = a.nearest(q)
        moved = float(np.abs(new - p).max())
        p = new
        if moved < 1e-10 and k > 2:
            break
    q = b.nearest(p)
    upper = float(np.linalg.norm(q - p))
    if upper < 1e-9:
        return -math.inf, 0.0
    way = ((q - p) / upper)[None, :]
    return float(separations(a, b, way)[0]), upper
