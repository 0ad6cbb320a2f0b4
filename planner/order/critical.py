"""Critical path: when each activity can begin at the earliest and must begin at the latest.

With d_j the duration and P_j, S_j the direct predecessors and successors of j, and T the largest EF:

    ES_j = max(EF_i for i in P_j), 0 without any;  EF_j = ES_j + d_j
    LF_j = min(LS_i for i in S_j), T without any;  LS_j = LF_j - d_j;  float_j = LS_j - ES_j

Source: the forward and backward pass of the critical path method as in Hillier & Lieberman, Introduction to
Operations Research (chapter on PERT/CPM).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import networkx as nx


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Earliest and latest times of one activity, in the unit of the durations, from 0 at the start.

    ``float_`` is how long it can slip without moving the end of everything; 0 on a critical activity.
    """

    earliest_start: int
    earliest_finish: int
    latest_start: int
    latest_finish: int
    float_: int


def critical_path(durations: Mapping[str, int], after: Mapping[str, Sequence[str]]) -> dict[str, Window]:
    """Windows of all activities.

    Parameters
    ----------
    durations : mapping of str to int
        Duration of each activity, not negative, all in one unit [min, days, weeks...].
    after : mapping of str to sequence of str
        Direct predecessors; an activity left out has none.

    Returns
    -------
    dict of str to Window
        In the order of ``durations``.

    Raises
    ------
    ValueError
        The activities run in a ring, a predecessor is unknown, or a duration is negative; the message names them.
    """
    graph = _graph(durations, after)
    order = list(nx.lexicographical_topological_sort(graph))
    early: dict[str, int] = {}
    for name in order:
        early[name] = max((early[p] + durations[p] for p in graph.predecessors(name)), default=0)
    end = max((early[name] + durations[name] for name in order), default=0)
    late: dict[str, int] = {}
    for name in reversed(order):
        finish = min((late[s] for s in graph.successors(name)), default=end)
        late[name] = finish - durations[name]
    return {
        name: Window(
            earliest_start=early[name],
            earliest_finish=early[name] + minutes,
            latest_start=late[name],
            latest_finish=late[name] + minutes,
            float_=late[name] - early[name],
        )
        for name, minutes in durations.items()
    }


def _graph(durations: Mapping[str, int], after: Mapping[str, Sequence[str]]) -> nx.DiGraph[str]:
    """Predecessor -> successor graph, checked."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    for name, length in durations.items():
        if length < 0:
            raise ValueError(f"`{name}` has a duration below nothing: {length}")
        graph.add_node(name)
    for name, before in after.items():
        for other in before:
            for known in (name, other):
                if known not in durations:
                    raise ValueError(f"`{known}` has no duration")
            graph.add_edge(other, name)
    if not nx.is_directed_acyclic_graph(graph):
        ring = [edge[0] for edge in nx.find_cycle(graph)]
        turn = ring.index(min(ring))
        ring = [*ring[turn:], *ring[:turn]]
        raise ValueError("these wait for each other in a ring: " + " -> ".join([*ring, ring[0]]))
    return graph
