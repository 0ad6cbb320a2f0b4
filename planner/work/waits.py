"""Which tasks wait for which, through any number of others."""

from __future__ import annotations

from collections.abc import Iterable

import networkx as nx

from planner.model.work import Task


def graph_of(tasks: Iterable[Task]) -> nx.DiGraph[str]:
    """Tasks as nodes, with an edge from each to those that wait for it."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    for task in tasks:
        graph.add_node(task.id)
        graph.add_edges_from((first.task, task.id) for first in task.after)
    return graph


def all_before(graph: nx.DiGraph[str], names: Iterable[str]) -> set[str]:
    """What some of these wait for; a name that is no node waits for nothing."""
    return set().union(*(nx.ancestors(graph, name) for name in names if name in graph))


def all_after(graph: nx.DiGraph[str], names: Iterable[str]) -> set[str]:
    """What waits for some of these."""
    return set().union(*(nx.descendants(graph, name) for name in names if name in graph))
