"""Whether it is asked what carries a part that is put out of reach of its mounting, or leaves its tray behind."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.effects import EffectKind
from planner.model.shapes import Pose
from planner.model.vehicle import Component
from planner.space import component_body, gap, solid_body
from planner.verify.rebuild import Rebuilt

_UNDRAWN_MM = 50.0
"""What a bracket that nobody drew bridges (starting guess)."""
_EQUAL_MM = 0.1


def carried_faults(built: Rebuilt) -> Iterator[str]:
    """A sentence for each part whose mounting is in doubt with no question that says so."""
    for part_id, part in sorted(built.parts.items()):
        host = part.mounted_on
        if host not in built.parts or f"{part_id}~{host}" in built.listed[EffectKind.MEASURED]:
            continue
        if part_id in built.asked.new or part_id in built.asked.poses:
            away_mm = _between_mm(part, built.parts[host])
            if away_mm > _believed_mm(built, part, host) + _EQUAL_MM:
                yield f"`{part_id}` is mounted on `{host}`, {away_mm:.0f} mm off, and nobody is asked what carries it"
        elif _left_its_tray(built, part_id, host):
            yield f"`{part_id}` leaves what carries it for `{host}`, and nobody is asked what carries it there"


def _believed_mm(built: Rebuilt, part: Component, host: str) -> float:
    """As far as it was, when it stays on the same part; else half its length; and what nobody draws in between."""
    before = built.vehicle.components.get(part.id)
    if before is not None and before.mounted_on == host and host in built.vehicle.components:
        return max(0.0, _between_mm(before, built.vehicle.components[host])) + _UNDRAWN_MM
    own = solid_body(part.solids, Pose())
    return max(high - low for low, high in zip(own.lo_mm, own.hi_mm, strict=True)) / 2 + _UNDRAWN_MM


def _between_mm(one: Component, other: Component) -> float:
    return gap(component_body(one), component_body(other)).mm


def _left_its_tray(built: Rebuilt, part_id: str, host: str) -> bool:
    """Whether a part that found a home of its own stood on a carrier before and stands on none now."""
    before = built.vehicle.components[part_id].mounted_on
    if before is None or host in {before, built.asked.stands_for(before)} or not built.moved(part_id):
        return False
    return _bears(built, built.vehicle.components[before]) and not _bears(built, built.parts[host])


def _bears(built: Rebuilt, part: Component) -> bool:
    return built.catalog is not None and part.kind in built.catalog.kinds and built.catalog.kinds[part.kind].bears
