"""Welds: whether each is looked at by itself, before paint and before a part covers it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.model.catalog import CheckpointRule, When, Work
from planner.model.effects import Knockons
from planner.model.job import Job, OwnTask
from planner.model.vehicle import Component
from planner.model.words import Deed
from planner.model.work import Task, WorkList
from planner.verify.called import Event
from planner.verify.mountings import standing_on
from planner.verify.sequence import Order, tasks_before

_SAFE = "battery-isolated"
"""The state in which the vehicle itself is drilled or cut; nothing at the bench asks for it."""


def bare_faults(
    knockons: Knockons, work: WorkList, job: Job | None, called: tuple[CheckpointRule, Sequence[Event]], order: Order
) -> Iterator[str]:
    """Give a sentence for everything that a rule wants seen bare, and that may be covered or forgotten.

    Parameters
    ----------
    knockons : Knockons
    work : WorkList
        The answer to be checked.
    job : Job or None
        Names its own tasks; without it none of those is looked at.
    called : (CheckpointRule, events)
        The rule, with what calls for it.
    order : Order
        What comes before what in every valid order.
    """
    rule, calls = called
    own = {t.id: t for t in (() if job is None else job.tasks)}
    for subject in sorted({event.subject for event in calls}):
        points = {g.id for g in work.checkpoints.values() if g.rule == rule.id and g.subject == subject}
        looks = sorted(t.id for t in work.tasks.values() if t.checkpoint in points)
        if not looks:
            yield f"rule `{rule.id}` is called for by `{subject}` and nothing looks at that by itself"
        for look in looks:
            if subject in own and subject in work.tasks:
                yield from _mended(knockons, work, own[subject], look, order)
            elif subject in knockons.bare and any(e.when is When.CUT and e.subject == subject for e in calls):
                yield from _edge(knockons, work, subject, look, order)
            elif subject not in own:
                yield from _painted(knockons, work, subject, look, order)


def _about(knockons: Knockons, work: WorkList, subject: str) -> list[Task]:
    effects = {e.id for e in knockons.effects if e.subject == subject}
    return [t for _, t in sorted(work.tasks.items()) if t.effect in effects]


def _painted(knockons: Knockons, work: WorkList, subject: str, look: str, order: Order) -> Iterator[str]:
    """After the last weld, before the first paint over it, and what is made at the bench still off."""
    steps = _about(knockons, work, subject)
    before = tasks_before(order, look)
    welds = {t.id for t in steps if t.work is Work.WELDING}
    for weld in sorted(welds - before):
        yield f"`{look}` may be made before `{weld}`, which it looks at"
    for paint in (t for t in steps if t.work is Work.FINISHING and welds & tasks_before(order, t.id)):
        if look not in tasks_before(order, paint.id):
            yield f"`{paint.id}` may cover what `{look}` looks at before that is made"
        off = {d.feature for d in work.tasks[look].demands if not d.on}
        there = {d.feature for d in paint.demands if not d.on and work.features[d.feature].subject == subject}
        if not there <= off:
            yield f"`{look}` may be made with `{subject}` on the vehicle"


def _edge(knockons: Knockons, work: WorkList, subject: str, look: str, order: Order) -> Iterator[str]:
    """The edge of a hole: after it is cut and dressed, before a doubler or paint is over it, nothing mounted on it."""
    steps = _about(knockons, work, subject)
    before = tasks_before(order, look)
    welds = {t.id for t in steps if t.work is Work.WELDING}
    for step in (t for t in steps if t.id != look):
        over = step.id in welds or step.work is Work.FINISHING
        if over and look not in tasks_before(order, step.id):
            yield f"`{step.id}` may cover what `{look}` looks at before that is made"
        shaped = step.work in {Work.CUTTING, Work.DRESSING} and not welds & tasks_before(order, step.id)
        if shaped and step.id not in before:
            yield f"`{look}` may be made before `{step.id}`, which it looks at"
    off = {d.feature for d in work.tasks[look].demands if not d.on}
    for body in sorted(knockons.bare[subject] & work.features.keys() - off):
        yield f"`{look}` may be made with `{body}` over it"


def _mended(knockons: Knockons, work: WorkList, own: OwnTask, look: str, order: Order) -> Iterator[str]:
    """After the mending, and before what is kept off for it may be fitted again."""
    if own.id not in tasks_before(order, look):
        yield f"`{look}` may be made before mending `{own.id}`, which it looks at"
    for name in () if own.mending is None else own.mending.ahead:
        for feature in work.features.values():
            fits = feature.turn_on
            if feature.subject != name or ":" in feature.id or not feature.goal or fits is None or name in own.fitted:
                continue
            if look not in fits.after:
                yield f"`{feature.id}` may be fitted before `{look}`"
    yield from _on_it(knockons, work, own, look, order)


def host_faults(knockons: Knockons, work: WorkList, job: Job | None, order: Order) -> Iterator[str]:
    """Give a sentence for each hole and each part that may go in, or on, what is broken before that is mended.

    Parameters
    ----------
    knockons : Knockons
    work : WorkList
    job : Job or None
        Its own tasks that mend something are looked at.
    order : Order
    """
    for own in () if job is None else job.tasks:
        if own.mending is None or own.id not in work.tasks:
            continue
        if any(deed in {Deed.WELD, Deed.GRIND, Deed.CUT, Deed.UNSAID} for deed in own.mending.does):
            yield from _on_it(knockons, work, own, own.id, order)


def _on_it(knockons: Knockons, work: WorkList, own: OwnTask, first: str, order: Order) -> Iterator[str]:
    """What is mounted on what was mended, and the holes for it there; not what the mending itself comes after."""
    host = "" if own.mending is None else own.mending.on
    wanted = tasks_before(order, own.id) | {own.id}
    used = {d.feature for t in wanted for d in work.tasks[t].demands if d.on}
    for part in knockons.after.values():
        if part.mounted_on != host or not host:
            continue
        steps = _about(knockons, work, part.id)
        features = [f for f in work.features.values() if f.subject == part.id and ":" not in f.id and f.goal]
        if _comes_first(knockons, part, used, own, {t.id for t in steps} & wanted):
            continue
        for feature in features:
            if feature.turn_on is not None and first not in feature.turn_on.after:
                yield f"`{feature.id}` may be fitted on `{host}` before `{first}`"
        for step in steps:
            inside = {work.features[d.feature].subject for d in step.demands if d.on and d.feature in work.features}
            holes = step.work in {Work.DRILLING, Work.CUTTING} and _SAFE in inside
            if holes and first not in tasks_before(order, step.id):
                yield f"`{step.id}` may drill `{host}` before `{first}`"


def _comes_first(knockons: Knockons, part: Component, used: set[str], own: OwnTask, steps: set[str]) -> bool:
    """Whether a mending is done with a part in place, or after the work on it."""
    carried = {part.id} | standing_on(part.id, knockons.after)
    named = {*own.after, *own.fitted}
    return bool(steps or carried & named or {u.removesuffix("@new") for u in used} & carried)
