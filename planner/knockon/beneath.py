"""Parts that hang under a floor: whoever takes them off lies below the vehicle."""

from __future__ import annotations

from dataclasses import dataclass

from planner.model.catalog import Catalog
from planner.model.vehicle import Freedom, Vehicle
from planner.space import extent_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Beneath:
    """``part`` hangs under ``host``, its lowest point ``off_ground_mm`` above the ground, and asks for no ``state``."""

    part: str
    host: str
    off_ground_mm: float
    state: str


def hung_beneath(vehicle: Vehicle, catalog: Catalog) -> tuple[Beneath, ...]:
    """Parts that are worked on from beneath and may, as described, be so with the vehicle on its wheels.

    Parameters
    ----------
    vehicle : Vehicle
    catalog : Catalog
        Its conditions say under which kinds they are asked for (``under``).
    """
    found = []
    for part in vehicle.components.values():
        host = vehicle.components.get(part.mounted_on or "")
        if host is None or part.freedom is Freedom.STAYS:
            continue
        low, high = (e[2] for e in extent_mm(part.solids, part.pose))
        middle_mm, floor_mm = (low + high) / 2, extent_mm(host.solids, host.pose)[0][2]
        states = [c.id for c in catalog.conditions.values() if host.kind in c.under]
        if middle_mm < floor_mm and states and not set(states) & set(part.needs):
            off_ground_mm = low - vehicle.ground_z_mm
            found.append(Beneath(part=part.id, host=host.id, off_ground_mm=off_ground_mm, state=states[0]))
    return tuple(found)
