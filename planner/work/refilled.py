"""Circuits that are filled and bled, or set, once more after a failed check of them was put right.

Whoever tightens a weeping joint, opens a nipple or moves a push-rod lets air in or fluid out. What was proved of the
circuit before is proved no longer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.model.catalog import Work
from planner.model.log import SignedLine
from planner.model.standing import Standing
from planner.model.steps import mending_id
from planner.model.work import After, Demand, Feature, Task, WorkList
from planner.work.waits import all_before, graph_of


def with_refilling(work: WorkList, standing: Standing) -> WorkList:
    """Add the filling to a work list that has what puts right whatever failed, and let the tests wait for it."""
    tasks = dict(work.tasks)
    for ref, line in standing.mending.items():
        task = work.tasks.get(ref)
        if task is None or not isinstance(line, SignedLine):
            continue
        mend = mending_id(ref, standing.failures[ref])
        first = (mend,) if mend in work.tasks else tuple(r for r in line.redo if not _is_test(work, r))
        for circuit in refilled_after(work, task):
            filling = _filling(f"{mend}.{circuit.subject}", circuit, task, first)
            if filling is None:
                continue
            for test in _tests_of(work, circuit):
                tasks[test] = replace(tasks[test], after=(*tasks[test].after, After(task=filling.id)))
            tasks[filling.id] = filling
    return replace(work, tasks=tasks)


def refilled_after(work: WorkList, task: Task) -> Iterator[Feature]:
    """The circuits that a check proves, where its failing asks for filling them again."""
    point = None if task.checkpoint is None else work.checkpoints.get(task.checkpoint)
    for demand in task.demands if point is not None and point.filled_again else ():
        known = work.features[demand.feature]
        if demand.on and demand.last and known.turn_on is not None and known.turn_on.work is Work.FILLING:
            yield known


def _is_test(work: WorkList, task: str) -> bool:
    return task not in work.tasks or work.tasks[task].checkpoint is not None


def _filling(name: str, circuit: Feature, failed: Task, first: tuple[str, ...]) -> Task | None:
    closing = circuit.turn_on
    if closing is None:
        return None
    return Task(
        id=name,
        title=f"{closing.title} once more, after what was put right",
        work=Work.FILLING,
        minutes=closing.minutes,
        hands=closing.hands,
        demands=(Demand(feature=circuit.id, on=True), *closing.demands),
        after=tuple(After(task=t) for t in first),
        tools=closing.tools,
        notes=closing.steps,
        cautions=closing.cautions,
        purchases=closing.purchases,
        why=f"{failed.title} failed",
        spread=closing.spread,
    )


def _tests_of(work: WorkList, circuit: Feature) -> list[str]:
    """Every test that counts only with the circuit closed, but not one that the circuit is closed after."""
    before = set(() if circuit.turn_on is None else circuit.turn_on.after)
    before |= all_before(graph_of(work.tasks.values()), before)
    rests = Demand(feature=circuit.id, on=True, last=True)
    return [i for i, t in work.tasks.items() if t.checkpoint is not None and rests in t.demands and i not in before]
