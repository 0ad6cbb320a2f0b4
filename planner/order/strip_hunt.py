"""The search for the least strip-down: solve the relaxation, raise the caps where it goes wild, stop with a proof.

Let c* be the least cost over any number of repeats. The relaxation's optimum r(K) under caps K satisfies r(K)
<= c*: a plan within the caps is a solution of it, and one beyond them maps to a solution with wilds that costs
no more. So

- an optimum without wilds is a true plan of cost r(K) = c*: proved;
- a relaxation without a solution proves that there is no plan at all;
- any true plan of cost equal to the best r(K) so far is proved as well.

Once a true plan is known the relaxation is asked for less than its cost only; none then proves that plan.

Within fixed caps and without wilds neither OPTIMAL nor INFEASIBLE would prove anything. Every answer of the
relaxation is repaired into a true plan, so there is one at any time.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.model.plan import Step
from planner.model.work import WorkList
from planner.order.strip_bounds import Bounds, Node, counts_within, forced_counts
from planner.order.strip_constraints import constrain, set_objective
from planner.order.strip_model import StripModel, likely_caps, may_go_on, smallest_caps, with_variables
from planner.order.strip_reach import pairs_rule_out, search, space_of
from planner.order.strip_repair import is_plan, repaired
from planner.order.thread import nodes_of, piece_of, step_of

SEED = 7
SHARES = (0.6, 0.25, 0.15)
"""Of the time limit: for the proof, for a better plan when the proof is not had by then, and for the proof
again."""
WORK_PER_S = 0.2
"""Units of the solver's own measure of work that stand for a second, so that a time-out comes at the same
moment in every run."""
CONSTRAINTS_PER_S = 20_000
"""Building a model of so many constraints is counted as a second."""
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


@dataclass(slots=True, kw_only=True)
class Hunt:
    """What is known so far in one search: ``steps`` is the best true plan, of ``cost``; ``bound`` is proved."""

    work: WorkList
    bounds: Bounds
    left_s: float
    bound: int = 0
    cost: int | None = None
    steps: tuple[Step, ...] = ()
    impossible: bool = False
    caps: dict[str, int] = field(default_factory=dict)
    raised: dict[str, int] = field(default_factory=dict)
    """How often each cap was raised."""
    hint: dict[Node, tuple[int, int]] = field(default_factory=dict)
    """Position and presence of every node in the last answer."""

    def keep(self, steps: tuple[Step, ...]) -> None:
        """Remember a true plan when it is the best yet."""
        cost = cost_of(self.work, steps)
        if self.cost is None or cost < self.cost:
            self.cost, self.steps = cost, steps

    @property
    def settled(self) -> bool:
        """Whether there is nothing left to find out."""
        return self.impossible or (self.cost is not None and self.cost <= self.bound)


def cost_of(work: WorkList, steps: tuple[Step, ...]) -> int:
    """Effort of all toggles of a sequence [min x hands]."""
    pieces = (piece_of(n, work) for n in nodes_of(steps) if n.number)
    return sum(p.minutes * p.hands for p in pieces)


def hunted(work: WorkList, limit_s: float) -> Hunt:
    """Search a prepared work list until it is settled or the time is over."""
    bounds = forced_counts(work)
    hunt = Hunt(work=work, bounds=bounds, left_s=limit_s * SHARES[0], impossible=bounds.impossible)
    if bounds.growing:
        _reach(hunt)
    if not hunt.settled:
        hunt.caps = smallest_caps(work, bounds)
        _prove(hunt)
    for share, stage in zip(SHARES[1:], (_better, _prove), strict=True):
        if not hunt.settled:
            hunt.left_s = max(hunt.left_s, 0.0) + limit_s * share
            stage(hunt)
    return hunt


def can_be_done(work: WorkList, limit_s: float) -> bool:
    """Whether a prepared work list has any plan; True as well when the time was not enough to tell."""
    bounds = forced_counts(work)
    if bounds.impossible:
        return False
    steps = repaired(work, list(work.tasks))
    if steps is not None and is_plan(work, steps):
        return True
    caps = smallest_caps(work, bounds)
    made = with_variables(work, bounds, caps, allow_wild=False)
    constrain(made)
    _, status = _solved(made, Hunt(work=work, bounds=bounds, left_s=limit_s / 2, caps=caps))
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return True
    return not hunted(work, limit_s).impossible


def _prove(hunt: Hunt) -> None:
    """Raise the caps until the relaxation needs no wild."""
    rounds = 0
    while not hunt.settled and hunt.left_s > 0:
        made = with_variables(hunt.work, hunt.bounds, hunt.caps, allow_wild=True)
        constrain(made)
        set_objective(made, hunt.bound, hunt.cost)
        _add_hint(made, hunt.hint)
        solver, status = _solved(made, hunt)
        if status == cp_model.INFEASIBLE:
            if hunt.cost is None:
                hunt.impossible = True
            else:
                hunt.bound = hunt.cost
            return
        hunt.bound = max(hunt.bound, _bound(solver, made.scale))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return
        wild = _take(hunt, made, solver)
        if status != cp_model.OPTIMAL:
            return
        rounds += 1
        if rounds == REACH_AT and wild:
            _reach(hunt)
        for p in wild:
            hunt.raised[p] = hunt.raised.get(p, 0) + 1
            hunt.caps[p] += 2 ** hunt.raised[p]
        if wild and rounds in WITHIN_AT and not hunt.settled:
            _within(hunt, likely_caps(hunt.work, hunt.caps), hunt.left_s * SHARE_WITHIN)


def _take(hunt: Hunt, made: StripModel, solver: cp_model.CpSolver) -> list[str]:
    """Make a true plan of an answer of the relaxation; returns the features that went wild in it."""
    wild = [p for p, literal in made.wild.items() if solver.boolean_value(literal)]
    hunt.hint = {
        n: (solver.value(v), solver.value(made.present[n]) if n in made.present else 1)
        for n, v in made.position.items()
    }
    if not wild:
        hunt.keep(_steps(made, solver))
    else:
        steps = repaired(hunt.work, sorted(hunt.work.tasks, key=lambda t: hunt.hint[Node(t)][0]))
        if steps is not None and is_plan(hunt.work, steps):
            hunt.keep(steps)
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


def _better(hunt: Hunt) -> None:
    """Better the plan that is there within somewhat wider caps."""
    caps = dict(hunt.caps)
    for p in hunt.raised or hunt.caps:
        if may_go_on(hunt.work.features[p], caps[p] + 1):
            caps[p] += 2
    for node in nodes_of(hunt.steps):
        if node.number:
            caps[node.ref] = max(caps[node.ref], node.number)
    _within(hunt, caps, hunt.left_s)


def _within(hunt: Hunt, caps: dict[str, int], budget_s: float) -> None:
    """Find the least true plan within caps; it gives an answer and proves nothing."""
    bounds = counts_within(hunt.work, caps)
    if bounds.impossible:
        return
    made = with_variables(hunt.work, bounds, caps, allow_wild=False)
    constrain(made)
    set_objective(made, hunt.bound)
    if hunt.steps:
        _add_hint(made, dict.fromkeys(made.present, (0, 0)) | {n: (i, 1) for i, n in enumerate(nodes_of(hunt.steps))})
    left_s = hunt.left_s
    hunt.left_s = budget_s
    solver, status = _solved(made, hunt)
    hunt.left_s += left_s - budget_s
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        hunt.keep(_steps(made, solver))


def _add_hint(made: StripModel, hint: dict[Node, tuple[int, int]]) -> None:
    """Let the solver start from an answer found before."""
    last = made.most_position
    for node, (position, present) in hint.items():
        if node in made.position:
            made.model.add_hint(made.position[node], position if present else last)
        if node in made.present:
            made.model.add_hint(made.present[node], present)


def _solved(made: StripModel, hunt: Hunt) -> tuple[cp_model.CpSolver, int]:
    """Solve one model in the time that is left; without an objective the first answer ends it."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 0
    solver.parameters.random_seed = SEED
    hunt.left_s -= len(made.model.proto.constraints) / CONSTRAINTS_PER_S
    budget_s = max(hunt.left_s, 0.05)
    solver.parameters.max_deterministic_time = budget_s * WORK_PER_S
    # A slow machine may need longer for the same work; beyond this the user has waited enough.
    solver.parameters.max_time_in_seconds = 2 * budget_s
    status = solver.solve(made.model)
    hunt.left_s -= solver.response_proto.deterministic_time / WORK_PER_S
    return solver, int(status)


def _bound(solver: cp_model.CpSolver, scale: int) -> int:
    """Proved least cost [min x hands] from the objective bound; free toggles only add to the objective."""
    return max(0, round(solver.best_objective_bound)) // scale


def _steps(made: StripModel, solver: cp_model.CpSolver) -> tuple[Step, ...]:
    """Read the sequence of steps from a solution without wilds."""
    done = [n for n in made.position if n.number == 0 or solver.boolean_value(made.present[n])]
    rank = {n: i for i, n in enumerate(made.position)}
    done.sort(key=lambda n: (solver.value(made.position[n]), rank[n]))
    return tuple(step_of(n, made.work) for n in done)
