"""What no plan whatever can beat, at any effort: a net of only those steps that every plan holds.

Every plan holds all tasks and, of each feature, its forced toggles (:mod:`planner.order.strip_bounds`). Counted from
the first, the k-th toggle comes before whatever has at least k toggles of the feature before it: that net gives
earliest starts. Counted from the last, it comes after whatever has at least k after it: that one gives latest ends.
The toggles take at least the effort proved for the least strip-down, wherever they lie.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import networkx as nx

from planner.model.catalog import Work
from planner.model.plan import Strip
from planner.model.work import Demand, Feature, Task, Toggle, WorkList
from planner.order.calendar import Calendar
from planner.order.schedule_net import Net, here_min, plain_net
from planner.order.schedule_windows import Windows, windows_of
from planner.order.strip_bounds import Bounds, Node, forced_counts
from planner.order.strip_problem import prepared, toggle_number


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """The two nets, with the number of each task in both; ``filler_min`` is toggle work beyond the forced ones."""

    front: Net
    back: Net
    nodes: tuple[Node, ...]
    """Of the front net."""
    tasks: tuple[tuple[int, int], ...]
    filler_min: int

    def windows(self, calendar: Calendar) -> Windows:
        """Windows of the front net within a calendar; an empty one refutes every plan."""
        back = windows_of(self.back.within(calendar))
        front = self.front.within(calendar)
        end = calendar.bays[-1].closes if calendar.bays else 0
        tails = [0] * front.size
        for ahead, behind in self.tasks:
            tails[ahead] = max(0, end - back.latest[behind])
        found = windows_of(front, tails=tails)
        work = sum(m * h for m, h in zip(front.minutes, front.hands, strict=True)) + self.filler_min
        room = sum(b.room * b.hands for b in calendar.bays)
        if back.empty or (work > room and front.size):
            return replace(found, bays=((), *found.bays[1:]))
        return found


def ready_for_holds(work: WorkList) -> WorkList:
    """Prepare a work list, with the features kept that only a hold may want changed."""
    asked = tuple(dict.fromkeys(replace(d, last=False) for hold in work.holds.values() for d in hold.demands))
    if not asked:
        return prepared(work)
    # Only the preparing sees these tasks: what they ask for counts as wanted.
    wishes = {f"hold {i}": _wish(f"hold {i}", demand) for i, demand in enumerate(asked)}
    ready = prepared(replace(work, tasks={**work.tasks, **wishes}))
    return replace(ready, tasks={t: task for t, task in ready.tasks.items() if t not in wishes})


def _wish(id_: str, demand: Demand) -> Task:
    return Task(id=id_, title=id_, work=Work.PLANNING, minutes=0, demands=(demand,))


def floor_of(ready: WorkList, strip: Strip, calendar: Calendar, arrives: Mapping[str, date]) -> Floor:
    """Make the nets of a prepared work list whose least strip-down is known."""
    bounds = forced_counts(ready)
    front, numbers_front = _net(ready, calendar, arrives, _front_edges(ready, bounds), _front_toggles(ready, bounds))
    back, numbers_back = _net(ready, calendar, arrives, _back_edges(ready, bounds), _back_toggles(ready, bounds))
    forced = sum(t.minutes * t.hands for t in _front_toggles(ready, bounds).values())
    liked = all(not t.dislike_min for f in ready.features.values() for t in f.toggles)
    filler = max(0, strip.bound - forced) if liked else 0
    return Floor(
        front=front,
        back=back,
        nodes=tuple(numbers_front),
        tasks=tuple((numbers_front[Node(t)], numbers_back[Node(t)]) for t in ready.tasks),
        filler_min=filler,
    )


Edges = dict[tuple[Node, Node], int]
"""(Before, after) -> least wall-clock lag [min]."""


def _task_edges(work: WorkList) -> Edges:
    edges: Edges = {}
    for task in work.tasks.values():
        for after in task.after:
            key = (Node(after.task), Node(task.id))
            edges[key] = max(after.lag_min, edges.get(key, 0))
    return edges


def _front_toggles(work: WorkList, bounds: Bounds) -> dict[Node, Toggle]:
    found = {}
    for p, count in bounds.forced.items():
        for k in range(1, count + 1):
            toggle = toggle_number(work.features[p], k)
            if toggle is not None:
                found[Node(p, k)] = toggle
    return found


def _front_edges(work: WorkList, bounds: Bounds) -> Edges:
    edges = _task_edges(work)
    for p, count in bounds.forced.items():
        for k in range(1, count + 1):
            if k > 1:
                edges[Node(p, k - 1), Node(p, k)] = 0
            toggle = toggle_number(work.features[p], k)
            for task_id in toggle.after if toggle else ():
                edges[Node(task_id), Node(p, k)] = 0
    for (node, p), count in bounds.before.items():
        if count and node != Node(p, count):
            edges.setdefault((Node(p, count), node), 0)
    for task in work.tasks.values():
        for demand in task.demands:
            count = bounds.forced.get(demand.feature, 0)
            if demand.last and count:
                edges.setdefault((Node(demand.feature, count), Node(task.id)), 0)
    return edges


def _back_toggles(work: WorkList, bounds: Bounds) -> dict[Node, Toggle]:
    """Toggle k of these is the k-th from the last: known where the feature has a goal, else the shorter of the two."""
    found = {}
    for p, count in bounds.forced.items():
        feature = work.features[p]
        for k in range(1, count + 1):
            toggle = _from_last(feature, k)
            if toggle is not None:
                found[Node(p, k)] = toggle
    return found


def _from_last(feature: Feature, k: int) -> Toggle | None:
    if feature.goal is not None:
        return feature.turn_on if feature.goal == (k % 2 == 1) else feature.turn_off
    both = feature.toggles
    if not both:
        return None
    return replace(
        both[0], minutes=min(t.minutes for t in both), hands=min(t.hands for t in both), purchases=(), after=()
    )


def _back_edges(work: WorkList, bounds: Bounds) -> Edges:
    edges = _task_edges(work)
    for p, count in bounds.forced.items():
        for k in range(1, count + 1):
            if k > 1:
                edges[Node(p, k), Node(p, k - 1)] = 0
            toggle = _from_last(work.features[p], k)
            for task_id in toggle.after if toggle else ():
                edges[Node(task_id), Node(p, k)] = 0
    for (node, p), count in bounds.after.items():
        if not count or node.number:
            continue
        keep = 0
        task = work.tasks[node.ref]
        if any(d.feature == p for d in task.demands):
            keep = task.keep_min
        edges[node, Node(p, count)] = keep
    return edges


def _net(
    work: WorkList, calendar: Calendar, arrives: Mapping[str, date], edges: Edges, toggles: Mapping[Node, Toggle]
) -> tuple[Net, dict[Node, int]]:
    pieces: dict[Node, Task | Toggle] = {Node(t): task for t, task in work.tasks.items()} | dict(toggles)
    graph: nx.DiGraph[Node] = nx.DiGraph()
    graph.add_nodes_from(pieces)
    graph.add_edges_from((a, b) for a, b in edges if a in pieces and b in pieces)
    order = list(nx.lexicographical_topological_sort(graph))
    number = {n: i for i, n in enumerate(order)}
    before: list[dict[int, int]] = [{} for _ in order]
    for (a, b), lag in edges.items():
        if a in pieces and b in pieces:
            before[number[b]][number[a]] = lag
    return plain_net([pieces[n] for n in order], before, calendar, here_min(work, calendar, arrives)), number
