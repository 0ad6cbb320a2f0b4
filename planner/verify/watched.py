"""The owner's hot tasks: whether each is watched to its end, with its paint and what minds heat only after it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog, When, Work
from planner.model.effects import EffectKind, Knockons
from planner.model.job import Job, OwnTask
from planner.model.vehicle import Component, Vehicle
from planner.model.work import Task, WorkList
from planner.space import Body, gap, solid_body
from planner.verify.sequence import Order, tasks_before

_ROUNDING_MM = 0.5
_TWO = 2
"""Somebody welds and somebody else watches: 29 CFR 1910.252(a)(2)(iii)."""


def watched_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order
) -> Iterator[str]:
    """Everything that the watch for fire lacks.

    Parameters
    ----------
    vehicle : Vehicle
        As it stands before the job.
    knockons : Knockons
    work : WorkList
        The answer to be checked.
    catalog : Catalog
    job : Job or None
        Its own tasks are looked at; without it only whether the watch ends with its session.
    order : Order
        What comes before what in every valid order.
    """
    rules = [r for r in catalog.rules.values() if any(t.when is When.SPARKS for t in r.triggers)]
    states = {c for r in rules for c in r.conditions}
    yield from _lasting(work, states)
    own = {t.id: t for t in (() if job is None else job.tasks)}
    beside = (t for _, t in sorted(work.tasks.items()) if t.work is Work.WELDING and not t.apart)
    yield from (f"`{t.id}` is welded, and paint, solvent or fuel may be handled beside it" for t in beside)
    least = max((r.low or 0.0 for r in rules if r.unit == "min"), default=0.0)
    yield from _left_hot(work, {r.id for r in rules}, least)
    for hot in (o for o in own.values() if o.mending is None and states & {*o.conditions} and o.id in work.tasks):
        task = work.tasks[hot.id]
        signed = task.checkpoint in {r.id for r in rules}
        if not task.apart:
            yield f"`{hot.id}` brings sparks, and paint, solvent or fuel may be handled beside it"
        if not signed or task.hands < _TWO or task.splits or task.minutes < hot.minutes + least:
            yield f"`{hot.id}` brings sparks, and nobody need watch for fire till half an hour after the last of them"
        yield from _painted_under(work, knockons, own, hot, order)
        yield from _there(vehicle.components, knockons, work, catalog, hot, task)


def _left_hot(work: WorkList, signed: set[str], least: float) -> Iterator[str]:
    """Welding away from the vehicle after which nobody need be there for as long as a fire may smoulder.

    On the vehicle it is signed with the watch, which is part of it.
    """
    for task_id, task in sorted(work.tasks.items()):
        if task.work is Work.WELDING and task.checkpoint not in signed and task.stay_min < least:
            yield f"`{task_id}` is welded, and the workshop may be left sooner than {least:g} min after it"


def _lasting(work: WorkList, states: set[str]) -> Iterator[str]:
    """A watch that may still be on as a session ends."""
    always = [d for h in work.holds.values() if not h.weekdays and not h.days for d in h.demands]
    for feature_id, feature in sorted(work.features.items()):
        if feature.subject in states and all(d.on or d.feature != feature_id for d in always):
            yield f"a session may end with `{feature_id}` still to be left"


def _painted_under(
    work: WorkList, knockons: Knockons, own: dict[str, OwnTask], hot: OwnTask, order: Order
) -> Iterator[str]:
    """Paint and sealer at a hole that may come before the owner's last heat there."""
    names = [*hot.after]
    for name in names:
        names += [] if name not in own else [n for n in own[name].after if n not in names]
    effects = {e.id for e in knockons.effects if e.kind is EffectKind.CUT and e.subject in names}
    for task_id, task in sorted(work.tasks.items()):
        covers = task.work is Work.FINISHING and task.effect in effects
        if covers and hot.id not in tasks_before(order, task_id):
            yield f"`{task_id}` paints or seals what `{hot.id}` may still heat"


def _there(
    before: dict[str, Component], knockons: Knockons, work: WorkList, catalog: Catalog, hot: OwnTask, task: Task
) -> Iterator[str]:
    """Parts in a new home that may be there while the owner welds beside it, though they mind the heat."""
    heated = [_body(knockons.after[p]) for p in hot.fitted if p in knockons.after]
    off = {d.feature for d in task.demands if not d.on}
    for part_id, part in sorted(knockons.after.items()):
        minds = bool({part.kind, part.group} & {*catalog.hot_clear}) and part_id not in hot.fitted and not part.rides
        old = before.get(part_id)
        if not minds or part.mounted_on in hot.fitted or (old is not None and old.pose == part.pose):
            continue
        there = {f.id for f in work.features.values() if f.subject == part_id and f.goal and not f.start}
        near = any(gap(h, _body(part)).mm < catalog.hot_reach_mm - _ROUNDING_MM for h in heated)
        if near and there and not there & off:
            yield f"`{hot.id}` may be done with `{part_id}` in its new place beside it: it minds the heat"


def _body(part: Component) -> Body:
    return solid_body(part.solids, part.pose)
