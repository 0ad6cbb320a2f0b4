"""Bettering a true plan by solving parts of it to their least.

A part is grown round a feature that changes state more often than it must: two trips of it that could be one,
with all that must stand between, then whatever touches it, up to a size. What stands in a part may be put in any
order with any number of trips within the caps; the rest of the plan stays. Parts that do not better anything
make the next ones larger. Chance is seeded.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.model.plan import Step
from planner.model.work import WorkList
from planner.order.solver import SEED
from planner.order.strip_bounds import Bounds, Node, forced_counts
from planner.order.strip_constraints import constrain, set_objective
from planner.order.strip_model import StripModel, objective_scale, smallest_caps, weight, with_variables
from planner.order.strip_problem import prepared, toggle_number, toggle_price
from planner.order.strip_repair import is_plan
from planner.order.strip_solver import Clock, Search, solved
from planner.order.strip_window import Web, bits_of, web_of, window_work
from planner.order.thread import nodes_of, step_of

FIRST_SIZE = 50
"""Steps in a part to begin with."""
LARGEST_SIZE = 200
GROWTH = 1.25
"""Parts grow by this factor ..."""
IDLE = 8
"""... after so many in a row that bettered nothing."""
PART_S = 0.8
"""Longest time for one part."""
LOOK_S = 0.01
"""Choosing a part of any size is counted as so much."""
STEPS_PER_S = 6_000
"""Preparing a part of so many steps is counted as a second."""


def cost_of(work: WorkList, steps: tuple[Step, ...]) -> int:
    """Effort of all toggles of a sequence with their owner's own price [min x hands]."""
    found = (toggle_number(work.features[n.ref], n.number) for n in nodes_of(steps) if n.number)
    return sum(toggle_price(t) for t in found if t is not None)


@dataclass(slots=True, kw_only=True)
class Better:
    """The search at work on one plan."""

    work: WorkList
    forced: dict[str, int]
    steps: tuple[Step, ...]
    cost: int
    size: float = FIRST_SIZE
    idle: int = 0
    seen: set[tuple[Node, ...]] = field(default_factory=set)
    """Parts that cannot be bettered, for as long as they stand as they did."""
    dice: random.Random = field(default_factory=lambda: random.Random(SEED))  # noqa: S311 - a search, no secret

    def run(self, clock: Clock, bound: int) -> None:
        """Better the plan until the time is over, its cost is ``bound``, or the parts have grown too large."""
        web = web_of(self.work, self.steps)
        while not clock.over and self.cost > bound and self.size < min(LARGEST_SIZE, len(self.steps)):
            clock.left_s -= LOOK_S
            chosen = self._grown(web)
            key = tuple(web.nodes[i] for i in bits_of(chosen))
            if key in self.seen:
                self._missed()
                continue
            self.seen.add(key)
            if self._bettered(web, chosen, clock):
                self.idle = 0
                web = web_of(self.work, self.steps)
            else:
                self._missed()

    def _missed(self) -> None:
        self.idle += 1
        if self.idle >= IDLE:
            self.idle = 0
            self.size *= GROWTH

    def _grown(self, web: Web) -> int:
        """Choose a part: closed, and about as large as ``size``."""
        index = {n: i for i, n in enumerate(web.nodes)}
        total: dict[str, int] = {n.ref: n.number for n in web.nodes if n.number}
        extra = [p for p, count in total.items() if count > max(self.forced[p], 2)] or list(total)
        p = self.dice.choice(extra)
        k = self.dice.randrange(1, max(2, total[p]))
        chosen = web.closed(sum(1 << index[Node(p, j)] for j in (k, k + 1) if j <= total[p]))
        if chosen.bit_count() > self.size:
            chosen = web.closed(1 << index[Node(p, k)])
        for _ in range(6):
            fringe = self._fringe(web, chosen, index, total)
            self.dice.shuffle(fringe)
            grew = False
            for more in fringe:
                wider = web.closed(chosen | more)
                if wider != chosen and wider.bit_count() <= self.size:
                    chosen, grew = wider, True
            if not grew or chosen.bit_count() > 0.9 * self.size:
                break
        return chosen

    def _fringe(self, web: Web, chosen: int, index: dict[Node, int], total: dict[str, int]) -> list[int]:
        """What touches a part: the next toggles of its features, and what its toggles serve."""
        found: set[int] = set()
        for i in bits_of(chosen):
            node = web.nodes[i]
            if node.number:
                near = (Node(node.ref, j) for j in (node.number - 1, node.number + 1) if 1 <= j <= total[node.ref])
                found |= {1 << index[n] for n in (*near, *web.serves[node])}
            else:
                found |= {
                    1 << index[Node(d.feature, k)]
                    for d in self.work.tasks[node.ref].demands
                    for k in range(1, total.get(d.feature, 0) + 1)
                }
        return sorted(found)

    def _bettered(self, web: Web, chosen: int, clock: Clock) -> bool:
        """Solve a part and put it back when it is cheaper."""
        early, middle, late = web.told(chosen)
        clock.left_s -= len(middle) / STEPS_PER_S
        sub = window_work(self.work, early, middle, late)
        if sub is None:
            return False
        part = clock.part(PART_S)
        found = lesser(prepared(sub), tuple(middle), cost_of(sub, tuple(middle)), part)
        clock.take_back(part)
        if found is None:
            return False
        steps = (*early, *found, *late)
        cost = cost_of(self.work, steps)
        if cost >= self.cost or not is_plan(self.work, steps):
            return False
        self.steps, self.cost = steps, cost
        return True


def lesser(work: WorkList, steps: tuple[Step, ...], cost: int, clock: Clock) -> tuple[Step, ...] | None:
    """Find a plan of a prepared work list that costs less than the one there is, with no more trips of anything."""
    bounds = forced_counts(work)
    if bounds.impossible or floor_of(work, bounds) >= cost:
        return None
    caps = smallest_caps(work, bounds)
    for node in nodes_of(steps):
        if node.ref in caps:
            caps[node.ref] = max(caps[node.ref], node.number)
    made = with_variables(work, bounds, caps, allow_wild=False)
    constrain(made)
    set_objective(made, floor_of(work, bounds), cost)
    solver, status = solved(made.model, clock, Search.CORES)
    return steps_of(made, solver) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def floor_of(work: WorkList, bounds: Bounds) -> int:
    """Cost of the forced toggles alone [min x hands]: no plan costs less."""
    scale = objective_scale(work)
    return sum(weight(work.features[p], k, scale) for p, n in bounds.forced.items() for k in range(1, n + 1)) // scale


def steps_of(made: StripModel, solver: cp_model.CpSolver) -> tuple[Step, ...]:
    """Read the sequence of steps from a solution without wilds."""
    done = [n for n in made.position if n.number == 0 or solver.boolean_value(made.present[n])]
    rank = {n: i for i, n in enumerate(made.position)}
    done.sort(key=lambda n: (solver.value(made.position[n]), rank[n]))
    return tuple(step_of(n, made.work) for n in done)
