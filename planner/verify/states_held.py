"""States of the vehicle and its circuits in the states they need, and the three gates in their turn."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Blocks, Catalog
from planner.model.vehicle import Vehicle
from planner.model.words import FIRST_MOVE, FIRST_START, ROAD_TEST
from planner.model.work import Feature, Toggle, WorkList
from planner.verify.sequence import Order, tasks_before

_LIFTED = "on-stands"
"""The engine may be started with the vehicle on stands and its wheels off."""


def state_faults(vehicle: Vehicle, work: WorkList, catalog: Catalog, order: Order) -> Iterator[str]:
    """Give a sentence for each state that may be changed without another that it needs, and each gate out of turn."""
    known = {f.subject: f for f in work.features.values() if f.subject in catalog.conditions}
    for name, feature in sorted(known.items()):
        needs = catalog.conditions[name].needs
        for toggle in feature.toggles:
            yield from _needs(work, feature, toggle, needs)
        for other in sorted(known) if feature.turn_off is not None else ():
            resting = name in catalog.conditions[other].needs
            if resting and not _asks(feature.turn_off, known[other].id, on=False):
                yield f"`{feature.id}` may be left while `{known[other].id}`, which needs it, holds"
    for feature in work.features.values():
        system = vehicle.systems.get(feature.subject)
        for toggle in feature.toggles if system is not None and feature.id.startswith("circuit:") else ():
            yield from _needs(work, feature, toggle, catalog.system_kinds[system.kind].needs if system else ())
    yield from _gates(work, catalog, order)
    yield from _checked_first(work, catalog, order)


def _asks(toggle: Toggle | None, feature: str, *, on: bool) -> bool:
    return toggle is not None and any(d.feature == feature and d.on is on for d in toggle.demands)


def _needs(work: WorkList, feature: Feature, toggle: Toggle, needs: tuple[str, ...]) -> Iterator[str]:
    held = {work.features[d.feature].subject for d in toggle.demands if d.on and d.feature in work.features}
    for state in sorted({*needs} - held):
        yield f"`{feature.id}` may be changed ({toggle.title}) while `{state}` does not hold"


def _gates(work: WorkList, catalog: Catalog, order: Order) -> Iterator[str]:
    """The engine is started, then the vehicle moved, then driven: with all of it as the job leaves it."""
    for first, then in ((FIRST_START, FIRST_MOVE), (FIRST_MOVE, ROAD_TEST)):
        if {first, then} <= work.tasks.keys() and first not in tasks_before(order, then):
            yield f"`{then}` may be done before `{first}`"
    lifting = {i for i, c in catalog.conditions.items() if i == _LIFTED or _LIFTED in c.needs}
    for gate in (work.tasks[i] for i in (FIRST_START, FIRST_MOVE) if i in work.tasks):
        held = {(d.feature, d.on) for d in gate.demands}
        for _, feature in sorted(work.features.items()):
            may = gate.id == FIRST_START and feature.subject in lifting
            if feature.goal is not None and not may and (feature.id, feature.goal) not in held:
                yield f"`{gate.id}` may be done while `{feature.id}` is still to be changed"


def _checked_first(work: WorkList, catalog: Catalog, order: Order) -> Iterator[str]:
    """Every check is made before each gate that it does not itself need: engine running, vehicle moved, on the road."""
    gates = (FIRST_START, FIRST_MOVE, ROAD_TEST)
    before = {g: tasks_before(order, g) for g in gates if g in work.tasks}
    for task in (t for _, t in sorted(work.tasks.items()) if t.checkpoint in work.checkpoints):
        rule = catalog.rules.get(work.checkpoints[str(task.checkpoint)].rule)
        if rule is None:
            continue
        passed = max((n for n, block in enumerate(_NEEDS) if block in rule.involves), default=-1)
        for gate in gates[max(passed, 1 if rule.closing else -1) + 1 :]:
            if task.id not in before.get(gate, {task.id}):
                yield f"`{gate}` may be done before `{task.id}`, which does not need it"


_NEEDS = (Blocks.ENGINE, Blocks.MOVING, Blocks.ROAD)
