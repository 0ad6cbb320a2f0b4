"""The steps of a plan as a network: what each must come after, with what follows from the rest left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import networkx as nx

from planner.draw.layered import layers_of
from planner.draw.plan_steps import in_order
from planner.model.plan import Chain, Plan
from planner.model.work import WorkList
from planner.order.binds_slots import row_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """One slot of the plan: where it stands, and what it must come after.

    ``column`` is its layer within the strip; ``drawn`` are those it must come after whose arcs are drawn, ``told``
    those told by number; the value is the wait between them [min].
    """

    slot: int
    column: int
    drawn: Mapping[int, int]
    told: Mapping[int, int]
    binds: bool
    held_by: int | None
    """The slot that it waits for in the chain that binds the finish."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A few layers of one session, side by side."""

    session: int
    first: bool
    nodes: tuple[Node, ...]


def order_net(
    plan: Plan,
    before: Mapping[int, Mapping[int, int]],
    chain: Chain | None,
    heights: Mapping[int, float],
    most: tuple[int, float],
) -> list[Strip]:
    """The network in strips, session by session.

    Parameters
    ----------
    before : mapping of slot to mapping of slot to int
        What each must directly come after, with the wait [min].
    heights : mapping of slot to float
        How much room each takes in its column [mm].
    most : (int, float)
        Columns in a strip, and room in a column [mm].
    """
    columns, high = most
    bound = {t.slot: t.after for t in chain.ties} if chain is not None else {}
    sessions: dict[int, list[int]] = {}
    for i in in_order(plan):
        sessions.setdefault(plan.slots[i].session, []).append(i)
    strips = []
    for session, members in sessions.items():
        layer = _layers(members, before, heights, high)
        for start in range(0, max(layer.values()) + 1, columns):
            inside = [i for i in members if start <= layer[i] < start + columns]
            nodes = tuple(
                Node(
                    slot=i,
                    column=layer[i] - start,
                    drawn={o: lag for o, lag in before[i].items() if o in inside},
                    told={o: lag for o, lag in before[i].items() if o not in inside or lag > 0},
                    binds=i in bound,
                    held_by=bound.get(i),
                )
                for i in inside
            )
            strips.append(Strip(session=session, first=start == 0, nodes=nodes))
    return strips


def must_follow(work: WorkList, plan: Plan) -> dict[int, dict[int, int]]:
    """For each slot those it must directly come after, with the wait [min].

    Transitive reduction leaves out what follows from the rest; pairs with a wait are kept in any case.

    Raises
    ------
    ValueError
        The slots are no valid sequence of steps.
    """
    if not plan.slots:
        return {}
    row = row_of(work, plan)
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(range(len(plan.slots)))
    graph.add_edges_from((o, i) for i, before in enumerate(row.before) for o in before)
    least = nx.transitive_reduction(graph)
    return {
        i: {o: lag for o, lag in sorted(before.items()) if lag > 0 or least.has_edge(o, i)}
        for i, before in enumerate(row.before)
    }


def _layers(
    members: list[int], before: Mapping[int, Mapping[int, int]], heights: Mapping[int, float], high: float
) -> dict[int, int]:
    place = {i: n for n, i in enumerate(members)}
    pairs = [(place[o], place[i]) for i in members for o in before[i] if o in place]
    layers = layers_of([heights[i] for i in members], pairs, high)
    return {i: layers[n] for i, n in place.items()}
