"""Trial fits: what a part's rods join is in place and not plugged; wires are labelled before they come off."""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from planner.model.catalog import Catalog, Work
from planner.model.effects import EffectKind, Knockons
from planner.model.work import Task, WorkList
from planner.verify.mountings import standing_on
from planner.verify.sequence import Order, tasks_before

_STRAIGHT = frozenset({"rod", "shaft"})


def trial_faults(knockons: Knockons, work: WorkList, catalog: Catalog, order: Order) -> Iterator[str]:
    """Give a sentence for each trial fit that may be made without what the part serves or is told to touch.

    Parameters
    ----------
    knockons : Knockons
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        Says which links lie straight between their ends.
    order : Order
        What can only be fitted after a trial is not asked of it.
    """
    subjects = {e.id: e.subject for e in knockons.effects}
    for _, task in sorted(work.tasks.items()):
        part = knockons.after.get(subjects.get(task.effect, ""))
        if task.work is not Work.TRIAL_FIT or part is None:
            continue
        held = {d.feature for d in task.demands if d.on}
        for name in sorted(_served(knockons, catalog, part.id) | {*part.touches}):
            for feature in work.features.values():
                there = feature.subject == name and ":" not in feature.id and feature.goal
                later = (feature.id, True) in order and (task.id, None) in nx.ancestors(order, (feature.id, True))
                if there and not later and feature.id not in held:
                    yield f"`{task.id}` may be tried without `{feature.id}`, which it is fitted against"


def bench_faults(knockons: Knockons, work: WorkList, order: Order) -> Iterator[str]:
    """Give a sentence for each trial of a pipe or rod that may follow the bleeding, at the bench, of what it joins.

    A cylinder that is full and plugged lets nothing at it travel.
    """
    subjects = {e.id: e.subject for e in knockons.effects}
    about: dict[str, list[Task]] = {}
    for _, task in sorted(work.tasks.items()):
        about.setdefault(subjects.get(task.effect, ""), []).append(task)
    for link in knockons.links_after.values():
        at_ends = [t for end in link.ends for t in about.get(end.component, ()) if end.component in knockons.after]
        for filled in (t for t in at_ends if t.work is Work.FILLING):
            before = tasks_before(order, filled.id)
            for trial in (t for t in about.get(link.id, ()) if t.work is Work.TRIAL_FIT and t.id not in before):
                if filled.id not in tasks_before(order, trial.id):
                    yield f"`{trial.id}` may be tried after `{filled.id}`, which leaves what it joins full and plugged"


def label_faults(knockons: Knockons, work: WorkList) -> Iterator[str]:
    """Give a sentence for each link made anew, or part moved, that may come off before its wires are labelled."""
    moved = {e.id: e.subject for e in knockons.effects if e.kind in {EffectKind.REMADE, EffectKind.MOVES}}
    for _, task in sorted(work.tasks.items()):
        subject = moved.get(task.effect)
        if subject is None or task.work is not Work.PLANNING or task.demands or "abel" not in task.title:
            continue
        old = work.features.get(subject)
        if old is not None and old.start and old.turn_off is not None and task.id not in old.turn_off.after:
            yield f"`{subject}` may come off before `{task.id}`, by which its wires are labelled"


def _served(knockons: Knockons, catalog: Catalog, part: str) -> set[str]:
    """The far ends of all rods and shafts at a part, or at what stands on it."""
    standing = {part} | standing_on(part, knockons.after)
    found: set[str] = set()
    for link in knockons.links_after.values():
        names = {end.component for end in link.ends}
        run = catalog.link_kinds[link.kind].run
        if run is not None and run.value in _STRAIGHT and names.intersection(standing):
            found |= names.difference(standing)
    return found
