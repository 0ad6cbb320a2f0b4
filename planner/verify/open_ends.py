"""Ports and circuits that a job leaves open, worked out afresh, and the fillings that wait for a look at them."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Blocks, Catalog, CheckpointRule, When
from planner.model.effects import Knockons
from planner.model.vehicle import End, Link, Vehicle
from planner.model.work import Checkpoint, WorkList

_WORKS_SOMETHING = frozenset({"brakes", "clutch", "steering", "throttle"})


def ends_left_open(vehicle: Vehicle, knockons: Knockons, catalog: Catalog) -> Iterator[tuple[str, str]]:
    """Give each part that stays with an open end, and each that goes and is missed, with the kind of the circuit."""
    for name, link in vehicle.links.items():
        system = vehicle.systems.get(link.system or "")
        kind = None if system is None else catalog.system_kinds.get(system.kind)
        if name in knockons.links_after or system is None or kind is None:
            continue
        wet = bool(kind.fluid)
        for end in link.ends if wet or link.group in _WORKS_SOMETHING else ():
            if end.port and end.component in knockons.after and not _taken(link, end, knockons, wet=wet):
                yield end.component, system.kind
                yield name, system.kind
    for name, part in vehicle.components.items():
        for system_id in part.systems if name not in knockons.after else ():
            members = [p for p in knockons.after.values() if system_id in p.systems]
            linked = any(k.system == system_id for k in knockons.links_after.values())
            serves = (part.kind in (p.kind, *_serves_as(catalog, p.kind)) for p in members)
            if (members or linked) and not any(serves):
                yield name, vehicle.systems[system_id].kind


def _serves_as(catalog: Catalog, kind: str) -> tuple[str, ...]:
    return catalog.kinds[kind].serves_as if kind in catalog.kinds else ()


def _taken(link: Link, end: End, knockons: Knockons, *, wet: bool) -> bool:
    for other in knockons.links_after.values():
        for there in other.ends:
            if there.component == end.component and (there.port == end.port if wet else other.group == link.group):
                return True
    return False


def open_end_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, gate: Checkpoint
) -> Iterator[str]:
    """Every circuit that may be filled before the look at what is left open in it.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        The rules, and what each circuit holds.
    gate : Checkpoint
        One that is there.
    """
    rule = catalog.rules[gate.rule]
    if not _looks_at_ends(rule):
        return
    kinds = {kind for _, kind in ends_left_open(vehicle, knockons, catalog)}
    signers = {t.id for t in work.tasks.values() if t.checkpoint == gate.id}
    for feature in work.features.values():
        system = vehicle.systems.get(feature.subject)
        if system is not None and system.kind in kinds and feature.turn_on is not None:
            for task in sorted(signers - set(feature.turn_on.after)):
                yield f"`{feature.id}` may be filled with an end left open: before `{task}`"


def _looks_at_ends(rule: CheckpointRule) -> bool:
    return Blocks.FILLING in rule.blocks and any(t.when is When.LEFT_OPEN for t in rule.triggers)
