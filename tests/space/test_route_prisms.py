"""Tall upright blocks make the problem flat: there a visibility graph gives the shortest way from below and above."""

from __future__ import annotations

import math
import random

import networkx as nx
import pytest
from route_cases import TALL, block, faults, task

from planner.model.shapes import Box
from planner.space import ClearRun, find_run

Flat = tuple[float, float]
ACROSS, KEEP = 8.0, 6.0
NEED = ACROSS / 2.0 + KEEP
PLAY_MM = 12.0
"""A passage with less play than this on either side may fall between the nodes of the lattice."""


def scene(seed: int) -> list[Box]:
    rng = random.Random(seed)
    boxes: list[Box] = []
    for _ in range(rng.randint(1, 4)):
        size = (rng.uniform(20.0, 120.0), rng.uniform(60.0, 260.0))
        x, y = rng.uniform(140.0, 460.0), rng.uniform(-120.0, 120.0)
        if x - size[0] / 2 > 60.0 and x + size[0] / 2 < 540.0:
            boxes.append(block((x, y, 0.0), (*size, TALL), turn=(0.0, 0.0, rng.choice([0.0, rng.uniform(0.0, 90.0)]))))
    return [b for b in boxes if min(_flat_gap(b, p) for p in ((0.0, 0.0), (600.0, 0.0))) > 40.0]


def _local(box: Box, point: Flat) -> Flat:
    angle = math.radians(box.pose.turn_deg[2])
    dx, dy = point[0] - box.pose.at_mm[0], point[1] - box.pose.at_mm[1]
    return (dx * math.cos(angle) + dy * math.sin(angle), -dx * math.sin(angle) + dy * math.cos(angle))


def _flat_gap(box: Box, point: Flat) -> float:
    u, v = _local(box, point)
    return math.hypot(max(0.0, abs(u) - box.size_mm[0] / 2), max(0.0, abs(v) - box.size_mm[1] / 2))


def _rim(box: Box, radius: float, share: float = 1.0) -> list[Flat]:
    """Points of the outline grown by ``radius``, eight to a corner, pushed out by ``share``."""
    angle = math.radians(box.pose.turn_deg[2])
    points = []
    for sx, sy, base in ((1, 1, 0.0), (-1, 1, 90.0), (-1, -1, 180.0), (1, -1, 270.0)):
        for k in range(9):
            way = math.radians(base + k * 90.0 / 8)
            u = sx * box.size_mm[0] / 2 + share * radius * math.cos(way)
            v = sy * box.size_mm[1] / 2 + share * radius * math.sin(way)
            points.append((
                box.pose.at_mm[0] + u * math.cos(angle) - v * math.sin(angle),
                box.pose.at_mm[1] + u * math.sin(angle) + v * math.cos(angle),
            ))  # fmt: skip
    return points


def _least_gap(box: Box, a: Flat, b: Flat) -> float:
    """Distance of a straight line from a box: it is convex along the line, so thirds close in on it."""
    low, high = 0.0, 1.0
    for _ in range(60):
        first, second = low + (high - low) / 3.0, high - (high - low) / 3.0
        gaps = [_flat_gap(box, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))) for t in (first, second)]
        low, high = (low, second) if gaps[0] <= gaps[1] else (first, high)
    return _flat_gap(box, (a[0] + low * (b[0] - a[0]), a[1] + low * (b[1] - a[1])))


def shortest(boxes: list[Box], radius: float, share: float) -> float:
    """Length of the shortest way by a visibility graph over the rims, legs ``radius`` clear."""
    nodes: list[Flat] = [(0.0, 0.0), (600.0, 0.0)]
    for box in boxes:
        nodes += [p for p in _rim(box, radius, share) if all(_flat_gap(o, p) >= radius - 1e-6 for o in boxes)]
    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(len(nodes)))
    for i, a in enumerate(nodes):
        for j in range(i + 1, len(nodes)):
            if all(_least_gap(o, a, nodes[j]) >= radius * math.cos(math.radians(45.0 / 8)) - 1e-3 for o in boxes):
                graph.add_edge(i, j, weight=math.dist(a, nodes[j]))
    return float(nx.shortest_path_length(graph, 0, 1, weight="weight"))


@pytest.mark.parametrize("seed", [*range(5), *(pytest.param(n, marks=pytest.mark.slow) for n in range(5, 20))])
def test_no_shorter_than_the_shortest_way_and_little_longer(seed: int) -> None:
    boxes = scene(seed)
    asked = task(boxes, across=ACROSS, keep=KEEP, bend=8.0)
    run = find_run(asked)
    assert isinstance(run, ClearRun)
    assert faults(run, asked, boxes, KEEP) == []
    best, roomy = (shortest(boxes, NEED + play, 1.0) for play in (0.0, PLAY_MM))
    # The graph goes from chord to chord of the rounded corners: longer than the true way by less than a thousandth.
    assert run.length_mm >= 0.999 * best - 0.1
    assert run.length_mm <= max(1.03 * best, roomy)
    assert run.bound_mm <= best + 0.1
