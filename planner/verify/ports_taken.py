"""Ports that an old and a new link share: the old one is off before the new one is on, or is tried there."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog, Demanded, When
from planner.model.effects import EffectKind, Knockons
from planner.model.runs import RunSort
from planner.model.vehicle import Link, Vehicle
from planner.model.work import Demand, WorkList
from planner.verify.templates_called import template_of


def port_faults(vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """Give a sentence for each link that may be put on, measured or tried at a port with another still on it."""
    away = [link for i, link in vehicle.links.items() if i in work.features and not work.features[i].goal]
    for name, link in sorted(knockons.links_after.items()):
        taken = {(e.component, e.port) for e in link.ends if e.port}
        old = sorted(
            o.id for o in away if taken & {(e.component, e.port) for e in o.ends} or _fight(knockons, catalog, link, o)
        )
        for feature in work.features.values():
            fits = feature.turn_on if feature.subject == name and ":" not in feature.id and feature.goal else None
            for other in old if fits is not None else ():
                if other != feature.id and fits is not None and not _asks_off(fits.demands, other):
                    yield f"`{feature.id}` may be fitted where `{other}` still is"
        for step in _between_ends(knockons, catalog, link) if old else ():
            for other in old if step in work.tasks else ():
                if not _asks_off(work.tasks[step].demands, other):
                    yield f"`{step}` may be done between ends where `{other}` still is"


def _fight(knockons: Knockons, catalog: Catalog, new: Link, old: Link) -> bool:
    """Whether a link that goes for good, such as a cable, works what the new one works, as a rod in its stead."""
    drawn = all(catalog.link_kinds[link.kind].run in _WORKING for link in (new, old))
    shared = {e.component for e in new.ends} & {e.component for e in old.ends}
    return drawn and new.group == old.group and old.id not in knockons.links_after and bool(shared)


_WORKING = (RunSort.CABLE, RunSort.ROD, RunSort.SHAFT)


def _asks_off(demands: tuple[Demand, ...], body: str) -> bool:
    return any(d.feature == body and not d.on for d in demands)


def _between_ends(knockons: Knockons, catalog: Catalog, link: Link) -> Iterator[str]:
    """Steps of a link that is made, or set, with its ends in place."""
    kinds = {e.kind for e in knockons.effects if e.subject == link.id}
    for when, letter, effects in (
        (When.LINK_MADE, "", {EffectKind.NEW, EffectKind.REMADE}),
        (When.LINK_ADJUSTED, "adj", {EffectKind.ADJUSTED}),
    ):
        found = template_of(catalog, when, link.kind, link.group) if kinds & effects else None
        for number, step in enumerate(() if found is None else found.steps, start=1):
            if Demanded.FITTED in step.demands:
                yield f"{link.id}.{letter}{number}"
