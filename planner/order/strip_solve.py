"""The least strip-down: solve the relaxation, raise the caps where it goes wild, stop with a proof.

Let c* be the least cost over any number of repeats. The relaxation's optimum r(K) under caps K satisfies r(K) <= c*: a plan within
the caps is a solution of it, and one beyond them maps to a solution with wilds that costs no more. So

- an optimum without wilds is a true plan of cost r(K) = c*: proved;
- a relaxation without a solution proves that there is no plan at all;
- any true plan of cost equal to the best r(K) so far is proved as well.

Within fixed caps and without wilds neither OPTIMAL nor INFEASIBLE would prove anything.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.model.effects import Proof
from planner.model.plan import Step, Strip
from planner.model.work import WorkList
from planner.order.strip_bounds import Bounds, Node, forced_counts
from planner.order.strip_constraints import constrain
from planner.order.strip_model import StripModel, may_go_on, smallest_caps, with_variables
from planner.order.strip_problem import prepared, toggle_price, unknown_references
from planner.order.strip_reach import pairs_rule_out, search, space_of
from planner.order.thread import natural_order, nodes_of, piece_of, step_of, thread_of

SEED = 7
SHARE_FOR_PROOF = 0.75
"""Of the time limit; the rest finds a true plan when the proof is not had in time."""
STATES = 60_000
"""States looked at before the plain search for any plan gives up (about a second)."""


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


def least_strip(work: WorkList, *, limit_s: float = 20.0) -> Strip:
    """Put a work list in an order of least strip-down.

    Parameters
    ----------
    work : WorkList
    limit_s : float [s]
        Time for the search; the answer says whether it was enough for a proof.

    Returns
    -------
    Strip
        ``PROVED``: least over any number of repeats. ``FOUND``: a true plan and a proved bound. ``NONE``: ``trouble`` says
        what cannot hold together, or that the time was not enough to find any order.
    """
    unknown = unknown_references(work)
    if unknown:
        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=0, trouble=unknown)
    hunt = hunted(prepared(work), limit_s)
    if hunt.impossible:
        from planner.order.strip_trouble import trouble_words  # noqa: PLC0415 - trouble asks this module in turn

        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=hunt.bound, trouble=trouble_words(work, limit_s))
    if hunt.cost is None:
        words = (f"no order was found in {limit_s:g} s, and none was shown to be impossible",)
        return Strip(proof=Proof.NONE, steps=(), cost=0, bound=hunt.bound, trouble=words)
    thread = thread_of(hunt.work, hunt.steps)
    steps = tuple(step_of(n, hunt.work) for n in natural_order(hunt.work, thread))
    proof = Proof.PROVED if hunt.settled else Proof.FOUND
    return Strip(proof=proof, steps=steps, cost=cost_of(work, steps), bound=min(hunt.bound, hunt.cost))


def hunted(work: WorkList, limit_s: float) -> Hunt:
    """Search a prepared work list until it is settled or the time is over."""
    bounds = forced_counts(work)
    hunt = Hunt(work=work, bounds=bounds, left_s=limit_s * SHARE_FOR_PROOF, impossible=bounds.impossible)
    if not hunt.impossible:
        _prove(hunt)
    if not hunt.settled and hunt.cost is None:
        hunt.left_s = max(hunt.left_s, 0.0) + limit_s * (1 - SHARE_FOR_PROOF)
        _find_any(hunt)
    return hunt


def _prove(hunt: Hunt) -> None:
    """Raise the caps until the relaxation needs no wild."""
    hunt.caps = smallest_caps(hunt.work, hunt.bounds)
    rounds = 0
    while not hunt.settled and hunt.left_s > 0:
        made = with_variables(hunt.work, hunt.bounds, hunt.caps, allow_wild=True)
        solver, status = _solved(made, hunt)
        if status == cp_model.INFEASIBLE:
            hunt.impossible = True
            return
        hunt.bound = max(hunt.bound, _bound(solver, made.scale))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return
        wild = [p for p, literal in made.wild.items() if solver.boolean_value(literal)]
        hunt.hint = {n: (solver.value(v), solver.value(made.present[n]) if n in made.present else 1) for n, v in made.position.items()}
        if not wild:
            hunt.keep(_steps(made, solver))
        if status != cp_model.OPTIMAL:
            return
        rounds += 1
        if rounds == 3 and wild:
            _reach(hunt)
        for p in wild:
            hunt.raised[p] = hunt.raised.get(p, 0) + 1
            hunt.caps[p] += 2 ** hunt.raised[p]


def _reach(hunt: Hunt) -> None:
    """Ask the tests that know no caps whether there is any plan."""
    import os
    if os.environ.get("NOREACH"): return
    space = space_of(hunt.work)
    if pairs_rule_out(space):
        hunt.impossible = True
        return
    found = search(space, STATES)
    if found is False:
        hunt.impossible = True
    elif isinstance(found, tuple):
        hunt.keep(found)
        hunt.bound = cost_of(hunt.work, found)


def _find_any(hunt: Hunt) -> None:
    """Find a true plan within widening caps in the time that is left; it proves nothing."""
    if _reach_quick(hunt):
        return
    caps = dict(hunt.caps)
    for p in hunt.raised or hunt.caps:
        if may_go_on(hunt.work.features[p], caps[p] + 1):
            caps[p] += 2
    made = with_variables(hunt.work, hunt.bounds, caps, allow_wild=False)
    solver, status = _solved(made, hunt)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        hunt.keep(_steps(made, solver))


def _reach_quick(hunt: Hunt) -> bool:
    """Whether the plain search settles it; only worth trying on few features."""
    if len(hunt.work.features) > 12:
        return False
    _reach(hunt)
    return hunt.impossible


def _solved(made: StripModel, hunt: Hunt) -> tuple[cp_model.CpSolver, int]:
    """Solve one model, on the time that is left."""
    constrain(made, hunt.bound)
    for key, value in hunt.hint.items():
        if key in made.position:
            made.model.add_hint(made.position[key], value[0])
            if key in made.present:
                made.model.add_hint(made.present[key], value[1])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 0
    solver.parameters.random_seed = SEED
    solver.parameters.max_time_in_seconds = max(hunt.left_s, 0.05)
    status = solver.solve(made.model)
    hunt.left_s -= solver.wall_time
    return solver, int(status)


def _bound(solver: cp_model.CpSolver, scale: int) -> int:
    """Proved least cost [min x hands] from the objective bound; free toggles only add to the objective."""
    return max(0, round(solver.best_objective_bound)) // scale


def _steps(made: StripModel, solver: cp_model.CpSolver) -> tuple[Step, ...]:
    """Read the sequence of steps from a solution without wilds."""
    made_nodes = [
        n for n in made.position if n.number == 0 or solver.boolean_value(made.present[n])
    ]
    rank = {n: i for i, n in enumerate(made.position)}
    made_nodes.sort(key=lambda n: (solver.value(made.position[n]), rank[n]))
    return tuple(step_of(n, made.work) for n in made_nodes)

