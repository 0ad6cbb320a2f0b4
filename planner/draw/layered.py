"""Graphs in layers from the top down, laid out by ourselves: short arcs, few crossings, no arc over a box."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

import networkx as nx

from planner.draw.sheet import Point
from planner.draw.spread import spread

_SWEEPS = 12
_THREAD_MM = 2.4
"""Room an arc takes where it passes through a layer, with that beside it."""
Spot = tuple[int, int]
"""A box and 0, or where an arc passes through a layer: -1 - arc and the layer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A box of the graph [mm]; ``layer`` from 0 at the top."""

    wide: float
    high: float
    layer: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """An arc from a box to one in a later layer; it ends at the top, ``port`` to the right of the box's middle [mm]."""

    source: int
    target: int
    port: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Where everything is [mm]: top middles of the boxes, and of each arc the corners of a chain of cubic curves."""

    size: Point
    tops: tuple[Point, ...]
    curves: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gaps:
    """Room between boxes of a layer and between layers [mm]."""

    beside: float
    below: float


def layers_of(
    widths: Sequence[float], pairs: Sequence[tuple[int, int]], most_mm: float, turn: Sequence[int] = ()
) -> tuple[int, ...]:
    """A layer for each box, as high up as the boxes before it and the room in each layer allow.

    The longest way from the top gives the first layer a box may be in; a box that finds it full goes further down (in
    the manner of Coffman and Graham, "Optimal scheduling for two-processor systems", 1972). Boxes are taken in
    topological order, the lower ``turn`` (else number) first.

    Raises
    ------
    networkx.NetworkXUnfeasible
        The pairs go round in a circle.
    """
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(range(len(widths)))
    graph.add_edges_from(pairs)
    used: dict[int, float] = defaultdict(float)
    layer = [0] * len(widths)
    for box in nx.lexicographical_topological_sort(graph, key=lambda b: (turn[b] if turn else 0, b)):
        at = max((layer[b] + 1 for b in graph.predecessors(box)), default=0)
        while used[at] and used[at] + widths[box] > most_mm:
            at += 1
        layer[box] = at
        used[at] += widths[box]
    return tuple(layer)


def laid_out(boxes: Sequence[Box], arcs: Sequence[Arc], gaps: Gaps) -> Laid:
    """Lay a graph out.

    Within its layer a box goes where its neighbours are on average, sweep after sweep, and the sequence with the fewest
    crossings is kept (Sugiyama, Tagawa and Toda, "Methods for visual understanding of hierarchical system structures",
    1981); then boxes are moved towards their neighbours as far as they do not overlap.
    """
    if not boxes:
        return Laid(size=(0.0, 0.0), tops=(), curves=())
    net = _Net(boxes, arcs)
    rows = _untangled(net)
    middles = _middles(net, rows, gaps)
    left = min(middles[s] - net.half(s) for row in rows for s in row)
    right = max(middles[s] + net.half(s) for row in rows for s in row)
    tops, y = [], 0.0
    heights = [max((boxes[n].high for n, t in row if t == 0 and n >= 0), default=0.0) for row in rows]
    for high in heights:
        tops.append(y)
        y += high + gaps.below
    at = {spot: middles[spot] - left for spot in middles}
    curves = tuple(_curve(net, n, at, tops, heights) for n in range(len(arcs)))
    return Laid(
        size=(right - left, y - gaps.below),
        tops=tuple((at[n, 0], tops[box.layer]) for n, box in enumerate(boxes)),
        curves=curves,
    )


class _Net:
    """Boxes and the places where arcs pass through layers, with their neighbours above and below."""

    def __init__(self, boxes: Sequence[Box], arcs: Sequence[Arc]) -> None:
        self.boxes, self.arcs = boxes, arcs
        self.count = max(b.layer for b in boxes) + 1
        self.rows: list[list[Spot]] = [[] for _ in range(self.count)]
        self.above: dict[Spot, list[Spot]] = defaultdict(list)
        self.below: dict[Spot, list[Spot]] = defaultdict(list)
        for n, box in enumerate(boxes):
            self.rows[box.layer].append((n, 0))
        for n, arc in enumerate(arcs):
            way = self.way(n)
            for spot in way[1:-1]:
                self.rows[spot[1]].append(spot)
            for one, other in pairwise(way):
                self.below[one].append(other)
                self.above[other].append(one)
            if boxes[arc.source].layer >= boxes[arc.target].layer:
                raise ValueError(f"arc {arc.source} to {arc.target} does not go down")

    def way(self, n: int) -> list[Spot]:
        arc = self.arcs[n]
        between = range(self.boxes[arc.source].layer + 1, self.boxes[arc.target].layer)
        return [(arc.source, 0), *((-1 - n, layer) for layer in between), (arc.target, 0)]

    def half(self, spot: Spot) -> float:
        """Half of its own width."""
        return self.boxes[spot[0]].wide / 2 if spot[0] >= 0 else 0.0

    def room(self, spot: Spot, gaps: Gaps) -> float:
        """The width it takes, with the gaps to both sides of it."""
        return self.boxes[spot[0]].wide + gaps.beside if spot[0] >= 0 else _THREAD_MM


def _untangled(net: _Net) -> list[list[Spot]]:
    rows = [list(row) for row in net.rows]
    best, fewest = rows, _crossings(net, rows)
    for sweep in range(_SWEEPS):
        down = sweep % 2 == 0
        rows = [list(row) for row in rows]
        for n in range(1, net.count) if down else range(net.count - 2, -1, -1):
            fixed = {spot: k for k, spot in enumerate(rows[n - 1 if down else n + 1])}
            beside = net.above if down else net.below
            here = {spot: k for k, spot in enumerate(rows[n])}
            scale = len(fixed) / max(len(here), 1)

            def want(spot: Spot) -> tuple[float, int]:
                near = [fixed[o] for o in beside[spot]]  # noqa: B023  # used up before the loop goes on
                return (sum(near) / len(near) if near else here[spot] * scale, here[spot])  # noqa: B023  # same

            rows[n].sort(key=want)
        crossings = _crossings(net, rows)
        if crossings < fewest:
            best, fewest = rows, crossings
    return best


def _crossings(net: _Net, rows: list[list[Spot]]) -> int:
    total = 0
    for upper, lower in pairwise(rows):
        place = {spot: k for k, spot in enumerate(lower)}
        ends: list[int] = []
        for spot in upper:
            lands = sorted(place[o] for o in net.below[spot])
            total += sum(sum(e > land for e in ends) for land in lands)
            ends += lands
    return total


def _middles(net: _Net, rows: list[list[Spot]], gaps: Gaps) -> dict[Spot, float]:
    """Middles within the width of the widest layer."""
    rooms = [[net.room(s, gaps) for s in row] for row in rows]
    edge = max(sum(room) for room in rooms) / 2
    at: dict[Spot, float] = {}
    for row, room in zip(rows, rooms, strict=True):
        ends = accumulate(room, initial=-sum(room) / 2)
        at.update({s: x + r / 2 for s, x, r in zip(row, ends, room, strict=False)})
    for sweep in range(_SWEEPS):
        beside = net.above if sweep % 2 == 0 else net.below
        for row, room in list(zip(rows, rooms, strict=True))[:: 1 if sweep % 2 == 0 else -1]:
            wanted = [sum(at[o] for o in beside[s]) / len(beside[s]) if beside[s] else at[s] for s in row]
            at.update(zip(row, spread(wanted, room, 0.0, -edge, edge), strict=True))
    return at


def _curve(net: _Net, n: int, at: dict[Spot, float], tops: list[float], heights: list[float]) -> tuple[Point, ...]:
    """From the foot of a box, straight down through each layer, bent between the layers, to the top of another."""
    arc = net.arcs[n]
    way = net.way(n)
    layer = net.boxes[arc.source].layer
    x, y = at[way[0]], tops[layer] + net.boxes[arc.source].high
    points: list[Point] = [(x, y)]
    for spot in way[1:]:
        foot = tops[layer] + heights[layer]
        points += _straight((x, y), (x, foot))
        layer += 1
        last = spot == way[-1]
        there = at[spot] + (arc.port if last else 0.0)
        half = (foot + tops[layer]) / 2
        points += [(x, half), (there, half), (there, tops[layer])]
        x, y = there, tops[layer]
    return tuple(points)


def _straight(a: Point, b: Point) -> list[Point]:
    return [] if a == b else [a, b, b]
