"""Holes left behind by what goes for good: closed before the engine is run, for fumes and flame come through them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.knockon import left_holes, template_for
from planner.model.catalog import Template, When
from planner.model.effects import Effect, EffectKind
from planner.model.vehicle import Component
from planner.model.work import After, Demand
from planner.work.bodies import Ground
from planner.work.circuits import state_id
from planner.work.tasks import TaskBook, step_task

_LEAVING = (EffectKind.GONE, EffectKind.REMADE, EffectKind.ADJUSTED)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftHole:
    """What leaves a hole, what it is in, and the tasks that close it."""

    subject: str
    host: Component
    effect: Effect
    template: Template

    @property
    def id(self) -> str:
        """What its tasks and its purchase are named after."""
        return f"{self.subject}.{self.host.id}.left"


def holes_left(ground: Ground) -> Iterator[LeftHole]:
    """Every hole that is to be closed, where the catalog knows how."""
    k = ground.knockons
    effects = {e.subject: e for e in reversed(k.effects) if e.kind in _LEAVING}
    found = left_holes(k.effects, ground.vehicle, ground.job, k.after, k.links_after, k.pierced)
    for subject, hosts in found.items():
        for host in (k.after[h] for h in hosts):
            template = template_for(ground.catalog, When.LEFT, host.kind, host.group)
            if template is not None:
                yield LeftHole(subject=subject, host=host, effect=effects[subject], template=template)


def close_holes(ground: Ground, book: TaskBook) -> None:
    """Add the tasks that close each hole, once what leaves it is off."""
    for hole in holes_left(ground):
        _close(ground, book, hole)


def _close(ground: Ground, book: TaskBook, hole: LeftHole) -> None:
    off = (Demand(feature=hole.subject, on=False),) if hole.subject in ground.handled else ()
    previous = tuple(After(task=t) for t in _taking_it(ground, book, hole.host.id))
    for n, step in enumerate(hole.template.steps, start=1):
        name = ground.vehicle.components.get(hole.subject) or ground.vehicle.links[hole.subject]
        states = tuple(Demand(feature=state_id(c), on=True) for c in step.conditions)
        task = step_task(
            ground,
            step,
            hole.effect,
            task_id=f"{hole.id}{n}",
            title=step.title.format(part=name.name, host=hole.host.name),
            demands=(*states, *off),
            after=previous,
        )
        # Not the subject's own: an owner's task between what goes and what comes would else wait for itself.
        book.add(hole.id, task)
        book.mended[hole.subject].append(task.id)
        book.uses[task.id] = step.uses
        previous = (After(task=task.id, lag_min=step.lag_min),)


def _taking_it(ground: Ground, book: TaskBook, host: str) -> list[str]:
    """What shows which old holes are taken or covered: new parts on the same panel tried, new links' holes made."""
    on_it = [i for i, c in ground.knockons.after.items() if c.mounted_on == host]
    through = [f"{link}.{host}" for link, hosts in ground.knockons.pierced.items() if host in hosts]
    tried = [t for i in on_it for t in book.trial_fits.get(i, [])]
    return [*tried, *(t for i in through for t in book.holing.get(i, []))]
