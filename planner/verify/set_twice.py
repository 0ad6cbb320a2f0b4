"""The brake of one wheel is set once: with every part of it in place, and before its circuit is filled."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog, When
from planner.model.effects import Knockons
from planner.model.vehicle import Component
from planner.model.work import Task, WorkList
from planner.verify.sequence import Order, tasks_before


def setting_faults(knockons: Knockons, work: WorkList, catalog: Catalog, order: Order) -> Iterator[str]:
    """A sentence for each setting that is made twice, or with a part of what it sets away, or after the filling."""
    for template in catalog.templates.values():
        if not template.once or template.trigger.when is not When.DISTURBED:
            continue
        kinds = set(template.trigger.of)
        left = {name for name, part in knockons.after.items() if part.kind in kinds}
        while left:
            wheel = _reached(knockons.after, left, min(left))
            left -= wheel
            for number in range(1, len(template.steps) + 1):
                settings = sorted(i for name in wheel if (i := f"{name}.set{number}") in work.tasks)
                yield from _of_one(knockons, work, order, wheel, settings)


def _reached(parts: dict[str, Component], among: set[str], first: str) -> set[str]:
    """What is reached from a part by steps from one that carries or touches to one that is carried or touched."""
    found, edge = {first}, [first]
    while edge:
        here = edge.pop()
        for name in among - found:
            pair = (parts[here], parts[name])
            if any(b.id == a.mounted_on or b.id in a.touches for a, b in (pair, pair[::-1])):
                found.add(name)
                edge.append(name)
    return found


def _of_one(knockons: Knockons, work: WorkList, order: Order, wheel: set[str], settings: list[str]) -> Iterator[str]:
    if len(settings) > 1:
        yield f"{', '.join(f'`{i}`' for i in settings)} set the same brake: once is enough"
    for setting in settings[:1]:
        yield from _parts_away(work, wheel, work.tasks[setting])
        systems = {s for name in wheel for s in knockons.after[name].systems}
        for system in sorted(systems):
            filled = work.features.get(f"circuit:{system}")
            close = None if filled is None else filled.turn_on
            if close is None or setting in close.after:
                continue
            if not any(setting in tasks_before(order, task) for task in close.after):
                yield f"`circuit:{system}` may be filled before `{setting}`"


def _parts_away(work: WorkList, wheel: set[str], setting: Task) -> Iterator[str]:
    there = {d.feature for d in setting.demands if d.on}
    for feature in work.features.values():
        if feature.subject in wheel and ":" not in feature.id and feature.goal and feature.id not in there:
            yield f"`{setting.id}` may be done with `{feature.id}` away"
