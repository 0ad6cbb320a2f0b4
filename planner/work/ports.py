"""Ends that an old and a new link share: one has to be off before the other is on."""

from __future__ import annotations

from planner.model.runs import RunSort
from planner.model.vehicle import Link
from planner.work.bodies import Ground

_WORKS = frozenset({RunSort.CABLE, RunSort.ROD, RunSort.SHAFT})
"""Links by which one part works another: two of them on one lever fight each other."""


def old_at_its_ports(ground: Ground, subject: str) -> list[str]:
    """Bodies of links that go for good and end where a link is to end; none for a component.

    Where both work what they end at, as a cable and the rod in its stead, the part is the same whatever the port.
    """
    part = ground.part(subject)
    if not isinstance(part, Link):
        return []
    return [
        i
        for i, other in ground.handled.items()
        if isinstance(other.part, Link) and other.start and not other.goal and _meets(ground, part, other.part)
    ]


def _meets(ground: Ground, new: Link, old: Link) -> bool:
    if {(e.component, e.port) for e in new.ends if e.port} & {(e.component, e.port) for e in old.ends}:
        return True
    kinds = ground.catalog.link_kinds
    works = {kinds[new.kind].run, kinds[old.kind].run} <= _WORKS and new.group == old.group
    gone = old.id not in ground.knockons.links_after
    return works and gone and bool({e.component for e in new.ends} & {e.component for e in old.ends})
