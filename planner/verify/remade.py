"""Parts made anew must be plain boxes that hold enough, with their ports where they were."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.effects import EffectKind
from planner.model.shapes import Box, Pose
from planner.model.vehicle import Component, Remake
from planner.space import solid_body
from planner.verify.rebuild import Rebuilt

_ROUNDING = 1e-6
_PORT_MM = 0.01


def is_made_anew(built: Rebuilt, part: str) -> bool:
    """Tell whether a component of the vehicle is said to be made anew, and may be."""
    known = built.vehicle.components.get(part)
    return part in built.listed[EffectKind.REMADE] and known is not None and known.remake is not None


def remade_faults(built: Rebuilt) -> Iterator[str]:
    """See that every component made anew may be, is a box large enough, and keeps its ports on their faces."""
    for part_id in sorted(built.listed[EffectKind.REMADE] & built.vehicle.components.keys()):
        before = built.vehicle.components[part_id]
        if part_id not in built.parts:
            continue
        if before.remake is None:
            yield f"`{part_id}` is made anew in another shape, which it may not be"
            continue
        after = built.parts[part_id]
        yield from _box_faults(part_id, after, before.remake)
        yield from _port_faults(part_id, before, after)


def _box_faults(part_id: str, after: Component, remake: Remake) -> Iterator[str]:
    if len(after.solids) != 1 or not isinstance(after.solids[0], Box) or after.solids[0].pose != Pose():
        yield f"`{part_id}` is made anew as something other than a plain box"
        return
    size = after.solids[0].size_mm
    held = 1.0
    for side in size:
        held *= max(0.0, side - 2.0 * remake.thick_mm)
    if held < remake.volume_mm3 - _ROUNDING * remake.volume_mm3:
        yield f"`{part_id}` is made anew to hold {held / 1e6:.2f} l, where it must hold {remake.volume_mm3 / 1e6:.2f} l"
    for name, side, least in zip("xyz", size, remake.least_mm, strict=True):
        if side < least - _PORT_MM:
            yield f"`{part_id}` is made anew {side:g} mm along {name}, where {least:g} mm is the least"


def _port_faults(part_id: str, before: Component, after: Component) -> Iterator[str]:
    """A port stands as far along between two faces (or off one) as it did: said again, by ratios of what is left."""
    old, new = solid_body(before.solids, Pose()), solid_body(after.solids, Pose())
    for port, was in sorted(before.ports_mm.items()):
        now = after.ports_mm.get(port)
        if now is None:
            yield f"`{part_id}` is made anew without its port `{port}`"
            continue
        for i, name in enumerate("xyz"):
            spans = (old.hi_mm[i] - old.lo_mm[i], new.hi_mm[i] - new.lo_mm[i])
            if was[i] < old.lo_mm[i]:
                off = (old.lo_mm[i] - was[i]) - (new.lo_mm[i] - now[i])
            elif was[i] > old.hi_mm[i]:
                off = (was[i] - old.hi_mm[i]) - (now[i] - new.hi_mm[i])
            else:
                off = (old.hi_mm[i] - was[i]) * spans[1] / spans[0] - (new.hi_mm[i] - now[i])
            if abs(off) > _PORT_MM:
                yield f"`{part_id}` is made anew with its port `{port}` {abs(off):.1f} mm off along {name}"
