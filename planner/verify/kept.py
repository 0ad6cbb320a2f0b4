"""How far two things must stay apart, asked of the catalog and the two things afresh."""

from __future__ import annotations

from planner.model.catalog import Catalog
from planner.model.vehicle import Component, Link


def kept_mm(catalog: Catalog | None, a: Component | Link, b: Component | Link) -> float:
    """Least gap [mm] of a pair: what the owner says of the two, else the most that either or the catalog asks for."""
    said = {a.near_mm[i] for i in [b.id] if i in a.near_mm} | {b.near_mm[i] for i in [a.id] if i in b.near_mm}
    if said:
        return min(said)
    asked = [thing.keep_clear_mm for thing in (a, b) if isinstance(thing, Component)]
    if catalog is not None:
        first, second = _names(catalog, a), _names(catalog, b)
        for rule in catalog.clearances.values():
            sides = set(rule.one), set(rule.other)
            if (first & sides[0] and second & sides[1]) or (first & sides[1] and second & sides[0]):
                asked.append(rule.keep_mm)
    return max(asked, default=0.0)


def most_kept_mm(catalog: Catalog | None, things: list[Component]) -> float:
    """No pair of these parts keeps more than this [mm]."""
    rules = [] if catalog is None else [rule.keep_mm for rule in catalog.clearances.values()]
    said = [mm for thing in things for mm in thing.near_mm.values()]
    return max([0.0, *rules, *said, *(thing.keep_clear_mm for thing in things)])


def _names(catalog: Catalog, thing: Component | Link) -> set[str]:
    """Everything a rule may call a thing."""
    kind = (catalog.kinds if isinstance(thing, Component) else catalog.link_kinds).get(thing.kind)
    names = {"any", thing.kind, thing.group}
    if kind is not None:
        names |= {word for word, so in (("hot", kind.hot), ("moving", kind.moving)) if so}
    if isinstance(thing, Component) and thing.motion is not None:
        names.add("moving")
    return names
