"""Parts that stand clear of what they are said to be mounted on, and what else could carry them there."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import networkx as nx

from planner.knockon.asked import Asked, asked_by, mounting_graph
from planner.model.job import Job
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Freedom, Vehicle
from planner.space import Body, component_body, extent_mm, gap

NOT_DRAWN_MM = 50.0
"""Brackets, spacers and rubber mounts between two parts that are not drawn (starting guess)."""
_STRUCTURE = "structure"
_TOUCHES_MM = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Adrift:
    """``part`` stands ``away_mm`` from ``host``, which it is mounted on; ``nearest`` could carry it there instead."""

    part: str
    host: str
    away_mm: float
    nearest: str | None = None
    nearest_mm: float = 0.0


def adrift_now(vehicle: Vehicle) -> tuple[Adrift, ...]:
    """Parts of a vehicle that stand farther from their mounting than any bracket nobody drew would reach."""
    return tuple(_adrift(vehicle.components, {i: _reach_mm(c) for i, c in vehicle.components.items()}))


def adrift_asked(vehicle: Vehicle, job: Job) -> tuple[Adrift, ...]:
    """The same of what a job puts somewhere, before anything has made room for it."""
    asked = asked_by(vehicle, job)
    return adrift_after(vehicle, asked, asked.base)


def adrift_after(vehicle: Vehicle, asked: Asked, parts: Mapping[str, Component]) -> tuple[Adrift, ...]:
    """The same among the parts there are when the job is done; a part may stay as far off as it was."""
    reach_mm = {}
    for i in sorted((asked.new | asked.moved) & parts.keys()):
        before = vehicle.components.get(i)
        host = parts[i].mounted_on
        reach_mm[i] = _reach_mm(parts[i])
        if before is not None and host is not None and host == before.mounted_on and host in vehicle.components:
            now_mm = gap(component_body(before), component_body(vehicle.components[host])).mm
            reach_mm[i] = max(now_mm, 0.0) + NOT_DRAWN_MM
    return tuple(_adrift(parts, reach_mm))


def _reach_mm(part: Component) -> float:
    """How far from its mounting [mm] a part may be drawn: large ones hang on longer mounts that nobody drew."""
    low, high = extent_mm(part.solids, Pose())
    return max(b - a for a, b in zip(low, high, strict=True)) / 2 + NOT_DRAWN_MM


def _adrift(parts: Mapping[str, Component], reach_mm: Mapping[str, float]) -> Iterator[Adrift]:
    for i, most_mm in reach_mm.items():
        host = parts[i].mounted_on
        if host is None or host not in parts:
            continue
        body = component_body(parts[i])
        away_mm = gap(body, component_body(parts[host])).mm
        if away_mm > most_mm:
            found = _nearest(parts, i, body, _reach_mm(parts[i]))
            yield Adrift(part=i, host=host, away_mm=away_mm, nearest=found[0], nearest_mm=found[1])


def _nearest(parts: Mapping[str, Component], part: str, body: Body, most_mm: float) -> tuple[str | None, float]:
    """What could carry a part where it stands: the nearest that stays or carries something, metal of the frame first.

    None of those that it carries itself.
    """
    mounts = mounting_graph(dict(parts))
    barred = {part, *nx.descendants(mounts, part)}
    able = [
        i
        for i, c in parts.items()
        if i not in barred and not c.unsprung and (c.freedom is Freedom.STAYS or mounts.out_degree(i))
    ]
    far = [(max(0.0, gap(body, component_body(parts[i])).mm), i) for i in able]
    near = [(round(mm), parts[i].group != _STRUCTURE, i, mm) for mm, i in far if mm <= most_mm]
    if not near:
        return None, 0.0
    _, _, found, mm = min(near)
    return found, mm


def adrift_words(found: Adrift, name: Callable[[str], str], length: Callable[[float], str]) -> str:
    """Why it is asked what carries a part, and the way out."""
    away = f"{name(found.host)}, which it is said to be mounted on, is {length(found.away_mm)} from it"
    if found.nearest is None:
        return f"{away}, and nothing else is near that could carry it: move it there, or add what is to carry it"
    near = "touches it" if found.nearest_mm < _TOUCHES_MM else f"is {length(found.nearest_mm)} from it"
    return f"{away}, and {name(found.nearest)} {near}"
