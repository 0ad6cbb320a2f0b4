"""The lattice over which a run is searched, and the search: any-angle, so that legs do not follow the lattice.

Lazy Theta*: a node takes over its neighbour's last corner and proves the leg from it only when its turn comes. Source:
A. Nash, S. Koenig and C. Tovey, "Lazy Theta*: Any-Angle Path Planning and Path Length Analysis in 3D", AAAI 2010.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt

from planner.model.shapes import Vec
from planner.space.frames import FloatArray
from planner.space.route_fence import Ease, Fence, Firm, crosses

_START, _GOAL = -1, -2
_HALF_WAYS = [w for w in product((-1, 0, 1), repeat=3) if w > (0, 0, 0)]
_HALF_VECTORS: FloatArray = np.array(_HALF_WAYS, dtype=np.float64)
_WAYS = len(_HALF_WAYS)
_TINY = 1e-9
_DOUBT_AFTER = 1_000
"""So many settled nodes without arriving, and it is asked whether there is any way at all."""
_GIVE_UP_AFTER = 12_000
_LOOSE_MM = 30.0
"""A leg may leave what is firm by this much more than the walk it stands for."""

Marks = npt.NDArray[np.bool_]
"""One mark a node, or an edge; the shape is given in each docstring."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lattice:
    """Nodes ``step_mm`` apart from ``origin_mm``.

    ``shut`` marks nodes no run may use, by flat index; ``barred`` (one whole number a node) has the bit of a way set
    when the edge along it is not proved clear.
    """

    origin_mm: Vec
    step_mm: float
    shape: tuple[int, int, int]
    shut: bytes
    held: bytes
    """Marks nodes near something firm; all of them when nothing is said about that."""
    barred: list[int]
    ways: tuple[tuple[int, float, int], ...]
    """Flat step, length [mm] and bit of each of the 26 ways."""
    places: list[Vec]
    """Where each node is [mm]."""

    def joined(self, seeds: Iterable[int], gates: Iterable[int]) -> bool:
        """Whether any walk over open edges leads from one set of nodes to the other: a flood, all nodes at a time."""
        reached, wanted = (np.zeros(self.shape, dtype=bool) for _ in range(2))
        reached.ravel()[list(seeds)] = True
        wanted.ravel()[list(gates)] = True
        shut = np.frombuffer(self.shut, dtype=bool).reshape(self.shape)
        bars = np.array(self.barred).reshape(self.shape)
        ways = [(w, ~shut & ((bars >> n) & 1 == 0)) for n, w in enumerate(_HALF_WAYS)]
        back = [(tuple(-v for v in w), ~shut & ((bars >> (n + _WAYS)) & 1 == 0)) for n, w in enumerate(_HALF_WAYS)]
        count = 0
        while not np.any(reached & wanted) and (now := int(np.count_nonzero(reached))) > count:
            count = now
            for way, may in (*ways, *back):
                reached |= np.roll(reached & may, way, axis=(0, 1, 2)) & ~shut
        return bool(np.any(reached & wanted))

    def near(self, point_mm: Vec, reach: int) -> list[int]:
        """Open nodes within ``reach`` steps of a point along each axis."""
        base = [round((p - o) / self.step_mm) for p, o in zip(point_mm, self.origin_mm, strict=True)]
        spans = [range(max(0, b - reach), min(n, b + reach + 1)) for b, n in zip(base, self.shape, strict=True)]
        flat = [(i * self.shape[1] + j) * self.shape[2] + k for i, j, k in product(*spans)]
        return [n for n in flat if not self.shut[n]]


def lattice_of(
    fence: Fence, lo_mm: Vec, hi_mm: Vec, step_mm: float, *, extra_mm: float = 0.0, firm: Firm | None = None
) -> Lattice:
    """Lay a lattice over a box; every node and edge is shut that does not surely keep ``extra_mm`` over the gaps."""
    i, j, k = (math.ceil((h - low) / step_mm) + 1 for low, h in zip(lo_mm, hi_mm, strict=True))
    shape = (i, j, k)
    shut = np.zeros(shape, dtype=bool)
    barred = np.zeros((_WAYS, *shape), dtype=bool)
    axes: list[FloatArray] = [
        low + step_mm * np.arange(n, dtype=np.float64) for low, n in zip(lo_mm, shape, strict=True)
    ]
    for piece in range(len(fence.owners)):
        _shut_round(fence, piece, axes, (shut, barred), step_mm, extra_mm)
    for axis in range(3):
        # No way leads over the rim, so that no step from a node can wrap round to the other side.
        layers = np.moveaxis(shut, axis, 0)
        layers[0] = layers[-1] = True
    return Lattice(
        origin_mm=lo_mm,
        step_mm=step_mm,
        shape=shape,
        shut=shut.ravel().tobytes(),
        held=_held(firm, axes, shape).ravel().tobytes(),
        barred=_packed(barred, shape),
        ways=_flat_ways(shape, step_mm),
        places=list(product(*(axis.tolist() for axis in axes))),
    )


def _held(firm: Firm | None, axes: list[FloatArray], shape: tuple[int, int, int]) -> Marks:
    """Nodes near something firm."""
    held = np.full(shape, firm is None)
    if firm is not None:
        for piece in range(len(firm.fence.owners)):
            window, heights = _heights(firm.fence, piece, axes, 0.0, 0.0)
            if heights is not None:
                held[window] |= heights.max(axis=0) < 0.0
    return held


def _flat_ways(shape: tuple[int, int, int], step_mm: float) -> tuple[tuple[int, float, int], ...]:
    ways = []
    for n, (i, j, k) in enumerate(_HALF_WAYS):
        flat, length = (i * shape[1] + j) * shape[2] + k, step_mm * math.sqrt(i * i + j * j + k * k)
        ways += [(flat, length, 1 << n), (-flat, length, 1 << (n + _WAYS))]
    return tuple(ways)


def _packed(barred: Marks, shape: tuple[int, int, int]) -> list[int]:
    bits = np.zeros(shape, dtype=np.int64)
    for n, way in enumerate(_HALF_WAYS):
        bits |= barred[n].astype(np.int64) << n
        bits |= np.roll(barred[n], way, axis=(0, 1, 2)).astype(np.int64) << (n + _WAYS)
    packed: list[int] = bits.ravel().tolist()
    return packed


def _shut_round(
    fence: Fence,
    piece: int,
    axes: list[FloatArray],
    marks: tuple[Marks, Marks],
    step_mm: float,
    extra_mm: float,
) -> None:
    """Mark the nodes inside the planes of a piece, and the edges that cross them."""
    shut, barred = marks
    window, heights = _heights(fence, piece, axes, extra_mm, step_mm)
    if heights is None:
        return
    most = heights.max(axis=0)
    near = (axis[span] for axis, span in zip(axes, window, strict=True))
    eased = _in_eases(fence.guards[int(fence.owners[piece])].eased, *near)
    shut[window] |= (most < 0.0) & ~eased
    shell = (most >= 0.0) & (most < step_mm * math.sqrt(3.0)) & ~eased
    at_a = heights[:, shell].T
    where = np.nonzero(shell)
    rise = (_HALF_VECTORS @ fence.planes[piece].T) * step_mm
    hits = crosses(at_a, at_a + rise[:, None, :])
    for n in range(_WAYS):
        barred[n][window][tuple(w[hits[n]] for w in where)] = True


def _heights(
    fence: Fence, piece: int, axes: list[FloatArray], extra_mm: float, beyond_mm: float
) -> tuple[tuple[slice, ...], FloatArray | None]:
    """The nodes near a piece as a window of the lattice, and their heights (planes, i, j, k) over its planes [mm]."""
    reach = beyond_mm + extra_mm
    window = tuple(
        slice(int(np.searchsorted(axis, low - reach)), int(np.searchsorted(axis, high + reach, side="right")))
        for axis, low, high in zip(axes, fence.lows[piece], fence.highs[piece], strict=True)
    )
    x, y, z = (axis[span] for axis, span in zip(axes, window, strict=True))
    if not (len(x) and len(y) and len(z)):
        return window, None
    ways = fence.planes[piece]
    flat = ways[:, 0, None] * x
    upright = ways[:, 1, None, None] * y[:, None] + (ways[:, 2, None] * z)[:, None, :]
    return window, flat[:, :, None, None] + upright[:, None, :, :] - (fence.offsets[piece] + extra_mm)[
        :, None, None, None
    ]


def _in_eases(eased: tuple[Ease, ...], x: FloatArray, y: FloatArray, z: FloatArray) -> Marks:
    inside = np.zeros((len(x), len(y), len(z)), dtype=bool)
    for ease in eased:
        ox, oy, oz = ease.at_mm
        far = ((x - ox) ** 2)[:, None, None] + ((y - oy) ** 2)[:, None] + (z - oz) ** 2
        inside |= far < ease.reach_mm**2
    return inside


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What a line is judged by besides its length.

    Each corner counts as ``corner_mm``, each millimetre with nothing of ``firm`` near it as ``loose`` more. It keeps
    ``extra_mm`` over the gaps. ``haste`` over 1 finds a line sooner, longer by that factor at most.
    """

    extra_mm: float = 0.0
    corner_mm: float = 0.0
    firm: Firm | None = None
    loose: float = 0.0
    haste: float = 1.0


PLAIN = Terms()


@dataclass(slots=True, kw_only=True)
class _Hunt:
    """One search: lengths so far, the corner each node is reached from, what is settled."""

    lattice: Lattice
    fence: Fence
    ends: tuple[Vec, Vec]
    terms: Terms
    length: dict[int, float]
    """From the start over corners, each with its price [mm]."""
    unheld: dict[int, float]
    """Of the walk to a node, over nodes with nothing firm near them [mm]."""
    come_from: dict[int, int]
    done: set[int]
    heap: list[tuple[float, int]]

    def place(self, node: int) -> Vec:
        if node == _START:
            return self.ends[0]
        return self.ends[1] if node == _GOAL else self.lattice.places[node]

    def through(self, corner: int, node_mm: Vec) -> float:
        """Length to a place reached straight from a corner."""
        price = 0.0 if corner == _START else self.terms.corner_mm
        return self.length[corner] + math.dist(self.place(corner), node_mm) + price

    def offer(self, node: int, corner: int, at: Vec, walked_mm: float) -> None:
        """Note a way to a node when it is better than the one known."""
        length = self.through(corner, at)
        total = length + self.terms.loose * walked_mm
        if node not in self.length or total < self.length[node] + self.terms.loose * self.unheld[node] - _TINY:
            self.length[node], self.unheld[node], self.come_from[node] = length, walked_mm, corner
            heapq.heappush(self.heap, (total + self.terms.haste * math.dist(at, self.ends[1]), node))

    def walked(self, before: int, node: int, step_mm: float) -> float:
        return self.unheld[before] + (0.0 if self.lattice.held[node] else step_mm)

    def prove(self, node: int) -> bool:
        """Settle from where a node is reached: the corner taken over, or else the best neighbour."""
        at = self.lattice.places[node]
        if self.straight(self.come_from[node], node, at):
            return True
        bars = self.lattice.barred[node]
        best: tuple[float, float, float, int] | None = None
        for flat, step, bit in self.lattice.ways:
            other = node + flat
            if not bars & bit and other in self.done:
                length, walked = self.through(other, at), self.walked(other, node, step)
                found = (length + self.terms.loose * walked, length, walked, other)
                best = found if best is None else min(best, found)
        if best is None:
            return False
        _, self.length[node], self.unheld[node], self.come_from[node] = best
        return True

    def straight(self, corner: int, node: int, at: Vec) -> bool:
        """Whether a node may be reached straight from a corner: clear, and no more in the air than the walk was."""
        there = self.place(corner)
        if not self.fence.surely_clear(there, at, self.terms.extra_mm):
            return False
        if self.terms.firm is None:
            return True
        return self.terms.firm.loose_mm(there, at) <= self.unheld[node] - self.unheld[corner] + _LOOSE_MM

    def spread(self, node: int) -> None:
        """Offer a settled node's corner to its open neighbours: :meth:`offer`, spelt out where it is done most."""
        lattice, corner, goal = self.lattice, self.come_from[node], self.ends[1]
        shut, done, held, places, lengths = lattice.shut, self.done, lattice.held, lattice.places, self.length
        bars, unheld, there = lattice.barred[node], self.unheld[node], self.place(corner)
        base = lengths[corner] + (0.0 if corner == _START else self.terms.corner_mm)
        for flat, step, bit in lattice.ways:
            other = node + flat
            if bars & bit or shut[other] or other in done:
                continue
            at = places[other]
            length = base + math.dist(there, at)
            walked = unheld if held[other] else unheld + step
            total = length + self.terms.loose * walked
            if other not in lengths or total < lengths[other] + self.terms.loose * self.unheld[other] - _TINY:
                lengths[other], self.unheld[other], self.come_from[other] = length, walked, corner
                heapq.heappush(self.heap, (total + self.terms.haste * math.dist(at, goal), other))

    def reach_goal(self, node: int) -> None:
        """Offer the goal to a settled node near it."""
        at, goal, corner = self.lattice.places[node], self.ends[1], self.come_from[node]
        self.unheld.setdefault(_GOAL, math.inf)
        walked = self.unheld[node] + (0.0 if self.lattice.held[node] else math.dist(at, goal))
        there = self.place(corner)
        clear = self.fence.surely_clear(there, goal, self.terms.extra_mm) and (
            self.terms.firm is None or self.terms.firm.loose_mm(there, goal) <= walked - self.unheld[corner] + _LOOSE_MM
        )
        self.offer(_GOAL, corner if clear else node, goal, walked)

    def line(self) -> tuple[Vec, ...]:
        node, line = _GOAL, [self.ends[1]]
        while node != _START:
            node = self.come_from[node]
            line.append(self.place(node))
        return tuple(reversed(line))


def search(lattice: Lattice, fence: Fence, start_mm: Vec, goal_mm: Vec, terms: Terms = PLAIN) -> tuple[Vec, ...] | None:
    """Short line from start to goal over open nodes; None when none is found.

    Near the two ends, where a run may come nearer to what it joins, edges are taken on trust: the caller proves the
    legs of the answer.
    """
    seeds = _gates(lattice, fence, start_mm)
    gates = frozenset(_gates(lattice, fence, goal_mm))
    if not seeds or not gates:
        return None
    hunt = _Hunt(
        lattice=lattice,
        fence=fence,
        ends=(start_mm, goal_mm),
        terms=terms,
        length={_START: 0.0},
        unheld={_START: 0.0},
        come_from={},
        done=set(),
        heap=[],
    )
    for node in seeds:
        at = lattice.places[node]
        hunt.offer(node, _START, at, 0.0 if lattice.held[node] else math.dist(start_mm, at))
    trusted = frozenset(seeds)
    while hunt.heap:
        _, node = heapq.heappop(hunt.heap)
        if node == _GOAL:
            return hunt.line()
        if node in hunt.done or (node not in trusted and not hunt.prove(node)):
            continue
        hunt.done.add(node)
        stuck = len(hunt.done) == _DOUBT_AFTER and not lattice.joined(seeds, gates)
        if stuck or len(hunt.done) > _GIVE_UP_AFTER:
            return None
        if node in gates:
            hunt.reach_goal(node)
        hunt.spread(node)
    return None


def _gates(lattice: Lattice, fence: Fence, point_mm: Vec) -> list[int]:
    """Open nodes near a point with a clear leg to it; from farther off when there is none close by."""
    for reach in (1, 2, 4):
        found = [n for n in lattice.near(point_mm, reach) if fence.clear(point_mm, lattice.places[n])]
        if found:
            return found
    return []
