"""What somebody else makes to a measured size: ordered when that is known, not tried or fitted before its lead is up.

Of a part that is handed over, and of a link that is made up, by whichever step the catalog marks so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.model.catalog import Catalog, When
from planner.model.effects import Knockons
from planner.model.vehicle import Component, Link
from planner.model.words import DAY_MIN
from planner.model.work import Task, WorkList
from planner.verify.left import waited_for


def sent_faults(knockons: Knockons, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """A sentence for each that is ordered unmeasured or not at all, or used before it can be here."""
    for name, link in sorted(knockons.links_after.items()):
        number = _away_step(catalog, link)
        if number and any(f"{name}.{n}" in work.tasks for n in range(1, number + 2)):
            yield from _not_ordered(work, name, number)
    things: dict[str, Component | Link] = {**knockons.after, **knockons.links_after}
    for task in work.tasks.values():
        name, _, which = task.id.partition(".")
        if task.away and name in things and which.isdigit():
            yield from _used_early(work, task, things[name])


def _away_step(catalog: Catalog, link: Link) -> int:
    """Number of the step by which such a link is ordered; 0 when it is made at home."""
    made = sorted((t for t in catalog.templates.values() if t.trigger.when is When.LINK_MADE), key=lambda t: t.id)
    fitting = [t for name in (link.kind, link.group) for t in made if name in t.trigger.of]
    steps = fitting[0].steps if fitting else ()
    return next((n for n, step in enumerate(steps, start=1) if step.away), 0)


def _not_ordered(work: WorkList, name: str, number: int) -> Iterator[str]:
    order = f"{name}.{number}"
    if order not in work.tasks or not work.tasks[order].away:
        yield f"`{name}` is made by somebody else and no step orders it"
        return
    for earlier in (f"{name}.{n}" for n in range(1, number)):
        if earlier in work.tasks and earlier not in waited_for(work, order):
            yield f"`{order}` orders `{name}` before `{earlier}` is done"
        if earlier in work.tasks and f"buy:{name}" in work.tasks[earlier].purchases:
            yield f"`{earlier}` waits for `{name}`, which is only ordered after it"
    if f"buy:{name}" in work.tasks[order].purchases:
        yield f"`{order}` waits for `{name}`, which it orders"


def _used_early(work: WorkList, order: Task, thing: Component | Link) -> Iterator[str]:
    name, _, number = order.id.partition(".")
    lead_min = thing.lead_days * DAY_MIN
    waits = _waits_min(work, order.id)
    for task in work.tasks.values():
        of, _, later = task.id.partition(".")
        if of == name and later.isdigit() and int(later) > int(number) and waits.get(task.id, -1) < lead_min:
            yield f"`{task.id}` may be done before `{name}`, ordered with `{order.id}`, is here"
    for feature in work.features.values():
        fit = feature.turn_on
        if feature.subject != name or ":" in feature.id or not feature.goal or fit is None:
            continue
        told = f"buy:{name}" in work.buys and f"buy:{name}" not in fit.purchases
        if told or max((waits.get(t, -1) for t in fit.after), default=-1) < lead_min:
            yield f"`{feature.id}` may be fitted before `{name}`, ordered with `{order.id}`, is here"


def _waits_min(work: WorkList, order: str) -> Mapping[str, int]:
    """The least wait [min] from the end of one task to the begin of each that comes after it."""
    found = {order: 0}
    rest = [t for t in work.tasks.values() if order in waited_for(work, t.id)]
    while rest:
        ready = [t for t in rest if not any(a.task in {r.id for r in rest} for a in t.after)]
        for task in ready:
            found[task.id] = max(found[a.task] + a.lag_min for a in task.after if a.task in found)
        if not ready:
            return found
        rest = [t for t in rest if t not in ready]
    return found
