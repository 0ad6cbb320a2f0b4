"""Circuits that nobody opens and that share a drawn-down reservoir: each is looked at, and bled where it needs it."""

from __future__ import annotations

from planner.model.catalog import Work
from planner.model.work import Demand, Task
from planner.work.bodies import Ground
from planner.work.circuits import (
    circuit_id,
    closes,
    closing_title,
    members_after,
    opened_circuits,
    state_id,
    system_kind,
)
from planner.work.pace import paced
from planner.work.tasks import TaskBook


def look_beside(ground: Ground, book: TaskBook) -> None:
    """Add for each such circuit a step of its own, when the opened ones are full for the last time.

    The checks of the opened circuits come after it: whoever bleeds at the same pedal lets it down once more.
    """
    opened = opened_circuits(ground)
    for system in sorted(ground.vehicle.systems.keys() - {*opened}):
        drawn = [s for s in opened if closes(ground, s) and shares_reservoir(ground, s, system)]
        if drawn and system_kind(ground, system).beside and members_after(ground, system):
            task = _beside(ground, system, drawn)
            book.tasks[task.id] = task
            for other in drawn:
                book.mended[other].append(task.id)


def shares_reservoir(ground: Ground, opened: str, other: str) -> bool:
    """Whether opening a circuit draws down what another is fed from: a part of both in which the fluid stands."""
    kinds = [system_kind(ground, s) for s in (opened, other)]
    holding = {k for kind in kinds for k in kind.holds}
    same = bool(kinds[0].fluid) and kinds[0].fluid == kinds[1].fluid
    parts = ground.vehicle.components.values()
    return same and any(c.kind in holding and {opened, other} <= {*c.systems} for c in parts)


def _beside(ground: Ground, system: str, drawn: list[str]) -> Task:
    kind = system_kind(ground, system)
    return Task(
        id=f"{system}.beside",
        title=closing_title(ground, system, kind.beside),
        work=Work.FILLING,
        minutes=paced(ground.job, Work.FILLING, kind.beside_min),
        hands=kind.close_hands,
        demands=(
            *(Demand(feature=state_id(c), on=True) for c in kind.needs),
            *(Demand(feature=circuit_id(s), on=True, last=True) for s in drawn),
        ),
        tools=kind.tools,
        cautions=kind.cautions,
        why=f"its reservoir is drawn down for {' and '.join(ground.name(s) for s in drawn)}",
    )
