"""Which circuits are opened when a part or link is undone: one rule for the telling and for the work."""

from __future__ import annotations

from planner.model.catalog import Catalog
from planner.model.vehicle import Component, Link, Vehicle


def opened_by(item: Component | Link, vehicle: Vehicle, catalog: Catalog) -> tuple[str, ...]:
    """Circuits of which the part or link is such a member that undoing it opens them; its links apart."""
    if isinstance(item, Component):
        opens, members = catalog.kinds[item.kind].opens, item.systems
    else:
        opens, members = catalog.link_kinds[item.kind].opens, (item.system,) if item.system is not None else ()
    return tuple(s for s in members if vehicle.systems[s].kind in opens)
