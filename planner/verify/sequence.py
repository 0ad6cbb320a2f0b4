"""What must come before what, whatever order is chosen: the orders that a work list itself forces."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

import networkx as nx

from planner.model.work import Demand, Task, Toggle, WorkList

Node = tuple[str, bool | None]
"""A task with None, or a feature with the state it is changed to."""

Order: TypeAlias = "nx.DiGraph[Node]"
"""Arcs run from what comes first to what comes later, in every valid order."""


def tasks_before(order: Order, task_id: str) -> frozenset[str]:
    """Give the tasks that come before a task in every valid order."""
    start: Node = (task_id, None)
    return frozenset(ref for ref, on in nx.ancestors(order, start) if on is None)


def forced_order(work: WorkList) -> Order:
    """Build the graph of what comes before what, whatever valid order is chosen.

    An order is forced by ``after``, by a checkpoint that blocks a task, by a first change of a feature without
    which a demand cannot hold (what that change waits for comes first too), and by a ``last`` demand: whatever
    needs the feature in its other state is done by then.
    """
    graph: Order = nx.DiGraph()
    graph.add_nodes_from((task_id, None) for task_id in work.tasks)
    for task in work.tasks.values():
        node: Node = (task.id, None)
        graph.add_edges_from(((entry.task, None), node) for entry in task.after)
        graph.add_edges_from((change, node) for change in _changes_for(work, task.demands))
        graph.add_edges_from(((other, None), node) for other in _shut_out(work, task))
    for feature in work.features.values():
        for toggle in (feature.turn_on, feature.turn_off):
            if toggle is not None:
                changed: Node = (feature.id, toggle.on)
                graph.add_edges_from(((task_id, None), changed) for task_id in toggle.after)
                graph.add_edges_from((change, changed) for change in _changes_for(work, _demands(toggle)))
    for gate in work.checkpoints.values():
        if not gate.each_time:
            signers = [task.id for task in work.tasks.values() if task.checkpoint == gate.id]
            graph.add_edges_from(((s, None), (b, None)) for s in signers for b in gate.blocked)
    return graph


def _demands(toggle: Toggle) -> tuple[Demand, ...]:
    """What a toggle always demands: a single way is no choice."""
    return toggle.demands + (toggle.ways[0] if len(toggle.ways) == 1 else ())


def _changes_for(work: WorkList, demands: tuple[Demand, ...]) -> Iterator[Node]:
    """The changes of state that must have been made at least once for demands to hold."""
    for demand in demands:
        feature = work.features.get(demand.feature)
        if feature is not None and feature.start != demand.on:
            yield demand.feature, demand.on


def _shut_out(work: WorkList, holder: Task) -> Iterator[str]:
    """Tasks that need a feature in the state it never has again once ``holder`` is done."""
    held = {(demand.feature, not demand.on) for demand in holder.demands if demand.last}
    for task in work.tasks.values() if held else ():
        if any((demand.feature, demand.on) in held for demand in task.demands):
            yield task.id
