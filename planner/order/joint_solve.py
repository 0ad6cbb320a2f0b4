"""Strip-down and sessions solved together, with proofs that hold for any number of repeats.

A plan in which a feature makes more toggles than its cap K_p costs at least the forced effort of all the others and
that of K_p + 1 toggles of p, and takes at least as long. So caps above which either the effort is more than asked
for, or the sessions cannot hold the work, lose nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import networkx as nx
from ortools.sat.python import cp_model

from planner.model.plan import Step
from planner.model.work import Task, Toggle, WorkList
from planner.order.calendar import Calendar
from planner.order.joint_model import (
    JointModel,
    bays_used,
    effort,
    free_toggles,
    joint_of,
    last_day,
)
from planner.order.schedule_bound import Floor
from planner.order.schedule_net import Place
from planner.order.schedule_search import Budget, bay_days
from planner.order.strip_bounds import Bounds, Node
from planner.order.strip_problem import most_toggles, state_after, toggle_number, toggle_price
from planner.order.thread import nodes_of, step_of

LITERALS = 5000
"""Literals (step, bay) up to which the joint model is worth its time."""
FIRST_TOGGLES = 2
"""So many more toggles than forced are looked at first."""
MORE_TOGGLES = 6
"""A cap is not raised further than so many above the forced count."""
MANY_TOGGLES = 40
"""Nor further than so many where only few are raised."""
RAISE = 4
ROUNDS = 8
"""So often caps are raised by so many to settle whether there is a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A work list ready for the joint model; ``ready_min`` is the first minute of each node by its purchases."""

    ready: WorkList
    """Prepared."""
    calendar: Calendar
    bounds: Bounds
    floor: Floor
    arrives_min: Mapping[str, int]
    """First minute of each purchase."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """An answer of the joint model: steps in order with the places of each (numbered as the steps stand).

    ``steps`` empty: none was found. ``proved``: it is the best there is, or there is none.
    """

    steps: tuple[Step, ...]
    places: tuple[Place, ...]
    cost: int
    day: int
    used: int
    proved: bool


NONE_FOUND = Answer(steps=(), places=(), cost=0, day=0, used=0, proved=False)


def caps_of(
    joint: Joint, calendar: Calendar, most_cost: int | None, more: int = MORE_TOGGLES
) -> tuple[dict[str, int], bool]:
    """Caps for plans within a calendar and an effort, and whether they lose nothing.

    They are at most ``more`` above the forced counts.
    """
    work = joint.ready
    room = sum(b.room * b.hands for b in calendar.bays)
    room -= sum(t.minutes * t.hands for t in work.tasks.values())
    forced = joint.bounds.forced
    caps, safe = {}, True
    for p, feature in work.features.items():
        limit = most_toggles(feature)
        count = forced[p]
        spare_min = room - sum(_work(joint, q, forced[q]) for q in forced)
        spare_cost = None if most_cost is None else most_cost - sum(_cost(joint, q, forced[q]) for q in forced)
        while limit is None or count < limit:
            more_min = _work(joint, p, count + 1) - _work(joint, p, forced[p])
            more_cost = _cost(joint, p, count + 1) - _cost(joint, p, forced[p])
            if more_min > spare_min or (spare_cost is not None and more_cost > spare_cost):
                break
            if count >= forced[p] + more:
                safe = False
                break
            count += 1
        while count > forced[p] and feature.goal is not None and state_after(feature, count) != feature.goal:
            count -= 1
        caps[p] = count
    return caps, safe


def _work(joint: Joint, p: str, count: int) -> int:
    """Hand-minutes of the first toggles of a feature."""
    toggles = (toggle_number(joint.ready.features[p], k) for k in range(1, count + 1))
    return sum(t.minutes * t.hands for t in toggles if t is not None)


def _cost(joint: Joint, p: str, count: int) -> int:
    """Effort of the first toggles of a feature with their owner's price on them [hand-min]."""
    toggles = (toggle_number(joint.ready.features[p], k) for k in range(1, count + 1))
    return sum(toggle_price(t) for t in toggles if t is not None)


def _built(joint: Joint, calendar: Calendar, caps: Mapping[str, int], *, relaxed: bool = False) -> JointModel | None:
    """The model within a calendar and caps; None when it is too large."""
    windows = joint.floor.windows(calendar)
    spans = {n: (windows.earliest[i], windows.latest[i]) for i, n in enumerate(joint.floor.nodes)}
    literals = sum(len(b) for b in windows.bays)
    literals += sum(max(0, caps[p] - joint.bounds.forced[p]) for p in caps) * len(calendar.bays)
    if literals > LITERALS:
        return None
    ready = {Node(t): _ready(joint, task) for t, task in joint.ready.tasks.items()}
    for p, feature in joint.ready.features.items():
        for k in range(1, caps[p] + 1):
            toggle = toggle_number(feature, k)
            if toggle is not None:
                ready[Node(p, k)] = _ready(joint, toggle)
    return joint_of(joint.ready, calendar, joint.bounds, caps, spans, ready, relaxed=relaxed)


def _ready(joint: Joint, piece: Task | Toggle) -> int:
    return max([0, *(joint.arrives_min.get(b, 0) for b in piece.purchases)])


def least_effort_by(joint: Joint, day: int, budget: Budget, known: Answer | None = None) -> Answer:
    """Least effort of a plan that is finished on ``day`` or before; of those the earliest day.

    ``proved`` with no steps: there is none, at any effort.
    """
    calendar = joint.calendar.up_to(day)
    if joint.floor.windows(calendar).empty:
        return replace(NONE_FOUND, proved=True)
    caps, safe = caps_of(joint, calendar, None, FIRST_TOGGLES)
    best = _least(joint, calendar, caps, budget, known)
    if best.steps and best.proved:
        # Within the caps; more toggles pay only below the effort found.
        wider, safe = caps_of(joint, calendar, best.cost - 1)
        if any(wider[p] > caps[p] for p in caps):
            better = _least(joint, calendar, wider, budget, best, below=best.cost)
            if not better.steps:
                return replace(best, proved=better.proved and safe)
            return replace(better, proved=better.proved and safe)
        return replace(best, proved=safe)
    if not best.steps and best.proved and not safe:
        return _any_number(joint, calendar, caps, budget, known)
    return replace(best, proved=best.proved and safe)


def _any_number(joint: Joint, calendar: Calendar, caps: dict[str, int], budget: Budget, known: Answer | None) -> Answer:
    """Settle whether there is a plan with any number of toggles: raise the caps where the relaxation goes wild."""
    most, _ = caps_of(joint, calendar, None, MANY_TOGGLES)
    for _ in range(ROUNDS):
        made = None if budget.over else _built(joint, calendar, caps, relaxed=True)
        if made is None:
            return NONE_FOUND
        made.model.minimize(cp_model.LinearExpr.sum(list(made.wild.values())))
        solver, status = budget.solve(made.model, budget.left_s / 2)
        if status == cp_model.INFEASIBLE:
            return replace(NONE_FOUND, proved=True)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return NONE_FOUND
        wild = [p for p, literal in made.wild.items() if solver.boolean_value(literal)]
        if not wild:
            found = _least(joint, calendar, caps, budget, known)
            return replace(found, proved=False)
        if all(caps[p] >= most[p] for p in wild):
            return NONE_FOUND
        caps = {p: min(most[p], count + RAISE * (p in wild)) for p, count in caps.items()}
    return NONE_FOUND


def _least(
    joint: Joint,
    calendar: Calendar,
    caps: Mapping[str, int],
    budget: Budget,
    known: Answer | None,
    below: int | None = None,
) -> Answer:
    """Least effort within caps, ``proved`` for plans within them; ``below`` an effort there is a plan of."""
    made = None if budget.over else _built(joint, calendar, caps)
    if made is None:
        return NONE_FOUND
    days = bay_days(calendar)
    last = last_day(made, days)
    price = effort(made)
    if below is not None:
        made.model.add(price < below)
    made.model.minimize(len(days) * ((len(made.present) + 1) * price + free_toggles(made)) + last)
    _hint(made, known)
    solver, status = budget.solve(made.model, budget.left_s / 2)
    if status == cp_model.INFEASIBLE:
        return replace(NONE_FOUND, proved=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return NONE_FOUND
    return _read(made, solver, proved=status == cp_model.OPTIMAL)


def fewest_sessions(joint: Joint, day: int, cost: int, budget: Budget, known: Answer) -> Answer:
    """Fewest sessions of a plan that is finished on ``day`` or before with an effort of ``cost`` at most."""
    calendar = joint.calendar.up_to(day)
    caps, safe = caps_of(joint, calendar, cost)
    made = _built(joint, calendar, caps)
    if made is None:
        return NONE_FOUND
    made.model.add(effort(made) <= cost)
    made.model.minimize(bays_used(made) * (len(made.present) + 1) + free_toggles(made))
    _hint(made, known)
    solver, status = budget.solve(made.model, budget.left_s / 2)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return NONE_FOUND
    return _read(made, solver, proved=safe and status == cp_model.OPTIMAL)


def _hint(made: JointModel, known: Answer | None) -> None:
    """Let the solver start from an answer found before."""
    if known is None or not known.steps:
        return
    nodes = nodes_of(known.steps)
    begins: dict[Node, int] = {}
    bays: set[tuple[Node, int]] = set()
    for place in known.places:
        begins.setdefault(nodes[place.step], place.start)
        bays.add((nodes[place.step], place.bay))
    for node, start in made.start.items():
        made.model.add_hint(start, begins.get(node, made.never))
        if node in made.present:
            made.model.add_hint(made.present[node], node in begins)
        for b, literal in made.inside[node].items():
            made.model.add_hint(literal, (node, b) in bays)


def _read(made: JointModel, solver: cp_model.CpSolver, *, proved: bool) -> Answer:
    """Read an answer: steps by their starts, those at one moment in an order that holds."""
    nodes = [n for n in made.start if n not in made.present or solver.boolean_value(made.present[n])]
    graph: nx.DiGraph[Node] = nx.DiGraph()
    graph.add_nodes_from(nodes)
    graph.add_edges_from((a, b) for a, b in _arcs(made, solver) if a in graph and b in graph)
    rank = {n: i for i, n in enumerate(made.start)}
    order = list(nx.lexicographical_topological_sort(graph, key=lambda n: (solver.value(made.start[n]), rank[n])))
    places = []
    for i, node in enumerate(order):
        for b, literal in made.inside[node].items():
            if solver.boolean_value(literal):
                begin, minutes = made.start[node], made.pieces_of[node].minutes
                if node in made.parts:
                    begin, size = made.parts[node][b]
                    minutes = solver.value(size)
                at = solver.value(begin)
                places.append(Place(step=i, bay=b, start=at, end=at + minutes))
    places.sort(key=lambda p: (p.start, p.step))
    return Answer(
        steps=tuple(step_of(n, made.work) for n in order),
        places=tuple(places),
        cost=int(solver.value(effort(made))),
        day=max((made.calendar.bays[p.bay].day for p in places), default=0),
        used=len({p.bay for p in places}),
        proved=proved,
    )


def _arcs(made: JointModel, solver: cp_model.CpSolver) -> Sequence[tuple[Node, Node]]:
    """What comes before what in an answer."""
    arcs = [(Node(a.task), Node(t)) for t, task in made.work.tasks.items() for a in task.after]
    for (node, p, k), literal in made.met.items():
        if solver.boolean_value(literal):
            arcs += [(Node(p, k), node), (node, Node(p, k + 1))]
    for node in made.present:
        toggle = made.pieces_of[node]
        arcs += [(Node(t), node) for t in (toggle.after if isinstance(toggle, Toggle) else ())]
        # Number 0 would be a task, which may have the same id as the feature.
        if node.number > 1:
            arcs.append((Node(node.ref, node.number - 1), node))
    return arcs
