"""Earth off first and on last at a battery: a spanner that touches the body then shorts nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from planner.model.vehicle import Link
from planner.model.work import Demand, Feature, Toggle
from planner.work.bodies import Ground, Handled

_BATTERY = "battery"
_EARTH = "earth-strap"
_LIVE = "battery-cable"


def earth_last(ground: Ground, features: Mapping[str, Feature]) -> dict[str, Feature]:
    """The features with the order of strap and live cable wherever both of a battery come off or go on.

    A strap goes back once the cable is there; the cable comes off once the strap is off.
    """
    found = dict(features)
    straps = [i for i in ground.handled.values() if _at_battery(ground, i, _EARTH)]
    for strap in (s for s in straps if s.id in found):
        cables = [i for i in ground.handled.values() if _at_battery(ground, i, _LIVE) and _share(ground, i, strap)]
        known = found[strap.id]
        fitted = tuple(Demand(feature=c.id, on=True) for c in cables if c.goal and strap.goal)
        found[strap.id] = replace(known, turn_on=_with(known.turn_on, fitted))
        for cable in (c for c in cables if c.start and strap.start):
            off = (Demand(feature=strap.id, on=False),)
            found[cable.id] = replace(found[cable.id], turn_off=_with(found[cable.id].turn_off, off))
    return found


def _at_battery(ground: Ground, item: Handled, kind: str) -> bool:
    return isinstance(item.part, Link) and item.part.kind == kind and any(True for _ in _batteries(ground, item))


def _batteries(ground: Ground, item: Handled) -> Iterator[str]:
    """Batteries at the ends of a link."""
    ends = item.part.ends if isinstance(item.part, Link) else ()
    for end in ends:
        for parts in (ground.vehicle.components, ground.knockons.after):
            if end.component in parts and parts[end.component].kind == _BATTERY:
                yield end.component


def _share(ground: Ground, one: Handled, other: Handled) -> bool:
    return bool({*_batteries(ground, one)} & {*_batteries(ground, other)})


def _with(toggle: Toggle | None, demands: tuple[Demand, ...]) -> Toggle | None:
    if toggle is None:
        return None
    return replace(toggle, demands=tuple(dict.fromkeys((*toggle.demands, *demands))))
