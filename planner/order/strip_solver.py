"""How the models of the strip-down are solved.

Three ways to search the same model. ``PLANS`` goes from plan to better plan; ``CORES`` raises the bound by sets of
toggles of which one must be made and meets plans on its way; ``FLOOR`` asks again and again for the least cost not
yet ruled out, and is much the quicker to a good bound. All go without the linear relaxation and without probing,
which cost more than they give. (The library's tree search on the bound is about as quick, but without probing it
broke off the whole program on one small model in a thousand.)
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from ortools.sat.python import cp_model

from planner.knockon.solving import one_thread
from planner.order.halt import Halt
from planner.order.solver import SEED, solve_within

WORK_PER_S = 0.2
"""Units of the solver's own measure of work that stand for a second."""
CONSTRAINTS_PER_S = 35_000
"""Building a model of so many constraints is counted as a second."""
PATIENCE = 5
"""A solve may take so many times its budget by the clock."""
LEAST_S = 0.05
"""Whatever is left, a solve may take this long."""


class Search(Enum):
    """Which way a model is searched."""

    PLANS = "plans"
    CORES = "cores"
    FLOOR = "floor"


@dataclass(slots=True, kw_only=True)
class Clock:
    """Time that is left [s], counted in work, and the caller's wish to end."""

    left_s: float
    halt: Halt

    @property
    def over(self) -> bool:
        """Whether to end."""
        return self.left_s <= 0 or self.halt.asked

    def part(self, share_s: float) -> Clock:
        """A clock for a part of the time; :meth:`take_back` returns what the part leaves."""
        share_s = max(0.0, min(share_s, self.left_s))
        self.left_s -= share_s
        return Clock(left_s=share_s, halt=self.halt)

    def take_back(self, part: Clock) -> None:
        """Add what a part has left, or take off what it has used too much."""
        self.left_s += part.left_s


def solved(model: cp_model.CpModel, clock: Clock, search: Search) -> tuple[cp_model.CpSolver, int]:
    """Solve one model in the time that is left; without an objective the first answer ends it."""
    solver = one_thread(SEED)
    parameters = solver.parameters
    parameters.linearization_level = 0
    parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0
    if model.has_objective():
        parameters.optimize_with_core = search is Search.CORES
        parameters.use_objective_lb_search = search is Search.FLOOR
    clock.left_s -= len(model.proto.constraints) / CONSTRAINTS_PER_S
    # A solver told to stop before it has begun does not hear it.
    budget_s = LEAST_S if clock.halt.asked else max(clock.left_s, LEAST_S)
    status, spent_s = solve_within(solver, model, budget_s, work_per_s=WORK_PER_S, patience=PATIENCE, halt=clock.halt)
    clock.left_s -= spent_s
    return solver, status
