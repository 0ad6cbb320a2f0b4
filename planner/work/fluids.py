"""Which purchases are what a circuit is filled with: its filling waits for them, and no part does."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from planner.model.catalog import Work
from planner.model.vehicle import Component
from planner.model.work import Buy, Feature
from planner.work.bodies import Ground
from planner.work.circuits import circuit_id, closes, opened_circuits, system_kind
from planner.work.tasks import TaskBook


def fills_of(ground: Ground, buys: Iterable[Buy]) -> dict[str, tuple[str, ...]]:
    """Purchase -> circuits that it fills: the job's own, for a part or link of theirs, called as such a fluid is."""
    filled = {s for s in opened_circuits(ground) if closes(ground, s)}
    own = {p.id for p in ground.job.purchases}
    found = {b.id: tuple(s for s in _systems(ground, b.for_part) if s in filled and _names(ground, s, b)) for b in buys}
    return {i: systems for i, systems in found.items() if systems and i in own}


def filling_waits(features: Mapping[str, Feature], fills: Mapping[str, tuple[str, ...]]) -> dict[str, Feature]:
    """The features with each circuit filled when what it is filled with is here."""
    found = dict(features)
    for buy, systems in fills.items():
        for feature in (circuit_id(s) for s in systems):
            known = found.get(feature)
            if known is not None and known.turn_on is not None:
                fill = replace(known.turn_on, purchases=(*known.turn_on.purchases, buy))
                found[feature] = replace(known, turn_on=fill)
    return found


def filled_at_bench(ground: Ground, book: TaskBook, fills: Mapping[str, tuple[str, ...]]) -> None:
    """Let what is filled before it is fitted, such as a cylinder that is bled in a vice, wait for its fluid as well."""
    for subject, tasks in book.of_subject.items():
        for task in (book.tasks[t] for t in tasks):
            if task.work is Work.FILLING:
                bought = (b for b, systems in fills.items() if set(systems) & set(_systems(ground, subject)))
                book.tasks[task.id] = replace(task, purchases=(*task.purchases, *bought))


def _systems(ground: Ground, subject: str) -> tuple[str, ...]:
    try:
        part = ground.part(subject)
    except KeyError:
        return ()
    named = part.systems if isinstance(part, Component) else (part.system,)
    return tuple(s for s in named if s is not None)


def _names(ground: Ground, system: str, buy: Buy) -> bool:
    words, things = system_kind(ground, system).called, "|".join(map(re.escape, ground.catalog.fluid_things)) or "(?!)"
    return any(re.search(rf"\b{re.escape(w)}\b(?!\s+(?:{things})s?\b)", buy.what.lower()) for w in words)
