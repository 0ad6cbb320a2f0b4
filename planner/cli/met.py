"""What a part whose size was measured now meets at the place that the agreed plan gives it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.model.catalog import Catalog
    from planner.model.job import Job
    from planner.model.standing import Agreed
    from planner.model.vehicle import Vehicle


def told_of(
    part: str, trouble: Sequence[str], agreed: Agreed, built: tuple[Vehicle, Job], catalog: Catalog
) -> tuple[str, ...]:
    """Why it does not go any more, each reason once: first the part whose size is another, then the others."""
    name, against = met_by(part, agreed, built, catalog)
    own = [line for line in trouble if name and line.startswith(f"{name}: ")]
    first = [f"{name}, where the agreed plan has it: {'; '.join(against)}"] if against else []
    return tuple(dict.fromkeys((*first, *own, *trouble)))


def met_by(part: str, agreed: Agreed, built: tuple[Vehicle, Job], catalog: Catalog) -> tuple[str, tuple[str, ...]]:
    """The name of a part, and what stands against it where the agreed plan has it, each with its depth."""
    from planner.knockon.asked import asked_by
    from planner.knockon.conflicts import rules_for
    from planner.knockon.homed import homed
    from planner.knockon.placed import place

    vehicle, job = built
    asked = asked_by(vehicle, job)
    if part not in asked.base:
        known = vehicle.components.get(part)
        return ("" if known is None else known.name), ()
    homes = {**agreed.homes, **agreed.places}
    there = {
        i: place(c if i not in homes else homed(c, homes[i], asked.spaces.values())) for i, c in asked.base.items()
    }
    rules = rules_for(vehicle, asked, catalog)
    found = [
        c.text for i, other in there.items() if i != part for c in rules.between(there[part], other) if c.part == part
    ]
    return asked.base[part].name, tuple(dict.fromkeys((*found, *(c.text for c in rules.cut_away(there[part])))))
