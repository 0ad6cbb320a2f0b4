"""Whether the work list keeps every part on something: fitted on a host that is there, off before its host."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.model.effects import Knockons
from planner.model.vehicle import Component, Vehicle
from planner.model.work import Demand, Feature, WorkList


def mounting_faults(vehicle: Vehicle, knockons: Knockons, work: WorkList) -> Iterator[str]:
    """Parts that could be put back on nothing, or left hanging, in the vehicle before or after the job."""
    for parts, before in ((vehicle.components, True), (knockons.after, False)):
        for part in parts.values():
            rider, host = _feature(work, part.id, parts, before=before), None
            if part.mounted_on is not None:
                host = _feature(work, part.mounted_on, parts, before=before)
            if rider is None or host is None:
                continue
            if host.turn_off is not None and not _demands(host.turn_off.demands, rider.id, on=False):
                yield f"`{host.id}` may come off with `{rider.id}` still on it"
            ends_here = rider.goal is True and not before
            if ends_here and rider.turn_on is not None and not _demands(rider.turn_on.demands, host.id, on=True):
                yield f"`{rider.id}` may be fitted while `{host.id}`, which it is mounted on, is not there"


def standing_on(part: str, parts: Mapping[str, Component]) -> set[str]:
    """Every part that a part carries, through any number of others."""
    carried: set[str] = set()
    while more := {p.id for p in parts.values() if p.mounted_on in carried | {part}} - carried:
        carried |= more
    return carried


def _feature(work: WorkList, part: str, parts: dict[str, Component], *, before: bool) -> Feature | None:
    """The feature of a part in its home before or after the job; a riding part has none of its own."""
    if part not in parts:
        return None
    for feature in work.features.values():
        if feature.subject == part and (feature.start if before else feature.goal) is True:
            return feature
    return None


def _demands(demands: tuple[Demand, ...], feature: str, *, on: bool) -> bool:
    return any(d.feature == feature and d.on is on for d in demands)
