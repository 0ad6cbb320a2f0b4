"""Fluid, pins, washers, clips and sealant that the steps use up, as lines of the buying list."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from planner.model.vehicle import Component
from planner.model.work import Buy, Feature, WorkList
from planner.work.bodies import Ground
from planner.work.circuits import circuit_id, opened_circuits, system_kind
from planner.work.joints import Joint
from planner.work.tasks import TaskBook

MM3_PER_LITRE = 1e6


def with_used_up(ground: Ground, book: TaskBook, joints: Iterable[Joint], work: WorkList) -> WorkList:
    """Add what is used up to the purchases, one line for each sort, and to the steps that use it.

    No amount is made up: it is the vehicle's own figure, or the words of the catalog.
    """
    names: dict[str, dict[str, None]] = {}
    features, tasks = dict(work.features), dict(work.tasks)
    for feature, words, name in _of_features(ground, joints):
        known = features.get(feature)
        if words and known is not None and known.turn_on is not None:
            features[feature] = _using(known, words)
            for word in words:
                names.setdefault(word, {})[name] = None
    for task, words in book.uses.items():
        if task in tasks:
            tasks[task] = replace(tasks[task], purchases=(*tasks[task].purchases, *map(_buy_id, words)))
            for word in words:
                names.setdefault(word, {})
    buys = {_buy_id(word): _buy(word, whose) for word, whose in sorted(names.items())}
    return replace(work, buys={**work.buys, **buys}, features=features, tasks=tasks)


def _of_features(ground: Ground, joints: Iterable[Joint]) -> Iterator[tuple[str, tuple[str, ...], str]]:
    """Feature, what is used up when it is fitted, joined or closed, and the name of what it is for."""
    catalog = ground.catalog
    for system in opened_circuits(ground):
        yield circuit_id(system), _of_circuit(ground, system), ground.name(system)
    for joint in joints:
        yield joint.id, catalog.link_kinds[joint.link.kind].uses, joint.link.name
    for body, item in ground.handled.items():
        kinds = catalog.kinds if isinstance(item.part, Component) else catalog.link_kinds
        known = kinds.get(item.part.kind)
        yield body, () if known is None else known.uses, item.part.name


def _of_circuit(ground: Ground, system: str) -> tuple[str, ...]:
    """What closing a circuit uses up; of coolant so much as the vehicle's figures say."""
    kind, figures = system_kind(ground, system), ground.vehicle.figures
    fill = None if figures is None else figures.coolant.fill_mm3
    if kind.group != "cooling" or fill is None or not kind.uses:
        return kind.uses
    first, *others = kind.uses
    return (f"{first}: {fill.value / MM3_PER_LITRE:.1f} l by the vehicle's own figures", *others)


def _using(feature: Feature, words: tuple[str, ...]) -> Feature:
    on = feature.turn_on
    if on is None:
        return feature
    return replace(feature, turn_on=replace(on, purchases=tuple(dict.fromkeys((*on.purchases, *map(_buy_id, words))))))


def _buy(word: str, whose: Iterable[str]) -> Buy:
    names = ", ".join(whose)
    what = f"{word} ({names})" if names else word
    return Buy(id=_buy_id(word), what=what, price=0.0, lead_days=0, for_part="", used_up=True)


def _buy_id(words: str) -> str:
    short = re.sub(r"[^a-z0-9]+", "-", re.split("[:,]", words)[0].lower()).strip("-")
    return f"use:{short}"
