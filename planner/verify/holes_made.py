"""Holes for links, made before anything is measured against them, and holes left behind, closed when nobody needs them.

What a link goes through is marked with both its ends in their place, as the hole lies between them; an end that stands
over the hole, as a cylinder does over that of its push-rod, is held there first and is off while it is drilled.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

from planner.model.catalog import Catalog, Demanded, When, Work
from planner.model.effects import EffectKind, Knockons
from planner.model.job import Job
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.work import Feature, Task, WorkList
from planner.verify.sequence import Order, tasks_before
from planner.verify.templates_called import Called, template_of, templates_called

_Facts: TypeAlias = "tuple[Vehicle, Knockons, WorkList, Catalog, Order]"
_HOLES = frozenset({Work.DRILLING, Work.CUTTING})


def hole_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order
) -> Iterator[str]:
    """Give a sentence for each hole that is made, or closed, at the wrong time."""
    facts = (vehicle, knockons, work, catalog, order)
    for called in templates_called(vehicle, knockons, catalog, job):
        names = (f"{called.prefix}{n}" for n in range(1, len(called.template.steps) + 1))
        steps = [work.tasks[i] for i in names if i in work.tasks]
        if called.when is When.PASSED and steps:
            link = knockons.links_after[called.subject]
            yield from _measured_first(facts, link, steps)
            over = [e for e in _ends(knockons, link) if _put_on(work, e, called.host)]
            yield from _ends_tried(facts, over or _ends(knockons, link), steps)
            yield from _ends_there(facts, called, link, over, steps)
        elif called.when is When.LEFT:
            for step in steps[:1]:
                yield from _still_needed(facts, called, step)


def _ends(knockons: Knockons, link: Link) -> list[Component]:
    return [knockons.after[e] for e in sorted({e.component for e in link.ends}) if e in knockons.after]


def _final(work: WorkList, subject: str) -> Feature | None:
    about = (f for f in work.features.values() if f.subject == subject and ":" not in f.id)
    return next((f for f in about if f.goal is True), None)


def _put_on(work: WorkList, part: Component, host: str) -> bool:
    """Whether an end is first fitted to the panel with the hole in this job."""
    feature = _final(work, part.id)
    return part.mounted_on == host and feature is not None and not feature.start


def _trials(facts: _Facts, subject: str, works: frozenset[Work]) -> list[Task]:
    _, knockons, work, _, _ = facts
    effects = {e.id for e in knockons.effects if e.subject == subject}
    own = (t for _, t in sorted(work.tasks.items()) if t.effect in effects and t.id.rpartition(".")[0] == subject)
    return [t for t in own if t.work in works]


def _measured_first(facts: _Facts, link: Link, holes: list[Task]) -> Iterator[str]:
    """The first of a link's steps between its fitted ends, else its first: it is measured through the hole."""
    _, knockons, work, catalog, order = facts
    kinds = {e.kind for e in knockons.effects if e.subject == link.id}
    made = bool(kinds & {EffectKind.NEW, EffectKind.REMADE})
    found = template_of(catalog, When.LINK_MADE if made else When.LINK_ADJUSTED, link.kind, link.group)
    steps = () if found is None else found.steps
    first = next((n for n, s in enumerate(steps, start=1) if Demanded.FITTED in s.demands), 1)
    step = f"{link.id}.{'' if made else 'adj'}{first}"
    for hole in holes if step in work.tasks else ():
        if hole.id not in tasks_before(order, step):
            yield f"`{step}` may be done before `{hole.id}` makes the hole that `{link.id}` goes through"


def _ends_tried(facts: _Facts, ends: list[Component], holes: list[Task]) -> Iterator[str]:
    """A made end is tried, any other that stands over the hole is held up and marked, before the hole is marked."""
    _, knockons, work, _, order = facts
    for end in ends:
        made = any(
            e.subject == end.id
            and (
                e.kind in {EffectKind.GROWS, EffectKind.REMADE}
                or (e.kind is EffectKind.NEW and end.make_min is not None)
            )
            for e in knockons.effects
        )
        over = _put_on(work, end, holes[0].id.split(".")[1])
        works = frozenset({Work.TRIAL_FIT} if made or not over else {Work.MARKING, Work.MOCK_UP})
        for hole in holes:
            early = [t.id for t in _trials(facts, end.id, works) if t.id not in tasks_before(order, hole.id)]
            if early and hole.work in {Work.MARKING, *_HOLES}:
                yield f"`{hole.id}` may be done before `{early[0]}` shows where `{end.id}` stands"
        fits = _final(work, end.id)
        for hole in holes if over and not made and fits is not None and fits.turn_on is not None else ():
            if fits is not None and fits.turn_on is not None and hole.id not in fits.turn_on.after:
                yield f"`{fits.id}` may be fitted over the hole that `{hole.id}` makes before that is made"


def _ends_there(facts: _Facts, called: Called, link: Link, over: list[Component], steps: list[Task]) -> Iterator[str]:
    """Marked with the panel there, and both ends unless one stands over the hole: that is off, and its place free."""
    _, knockons, work, _, _ = facts
    shown = [called.host] if over else [called.host, *(e.component for e in link.ends)]
    there = {f.id for name in shown if (f := _final(work, name)) is not None}
    away = {f.id for e in over if (f := _final(work, e.id)) is not None}
    away |= {b for f in away if f in knockons.access for b in knockons.access[f].excludes} & work.features.keys()
    for task in steps:
        on = {d.feature for d in task.demands if d.on}
        for body in sorted(there - on) if task.work is Work.MARKING else ():
            yield f"`{task.id}` may be marked with `{body}` away"
        off = {d.feature for d in task.demands if not d.on}
        for body in sorted(away - off) if task.work is not Work.PLANNING else ():
            yield f"`{task.id}` may be done with `{body}` over the hole"


def _still_needed(facts: _Facts, called: Called, closing: Task) -> Iterator[str]:
    """An old hole is closed when it is known that no new part takes or covers it, and no new link goes through it."""
    _, knockons, work, _, order = facts
    before = tasks_before(order, closing.id)
    on_it = [c.id for c in knockons.after.values() if c.mounted_on == called.host]
    trials = [t for name in on_it for t in _trials(facts, name, frozenset({Work.TRIAL_FIT}))]
    through = {f"{link}.{called.host}" for link, hosts in knockons.pierced.items() if called.host in hosts}
    drilled = [t for _, t in sorted(work.tasks.items()) if t.id.rpartition(".")[0] in through and t.work in _HOLES]
    for first in (*trials, *drilled):
        if first.id not in before:
            yield f"`{closing.id}` may close a hole before `{first.id}` shows that nothing takes it"
