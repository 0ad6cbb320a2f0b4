"""How the models of the order are solved: time counted as work, an end when it is asked for."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.order.halt import Halt

SEED = 7
"""Of every search of the order."""


def solve_within(
    solver: cp_model.CpSolver,
    model: cp_model.CpModel,
    budget_s: float,
    *,
    work_per_s: float,
    patience: float,
    halt: Halt | None,
) -> tuple[int, float]:
    """Solve a model in a budget of work.

    Parameters
    ----------
    solver, model
    budget_s : float [s]
    work_per_s : float
        Units of the solver's own measure of work that stand for a second, so that a time-out comes at the same moment
        in every run.
    patience : float
        A slow or busy machine may need longer for the same work, by the clock so many times the budget: beyond that
        the user has waited enough.
    halt : Halt or None

    Returns
    -------
    status : int
        As the library has it.
    spent_s : float [s]
        Work done, in seconds.
    """
    solver.parameters.max_deterministic_time = budget_s * work_per_s
    solver.parameters.max_time_in_seconds = patience * budget_s
    if halt is not None:
        halt.watch(solver)
    status = solver.solve(model)
    if halt is not None:
        halt.watch(None)
    return int(status), solver.response_proto.deterministic_time / work_per_s
