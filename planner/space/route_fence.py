"""What a run keeps clear of, asked of straight legs: a quick sure "clear" by support planes, then the exact gap.

Every convex piece, grown by the gap to be kept, lies inside the planes that support it in a few dozen directions. A leg
that misses that many-faced block is clear. A leg that meets it is measured exactly against the true body.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise, product

import numpy as np

from planner.model.shapes import Vec
from planner.space.body import Body, body_of
from planner.space.close import are_closer
from planner.space.distance import closer_than
from planner.space.frames import FloatArray
from planner.space.pieces import Bar, Piece, segment_piece
from planner.space.route_bends import along, unit_to
from planner.space.vectors import distinct_directions, perpendiculars

_FEW_FACES = 4
_AROUND = 16
_SHORT_MM = 1e-6
_LEGS = 200
"""Legs looked at in one go."""
_SAMPLE_MM = 20.0
_AXIS_WAYS: FloatArray = distinct_directions(
    np.array([w for w in product((-1.0, 0.0, 1.0), repeat=3) if any(w)], dtype=np.float64)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ease:
    """A ball in which a run may come nearer to a body than elsewhere: round its own port, or a hole it goes through.

    ``keep_mm`` is the gap it keeps there; minus infinity lets it go into the body.
    """

    at_mm: Vec
    reach_mm: float
    keep_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """A body and the gap [mm] that the surface of a run keeps from its surface; ``id`` names it in answers."""

    id: str
    body: Body
    keep_mm: float
    eased: tuple[Ease, ...] = ()


class Fence:
    """The guards near a run of diameter ``across_mm``, for legs inside the box ``lo_mm``..``hi_mm``.

    ``planes`` (k, m, 3) and ``offsets`` (k, m) [mm] hold the supporting planes of k pieces grown by what they keep from
    the centre line; ``lows`` and ``highs`` (k, 3) [mm] their boxes; ``owners`` (k,) the index of each piece's guard.
    """

    def __init__(self, guards: Sequence[Guard], across_mm: float, lo_mm: Vec, hi_mm: Vec) -> None:
        self.guards = tuple(guards)
        self.radius_mm = across_mm / 2.0
        self._known: dict[tuple[Vec, Vec, float], bool] = {}
        ways, offsets, lows, highs, owners = [], [], [], [], []
        for n, guard in enumerate(self.guards):
            need = guard.keep_mm + self.radius_mm
            near = np.all(guard.body.lows - need <= np.array(hi_mm), axis=1)
            near &= np.all(guard.body.highs + need >= np.array(lo_mm), axis=1)
            for k in np.flatnonzero(near).tolist():
                piece, place = guard.body.pieces[k], guard.body.places[k]
                normals = supporting_ways(piece)
                ways.append(normals)
                offsets.append(normals @ place + piece.span(normals)[1] + (piece.ball_mm + need))
                lows.append(guard.body.lows[k] - need)
                highs.append(guard.body.highs[k] + need)
                owners.append(n)
        most = max((len(w) for w in ways), default=1)
        self.planes: FloatArray = np.array([np.resize(w, (most, 3)) for w in ways]).reshape(-1, most, 3)
        self.offsets: FloatArray = np.array([np.resize(o, most) for o in offsets]).reshape(-1, most)
        self.lows: FloatArray = np.array(lows).reshape(-1, 3)
        self.highs: FloatArray = np.array(highs).reshape(-1, 3)
        self.owners = np.array(owners, dtype=np.int64)

    def clear(self, start_mm: Vec, end_mm: Vec, extra_mm: float = 0.0) -> bool:
        """Whether a straight leg keeps its gaps, and ``extra_mm`` more, from every guard."""
        key = (start_mm, end_mm, extra_mm) if start_mm <= end_mm else (end_mm, start_mm, extra_mm)
        if key not in self._known:
            self._known[key] = not any(
                self._breaks(self.guards[n], start_mm, end_mm, extra_mm) for n in self._met(start_mm, end_mm, extra_mm)
            )
        return self._known[key]

    def prove_all(self, legs: Sequence[tuple[Vec, Vec]], extra_mm: float = 0.0) -> None:
        """Find out about many legs at once what :meth:`clear` is to say of each."""
        wanted = dict.fromkeys((min(leg), max(leg)) for leg in legs)
        new = [leg for leg in wanted if (*leg, extra_mm) not in self._known]
        asked: list[int] = []
        pairs: list[tuple[Body, Body]] = []
        limits: list[float] = []
        bodies: dict[tuple[Vec, Vec], Body] = {}
        for n, k in self._met_by_all(new, extra_mm):
            for a, b, keep_mm in eased_stretches(self.guards[k], *new[n]):
                if keep_mm > -math.inf:
                    body = bodies[a, b] = bodies.get((a, b)) or self._leg(a, b)
                    asked.append(n)
                    pairs.append((body, self.guards[k].body))
                    limits.append(keep_mm + extra_mm)
        broken = {n for n, closer in zip(asked, are_closer(pairs, limits), strict=True) if closer}
        self._known.update(((*leg, extra_mm), n not in broken) for n, leg in enumerate(new))

    def surely_clear(self, start_mm: Vec, end_mm: Vec, extra_mm: float = 0.0) -> bool:
        """The quick form of :meth:`clear`: by planes alone, so that some clear legs are not known to be."""
        for n in self._met(start_mm, end_mm, extra_mm):
            guard = self.guards[n]
            if not guard.eased:
                return False
            for a, b, keep_mm in eased_stretches(guard, start_mm, end_mm):
                if keep_mm > -math.inf and n in self._met(a, b, extra_mm + keep_mm - guard.keep_mm):
                    return False
        return True

    def broken_by(self, start_mm: Vec, end_mm: Vec, extra_mm: float = 0.0) -> list[Guard]:
        """The guards from which a straight leg does not keep its gap."""
        met = self._met(start_mm, end_mm, extra_mm)
        return [self.guards[n] for n in met if self._breaks(self.guards[n], start_mm, end_mm, extra_mm)]

    def _met(self, start_mm: Vec, end_mm: Vec, extra_mm: float) -> list[int]:
        """Indices of the guards with a piece whose planes do not prove the leg clear."""
        if not len(self.owners):
            return []
        a, b = np.array(start_mm), np.array(end_mm)
        low, high = np.minimum(a, b) - extra_mm, np.maximum(a, b) + extra_mm
        near = np.flatnonzero(np.all((self.lows < high) & (self.highs > low), axis=1))
        if not len(near):
            return []
        heights = self.planes[near] @ np.array([a, b]).T - (self.offsets[near] + extra_mm)[:, :, None]
        return sorted(set(self.owners[near[crosses(heights[:, :, 0], heights[:, :, 1])]].tolist()))

    def _met_by_all(self, legs: Sequence[tuple[Vec, Vec]], extra_mm: float) -> list[tuple[int, int]]:
        """Pairs of a leg and a guard: those of :meth:`_met`, for many legs at once."""
        ends = np.array(legs).reshape(-1, 2, 3)
        found: list[tuple[int, int]] = []
        for start in range(0, len(legs) if len(self.owners) else 0, _LEGS):
            part = ends[start : start + _LEGS]
            low, high = part.min(axis=1) - extra_mm, part.max(axis=1) + extra_mm
            near = np.ones((len(part), len(self.owners)), dtype=bool)
            for axis in range(3):
                near &= self.lows[:, axis] < high[:, axis, None]
                near &= self.highs[:, axis] > low[:, axis, None]
            leg, piece = np.nonzero(near)
            heights = np.matmul(self.planes[piece], part[leg].transpose(0, 2, 1))
            heights -= (self.offsets[piece] + extra_mm)[:, :, None]
            inside = crosses(heights[:, :, 0], heights[:, :, 1])
            pairs = np.unique(np.stack([leg[inside] + start, self.owners[piece[inside]]], axis=1), axis=0)
            found += [(n, guard) for n, guard in pairs.tolist()]
        return found

    def _breaks(self, guard: Guard, start_mm: Vec, end_mm: Vec, extra_mm: float) -> bool:
        """Whether a leg comes nearer to a guard than it may, each stretch by the ease it lies in."""
        for a, b, keep_mm in eased_stretches(guard, start_mm, end_mm):
            if keep_mm > -math.inf and closer_than(self._leg(a, b), guard.body, keep_mm + extra_mm):
                return True
        return False

    def _leg(self, start_mm: Vec, end_mm: Vec) -> Body:
        return body_of([segment_piece(np.array(start_mm), np.array(end_mm), self.radius_mm)])


def eased_stretches(guard: Guard, start_mm: Vec, end_mm: Vec) -> list[tuple[Vec, Vec, float]]:
    """A leg cut where it enters and leaves the eases of a guard: (start, end, gap to keep) of each stretch."""
    length = math.dist(start_mm, end_mm)
    way = unit_to(start_mm, end_mm)
    cuts = {0.0, length}
    for ease in guard.eased if length > _SHORT_MM else ():
        back = [s - c for s, c in zip(start_mm, ease.at_mm, strict=True)]
        half = sum(b * w for b, w in zip(back, way, strict=True))
        root = half * half - sum(b * b for b in back) + ease.reach_mm**2
        if root > 0.0:
            cuts.update(at for at in (-half - math.sqrt(root), -half + math.sqrt(root)) if 0.0 < at < length)
    places = sorted(cuts) if length > _SHORT_MM else [0.0, length]
    stretches = []
    for first, last in pairwise(places):
        middle = along(start_mm, way, (first + last) / 2.0)
        keeps = [e.keep_mm for e in guard.eased if math.dist(middle, e.at_mm) < e.reach_mm]
        stretches.append((along(start_mm, way, first), along(start_mm, way, last), min([guard.keep_mm, *keeps])))
    return stretches


def crosses(at_a: FloatArray, at_b: FloatArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Which legs enter a block of planes, from the heights (..., m) of their two ends over its m planes.

    Those of the start may be the same for many legs.

    Source: M. Cyrus and J. Beck, "Generalized two- and three-dimensional clipping", Computers and Graphics 3 (1978).
    """
    met: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] = np.minimum(at_a, at_b).max(axis=-1) < 0.0
    # no plane of those left has both ends above it: where the one is, the leg comes in or goes out
    if met.any():
        start, end = (at_a if at_a.shape == at_b.shape else np.broadcast_to(at_a, at_b.shape))[met], at_b[met]
        with np.errstate(divide="ignore"):
            share = start / (start - end)
        enters = np.where(start > 0.0, share, 0.0).max(axis=-1)
        leaves = np.where(end > 0.0, share, 1.0).min(axis=-1)
        met[met] = enters < leaves
    return met


@lru_cache(maxsize=8192)
def supporting_ways(piece: Piece) -> FloatArray:
    """Unit directions (m, 3) whose supporting planes wrap a piece closely: its faces, and the bevels between them."""
    if isinstance(piece, Bar):
        return _round_ways(piece.axis)
    if len(piece.points_mm) == 1:
        return _both(_AXIS_WAYS)
    if len(piece.edges) == 1:
        return _round_ways(piece.edges[0])
    faces = piece.faces
    if len(faces) < _FEW_FACES:
        signs = np.array([s for s in product((-1.0, 0.0, 1.0), repeat=len(faces)) if any(s)])
        return _both(distinct_directions(signs @ faces))
    return _both(distinct_directions(np.vstack([faces, _AXIS_WAYS])))


def _both(ways: FloatArray) -> FloatArray:
    return np.vstack([ways, -ways])


def _round_ways(axis: FloatArray) -> FloatArray:
    """Directions round a straight bar, on its ends and on the bevels between."""
    first, second = perpendiculars(axis)
    angles = np.arange(_AROUND) * (2.0 * math.pi / _AROUND)
    around = np.cos(angles)[:, None] * first + np.sin(angles)[:, None] * second
    bevels = math.sqrt(0.5) * np.vstack([around[::2] + axis, around[::2] - axis])
    return np.vstack([around, axis[None, :], -axis[None, :], bevels])


class Firm:
    """What a run may be held by: firm bodies, and how near to one (``reach_mm``) a place counts as held.

    Nearness is judged by the supporting planes of the pieces, so a little more is taken for held than is.
    """

    def __init__(self, bodies: Sequence[Body], reach_mm: float, lo_mm: Vec, hi_mm: Vec) -> None:
        guards = [Guard(id="", body=body, keep_mm=reach_mm) for body in bodies]
        self.fence = Fence(guards, 0.0, lo_mm, hi_mm)
        self._known: dict[tuple[Vec, Vec], float] = {}

    def loose_mm(self, start_mm: Vec, end_mm: Vec) -> float:
        """How much of a straight leg [mm] has nothing firm near it, to the fineness of its samples."""
        key = (start_mm, end_mm) if start_mm <= end_mm else (end_mm, start_mm)
        if key not in self._known:
            self._known[key] = self._measured(*key)
        return self._known[key]

    def _measured(self, start_mm: Vec, end_mm: Vec) -> float:
        a, b = np.array(start_mm), np.array(end_mm)
        length = math.dist(start_mm, end_mm)
        count = max(1, math.ceil(length / _SAMPLE_MM))
        places = a + (b - a) * ((np.arange(count) + 0.5) / count)[:, None]
        near = np.all((self.fence.lows < np.maximum(a, b)) & (self.fence.highs > np.minimum(a, b)), axis=1)
        if not near.any():
            return length
        heights = np.einsum("kmj,nj->knm", self.fence.planes[near], places) - self.fence.offsets[near][:, None, :]
        held = np.any(heights.max(axis=2) < 0.0, axis=0)
        return length * float(np.count_nonzero(~held)) / count
