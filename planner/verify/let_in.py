"""Holes and what goes into them, controls and the metal cut for them, links and the ends they are measured between."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

from planner.model.catalog import Catalog, Demanded, When, Work
from planner.model.effects import Knockons
from planner.model.job import Cut, Job
from planner.model.vehicle import Vehicle
from planner.model.work import Task, WorkList
from planner.verify.mountings import standing_on
from planner.verify.sequence import Order, tasks_before
from planner.verify.templates_called import templates_called

_CONTROLS = frozenset({"brakes", "clutch", "throttle", "steering"})
_Facts: TypeAlias = "tuple[Knockons, WorkList, Order]"


def let_in_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None, order: Order
) -> Iterator[str]:
    """Give a sentence for each hole, part or link that may be made or fitted before what it hangs on is known.

    A part goes into a hole that is cut and dressed, and the hole is painted when the part was tried in it. Metal is cut
    for a control when that was tried in card. A link is measured, or set, between ends that were tried in their places.
    """
    facts = (knockons, work, order)
    for cut in (c for c in (() if job is None else job.changes) if isinstance(c, Cut)):
        steps = _steps(work, cut.id)
        yield from _through(facts, cut, steps)
        yield from _shown_first(facts, cut, steps)
    for called in templates_called(vehicle, knockons, catalog, job):
        if called.when in {When.LINK_MADE, When.LINK_ADJUSTED}:
            rows = enumerate(called.template.steps, start=1)
            first = next((f"{called.prefix}{n}" for n, s in rows if Demanded.FITTED in s.demands), "")
            if first in work.tasks:
                yield from _between(facts, called.subject, first)


def _steps(work: WorkList, subject: str) -> list[Task]:
    return [t for i, t in sorted(work.tasks.items()) if i.rpartition(".")[0] == subject and i[-1].isdigit()]


def _trials(work: WorkList, subject: str, sort: Work) -> list[str]:
    return [t.id for t in _steps(work, subject) if t.work is sort]


def _through(facts: _Facts, cut: Cut, steps: list[Task]) -> Iterator[str]:
    knockons, work, order = facts
    for body in sorted(knockons.bare.get(cut.id, frozenset()) & work.features.keys()):
        feature = work.features[body]
        fits = feature.turn_on
        if feature.start or not feature.goal or fits is None:
            continue
        for step in (s for s in steps if s.work is not Work.FINISHING and s.id not in fits.after):
            yield f"`{body}` may be fitted at the hole `{cut.id}` before `{step.id}`"
        for paint in (s for s in steps if s.work is Work.FINISHING):
            for trial in _trials(work, feature.subject, Work.TRIAL_FIT):
                if trial not in tasks_before(order, paint.id):
                    yield f"`{paint.id}` may paint the hole `{cut.id}` before `{trial}`, after which it may be filed"


def _shown_first(facts: _Facts, cut: Cut, steps: list[Task]) -> Iterator[str]:
    knockons, work, order = facts
    controls = [p for p in standing_on(cut.host, knockons.after) if knockons.after[p].group in _CONTROLS]
    cutting = [s for s in steps if s.work in {Work.CUTTING, Work.DRILLING}]
    for mock_up in (m for part in sorted(controls) for m in _trials(work, part, Work.MOCK_UP)):
        if tasks_before(order, mock_up) & {s.id for s in steps}:
            continue
        for step in cutting:
            if mock_up not in tasks_before(order, step.id):
                yield f"`{step.id}` may cut `{cut.host}` before `{mock_up}` shows where the control is to be"


def _between(facts: _Facts, link: str, first: str) -> Iterator[str]:
    knockons, work, order = facts
    for end in sorted({e.component for e in knockons.links_after[link].ends}):
        for trial in _trials(work, end, Work.TRIAL_FIT):
            if trial not in tasks_before(order, first):
                yield f"`{first}` may be done before `{trial}` shows where `{end}` stands"
