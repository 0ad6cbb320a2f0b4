"""The steps of the catalog's templates: whether each is there, in the trade's order, and says and waits for its own."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, takewhile

from planner.model.catalog import Catalog, Demanded, TemplateStep, When, Work
from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.model.work import Task, WorkList
from planner.verify.sequence import Order, tasks_before
from planner.verify.step_bodies import body_faults, fixed_to
from planner.verify.templates_called import Called, steps_of, templates_called


def template_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order
) -> Iterator[str]:
    """Give a sentence for each step of a template that is missing, out of turn, or lacks what the catalog says of it.

    Parameters
    ----------
    vehicle : Vehicle
        As it stands.
    knockons : Knockons
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        Its templates.
    job : Job or None
        Names the hosts of cuts, and what takes the place of what.
    order : Order
        What comes before what in every valid order.
    """
    for called in templates_called(vehicle, knockons, catalog, job):
        steps = steps_of(called, vehicle, knockons, catalog, job)
        tasks = {n: work.tasks[i] for n in steps if (i := f"{called.prefix}{n}") in work.tasks}
        for number in steps.keys() - tasks.keys():
            yield f"step `{called.prefix}{number}` of template `{called.template.id}` is not in the work list"
        for first, then in pairwise(n for n in steps if n in tasks):
            yield from _in_turn(order, tasks[first], tasks[then], steps[first])
        for number, task in tasks.items():
            yield from _said(work, catalog, task, steps[number])
            yield from _holders_named(knockons, called, task, steps[number])
            yield from body_faults(called, (vehicle, knockons, work, catalog), task, steps[number], order)
        yield from _before_fitting(knockons, work, called, (steps, tasks))
        yield from _holes_closed(work, called, tasks, order)


def _in_turn(order: Order, first: Task, then: Task, step: TemplateStep) -> Iterator[str]:
    waits = {a.task: a.lag_min for a in then.after}
    if first.id not in waits and first.id not in tasks_before(order, then.id):
        yield f"`{then.id}` may be done before `{first.id}`"
    elif waits.get(first.id, 0) < step.lag_min:
        yield f"`{then.id}` may be done less than {step.lag_min} min after `{first.id}`"


def _said(work: WorkList, catalog: Catalog, task: Task, step: TemplateStep) -> Iterator[str]:
    """Hands, cautions, cure, what is used up, and the states it is done in."""
    if task.hands < step.hands:
        yield f"`{task.id}` is for {task.hands} pair of hands and takes {step.hands}"
    if task.keep_min < step.lag_min:
        yield f"`{task.id}` may be undone, or what it is on moved, within the {step.lag_min} min that it takes to cure"
    keys = [step.work.value] if step.work is not Work.TESTING else []
    keys += ["hot work"] if step.hot else []
    for caution in (*step.cautions, *(catalog.cautions[k] for k in keys if k in catalog.cautions)):
        if caution not in task.cautions:
            yield f"`{task.id}` does not say: {caution}"
    bought = [work.buys[b].what for b in task.purchases if b in work.buys]
    for word in step.uses:
        if not any(what.startswith(word) for what in bought):
            yield f"`{task.id}` does not wait for {word}, which it uses up"
    held = {work.features[d.feature].subject for d in task.demands if d.on and d.feature in work.features}
    for state in (*step.conditions, *(catalog.hot_conditions if step.hot else ())):
        if state not in held:
            yield f"`{task.id}` may be done while `{state}` does not hold"


def _holders_named(knockons: Knockons, called: Called, task: Task, step: TemplateStep) -> Iterator[str]:
    """A part that is fixed to two is drilled for in both, and the step says so."""
    part = knockons.after.get(called.subject)
    named = step.seat and "{host}" in step.title and task.title.count("no hole is drilled") == 0
    for host in fixed_to(knockons, part) if part is not None and named else ():
        if knockons.after[host].name not in task.title:
            yield f"`{task.id}` does not name `{host}`, which holds `{part.id if part else ''}` as well"


def _before_fitting(
    knockons: Knockons,
    work: WorkList,
    called: Called,
    done: tuple[dict[int, TemplateStep], dict[int, Task]],
) -> Iterator[str]:
    """What comes before the first trial is done before a part is first fitted; a link is made before it is."""
    steps, tasks = done
    if called.when in {When.DISTURBED, When.LINK_ADJUSTED, When.PASSED, When.LEFT}:
        return
    is_part = called.subject in knockons.after
    ahead = list(takewhile(lambda n: not is_part or Demanded.FITTED not in steps[n].demands, steps))
    for feature in work.features.values():
        fits = feature.turn_on if feature.subject == called.subject and ":" not in feature.id and feature.goal else None
        for task in (tasks[n] for n in ahead if n in tasks and fits is not None):
            if fits is not None and task.id not in fits.after:
                yield f"`{feature.id}` may be fitted before `{task.id}`"


def _holes_closed(work: WorkList, called: Called, tasks: dict[int, Task], order: Order) -> Iterator[str]:
    """What a part leaves behind is closed, and all else of a template done, before the engine is started."""
    ahead = tasks_before(order, "first-start") if "first-start" in work.tasks else frozenset()
    for task in tasks.values() if ahead else ():
        if task.id not in ahead:
            yield f"`{task.id}` of template `{called.template.id}` may be left until the engine has run"
