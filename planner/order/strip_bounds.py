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

import numpy as np
import numpy.typing as npt

from planner.model.work import Demand, WorkList
from planner.order.strip_problem import most_toggles, state_after, toggle_number

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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Net:
    """Nodes in an order that keeps all edges, with b and a as matrices of a row a node and a column a feature."""

    nodes: list[Node]
    ahead: Counts
    behind: Counts
    fresh: npt.NDArray[np.bool_]
    """Where b(n, p) is more than that of every predecessor: elsewhere the toggle precedes one of those already."""


def forced_counts(work: WorkList) -> Bounds:
    """Bounds of a prepared work list; ``impossible`` is a proof that there is no plan."""
    return counts_within(work, {})


def counts_within(work: WorkList, caps: Mapping[str, int]) -> Bounds:
    """Bounds that hold for plans in which no feature makes more toggles than its cap; no caps, all plans.

    A node with b(n, p) + a(n, p) equal to the cap has exactly b toggles before it, so it precedes (p, b + 1) too.
    """
    forced = {p: int(f.goal not in (None, f.start)) for p, f in work.features.items()}
    first: dict[str, int] | None = None
    net: _Net | None = None
    while True:
        known = net
        net = None if _beyond(work, forced, caps) else _net(work, forced, caps, known)
        if net is None:
            return Bounds(forced=forced, before={}, after={}, impossible=True)
        grown = _forced(work, net)
        same = grown == forced and known is not None and _same(net, known)
        forced = grown
        first = first or forced
        growing = any(forced[p] > first[p] + GROWTH for p in forced)
        if same or growing:
            features = list(work.features)
            return Bounds(
                forced=forced,
                before=_sparse(net.nodes, net.ahead, features),
                after=_sparse(net.nodes, net.behind, features),
                growing=growing,
                impossible=_beyond(work, forced, caps),
            )


def _same(net: _Net, known: _Net) -> bool:
    """Whether two nets say the same of the same nodes."""
    if set(net.nodes) != set(known.nodes):
        return False
    number = {n: i for i, n in enumerate(known.nodes)}
    order = [number[n] for n in net.nodes]
    return np.array_equal(net.ahead, known.ahead[order]) and np.array_equal(net.behind, known.behind[order])


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


def _net(work: WorkList, forced: dict[str, int], caps: Mapping[str, int], known: _Net | None) -> _Net | None:
    """Nodes and edges for these forced counts, with those that follow from the net before; None in a ring."""
    nodes = [Node(t) for t in work.tasks] + [Node(p, k) for p, n in forced.items() for k in range(1, n + 1)]
    number = {n: i for i, n in enumerate(nodes)}
    edges = {(number[a], number[b]) for a, b in _plain_edges(work, forced)}
    if known is not None:
        edges |= {(number[a], number[b]) for a, b in _found_edges(work, caps, known)}
    order = _in_order(len(nodes), edges)
    if order is None:
        return None
    place = {i: j for j, i in enumerate(order)}
    earlier: list[list[int]] = [[] for _ in nodes]
    later: list[list[int]] = [[] for _ in nodes]
    for a, b in sorted((place[a], place[b]) for a, b in edges):
        earlier[b].append(a)
        later[a].append(b)
    nodes = [nodes[i] for i in order]
    ahead, fresh = _before(work, nodes, earlier)
    return _Net(nodes=nodes, ahead=ahead, behind=_after(work, nodes, later), fresh=fresh)


def _plain_edges(work: WorkList, forced: dict[str, int]) -> Iterator[tuple[Node, Node]]:
    """Task after task, toggle after the one before it in its row and after the tasks it waits for."""
    for task in work.tasks.values():
        for other in task.after:
            yield Node(other.task), Node(task.id)
    for p, count in forced.items():
        for k in range(1, count + 1):
            if k > 1:
                yield Node(p, k - 1), Node(p, k)
            toggle = toggle_number(work.features[p], k)
            for other_task in toggle.after if toggle else ():
                yield Node(other_task), Node(p, k)


def _found_edges(work: WorkList, caps: Mapping[str, int], known: _Net) -> Iterator[tuple[Node, Node]]:
    """The b-th toggle of p precedes n; and where the cap leaves n one stretch, n precedes the next toggle."""
    features = list(work.features)
    for i, column in np.argwhere(known.fresh).tolist():
        # A row of its own counts k - 1 before its k-th toggle; that edge is there already.
        toggle = Node(features[column], int(known.ahead[i, column]))
        if toggle != known.nodes[i]:
            yield toggle, known.nodes[i]
    if caps:
        most = np.array([caps.get(p, -1) for p in features], dtype=np.int64)
        for i, column in np.argwhere((known.behind > 0) & (known.ahead + known.behind == most)).tolist():
            node, p = known.nodes[i], features[column]
            if node.ref != p or node.number == 0:
                yield node, Node(p, int(known.ahead[i, column]) + 1)


def _in_order(size: int, edges: set[tuple[int, int]]) -> list[int] | None:
    """Numbers in an order that keeps all edges; None in a ring."""
    waits = [0] * size
    after: list[list[int]] = [[] for _ in range(size)]
    for a, b in edges:
        waits[b] += 1
        after[a].append(b)
    order = [i for i in range(size) if not waits[i]]
    for i in order:
        for j in after[i]:
            waits[j] -= 1
            if not waits[j]:
                order.append(j)
    return order if len(order) == size else None


def _before(work: WorkList, nodes: list[Node], earlier: list[list[int]]) -> tuple[Counts, npt.NDArray[np.bool_]]:
    """b(n, p), by one forward pass, and where it is fresh."""
    column = {p: i for i, p in enumerate(work.features)}
    counts: Counts = np.zeros((len(nodes), len(column)), dtype=np.int64)
    inherited = np.zeros_like(counts)
    for i, node in enumerate(nodes):
        row = counts[i]
        if earlier[i]:
            np.max(counts[earlier[i]], axis=0, out=row)
            inherited[i] = row
        for j in earlier[i]:
            other = nodes[j]
            if other.number:
                row[column[other.ref]] = max(int(row[column[other.ref]]), other.number)
        for demand in demands_of(work, node):
            start = work.features[demand.feature].start
            if demand.feature != node.ref or node.number == 0:
                index = column[demand.feature]
                row[index] += int((start == demand.on) != (row[index] % 2 == 0))
        if node.number:
            row[column[node.ref]] = max(int(row[column[node.ref]]), node.number - 1)
    return counts, counts > inherited


def _after(work: WorkList, nodes: list[Node], later: list[list[int]]) -> Counts:
    """a(n, p), by one backward pass; without a goal the parity says nothing."""
    column = {p: i for i, p in enumerate(work.features)}
    counts: Counts = np.zeros((len(nodes), len(column)), dtype=np.int64)
    for i in range(len(nodes) - 1, -1, -1):
        node, row = nodes[i], counts[i]
        if later[i]:
            np.max(counts[later[i]], axis=0, out=row)
        for j in later[i]:
            other = nodes[j]
            if other.number:
                row[column[other.ref]] = max(int(row[column[other.ref]]), int(counts[j, column[other.ref]]) + 1)
        known = [(d.feature, d.on) for d in demands_of(work, node) if d.feature != node.ref or node.number == 0]
        if node.number:
            known.append((node.ref, state_after(work.features[node.ref], node.number)))
        for p, on in known:
            goal = work.features[p].goal
            if goal is not None:
                row[column[p]] += int((goal == on) != (row[column[p]] % 2 == 0))
    return counts


def _forced(work: WorkList, net: _Net) -> dict[str, int]:
    """F_p from all nodes, at the parity of the goal."""
    column = {p: i for i, p in enumerate(work.features)}
    total = net.ahead + net.behind
    for i, node in enumerate(net.nodes):
        if node.number:
            total[i, column[node.ref]] += 1
    most = total.max(axis=0, initial=0)
    counts = {}
    for p, feature in work.features.items():
        count = int(most[column[p]])
        if feature.goal is not None:
            count += int((feature.goal == feature.start) != (count % 2 == 0))
        counts[p] = count
    return counts


def _sparse(nodes: list[Node], rows: Counts, features: list[str]) -> Sparse:
    return {(nodes[i], features[j]): int(rows[i, j]) for i, j in np.argwhere(rows).tolist()}
