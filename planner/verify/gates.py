"""The checkpoints: whether all that the effects call for are there and hold back what they must."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.model.catalog import Blocks, Catalog, CheckpointRule, When
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.model.work import Checkpoint, Task, WorkList
from planner.verify.answers import answer_faults
from planner.verify.back import back_faults
from planner.verify.bare import bare_faults, host_faults
from planner.verify.bolted import bolted_faults
from planner.verify.broken import broken_faults
from planner.verify.called import Event, called_rules, events_of
from planner.verify.check_order import check_order_faults
from planner.verify.circuits import beside_faults, circuit_faults, opening_faults
from planner.verify.inside import inside_faults
from planner.verify.joints import joint_faults, late_link_faults
from planner.verify.laid import early_laid_faults
from planner.verify.mended import mending_faults
from planner.verify.mountings import mounting_faults
from planner.verify.near_fuel import near_fuel_faults
from planner.verify.open_ends import open_end_faults
from planner.verify.owed import PREFIX, owed_faults
from planner.verify.sent_out import sent_faults
from planner.verify.sequence import Order, forced_order, tasks_before
from planner.verify.set_twice import setting_faults
from planner.verify.trials import bench_faults, label_faults, trial_faults
from planner.verify.unmeasured import unmeasured_faults
from planner.verify.watched import watched_faults
from planner.verify.wet_paint import wet_paint_faults

ROAD_TEST = "road-test"
"""Id of the task that is the road test."""
_ON_THE_ROAD = frozenset({Blocks.ROAD, Blocks.MOVING, Blocks.ENGINE})
"""What a road test involves: whatever holds one of these back holds the road test back."""


def check_gates(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, *, job: Job | None = None
) -> tuple[str, ...]:
    """Every checkpoint that is missing, weakened, or does not hold back what it must.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    knockons : Knockons
        The effects; which rules they call for is worked out afresh.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        The checkpoint rules.
    job : Job, optional
        Names the hosts of cuts, so that rules for cuts in some hosts only are held to as well.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation; empty when sound.
    """
    events = events_of(vehicle, knockons, work, catalog, job)
    said: list[str] = []
    order = forced_order(work)
    for rule, calls in called_rules(catalog, events, vehicle, knockons):
        said += _called(work, rule, calls)
        said += bare_faults(knockons, work, job, (rule, calls), order) if rule.bare else ()
    for _, gate in sorted(work.checkpoints.items()):
        if not gate.rule and gate.id.removeprefix(PREFIX) in vehicle.to_prove:
            continue
        if gate.rule not in catalog.rules:
            said.append(f"checkpoint `{gate.id}` has the unknown rule `{gate.rule}`")
            continue
        said += _weakened(work, gate, catalog.rules[gate.rule])
        said += _asked_besides(gate, catalog.rules[gate.rule])
        said += _signed(work, gate, catalog.rules[gate.rule], order)
        said += _after_what_it_involves(work, catalog, gate, order)
        said += _before_filling(vehicle, work, catalog, gate)
        said += open_end_faults(vehicle, knockons, work, catalog, gate)
        said += _before_leaving(work, catalog.rules[gate.rule], gate)
    said += check_order_faults(vehicle, knockons, work, catalog, order)
    said += answer_faults(work, catalog, job)
    said += _road_test(work, order, job)
    said += mounting_faults(vehicle, knockons, work)
    said += bolted_faults(vehicle, knockons, work, catalog, order)
    said += trial_faults(knockons, work, catalog, order)
    said += bench_faults(knockons, work, order)
    said += label_faults(knockons, work)
    said += broken_faults(knockons, work, job, order)
    said += host_faults(knockons, work, job, order)
    said += mending_faults(vehicle, knockons, work, catalog, job)
    said += watched_faults(vehicle, knockons, work, catalog, job, order)
    said += wet_paint_faults(work, catalog, job, order)
    said += inside_faults(vehicle, knockons, work, catalog)
    said += joint_faults(vehicle, knockons, work, catalog)
    said += late_link_faults(knockons, work, catalog)
    said += circuit_faults(vehicle, knockons, work, catalog)
    said += opening_faults(vehicle, work, catalog)
    said += beside_faults(vehicle, knockons, work, catalog, order)
    said += near_fuel_faults(vehicle, knockons, work, catalog, job)
    said += early_laid_faults(vehicle, knockons, work, catalog, job, order)
    said += unmeasured_faults(vehicle, knockons, work)
    said += sent_faults(knockons, work, catalog)
    said += setting_faults(knockons, work, catalog, order)
    said += owed_faults(vehicle, work, order)
    said += back_faults(knockons, work, catalog, job, order)
    return tuple(said)


def _called(work: WorkList, rule: CheckpointRule, calls: Sequence[Event]) -> Iterator[str]:
    """Hold a rule that is called for against the checkpoints there are."""
    gates = [gate for _, gate in sorted(work.checkpoints.items()) if gate.rule == rule.id]
    entered = [event.subject for event in calls if event.when is When.ENTERED]
    if Blocks.CONDITION in rule.blocks:
        each_time = {gate.id for gate in gates if gate.each_time}
        for condition in entered:
            if not _checked_on_entering(work, condition, each_time):
                yield f"rule `{rule.id}` is not among the checks made each time `{condition}` is entered"
        if len(entered) == len(calls):
            return
    if not gates:
        causes = ", ".join(f"{event.when.value} `{event.subject}`" for event in calls)
        yield f"rule `{rule.id}` is called for ({causes}) and has no checkpoint"
    elif _ON_THE_ROAD & set(rule.blocks):
        signers = [task for gate in gates for task in signers_of(work, gate)]
        if not signers:
            yield f"rule `{rule.id}` holds the road test back and no task signs it"
        elif not rule.bare:
            yield from _may_be_undone(work, rule, calls, signers)


def signers_of(work: WorkList, gate: Checkpoint) -> list[Task]:
    """Give the tasks that sign a checkpoint."""
    return [task for _, task in sorted(work.tasks.items()) if task.checkpoint == gate.id]


def _checked_on_entering(work: WorkList, condition: str, gates: set[str]) -> bool:
    toggles = [feature.turn_on for feature in work.features.values() if feature.subject == condition]
    return all(toggle is None or gates & set(toggle.checks) for toggle in toggles)


def _may_be_undone(
    work: WorkList, rule: CheckpointRule, calls: Sequence[Event], signers: Sequence[Task]
) -> Iterator[str]:
    """Find what a check is about and may be changed after it.

    A part, link or circuit has to be in the place it ends in, a condition left; what the check itself needs (its own
    conditions, the circuit still empty where it holds the filling back) is let be. What is settled on paper before the
    first cut looks at nothing.
    """
    if Blocks.METAL in rule.blocks:
        return
    held = {(demand.feature, demand.on) for task in signers for demand in task.demands if demand.last}
    wanted: dict[str, bool] = {}
    for event in calls:
        if event.subject in rule.conditions or (event.when is When.OPENED and Blocks.FILLING in rule.blocks):
            continue
        for feature in work.features.values():
            final = event.when not in {When.ENTERED, When.BROUGHT_ABOUT}
            if event.subject and feature.subject == event.subject and feature.goal is final:
                wanted[feature.id] = final
    for feature_id, on in sorted(wanted.items()):
        if (feature_id, on) not in held:
            names = ", ".join(f"`{task.id}`" for task in signers)
            yield f"`{feature_id}` may still be changed after the check of rule `{rule.id}` ({names})"


def _asked_besides(gate: Checkpoint, rule: CheckpointRule) -> Iterator[str]:
    """See that no number passes a checkpoint whose rule asks for more than the number says."""
    for thing in rule.also:
        if thing not in (gate.also or ()) or thing not in gate.limit:
            yield f"checkpoint `{gate.id}` passes by its number though rule `{rule.id}` asks as well: {thing}"


def _weakened(work: WorkList, gate: Checkpoint, rule: CheckpointRule) -> Iterator[str]:
    """See that a checkpoint asks no less than its rule."""
    lacking = sorted({block.value for block in rule.blocks} - set(gate.blocks))
    if lacking:
        yield f"checkpoint `{gate.id}` does not block {', '.join(lacking)}, as rule `{rule.id}` does"
    if rule.low is not None and (gate.low is None or gate.low < rule.low):
        yield f"checkpoint `{gate.id}` asks for at least {gate.low} and rule `{rule.id}` for {rule.low}"
    if rule.high is not None and (gate.high is None or gate.high > rule.high):
        yield f"checkpoint `{gate.id}` allows {gate.high} and rule `{rule.id}` {rule.high} at most"
    if rule.filled_again and not gate.filled_again:
        yield f"checkpoint `{gate.id}` does not say that its circuits are filled again when it fails, as its rule does"
    for task in signers_of(work, gate):
        demanded = {
            work.features[demand.feature].subject
            for demand in task.demands
            if demand.on and demand.feature in work.features
        }
        for condition in rule.conditions:
            if condition not in demanded:
                yield f"task `{task.id}` signs `{gate.id}` and does not demand `{condition}`"
        shut = {work.features[d.feature].subject for d in task.demands if d.last and not d.on}
        for condition in rule.without:
            if any(f.subject == condition for f in work.features.values()) and condition not in shut:
                yield f"task `{task.id}` signs `{gate.id}` and may be made, or undone, while `{condition}` holds"


def _signed(work: WorkList, gate: Checkpoint, rule: CheckpointRule, order: Order) -> Iterator[str]:
    """See that a checkpoint is made at all, and before the road test when it holds that back."""
    signers = signers_of(work, gate)
    if gate.each_time:
        toggles = [t for f in work.features.values() for t in (f.turn_on, f.turn_off) if t is not None]
        if not any(gate.id in toggle.checks for toggle in toggles):
            yield f"checkpoint `{gate.id}` is made each time and no toggle lists it"
    elif not signers:
        yield f"checkpoint `{gate.id}` is signed by no task"
    if not signers or not _ON_THE_ROAD & set(rule.blocks):
        return
    if ROAD_TEST not in work.tasks:
        yield f"checkpoint `{gate.id}` holds the road test back and there is no task `{ROAD_TEST}`"
        return
    before = tasks_before(order, ROAD_TEST)
    for task in signers:
        if task.id not in before and task.id != ROAD_TEST:
            yield f"checkpoint `{gate.id}` does not come before the road test: nothing puts `{task.id}` first"


def _after_what_it_involves(work: WorkList, catalog: Catalog, gate: Checkpoint, order: Order) -> Iterator[str]:
    """See that a check that runs the engine or moves the car comes after all that hold that back."""
    involves = set(catalog.rules[gate.rule].involves)
    held_back_by = involves | ({Blocks.ENGINE} if Blocks.MOVING in involves else set())
    others = [
        (other, first)
        for _, other in sorted(work.checkpoints.items())
        if other.rule in catalog.rules
        and held_back_by & set(catalog.rules[other.rule].blocks)
        # Of two checks made on one drive either may be first.
        and not involves & set(catalog.rules[other.rule].involves)
        for first in signers_of(work, other)
    ]
    for task in signers_of(work, gate):
        before = tasks_before(order, task.id)
        for other, first in others:
            if first.id not in before:
                yield f"`{task.id}` may come before `{first.id}`, which checkpoint `{other.id}` asks to be first"


def _before_filling(vehicle: Vehicle, work: WorkList, catalog: Catalog, gate: Checkpoint) -> Iterator[str]:
    """See that a check that holds filling back is done before any circuit of its group is filled."""
    rule = catalog.rules[gate.rule]
    if Blocks.FILLING not in rule.blocks:
        return
    for feature_id, feature in sorted(work.features.items()):
        system = vehicle.systems.get(feature.subject)
        if system is None or feature.turn_on is None or catalog.system_kinds[system.kind].group != rule.group:
            continue
        for task in signers_of(work, gate):
            if task.id not in feature.turn_on.after:
                yield f"`{feature_id}` may be filled before `{task.id}`, which checkpoint `{gate.id}` asks to be first"


def _before_leaving(work: WorkList, rule: CheckpointRule, gate: Checkpoint) -> Iterator[str]:
    """See that a state is not left before the check that proves that leaving it does no harm."""
    for feature_id, feature in sorted(work.features.items()):
        if feature.subject not in rule.before_leaving or feature.turn_off is None:
            continue
        for task in signers_of(work, gate):
            if task.id not in feature.turn_off.after:
                yield f"`{feature_id}` may be left before `{task.id}`, which checkpoint `{gate.id}` asks to be first"


def _road_test(work: WorkList, order: Order, job: Job | None) -> Iterator[str]:
    """See that nothing is left to do, or to undo, after the road test.

    Checks that do not hold it back may follow, and tasks of the owner's own that change nothing.
    """
    if ROAD_TEST not in work.tasks:
        return
    held = {(demand.feature, demand.on) for demand in work.tasks[ROAD_TEST].demands if demand.last}
    for feature_id, feature in sorted(work.features.items()):
        if feature.goal is not None and (feature_id, feature.goal) not in held:
            yield f"`{feature_id}` may still be changed after the road test"
    before = tasks_before(order, ROAD_TEST)
    for task_id, task in sorted(work.tasks.items()):
        if task_id == ROAD_TEST or task_id in before:
            continue
        # A check that may follow says so by holding nothing back; one that may not is told with its checkpoint.
        if task.checkpoint not in work.checkpoints and not _may_follow(task, held, order, job):
            yield f"task `{task_id}` may come after the road test"


def _may_follow(task: Task, held: set[tuple[str, bool]], order: Order, job: Job | None) -> bool:
    """Whether a task is the owner's own, always after the road test, and takes the vehicle as that left it."""
    own = {t.id: t for t in job.tasks} if job is not None else {}
    asks_for_work = task.id in own and (own[task.id].off or own[task.id].conditions)
    as_it_is = all((demand.feature, demand.on) in held for demand in task.demands)
    return task.id in own and not asks_for_work and as_it_is and ROAD_TEST in tasks_before(order, task.id)
