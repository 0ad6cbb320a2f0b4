"""A work list as a problem for a general classical planner, written from the rules alone.

Needs the optional extra `referee`: unified-planning with the Fast Downward engine.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable
from contextlib import chdir
from tempfile import TemporaryDirectory
from typing import Any

from planner.model.work import Demand, Toggle, WorkList

SURE = {"SOLVED_OPTIMALLY", "UNSOLVABLE_PROVEN"}


def problem_of(work: WorkList) -> Any:  # noqa: ANN401 - the library may be missing
    """Fluents: each feature on, each task done, each feature locked. Actions: each task, each way of each toggle."""
    from unified_planning import shortcuts as up  # noqa: PLC0415 - an optional extra

    problem = up.Problem("strip")
    on = {p: up.Fluent(f"on {i}", up.BoolType()) for i, p in enumerate(work.features)}
    done = {t: up.Fluent(f"done {i}", up.BoolType()) for i, t in enumerate(work.tasks)}
    lock = {p: up.Fluent(f"lock {i}", up.BoolType()) for i, p in enumerate(work.features)}
    for p, feature in work.features.items():
        problem.add_fluent(on[p], default_initial_value=feature.start)
        problem.add_fluent(lock[p], default_initial_value=False)
        if feature.goal is not None:
            problem.add_goal(on[p] if feature.goal else up.Not(on[p]))
    for t in work.tasks:
        problem.add_fluent(done[t], default_initial_value=False)
        problem.add_goal(done[t])
    costs: dict[Any, Any] = {}

    def action(name: str, demands: Iterable[Demand], after: Iterable[str], price: int) -> Any:  # noqa: ANN401
        made = up.InstantaneousAction(name)
        for demand in demands:
            fluent = on[demand.feature]
            made.add_precondition(fluent if demand.on else up.Not(fluent))
            if demand.last:
                made.add_effect(lock[demand.feature], value=True)
        for t in after:
            made.add_precondition(done[t])
        costs[made] = up.Int(price)
        return made

    gates = [
        (task.id, blocked)
        for task in work.tasks.values()
        if task.checkpoint in work.checkpoints
        for blocked in work.checkpoints[task.checkpoint].blocked
    ]
    for i, task in enumerate(work.tasks.values()):
        waits = [*(a.task for a in task.after), *(point for point, blocked in gates if blocked == task.id != point)]
        made = action(f"task {i}", task.demands, waits, 0)
        made.add_effect(done[task.id], value=True)
        problem.add_action(made)

    def toggled(name: str, toggle: Toggle) -> None:
        for number, way in enumerate(toggle.ways or ((),)):
            price = toggle.minutes * toggle.hands + (toggle.dislike_min or 0)
            made = action(f"{name} way {number}", (*toggle.demands, *way), toggle.after, price)
            own = on[toggle.feature]
            made.add_precondition(up.Not(own) if toggle.on else own)
            made.add_precondition(up.Not(lock[toggle.feature]))
            made.add_effect(own, value=toggle.on)
            problem.add_action(made)

    for i, feature in enumerate(work.features.values()):
        for toggle in (feature.turn_on, feature.turn_off):
            if toggle is not None and toggle.dislike_min is not None:
                toggled(f"{'fit' if toggle.on else 'take'} {i}", toggle)
    problem.add_quality_metric(up.MinimizeActionCosts(costs))
    return problem


def planned_cost(work: WorkList, limit_s: float) -> tuple[str, int | None]:
    """Status and least cost by A* with landmark cuts; no cost without a proof in time."""
    from unified_planning import shortcuts as up  # noqa: PLC0415 - an optional extra

    up.get_environment().credits_stream = None
    problem = problem_of(work)
    # It leaves a file behind where it is run.
    with (
        TemporaryDirectory() as folder,
        chdir(folder),
        warnings.catch_warnings(),
        up.OneshotPlanner(name="fast-downward-opt") as planner,
    ):
        warnings.simplefilter("ignore")
        result = planner.solve(problem, timeout=limit_s)
    if result.status.name not in SURE or result.plan is None:
        return result.status.name, None
    prices = problem.quality_metrics[0].costs
    return result.status.name, sum(prices[a.action].constant_value() for a in result.plan.actions)
