"""Ports that an old and a new link share: one has to be off before the other is on."""

from __future__ import annotations

from planner.model.vehicle import Link
from planner.work.bodies import Ground


def old_at_its_ports(ground: Ground, subject: str) -> list[str]:
    """Bodies of links that go for good and end where a link is to end; none for a component."""
    part = ground.part(subject)
    if not isinstance(part, Link):
        return []
    ports = {(e.component, e.port) for e in part.ends if e.port}
    return [
        i
        for i, other in ground.handled.items()
        if isinstance(other.part, Link)
        and other.start
        and not other.goal
        and ports & {(e.component, e.port) for e in other.part.ends}
    ]
