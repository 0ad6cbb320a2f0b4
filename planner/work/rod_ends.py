"""How the ends of a push-rod are made, by what each of them joins."""

from __future__ import annotations

from planner.model.vehicle import Component, Link
from planner.work.bodies import Ground

_TRUNNIONED = "balance-bar"
_SERVO = "brake-servo"
"""Has a rod of its own with a fork. Common practice, no published source."""


def rod_ends(ground: Ground, part: Component | Link) -> str:
    """The words for both ends of a link in its last run; empty for a part."""
    return "" if isinstance(part, Component) else " and ".join(_end(ground, part, e.component) for e in part.ends)


def _end(ground: Ground, rod: Link, part: str) -> str:
    known = ground.part(part)
    if known.kind in {*ground.catalog.link_kinds[rod.kind].pushes} - {_SERVO}:
        return f"a rounded nose, loose in the piston of {known.name}, no fork there"
    if known.kind == _TRUNNIONED:
        return f"a thread with lock nut in the trunnion of {known.name}"
    return f"a fork with lock nut at {known.name}"
