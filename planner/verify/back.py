"""Own tasks: alone where asked so; for a part that is back from whoever makes it, after that and before its fitting."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog, When
from planner.model.effects import Knockons
from planner.model.job import Job, OwnTask
from planner.model.vehicle import Component
from planner.model.work import Task, WorkList
from planner.verify.sequence import Order, tasks_before


def back_faults(knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order) -> Iterator[str]:
    """Give a sentence for each such task that may be done too early or too late."""
    for own in () if job is None else job.tasks:
        task = work.tasks.get(own.id)
        if own.back and task is None:
            yield f"own task `{own.id}` is not in the work list"
        elif task is not None:
            if own.alone and not task.apart:
                yield f"`{own.id}` may be done beside other work, and its owner asks for nothing beside it"
            for part in own.back:
                yield from _faults(work, catalog, own, task, (part, knockons.after.get(part), order))


def _faults(
    work: WorkList, catalog: Catalog, own: OwnTask, task: Task, of: tuple[str, Component | None, Order]
) -> Iterator[str]:
    part, known, order = of
    earlier = tasks_before(order, own.id)
    for sent in _sendings(work, catalog, part, known):
        if sent not in earlier:
            yield f"`{own.id}` may be done before `{part}` is back: `{sent}` does not come first"
    if f"buy:{part}" in work.buys and f"buy:{part}" not in task.purchases:
        yield f"`{own.id}` does not wait for `{part}` to be here"
    for feature in work.features.values():
        # A part that is only finger tight, or tight, is in place already.
        if feature.subject != part or ":" in feature.id or not feature.goal or feature.turn_on is None:
            continue
        if own.id not in feature.turn_on.after:
            yield f"`{feature.id}` may be fitted before `{own.id}` is done"
        if not any(d.feature == feature.id and not d.on for d in task.demands):
            yield f"`{own.id}` is done to `{part}` on the bench and does not ask for it to be off"


def _sendings(work: WorkList, catalog: Catalog, part: str, known: Component | None) -> Iterator[str]:
    """The steps by which a part goes to somebody else: those its kind's templates mark so."""
    made = [t for t in catalog.templates.values() if t.trigger.when is When.MADE]
    names = () if known is None else (known.kind, known.group)
    fitting = next((f for n in names if (f := [t for t in made if n in t.trigger.of])), [])
    for template in sorted(fitting, key=lambda t: t.id)[:1]:
        for number, step in enumerate(template.steps, start=1):
            if step.away and f"{part}.{number}" in work.tasks:
                yield f"{part}.{number}"
