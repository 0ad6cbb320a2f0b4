"""How every model is solved: by one thread with a fixed seed, so that the same question has the same answer."""

from __future__ import annotations

from ortools.sat.python import cp_model


def one_thread(seed: int = 1) -> cp_model.CpSolver:
    """A solver that gives the same answer on every machine, as long as it is stopped by work and not by the clock."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    # It would take the key from the terminal, and not give it back; who may ask for an end is watched for elsewhere.
    solver.parameters.catch_sigint_signal = False
    return solver
