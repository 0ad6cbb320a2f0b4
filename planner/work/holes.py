"""Holes that links go through: marked and drilled in what they pass, before anything is measured or made against it."""

from __future__ import annotations

from dataclasses import dataclass

from planner.knockon import template_for
from planner.model.catalog import TemplateStep, When, Work
from planner.model.effects import Effect, EffectKind
from planner.model.vehicle import Component, Link
from planner.model.work import After, Demand, Task
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.tasks import HOLING, TaskBook, step_task

_MADE = frozenset({EffectKind.NEW, EffectKind.REMADE, EffectKind.ADJUSTED})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hole:
    """A link, what it goes through, and which of its ends are put on that in this job."""

    link: Link
    host: Component
    effect: Effect
    on_it: tuple[str, ...]

    @property
    def id(self) -> str:
        return f"{self.link.id}.{self.host.id}"


def add_holes(ground: Ground, book: TaskBook) -> None:
    """Add the tasks for each hole; call it when every part has its own, and before links wait for trial fits.

    An end that is put on the same panel is off while its hole is made: the hole of a push-rod lies behind its cylinder.
    Else both ends are in place, as the hole is found between them.
    """
    for effect in ground.knockons.effects:
        for host in ground.knockons.pierced.get(effect.subject, ()) if effect.kind in _MADE else ():
            _add(ground, book, _hole(ground, effect, host))


def _hole(ground: Ground, effect: Effect, host: str) -> _Hole:
    link = ground.knockons.links_after[effect.subject]
    put_on = [e.component for e in link.ends if _is_put_on(ground, e.component, host)]
    return _Hole(link=link, host=ground.knockons.after[host], effect=effect, on_it=tuple(dict.fromkeys(put_on)))


def _is_put_on(ground: Ground, part: str, host: str) -> bool:
    body = ground.final(part)
    return body is not None and not ground.handled[body].start and ground.knockons.after[part].mounted_on == host


def _add(ground: Ground, book: TaskBook, hole: _Hole) -> None:
    template = template_for(ground.catalog, When.PASSED, hole.host.kind, hole.host.group)
    if template is None:
        return
    made_here = {f.subject for f in ground.facts if f.when is When.MADE}
    # A part that is made is held to its place at its trial fit, any other before it is first fitted.
    held = [book.trial_fits.get(p, []) if p in made_here else _offered_up(book, p) for p in hole.on_it]
    previous = tuple(After(task=t) for tasks in held for t in tasks)
    made: list[str] = []
    for n, step in enumerate(template.steps, start=1):
        task = _task(ground, hole, step, f"{hole.id}.{n}", previous)
        # Not the link's own subject: an owner's task between a part and its rod would else wait for itself.
        book.add(hole.id, task)
        made.append(task.id)
        if step.work in HOLING:
            book.holing[hole.id].append(task.id)
        previous = (After(task=task.id),)
    for part in (p for p in hole.on_it if p not in made_here):
        book.fit_after[str(ground.final(part))].extend(made)
    if not hole.on_it:
        tried = [t for e in hole.link.ends for t in book.trial_fits.get(e.component, [])]
        for marking in (t for t in made if book.tasks[t].work is Work.MARKING):
            book.wait(marking, tried)
    first = book.between.get(hole.link.id, next(iter(book.of_subject.get(hole.link.id, [])), None))
    if first is not None:
        book.wait(first, made)


def _offered_up(book: TaskBook, part: str) -> list[str]:
    """The steps in which an end is held to its place and marked."""
    works = (Work.MARKING, Work.MOCK_UP)
    return [t for t in book.of_subject.get(part, []) if book.tasks[t].work in works]


def _task(ground: Ground, hole: _Hole, step: TemplateStep, task_id: str, previous: tuple[After, ...]) -> Task:
    demands = [Demand(feature=state_id(c), on=True) for c in step.conditions]
    if step.work is not Work.PLANNING:
        demands += _standing(ground, hole, marking=step.work is Work.MARKING)
    title = step.title.format(part=hole.link.name, host=hole.host.name)
    return step_task(ground, step, hole.effect, task_id=task_id, title=title, demands=demands, after=previous)


def _standing(ground: Ground, hole: _Hole, *, marking: bool) -> list[Demand]:
    """Ends on the panel off with their place free; for marking alone, the panel there, or both ends where none is."""
    bodies = [str(ground.final(part)) for part in hole.on_it]
    demands = [Demand(feature=b, on=False) for b in bodies]
    for body in bodies:
        excludes = sorted(ground.handled[body].access.excludes)
        demands += [Demand(feature=b, on=False) for b in excludes if b in ground.handled]
    if marking:
        there = [hole.host.id] if hole.on_it else [hole.host.id, *(e.component for e in hole.link.ends)]
        demands += [Demand(feature=b, on=True) for b in map(ground.final, dict.fromkeys(there)) if b is not None]
    return demands
