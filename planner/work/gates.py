"""The three gates at the end of a job: first start, first move, road test, and which checks each waits for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.model.catalog import Blocks, CheckpointRule, Work
from planner.model.words import FIRST_MOVE, FIRST_START, ROAD_TEST
from planner.model.work import After, Demand, Feature, Task
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.pace import paced

_OF_BLOCK = {Blocks.ENGINE: FIRST_START, Blocks.MOVING: FIRST_MOVE, Blocks.ROAD: ROAD_TEST}


def gates_blocked(rule: CheckpointRule) -> tuple[str, ...]:
    """The gates a rule stands before: those it blocks, but not one that has to be passed to make it."""
    passed = gates_passed(rule)
    return tuple(
        gate for block, gate in _OF_BLOCK.items() if gate not in passed and (block in rule.blocks or gate == ROAD_TEST)
    )


def gates_passed(rule: CheckpointRule) -> frozenset[str]:
    """Gates that have to be passed to make the check at all: it runs the engine, it moves the vehicle, it ends all."""
    if rule.closing:
        return frozenset({FIRST_START, FIRST_MOVE})
    order = list(_OF_BLOCK)
    far = max((order.index(b) for b in rule.involves if b in _OF_BLOCK), default=-1)
    return frozenset(_OF_BLOCK[b] for b in order[: far + 1])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Gate:
    id: str
    title: str
    minutes: int
    hands: int
    demands: tuple[Demand, ...]
    earlier: tuple[str, ...]


def gate_tasks(ground: Ground, features: Mapping[str, Feature], waits: Mapping[str, Sequence[str]]) -> dict[str, Task]:
    """First start, first move and road test, each after the one before.

    Parameters
    ----------
    ground : Ground
    features : mapping of str to Feature
        All of them: the road test wants each where it ends, for good.
    waits : mapping of gate to task ids
        What each gate waits for besides.
    """
    cautions = ground.catalog.cautions
    return {
        gate.id: Task(
            id=gate.id,
            title=gate.title,
            work=Work.TESTING,
            minutes=paced(ground.job, Work.TESTING, gate.minutes),
            hands=gate.hands,
            demands=gate.demands,
            after=tuple(After(task=t) for t in (*gate.earlier, *waits.get(gate.id, ()))),
            cautions=tuple(cautions[key] for key in ("testing", "road") if key in cautions),
            apart=True,
            why="the change is done, now it has to be proved",
        )
        for gate in _gates(ground, features)
    }


def _gates(ground: Ground, features: Mapping[str, Feature]) -> tuple[_Gate, ...]:
    whole = tuple(Demand(feature=f.id, on=f.goal) for f in features.values() if f.goal is not None)
    lifted = {state_id(c) for c in _lifting(ground)}
    return (
        _Gate(
            id=FIRST_START,
            title="Start the engine, a helper by with the extinguisher, and look for drips and smoke",
            minutes=10,
            hands=2,
            demands=tuple(d for d in whole if d.feature not in lifted),
            earlier=(),
        ),
        _Gate(
            id=FIRST_MOVE,
            title="Move the vehicle a few metres under its own power and brake at once",
            minutes=10,
            hands=1,
            demands=whole,
            earlier=(FIRST_START,),
        ),
        _Gate(
            id=ROAD_TEST,
            title="Road test: quiet road, low speed first, brake, steer, stop and look",
            minutes=30,
            hands=1,
            demands=tuple(Demand(feature=d.feature, on=d.on, last=True) for d in whole),
            earlier=(FIRST_MOVE,),
        ),
    )


def _lifting(ground: Ground) -> set[str]:
    """Conditions in which the vehicle may stand while the engine runs: lifted, wheels off."""
    known = ground.catalog.conditions
    return {i for i, c in known.items() if i == "on-stands" or "on-stands" in c.needs}
