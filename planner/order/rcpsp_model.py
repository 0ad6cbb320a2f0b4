"""The scheduling problem as a constraint model: one interval an activity, one cumulative a resource.

minimise T;  s_j in windows_j, head_j <= s_j <= T - d_j - tail_j
s_i + d_i + lag_ij <= s_j                          for each wait
sum of the amounts in progress at t <= capacity_r  for each resource; blocks taken are fixed intervals
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.knockon.solving import one_thread
from planner.order.project import Project
from planner.order.rcpsp_bounds import Bounds
from planner.order.rcpsp_ready import Ready, base_levels

WORK_PER_S = 0.1
WORK_TIMES_ACTIVITIES_PER_S = 10
MOST_WORK_PER_S = 0.45
"""Units of the solver's own measure of work that stand for a second: measured, more of them for a small model."""
SIZE_PER_S = 20_000
"""Building a model of such a size is counted as a second."""
CEILING = 20
"""Times the limit that the solver may take by the clock."""
ROUNDING = 1e-6
"""What the solver's bound, a whole number told as a float, may be off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What one solve has found.

    ``starts``: in the order of the Ready, None when there are none; ``bound``: no finish before it; ``settled``: the
    starts are best, or there is nothing up to the latest finish that was asked for; ``left_s``: time not used.
    """

    starts: list[int] | None
    bound: int
    settled: bool
    left_s: float


@dataclass(slots=True, kw_only=True)
class RcpspModel:
    """The model and its variables."""

    model: cp_model.CpModel
    starts: list[cp_model.IntVar]
    finish: cp_model.IntVar
    latest: int

    @property
    def size(self) -> int:
        """Number of constraints and of the ends of the domains of all starts."""
        proto = self.model.proto
        return len(proto.constraints) + sum(len(v.domain) for v in proto.variables)


def built(project: Project, r: Ready, bounds: Bounds, latest: int) -> RcpspModel:
    """The model that asks for a finish of ``latest`` at most."""
    model = cp_model.CpModel()
    finish = model.new_int_var(min(bounds.finish, latest), latest, "finish")
    starts = []
    for k in range(len(r)):
        domain = _domain(r, k, bounds, latest)
        if domain.is_empty():
            model.add_bool_or([])
            domain = cp_model.Domain(0, 0)
        starts.append(model.new_int_var_from_domain(domain, f"s{k}"))
    for k, arcs in enumerate(r.before):
        for i, lag in arcs:
            model.add(starts[k] >= starts[i] + r.durations[i] + lag)
    for k, start in enumerate(starts):
        model.add(finish >= start + r.durations[k] + bounds.tails[k])
    spans = [
        model.new_fixed_size_interval_var(s, d, f"i{k}")
        for k, (s, d) in enumerate(zip(starts, r.durations, strict=True))
    ]
    for resource, capacity in enumerate(project.capacity):
        uses = [project.activities[a].uses[resource] if d else 0 for a, d in zip(r.origin, r.durations, strict=True)]
        used = [(span, use) for span, use in zip(spans, uses, strict=True) if use]
        if used:
            taken = _taken(model, project, resource, latest)
            rows = used + taken
            model.add_cumulative([row[0] for row in rows], [row[1] for row in rows], capacity)
    model.minimize(finish)
    return RcpspModel(model=model, starts=starts, finish=finish, latest=latest)


@dataclass(slots=True)
class Crew:
    """Solvers that may be at work at the same time and are stopped together."""

    stopped: bool = False
    _solvers: list[cp_model.CpSolver] = field(default_factory=list)

    def add(self, solver: cp_model.CpSolver) -> None:
        """Let one more be stopped with the others."""
        self._solvers.append(solver)

    def stop_search(self) -> None:
        """Stop all soon, each with its best so far."""
        self.stopped = True
        for solver in self._solvers:
            solver.stop_search()


def solved(made: RcpspModel, limit_s: float, crew: Crew, *, seed: int, from_below: bool) -> Answer:
    """Search for about so long, counted in the solver's own measure of work.

    ``from_below``: raise the bound until there is a schedule, rather than look for schedules.
    """
    solver = one_thread(seed)
    # Linear relaxations say little here and cost most of the time.
    solver.parameters.linearization_level = 0
    if from_below:
        solver.parameters.optimize_with_core = True
    else:
        # Slower and worse from below, but four times in five the first to a schedule that is hard to find.
        solver.parameters.use_disjunctive_constraint_in_cumulative = True
        solver.parameters.use_overload_checker_in_cumulative = True
        solver.parameters.use_strong_propagation_in_disjunctive = True
        solver.parameters.use_dynamic_precedence_in_disjunctive = True
    solver.parameters.max_deterministic_time = limit_s * _work_per_s(len(made.starts))
    # Only against a machine so slow that the measure of work says nothing.
    solver.parameters.max_time_in_seconds = CEILING * limit_s
    crew.add(solver)
    if crew.stopped:
        return Answer(starts=None, bound=0, settled=False, left_s=0)
    status = solver.solve(made.model)
    spent_s = solver.response_proto.deterministic_time / _work_per_s(len(made.starts))
    left_s = max(limit_s - spent_s - made.size / SIZE_PER_S, 0.0)
    if status == cp_model.INFEASIBLE:
        return Answer(starts=None, bound=made.latest + 1, settled=True, left_s=left_s)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    bound = solver.best_objective_bound
    return Answer(
        starts=[solver.value(s) for s in made.starts] if found else None,
        bound=math.ceil(bound - ROUNDING) if math.isfinite(bound) else 0,
        settled=status == cp_model.OPTIMAL,
        left_s=left_s,
    )


def _work_per_s(activities: int) -> float:
    return min(WORK_PER_S + WORK_TIMES_ACTIVITIES_PER_S / max(activities, 1), MOST_WORK_PER_S)


def _domain(r: Ready, k: int, bounds: Bounds, latest: int) -> cp_model.Domain:
    """The starts that windows, head and tail leave; empty when there is none."""
    first, last = bounds.heads[k], latest - r.durations[k] - bounds.tails[k]
    opens, closes = r.opens[k], r.closes[k]
    if opens is None or closes is None:
        return cp_model.Domain(first, last)
    kept = [[max(o, first), min(c, last)] for o, c in zip(opens, closes, strict=True)]
    return cp_model.Domain.from_intervals([span for span in kept if span[0] <= span[1]])


def _taken(
    model: cp_model.CpModel, project: Project, resource: int, latest: int
) -> list[tuple[cp_model.IntervalVar, int]]:
    """Fixed intervals for what is not there before ``latest``."""
    times, levels = base_levels(project)
    rows = []
    for k, begin in enumerate(times):
        end = min(times[k + 1], latest) if k + 1 < len(times) else latest
        missing = project.capacity[resource] - levels[k][resource]
        if missing and begin < end:
            rows.append((model.new_fixed_size_interval_var(begin, end - begin, f"taken{k}"), missing))
    return rows
