"""How often each feature must change state before and after each task, whatever the plan.

Nodes n are the tasks and the toggles that every plan holds: the k-th toggle (p, k) of a feature p for k up to
its forced number F_p. With b(n, p) the least number of toggles of p before n, over the predecessors m of n:

    b(n, p) = max_m ( b(m, p), or k when m = (p, k) ),   raised by one where the parity does not give the state
    n demands of p

and node (p, b(n, p)) precedes n. Likewise a(n, p), the least number after n, runs backwards from the goal. F_p
is the largest b + a over all nodes, raised to the parity of the goal. New forced toggles bring demands of their
own, so this is repeated until nothing grows. A ring, or more toggles than a feature can make, proves that there
is no plan.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import networkx as nx
import numpy as np
import numpy.typing as npt

from planner.model.work import Demand, WorkList
from planner.order.strip_problem import most_toggles, toggle_number

GROWTH = 6
"""A feature whose forced count grows by more than this is likely to grow for ever: there is no plan, and others
must prove it."""

Counts = npt.NDArray[np.int64]


class Node(NamedTuple):
    """Name of a step: task ``ref`` when ``number`` is 0, else the ``number``-th toggle of feature ``ref``."""

    ref: str
    number: int = 0


Sparse = dict[tuple[Node, str], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Forced toggle counts; ``before`` and ``after`` hold the non-zero ones, keyed by (node, feature)."""

    forced: dict[str, int]
    before: Sparse
    after: Sparse
    impossible: bool = False
    growing: bool = False
    """Stopped while still growing: what was found holds, and there is most likely no plan."""


def forced_counts(work: WorkList) -> Bounds:
    """Bounds of a prepared work list; ``impossible`` is a proof that there is no plan."""
    return counts_within(work, {})


def counts_within(work: WorkList, caps: Mapping[str, int]) -> Bounds:
    """Bounds that hold for plans in which no feature makes more toggles than its cap; no caps, all plans.

    A node with b(n, p) + a(n, p) equal to the cap has exactly b toggles before it, so it precedes (p, b + 1) too.
    """
    features = list(work.features)
    forced = {p: int(f.goal not in (None, f.start)) for p, f in work.features.items()}
    first: dict[str, int] | None = None
    before: Sparse = {}
    after: Sparse = {}
    while True:
        graph = _graph(work, forced, before)
        graph.add_edges_from(_pinned(caps, before, after))
        if _beyond(work, forced, caps) or not nx.is_directed_acyclic_graph(graph):
            return Bounds(forced=forced, before=before, after=after, impossible=True)
        order = list(nx.topological_sort(graph))
        ahead = _before(work, graph, order, features)
        behind = _after(work, graph, order, features)
        grown = _forced(work, order, ahead, behind, features)
        ahead_now, behind_now = _sparse(order, ahead, features), _sparse(order, behind, features)
        same = (grown, ahead_now, behind_now) == (forced, before, after)
        forced, before, after = grown, ahead_now, behind_now
        first = first or forced
        growing = any(forced[p] > first[p] + GROWTH for p in features)
        if same or growing:
            impossible = _beyond(work, forced, caps)
            return Bounds(forced=forced, before=before, after=after, growing=growing, impossible=impossible)


def _pinned(caps: Mapping[str, int], before: Sparse, after: Sparse) -> Iterator[tuple[Node, Node]]:
    """Give the edges from nodes to the next toggle of a feature whose cap leaves them one stretch."""
    for (node, p), more in after.items():
        count = before.get((node, p), 0)
        if count + more == caps.get(p) and (node.ref != p or node.number == 0):
            yield node, Node(p, count + 1)


def demands_of(work: WorkList, node: Node) -> tuple[Demand, ...]:
    """Return the plain demands of a node; a toggle that does not exist has none."""
    if node.number == 0:
        return work.tasks[node.ref].demands
    toggle = toggle_number(work.features[node.ref], node.number)
    return toggle.demands if toggle else ()


def _beyond(work: WorkList, forced: dict[str, int], caps: Mapping[str, int]) -> bool:
    """Whether a feature would have to change more often than it can, or than its cap."""
    if any(forced[p] > cap for p, cap in caps.items()):
        return True
    limits = {p: most_toggles(f) for p, f in work.features.items()}
    return any(limit is not None and forced[p] > limit for p, limit in limits.items())


def _graph(work: WorkList, forced: dict[str, int], before: Sparse) -> nx.DiGraph[Node]:
    graph: nx.DiGraph[Node] = nx.DiGraph()
    graph.add_nodes_from(Node(t) for t in work.tasks)
    for task in work.tasks.values():
        graph.add_edges_from((Node(a.task), Node(task.id)) for a in task.after)
    for p, count in forced.items():
        for k in range(1, count + 1):
            graph.add_node(Node(p, k))
            if k > 1:
                graph.add_edge(Node(p, k - 1), Node(p, k))
            toggle = toggle_number(work.features[p], k)
            graph.add_edges_from((Node(t), Node(p, k)) for t in (toggle.after if toggle else ()))
    graph.add_edges_from((Node(p, k), n) for (n, p), k in before.items() if k and n != Node(p, k))
    return graph


def _before(work: WorkList, graph: nx.DiGraph[Node], order: list[Node], features: list[str]) -> dict[Node, Counts]:
    """b(n, p), by one forward pass."""
    column = {p: i for i, p in enumerate(features)}
    counts: dict[Node, Counts] = {}
    for node in order:
        row: Counts = np.zeros(len(features), dtype=np.int64)
        for other in graph.predecessors(node):
            np.maximum(row, counts[other], out=row)
            if other.number:
                row[column[other.ref]] = max(int(row[column[other.ref]]), other.number)
        for demand in demands_of(work, node):
            start = work.features[demand.feature].start
            if demand.feature != node.ref or node.number == 0:
                index = column[demand.feature]
                row[index] += int((start == demand.on) != (row[index] % 2 == 0))
        if node.number:
            row[column[node.ref]] = max(int(row[column[node.ref]]), node.number - 1)
        counts[node] = row
    return counts


def _after(work: WorkList, graph: nx.DiGraph[Node], order: list[Node], features: list[str]) -> dict[Node, Counts]:
    """a(n, p), by one backward pass; without a goal the parity says nothing."""
    column = {p: i for i, p in enumerate(features)}
    counts: dict[Node, Counts] = {}
    for node in reversed(order):
        row: Counts = np.zeros(len(features), dtype=np.int64)
        for other in graph.successors(node):
            more = counts[other]
            if other.number:
                more = more.copy()
                more[column[other.ref]] += 1
            np.maximum(row, more, out=row)
        known = [(d.feature, d.on) for d in demands_of(work, node) if d.feature != node.ref or node.number == 0]
        if node.number:
            known.append((node.ref, work.features[node.ref].start == (node.number % 2 == 0)))
        for p, on in known:
            goal = work.features[p].goal
            if goal is not None:
                row[column[p]] += int((goal == on) != (row[column[p]] % 2 == 0))
        counts[node] = row
    return counts


def _forced(
    work: WorkList, order: list[Node], ahead: dict[Node, Counts], behind: dict[Node, Counts], features: list[str]
) -> dict[str, int]:
    """F_p from all nodes, at the parity of the goal."""
    total: Counts = np.zeros(len(features), dtype=np.int64)
    for node in order:
        row = ahead[node] + behind[node]
        if node.number:
            row[features.index(node.ref)] += 1
        np.maximum(total, row, out=total)
    counts = {}
    for index, p in enumerate(features):
        feature = work.features[p]
        count = int(total[index])
        if feature.goal is not None:
            count += int((feature.goal == feature.start) != (count % 2 == 0))
        counts[p] = count
    return counts


def _sparse(order: list[Node], rows: dict[Node, Counts], features: list[str]) -> Sparse:
    return {(n, features[i]): int(rows[n][i]) for n in order for i in np.flatnonzero(rows[n]).tolist()}
