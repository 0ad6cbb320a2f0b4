"""Where the vehicle as it stands is tighter than the catalog advises: told, and otherwise let pass."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.knockon.clearances import Keep, KeepBook, Thing
from planner.knockon.conflicts import TOUCH_MM, PairRules, rules_now, run_of
from planner.knockon.placed import place
from planner.model.catalog import Catalog
from planner.model.vehicle import Component, Link, Vehicle
from planner.space import Body, gap_if_closer, near_pairs, place_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Tight:
    """A pair (ids; ``part`` is the link when one is) that keeps less than a rule of the catalog asks for."""

    part: str
    other: str
    gap_mm: float
    keep: Keep
    text: str


def tight_spots(vehicle: Vehicle, catalog: Catalog) -> tuple[Tight, ...]:
    """Every pair of the vehicle as it stands that a rule of the catalog would have farther apart.

    Pairs that are mounted, joined, passed through or declared to touch are left out, as are those nearer than their own
    keep-clear, which are faults (:func:`~planner.knockon.present.present_faults`).
    """
    rules, book = rules_now(vehicle), KeepBook(catalog)
    things: list[Thing] = [*vehicle.links.values(), *vehicle.components.values()]
    bodies = [run_of(t, vehicle.components) if isinstance(t, Link) else place(t).body for t in things]
    margin = max((book.reach_mm(t) for t in things), default=0.0)
    return tuple(
        spot
        for i, j in near_pairs(bodies, margin)
        for spot in _spot(rules, book, (things[i], things[j]), (bodies[i], bodies[j]))
    )


def _spot(rules: PairRules, book: KeepBook, pair: tuple[Thing, Thing], bodies: tuple[Body, Body]) -> Iterator[Tight]:
    keep = book.keep(*pair)
    if keep.rule is None or belong_together(rules, *pair):
        return
    found = gap_if_closer(*bodies, keep.mm - TOUCH_MM)
    if found is None or found.mm < KeepBook().keep(*pair).mm - TOUCH_MM:
        return
    first, second = pair
    where = f" at its {place_words(bodies[1], found.at_mm)}" if isinstance(second, Component) else ""
    text = (
        f"{first.name} is {rules.length(max(0.0, found.mm))} from {second.name}{where}, "
        f"{rules.length(keep.mm)} is advised{keep.because}"
    )
    yield Tight(part=first.id, other=second.id, gap_mm=found.mm, keep=keep, text=text)


def belong_together(rules: PairRules, a: Thing, b: Thing) -> bool:
    """Whether two things are near each other by design: mounted, joined, clipped to, joined to the same part."""
    if isinstance(a, Component) and isinstance(b, Component):
        return rules.meant_to_touch(a, b)
    if isinstance(a, Link) and isinstance(b, Link):
        return not {e.component for e in a.ends}.isdisjoint(e.component for e in b.ends)
    link, part = (a, b) if isinstance(a, Link) else (b, a)
    if not isinstance(link, Link) or not isinstance(part, Component):
        return False
    return part.id in {e.component for e in link.ends} or part.id in link.passes or link.id in part.touches
