"""The search for the least strip-down: solve the relaxation, raise the caps where it goes wild, stop with a proof.

Let c* be the least cost over any number of repeats. The relaxation's optimum r(K) under caps K satisfies r(K)
<= c*: a plan within the caps is a solution of it, and one beyond them maps to a solution with wilds that costs
no more. So

- an optimum without wilds is a true plan of cost r(K) = c*: proved;
- a relaxation without a solution proves that there is no plan at all;
- any true plan of cost equal to the best r(K) so far is proved as well.

Once a true plan is known the relaxation is asked for less than its cost only; none then proves that plan.

Within fixed caps and without wilds neither OPTIMAL nor INFEASIBLE would prove anything. A walk through the
tasks gives a true plan before anything is solved, every answer of the relaxation is repaired into another, and
what is best is bettered part by part (strip_better), so there is a plan and a bound at any time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import networkx as nx
from ortools.sat.python import cp_model

from planner.model.plan import Step
from planner.model.work import WorkList
from planner.order.halt import Halt
from planner.order.strip_better import Better, cost_of, floor_of, steps_of
from planner.order.strip_bounds import Bounds, Node, counts_within, forced_counts
from planner.order.strip_constraints import constrain, set_objective
from planner.order.strip_model import StripModel, likely_caps, may_go_on, smallest_caps, with_variables
from planner.order.strip_reach import pairs_rule_out, search, space_of
from planner.order.strip_repair import is_plan, repaired
from planner.order.strip_solver import CONSTRAINTS_PER_S, Clock, Search, solved
from planner.order.thread import nodes_of

FIRST_SHARE = 0.5
"""Of the time: for a first bound, ..."""
FIRST_S = 1.5
"""... but no more than this: it is found soon or late."""
WORTH_S = 0.1
"""With less time than this, after it is built, no model of the whole is begun."""
CONSTRAINTS_PER_STEP = 13
"""Of the model of the whole, about."""
BETTER_SHARE = 0.6
"""Of the time left after it: for bettering the plan, when the first bound was not the answer."""
PARTS_SHARE = 0.5
"""Of that: for bettering it part by part."""
FINISH_SHARE = 0.1
"""Of the time left after that: kept for bettering what the proof has turned up."""
ROUND_SHARE = 0.5
"""Of the time left to the proof: for one look by the floor, before the same by cores."""
STATES = 60_000
"""States looked at before the plain search gives up (about a second)."""
FEW = 14
"""Features up to which the plain search is worth its time."""
WITHIN_AT = (1, 3, 6, 10)
"""Rounds with wilds after which a true plan is looked for within the caps raised by then."""
SHARE_WITHIN = 0.2
"""Of the time left, for one such look."""
REACH_AT = 3
"""Rounds with wilds after which the tests without caps are asked."""
NODES_PER_S = 1_500
"""Forced counts and a first walk of a work list of so many tasks and features are counted as a second."""


@dataclass(slots=True, kw_only=True)
class Hunt:
    """What is known so far in one search: ``steps`` is the best true plan, of ``cost``; ``bound`` is proved."""

    work: WorkList
    bounds: Bounds
    clock: Clock
    bound: int = 0
    cost: int | None = None
    steps: tuple[Step, ...] = ()
    impossible: bool = False
    caps: dict[str, int] = field(default_factory=dict)
    raised: dict[str, int] = field(default_factory=dict)
    """How often each cap was raised."""
    rounds: int = 0
    """Optimal answers of the relaxation with a wild in them."""
    hint: dict[Node, tuple[int, int]] = field(default_factory=dict)
    """Position and presence of every node in the last answer."""

    def keep(self, steps: tuple[Step, ...]) -> None:
        """Remember a true plan when it is the best yet."""
        cost = cost_of(self.work, steps)
        if self.cost is None or cost < self.cost:
            self.cost, self.steps = cost, steps

    def keep_walked(self, order: Sequence[str]) -> None:
        """Walk the tasks about in this order and remember it when it is a true plan and the best yet."""
        steps = repaired(self.work, order)
        if steps is not None and is_plan(self.work, steps):
            self.keep(steps)

    @property
    def settled(self) -> bool:
        """Whether there is nothing left to find out."""
        return self.impossible or (self.cost is not None and self.cost <= self.bound)

    @property
    def done(self) -> bool:
        """Whether to end."""
        return self.settled or self.clock.over


def hunted(work: WorkList, limit_s: float, halt: Halt) -> Hunt:
    """Search a prepared work list until it is settled or the time is over."""
    bounds = forced_counts(work)
    hunt = Hunt(work=work, bounds=bounds, clock=Clock(left_s=limit_s, halt=halt), impossible=bounds.impossible)
    hunt.clock.left_s -= (len(work.tasks) + len(work.features)) / NODES_PER_S
    if not hunt.impossible:
        _walk(hunt)
        hunt.bound = floor_of(work, bounds)
        if bounds.growing:
            _reach(hunt)
        hunt.caps = smallest_caps(work, bounds)
    first_s = min(FIRST_S, hunt.clock.left_s * FIRST_SHARE)
    until_s = hunt.clock.left_s - first_s
    while not hunt.done and _round(hunt, hunt.clock.left_s - until_s, Search.FLOOR):
        pass
    if not hunt.done:
        _better(hunt, BETTER_SHARE)
    _prove(hunt)
    if not hunt.settled and hunt.cost is None:
        _widen(hunt)
    if not hunt.done:
        _better(hunt, 1.0)
    return hunt


def can_be_done(work: WorkList, limit_s: float) -> bool:
    """Whether a prepared work list has any plan; True as well when the time was not enough to tell."""
    bounds = forced_counts(work)
    if bounds.impossible:
        return False
    steps = repaired(work, list(work.tasks))
    if steps is not None and is_plan(work, steps):
        return True
    made = with_variables(work, bounds, smallest_caps(work, bounds), allow_wild=False)
    constrain(made)
    _, status = solved(made.model, Clock(left_s=limit_s / 2, halt=Halt()), Search.CORES)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return True
    return not hunted(work, limit_s, Halt()).impossible


def _walk(hunt: Hunt) -> None:
    """Find a first plan: do the tasks as they are listed, each after those it waits for."""
    work = hunt.work
    graph: nx.DiGraph[str] = nx.DiGraph((a.task, t.id) for t in work.tasks.values() for a in t.after)
    graph.add_nodes_from(work.tasks)
    rank = {t: i for i, t in enumerate(work.tasks)}
    hunt.keep_walked(list(nx.lexicographical_topological_sort(graph, key=rank.__getitem__)))


def _prove(hunt: Hunt) -> None:
    """Raise the caps until the relaxation needs no wild."""
    kept = hunt.clock.left_s * FINISH_SHARE
    hunt.clock.left_s -= kept
    while not hunt.done:
        if _round(hunt, hunt.clock.left_s * ROUND_SHARE, Search.FLOOR) or hunt.done:
            continue
        if not _round(hunt, hunt.clock.left_s, Search.CORES):
            break
    hunt.clock.left_s += kept


def _round(hunt: Hunt, budget_s: float, search: Search) -> bool:
    """Solve the relaxation under the present caps; False when the time was not enough."""
    if not _worth(hunt, hunt.caps, budget_s):
        return False
    made = with_variables(hunt.work, hunt.bounds, hunt.caps, allow_wild=True)
    constrain(made)
    set_objective(made, hunt.bound, hunt.cost)
    _add_hint(made, hunt.hint)
    part = hunt.clock.part(budget_s)
    solver, status = solved(made.model, part, search)
    hunt.clock.take_back(part)
    if status == cp_model.INFEASIBLE:
        if hunt.cost is None:
            hunt.impossible = True
        else:
            hunt.bound = hunt.cost
        return True
    hunt.bound = max(hunt.bound, _bound(solver, made.scale))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return False
    wild = _take(hunt, made, solver)
    if status != cp_model.OPTIMAL:
        return False
    if wild and not hunt.settled:
        _raise(hunt, wild)
    return True


def _worth(hunt: Hunt, caps: dict[str, int], budget_s: float) -> bool:
    """Whether there is time to build a model of the whole and do something with it."""
    build_s = (len(hunt.work.tasks) + sum(caps.values())) * CONSTRAINTS_PER_STEP / CONSTRAINTS_PER_S
    return budget_s > build_s + WORTH_S


def _raise(hunt: Hunt, wild: list[str]) -> None:
    """Let the features that went wild make more toggles, and look for a plan now and then."""
    hunt.rounds += 1
    if hunt.rounds == REACH_AT:
        _reach(hunt)
    for p in wild:
        hunt.raised[p] = hunt.raised.get(p, 0) + 1
        hunt.caps[p] += 2 ** hunt.raised[p]
    if hunt.rounds in WITHIN_AT and not hunt.done:
        _within(hunt, likely_caps(hunt.work, hunt.caps), hunt.clock.left_s * SHARE_WITHIN)


def _take(hunt: Hunt, made: StripModel, solver: cp_model.CpSolver) -> list[str]:
    """Make a true plan of an answer of the relaxation; returns the features that went wild in it."""
    wild = [p for p, literal in made.wild.items() if solver.boolean_value(literal)]
    hunt.hint = {
        n: (solver.value(v), solver.value(made.present[n]) if n in made.present else 1)
        for n, v in made.position.items()
    }
    if wild:
        hunt.keep_walked(sorted(hunt.work.tasks, key=lambda t: hunt.hint[Node(t)][0]))
    else:
        hunt.keep(steps_of(made, solver))
    return wild


def _reach(hunt: Hunt) -> None:
    """Ask the tests that know no caps whether there is any plan."""
    space = space_of(hunt.work)
    if hunt.cost is None and pairs_rule_out(space):
        hunt.impossible = True
    elif len(hunt.work.features) <= FEW:
        found = search(space, STATES)
        if found is False:
            hunt.impossible = True
        elif isinstance(found, tuple):
            hunt.keep(found)
            hunt.bound = cost_of(hunt.work, found)


def _better(hunt: Hunt, share: float) -> None:
    """Better the plan there is, part by part and then all at once; without one, look for one within the caps."""
    part = hunt.clock.part(hunt.clock.left_s * share)
    kept, hunt.clock = hunt.clock, part
    if hunt.cost is not None:
        whole = _worth(hunt, hunt.caps, part.left_s * (1 - PARTS_SHARE))
        parts = part.part(part.left_s * (PARTS_SHARE if whole else 1.0))
        better = Better(work=hunt.work, forced=hunt.bounds.forced, steps=hunt.steps, cost=hunt.cost)
        better.run(parts, hunt.bound)
        hunt.keep(better.steps)
        part.take_back(parts)
    if not hunt.done:
        _within(hunt, hunt.caps if hunt.cost is not None else likely_caps(hunt.work, hunt.caps), part.left_s)
    hunt.clock = kept
    hunt.clock.take_back(part)


def _widen(hunt: Hunt) -> None:
    """Look for any plan within somewhat wider caps."""
    caps = dict(hunt.caps)
    for p in hunt.raised or hunt.caps:
        if may_go_on(hunt.work.features[p], caps[p] + 1):
            caps[p] += 2
    _within(hunt, caps, hunt.clock.left_s)


def _within(hunt: Hunt, caps: dict[str, int], budget_s: float) -> None:
    """Find the least true plan within caps and those of the best plan; it gives an answer and proves nothing."""
    if not _worth(hunt, caps, budget_s):
        return
    nodes = nodes_of(hunt.steps)
    caps = dict(caps)
    for node in nodes:
        if node.number:
            caps[node.ref] = max(caps[node.ref], node.number)
    hunt.clock.left_s -= (len(hunt.work.tasks) + len(hunt.work.features)) / NODES_PER_S
    bounds = counts_within(hunt.work, caps)
    if bounds.impossible:
        return
    made = with_variables(hunt.work, bounds, caps, allow_wild=False)
    constrain(made)
    # The plan itself is let in: from it the search begins.
    set_objective(made, hunt.bound, None if hunt.cost is None else hunt.cost + 1)
    if nodes:
        _add_hint(made, dict.fromkeys(made.present, (0, 0)) | {n: (i, 1) for i, n in enumerate(nodes)})
    part = hunt.clock.part(budget_s)
    solver, status = solved(made.model, part, Search.PLANS)
    hunt.clock.take_back(part)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        hunt.keep(steps_of(made, solver))


def _add_hint(made: StripModel, hint: dict[Node, tuple[int, int]]) -> None:
    """Let the solver start from an answer found before."""
    last = made.most_position
    for node, (position, present) in hint.items():
        if node in made.position:
            made.model.add_hint(made.position[node], position if present else last)
        if node in made.present:
            made.model.add_hint(made.present[node], present)


def _bound(solver: cp_model.CpSolver, scale: int) -> int:
    """Proved least cost [min x hands] from the objective bound; free toggles only add to the objective."""
    return max(0, round(solver.best_objective_bound)) // scale
