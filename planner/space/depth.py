"""The best separating direction of two convex cores that meet: exact depth of overlap.

Two hulls of points: the depth is found on a face normal of the one or the other, or on the cross product of two
edges (separating axis theorem), so trying them all is exact. With a round bar, the nearest point of the boundary
of the difference set lies on a smooth patch, which leaves few families of directions: face normals, edge x axis,
straight away from the axis to a corner, and circles of directions square to an edge (edge against rim); bar
against bar adds rim against rim, searched over the whole sphere.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from planner.space.frames import FloatArray
from planner.space.pieces import Bar, Hull, Piece
from planner.space.vectors import cross, perpendiculars, sphere_directions

_CIRCLE_STEPS = 48
_CIRCLE_STARTS = 8
_CIRCLE_ROUNDS = 3
_SPHERE_STEP_RAD = 0.12
_SPHERE_ROUNDS = 3
_POLISH_ROUNDS = 30
_SHARES: FloatArray = np.array([0.5**k for k in range(12)])
_SPHERE_STARTS = 3
_SPHERE: FloatArray = sphere_directions(900)
_ROSE: FloatArray = np.array([[i / 2.0, j / 2.0] for i in range(-2, 3) for j in range(-2, 3)])
_ANGLES: FloatArray = np.linspace(0.0, 2.0 * math.pi, _CIRCLE_STEPS, endpoint=False)
_ZOOM: FloatArray = np.linspace(-1.0, 1.0, 33)
_FEW_CROSSES = 300
_MOST_AT_ONCE = 20_000
_SAME_TOP = math.cos(1e-3)
"""Starts nearer to each other than this climb to the same top."""
_TINY = 1e-9
_ENOUGH_MM = 1e-6


class _Pair(NamedTuple):
    """Two pieces and where b's origin lies from a's (3,) [mm]."""

    a: Piece
    b: Piece
    shift_mm: FloatArray


def best_axis(a: Piece, b: Piece, shift_mm: FloatArray) -> tuple[float, FloatArray]:
    """Greatest bound [mm] of the cores' signed distance (balls left out), and its unit direction (3,) from a to b.

    Exact when the cores touch or overlap; when they are apart it is only a lower bound.
    """
    pair = _Pair(a, b, shift_mm)
    found = _best(pair, _straight_candidates(pair))
    for bar, other in ((a, b), (b, a)):
        if isinstance(bar, Bar) and len(other.edges):
            found = _best_on_circles(pair, other.edges, found)
    if isinstance(a, Bar) and isinstance(b, Bar):
        found = max(found, _best_on_sphere(pair), key=lambda bound: bound[0])
    return found


def straight_bound(a: Piece, b: Piece, shift_mm: FloatArray) -> float:
    """Lower bound [mm] of the whole pieces' signed distance by the directions that need no search."""
    pair = _Pair(a, b, shift_mm)
    return _best(pair, _straight_candidates(pair))[0] - a.ball_mm - b.ball_mm


def _bounds(pair: _Pair, directions: FloatArray) -> FloatArray:
    """Bound [mm] (n,) of the cores' signed distance by each of the unit ``directions`` (n, 3) from a to b."""
    return directions @ pair.shift_mm + pair.b.span(directions)[0] - pair.a.span(directions)[1]


def _best(pair: _Pair, directions: FloatArray) -> tuple[float, FloatArray]:
    """Best of ``directions`` (n, 3), each tried both ways."""
    found = (-math.inf, directions[0])
    for start in range(0, len(directions), _MOST_AT_ONCE):
        part = directions[start : start + _MOST_AT_ONCE]
        along = part @ pair.shift_mm
        low_a, high_a = pair.a.span(part)
        low_b, high_b = pair.b.span(part)
        ahead, behind = along + low_b - high_a, low_a - along - high_b
        i, j = int(np.argmax(ahead)), int(np.argmax(behind))
        for value, way in ((float(ahead[i]), part[i]), (float(behind[j]), -part[j])):
            if value > found[0]:
                found = value, way
    return found


def _straight_candidates(pair: _Pair) -> FloatArray:
    """Directions (n, 3) that need no search."""
    a, b, shift_mm = pair
    rows = [_edge_crosses(a, b)]
    for bar, other, away in ((a, b, shift_mm), (b, a, -shift_mm)):
        if isinstance(bar, Bar):
            corners = other.points_mm + away if isinstance(other, Hull) else away[None, :]
            rows.append(corners - (corners @ bar.axis)[:, None] * bar.axis)
    loose = np.vstack(rows)
    lengths = np.sqrt(np.einsum("ij,ij->i", loose, loose))
    sound = lengths > _TINY
    return np.vstack([a.faces, b.faces, loose[sound] / lengths[sound, None]])


def _edge_crosses(a: Piece, b: Piece) -> FloatArray:
    """Directions (n, 3), of any length, square to an edge of each.

    Of hulls with many edges only those that touch each other with these edges: an edge does so only along
    directions between the normals of its two faces. Source: the overlap test of arcs on the Gauss map, D. Gregorius,
    "The Separating Axis Test between Convex Polyhedra", Game Developers Conference (2013).
    """
    if len(a.edges) * len(b.edges) <= _FEW_CROSSES:
        return cross(a.edges[:, None, :], b.edges[None, :, :]).reshape(-1, 3)
    creases_a, creases_b = (piece.creases if isinstance(piece, Hull) else None for piece in (a, b))
    ways_a = a.edges if creases_a is None else creases_a[0]
    ways_b = b.edges if creases_b is None else creases_b[0]
    meets = np.ones((len(ways_a), len(ways_b)), dtype=bool)
    if creases_a is not None:
        meets &= (creases_a[1] @ ways_b.T) * (creases_a[2] @ ways_b.T) <= _TINY
    if creases_b is not None:
        meets &= (ways_a @ creases_b[1].T) * (ways_a @ creases_b[2].T) <= _TINY
    rows, columns = np.nonzero(meets)
    return cross(ways_a[rows], ways_b[columns])


def _best_on_circles(pair: _Pair, edges: FloatArray, known: tuple[float, FloatArray]) -> tuple[float, FloatArray]:
    """Best direction square to any of ``edges`` (m, 3), or the ``known`` one when none on those circles is better.

    Zoomed in on from the best few places of all circles. A bound changes by no more than the reach of the set of
    differences times the turn, which tells the places that cannot lead to anything better.
    """
    circles = _circles(pair, perpendiculars(edges))
    values = _circle_bounds(circles, np.broadcast_to(_ANGLES, (len(edges), _CIRCLE_STEPS)))
    most = _reach_mm(pair) * (math.pi / _CIRCLE_STEPS)
    starts = np.argsort(-values, axis=None)[:_CIRCLE_STARTS]
    starts = starts[values.ravel()[starts] + most > known[0]]
    if not len(starts):
        return known
    rows, places = np.unravel_index(starts, values.shape)
    circles = circles.part(rows)
    at, step = _ANGLES[places], 2.0 * math.pi / _CIRCLE_STEPS
    hopeful = _tops(circles, at, values[rows, places]) > known[0]
    if not hopeful.any():
        return known
    circles, at = circles.part(hopeful), at[hopeful]
    for _ in range(_CIRCLE_ROUNDS):
        near = at[:, None] + step * _ZOOM
        values = _circle_bounds(circles, near)
        at = near[np.arange(len(at)), np.argmax(values, axis=1)]
        step *= 2.0 / (len(_ZOOM) - 1)
    best = int(np.argmax(values.max(axis=1)))
    value = float(values[best].max())
    if value <= known[0]:
        return known
    direction: FloatArray = math.cos(at[best]) * circles.spans[best, 0] + math.sin(at[best]) * circles.spans[best, 1]
    return value, direction


def _reach_mm(pair: _Pair) -> float:
    """No point of the set of differences b - a is farther than this from zero."""
    reach = math.sqrt(float(pair.shift_mm @ pair.shift_mm))
    for piece in pair[:2]:
        far = np.maximum(-piece.box_mm[0], piece.box_mm[1])
        reach += math.sqrt(float(far @ far))
    return reach


class _Circles(NamedTuple):
    """Circles of directions spanned by ``spans`` (m, 2, 3), and the pair as seen in their planes.

    ``corners`` (m, p, 2), of a hull if there is one, such that its part of the bound is their least coordinate;
    ``sights`` (m, 1 + bars, 2), the shift and the axis of each bar; ``bars``, radius and half length of each [mm].
    """

    spans: FloatArray
    corners: FloatArray
    sights: FloatArray
    bars: tuple[tuple[float, float], ...]

    def part(self, rows: np.ndarray[tuple[int, ...], Any]) -> _Circles:
        """Some of the circles."""
        return _Circles(self.spans[rows], self.corners[rows], self.sights[rows], self.bars)


def _circles(pair: _Pair, spans: FloatArray) -> _Circles:
    hulls = [(sign, piece) for sign, piece in ((-1.0, pair.a), (1.0, pair.b)) if isinstance(piece, Hull)]
    bars = [piece for piece in (pair.a, pair.b) if isinstance(piece, Bar)]
    across = spans.transpose(0, 2, 1)
    corners = (hulls[0][0] * hulls[0][1].points_mm) @ across if hulls else np.zeros((len(spans), 1, 2))
    sights = np.array([pair.shift_mm, *(bar.axis for bar in bars)]) @ across
    return _Circles(spans, corners, sights, tuple((bar.radius_mm, bar.half_mm) for bar in bars))


def _circle_bounds(circles: _Circles, angles: FloatArray) -> FloatArray:
    """Bounds (m, k) at ``angles`` (m, k) [rad] on the circles."""
    places = np.empty((len(angles), 2, angles.shape[1]))
    np.cos(angles, out=places[:, 0])
    np.sin(angles, out=places[:, 1])
    bounds: FloatArray = (circles.corners @ places).min(axis=1)
    seen = circles.sights @ places
    bounds += seen[:, 0]
    for k, (radius_mm, half_mm) in enumerate(circles.bars):
        along = seen[:, k + 1]
        bounds -= half_mm * np.abs(along) + radius_mm * np.sqrt(np.maximum(0.0, 1.0 - along * along))
    return bounds


def _tops(circles: _Circles, angles: FloatArray, values: FloatArray) -> FloatArray:
    """What the bounds (m,) are not above within half a step of one angle [rad] on each circle, ``values`` being there.

    The bound is the least of many sine curves of the angle, so the one that is least here is nowhere below it.
    """
    cosines, sines = np.cos(angles), np.sin(angles)
    here, ahead = np.stack([cosines, sines], axis=1), np.stack([-sines, cosines], axis=1)
    nearest = np.argmin(np.einsum("ijk,ik->ij", circles.corners, here), axis=1)
    slopes = np.einsum("ik,ik->i", circles.corners[np.arange(len(angles)), nearest], ahead)
    seen, turning = (np.einsum("ijk,ik->ij", circles.sights, ways) for ways in (here, ahead))
    slopes += turning[:, 0]
    for k, (radius_mm, half_mm) in enumerate(circles.bars):
        along, speed = seen[:, k + 1], turning[:, k + 1]
        sine = np.sqrt(np.maximum(_TINY, 1.0 - along * along))
        slopes += speed * (radius_mm * along / sine - half_mm * np.sign(along))
    half = math.pi / _CIRCLE_STEPS
    tops: FloatArray = np.maximum(values, values * math.cos(half)) + np.abs(slopes) * math.sin(half)
    return tops


def _best_on_sphere(pair: _Pair) -> tuple[float, FloatArray]:
    """Best direction of all, zoomed in on from the best few of an even spread, then polished."""
    at = _SPHERE[np.argsort(-_bounds(pair, _SPHERE))[:_SPHERE_STARTS]]
    step = _SPHERE_STEP_RAD
    for _ in range(_SPHERE_ROUNDS):
        spans = perpendiculars(at)
        near = at[:, None, :] + step * (_ROSE @ spans)
        near /= np.sqrt(np.einsum("ijk,ijk->ij", near, near))[:, :, None]
        values = _bounds(pair, near.reshape(-1, 3)).reshape(near.shape[:2])
        at = near[np.arange(len(at)), np.argmax(values, axis=1)]
        step /= 2.5
    best = (-math.inf, at[0])
    tried: list[FloatArray] = []
    for way in at[np.argsort(-values.max(axis=1), kind="stable")]:
        if all(float(way @ other) < _SAME_TOP for other in tried):
            found = _polished(pair, way)
            tried.append(way)
            best = max(best, found, key=lambda bound: bound[0])
    return best


def _polished(pair: _Pair, way: FloatArray) -> tuple[float, FloatArray]:
    """Climb from a good direction between two round bars to the top (Newton's method on the sphere).

    Bars are symmetric, so the bound along n is shift . n - sum(radius * sin + half * |cos|) over both, with the
    angle between n and each axis.
    """
    bars = [bar for bar in (pair.a, pair.b) if isinstance(bar, Bar)]
    value = float(_bounds(pair, way[None, :])[0])
    for _ in range(_POLISH_ROUNDS):
        tangent = perpendiculars(way)
        slope, bend = tangent @ pair.shift_mm, np.eye(2) * -value
        for bar in bars:
            along, across = float(way @ bar.axis), tangent @ bar.axis
            sine = max(math.sqrt(float(across @ across)), _TINY)
            slope = slope + across * (bar.radius_mm * along / sine - math.copysign(bar.half_mm, along))
            beside = np.array([-across[1], across[0]]) / sine
            bend = bend - bar.radius_mm / sine * np.outer(beside, beside)
        move = _newton_step(slope, bend)
        tries = way + (move * _SHARES[:, None]) @ tangent
        tries /= np.sqrt(np.einsum("ij,ij->i", tries, tries))[:, None]
        values = _bounds(pair, tries)
        best = int(np.argmax(values))
        if values[best] <= value + _ENOUGH_MM:
            break
        way, value = tries[best], float(values[best])
    return value, way


def _newton_step(slope: FloatArray, bend: FloatArray) -> FloatArray:
    """Step (2,) to the top of a function with this slope (2,) and curvature (2, 2), or uphill when there is none."""
    determinant = float(bend[0, 0] * bend[1, 1] - bend[0, 1] * bend[1, 0])
    if determinant > 0.0 and bend[0, 0] < 0.0:
        x = bend[1, 1] * slope[0] - bend[0, 1] * slope[1]
        y = bend[0, 0] * slope[1] - bend[1, 0] * slope[0]
        step: FloatArray = np.array([x, y]) / -determinant
    else:
        step = slope / (float(np.abs(bend).max()) + _TINY)
    return step / max(1.0, math.sqrt(float(step @ step)) / _SPHERE_STEP_RAD)
