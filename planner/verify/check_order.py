"""The order of the checks themselves: before the first cut, after the last change, round the first start."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Blocks, Catalog, CheckpointRule, When, Work
from planner.model.effects import Knockons
from planner.model.vehicle import Vehicle
from planner.model.work import Task, WorkList
from planner.verify.sequence import Order, tasks_before

FIRST_START = "first-start"
_HOLING = frozenset({Work.DRILLING, Work.CUTTING, Work.WELDING})
_SAFE = "battery-isolated"
"""The state in which tools with a cord, and heat, are used on the vehicle: at the bench nothing asks for it."""


def check_order_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, order: Order
) -> Iterator[str]:
    """Every check that could be made too early or too late to tell what it is made for.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        The checkpoint rules.
    order : Order
        What comes before what in every valid order.
    """
    things = {*vehicle.components, *vehicle.links, *knockons.after, *knockons.links_after}
    for _, task in sorted(work.tasks.items()):
        gate = work.checkpoints.get(task.checkpoint or "")
        rule = None if gate is None else catalog.rules.get(gate.rule)
        if rule is None:
            continue
        if rule.apart and not task.apart:
            yield f"`{task.id}` may be made beside other work, and rule `{rule.id}` asks for nothing beside it"
        yield from _not_inside(work, rule, task)
        if rule.settled:
            yield from _settled(work, things, rule, task)
        if Blocks.METAL in rule.blocks:
            yield from _metal(work, order, task)
        if rule.settled and any(t.when is When.ALWAYS for t in rule.triggers):
            yield from _last_look(work, catalog, order, rule, task)
        yield from _in_turn(work, order, rule, task)
        yield from _not_whole(vehicle, knockons, work, rule, task)
        if rule.closing:
            yield from _closing(work, catalog, order, rule, task)
    yield from _word_before_start(work, catalog, order)


def _in_turn(work: WorkList, order: Order, rule: CheckpointRule, task: Task) -> Iterator[str]:
    """Checks that a rule asks to be first, and that need not be."""
    before = tasks_before(order, task.id) if rule.after else frozenset()
    for other_id, other in sorted(work.tasks.items()):
        if other.checkpoint in rule.after and other_id not in before:
            yield f"`{task.id}` may come before `{other_id}`, which rule `{rule.id}` asks to be first"


def _not_whole(vehicle: Vehicle, knockons: Knockons, work: WorkList, rule: CheckpointRule, task: Task) -> Iterator[str]:
    """Circuits that a rule wants whole, and that may still be empty, unset or undone when its check is made."""
    wanted = {s.id for s in vehicle.systems.values() if s.kind in rule.whole}
    held = {d.feature for d in task.demands if d.on and d.last}
    closed = {f.subject for f in work.features.values() if f.subject in wanted and f.id in held}
    for feature_id, feature in sorted(work.features.items()):
        part, link = knockons.after.get(feature.subject), knockons.links_after.get(feature.subject)
        of = {feature.subject} | (set() if part is None else {*part.systems}) | {link.system if link else None}
        needed = (of & wanted) - closed
        if needed and feature.goal and feature_id not in held and ":" not in feature_id.removeprefix("circuit:"):
            yield f"`{task.id}` may be made before `{feature_id}` is whole, which rule `{rule.id}` looks through"


def _not_inside(work: WorkList, rule: CheckpointRule, task: Task) -> Iterator[str]:
    """Conditions that the job brings about anyway and that its rule wants a check made in, where it need not be."""
    held = {d.feature for d in task.demands if d.on}
    for feature_id, feature in sorted(work.features.items()):
        if feature.subject in rule.inside and feature_id not in held:
            yield f"`{task.id}` may be made without `{feature_id}`, in which rule `{rule.id}` wants it made"


def _closing(work: WorkList, catalog: Catalog, order: Order, last: CheckpointRule, task: Task) -> Iterator[str]:
    """Checks, and the work itself, that may still be to do when others are shown what was done and found."""
    before = tasks_before(order, task.id)
    for other_id, other in sorted(work.tasks.items()):
        gate = work.checkpoints.get(other.checkpoint or "")
        rule = None if gate is None else catalog.rules.get(gate.rule)
        if rule is None or last.id in {rule.id, *rule.after} or rule.closing or Blocks.ROAD in rule.involves:
            continue
        if other_id not in before and "road-test" not in tasks_before(order, other_id):
            yield f"`{other_id}` may come after `{task.id}`, which shows others all that was done"
    if FIRST_START not in before:
        yield f"`{task.id}` may come before the work it shows to others is done"


def _settled(work: WorkList, things: set[str], rule: CheckpointRule, task: Task) -> Iterator[str]:
    """What may still be fitted, moved or taken off after a check of what could touch or hinder."""
    held = {(d.feature, d.on) for d in task.demands if d.last}
    for feature_id, feature in sorted(work.features.items()):
        body = feature_id in {feature.subject, f"{feature.subject}@new"} and feature.subject in things
        if body and feature.goal is not None and (feature_id, feature.goal) not in held:
            yield f"`{feature_id}` may still be changed after `{task.id}`, which rule `{rule.id}` makes the last of it"


def _metal(work: WorkList, order: Order, task: Task) -> Iterator[str]:
    """Steps with drill, saw or heat on the vehicle that need not wait for a check that holds them back."""
    safe = {i for i, f in work.features.items() if f.subject == _SAFE}
    for other_id, other in sorted(work.tasks.items()):
        on_vehicle = any(d.on and d.feature in safe for d in other.demands)
        if other.work in _HOLING and on_vehicle and task.id not in tasks_before(order, other_id):
            yield f"`{other_id}` cuts, drills or heats and may come before `{task.id}`"


def _last_look(work: WorkList, catalog: Catalog, order: Order, look: CheckpointRule, task: Task) -> Iterator[str]:
    """Checks with the engine off that may still be made, and leave tools and nuts about, after the walk round."""
    before = tasks_before(order, task.id)
    later = {look.id}
    while more := {r.id for r in catalog.rules.values() if later & set(r.after)} - later:
        later |= more
    for other_id, other in sorted(work.tasks.items()):
        known = work.checkpoints.get(other.checkpoint or "")
        rule = None if known is None else catalog.rules.get(known.rule)
        if rule is None or rule.id in later or {Blocks.ENGINE, Blocks.MOVING, Blocks.ROAD} & set(rule.involves):
            continue
        if rule.closing:
            continue
        if other_id not in before:
            yield f"`{other_id}` may come after `{task.id}`, which looks at what it leaves"


def _word_before_start(work: WorkList, catalog: Catalog, order: Order) -> Iterator[str]:
    """Work that may come between the word that the engine is to be run and its start."""
    start = work.tasks.get(FIRST_START)
    if start is None:
        return
    ahead = tasks_before(order, FIRST_START)
    wanted = {d.feature for d in start.demands if not d.on}
    for feature_id, feature in sorted(work.features.items()):
        leave = feature.turn_off
        state = feature.subject in catalog.conditions and feature_id in wanted
        if state and leave is not None and not leave.minutes:
            for other in sorted(ahead - set(leave.after)):
                yield f"`{feature_id}` may be left, by a word, before `{other}`"
