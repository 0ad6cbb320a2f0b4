"""What earlier jobs left open, as checks of this one: nothing is driven before they are signed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from planner.model.catalog import CheckpointRule, Work
from planner.model.vehicle import Before, Owed
from planner.model.words import FIRST_MOVE, FIRST_START, GATES, ROAD_TEST
from planner.model.work import After, Checkpoint, Demand, Task
from planner.work.bodies import Ground
from planner.work.gates import gates_passed
from planner.work.pace import paced

USUAL_MIN = 10
"""To look at what is none of the catalog's checks (starting guess)."""
_GATE = {Before.START: FIRST_START, Before.MOVE: FIRST_MOVE, Before.ROAD: ROAD_TEST}
_BLOCKS = {FIRST_START: "engine", FIRST_MOVE: "moving", ROAD_TEST: "road"}


def with_owed_tasks(ground: Ground, tasks: dict[str, Task]) -> dict[str, Task]:
    """Add a check for each thing that was left open, made with everything where this job leaves it; the gates wait."""
    owed = ground.vehicle.to_prove.values()
    found = {**tasks, **{t.id: t for t in (_task(ground, one, tasks) for one in owed)}}
    for gate in GATES:
        waits = tuple(After(task=f"check.{owed_id(one.id)}") for one in owed if gate in _held(ground, one))
        found[gate] = replace(found[gate], after=(*found[gate].after, *waits))
    return found


def owed_checkpoints(ground: Ground) -> dict[str, Checkpoint]:
    """What is to be signed for each of them."""
    owed = ground.vehicle.to_prove.values()
    return {owed_id(one.id): _checkpoint(ground, one, _held(ground, one)) for one in owed}


def owed_id(name: str) -> str:
    """The checkpoint of what was left open under a name."""
    return f"open-{name}"


def _held(ground: Ground, owed: Owed) -> tuple[str, ...]:
    """Gates that wait for it: from the use it holds back on, but for those that are passed to make it."""
    passed = _passed(ground, owed)
    first = GATES.index(_GATE[owed.before])
    return tuple(g for n, g in enumerate(GATES) if n >= first and g not in passed)


def _passed(ground: Ground, owed: Owed) -> frozenset[str]:
    rule = ground.catalog.rules.get(owed.check)
    return frozenset() if rule is None else gates_passed(rule)


def _task(ground: Ground, owed: Owed, tasks: Mapping[str, Task]) -> Task:
    rule = ground.catalog.rules.get(owed.check)
    since = f"left open by job `{owed.job}`" if owed.job else "left open by an earlier job"
    passed = _passed(ground, owed)
    return Task(
        id=f"check.{owed_id(owed.id)}",
        title=f"Check, {since}: {owed.what}",
        work=Work.TESTING,
        minutes=paced(ground.job, Work.TESTING, USUAL_MIN if rule is None else rule.minutes),
        hands=1 if rule is None else rule.hands,
        demands=tuple(_ends(tasks)),
        after=tuple(After(task=g) for g in GATES if g in passed),
        tools=() if rule is None else rule.tools,
        cautions=(f"It is not proved since then{f': {owed.why}' if owed.why else ''}",),
        why=f"it was {since}",
        checkpoint=owed_id(owed.id),
        apart=rule is not None and (rule.apart or bool(passed)),
    )


def _ends(tasks: Mapping[str, Task]) -> Iterator[Demand]:
    """Every part, link and circuit of this job is where it ends, and is left there: else the check would not count."""
    for demand in tasks[FIRST_START].demands:
        if not demand.feature.startswith("state:"):
            yield replace(demand, last=True)


def _checkpoint(ground: Ground, owed: Owed, held: tuple[str, ...]) -> Checkpoint:
    rule = ground.catalog.rules.get(owed.check)
    return Checkpoint(
        id=owed_id(owed.id),
        rule="",
        subject="",
        title=f"{owed.what}, left open by {f'job `{owed.job}`' if owed.job else 'an earlier job'}",
        measure="" if rule is None else rule.measure,
        limit=owed.limit or ("it is done, or it is so" if rule is None else rule.whole_limit),
        unit="" if rule is None else rule.unit,
        low=None if rule is None else rule.low,
        high=None if rule is None else rule.high,
        blocks=tuple(_BLOCKS[g] for g in held),
        blocked=held,
        caution="" if rule is None else rule.caution,
        source="left open by an earlier job" if rule is None else rule.source,
        why=owed.why or "left open by an earlier job",
        also=() if rule is None else _beside(owed, rule),
    )


def _beside(owed: Owed, rule: CheckpointRule) -> tuple[str, ...]:
    """What has to be so besides the rule's number: of a limit in words other than the rule's, all that they say."""
    counted = rule.low is not None or rule.high is not None
    own = (owed.limit,) if counted and owed.limit and not owed.limit.startswith(rule.whole_limit) else ()
    return (*rule.also, *own)
