"""Links at parts: whether a part may come off, or be fitted, with a rod, cable or new pipe still joined to it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.catalog import Catalog
from planner.model.effects import Knockons
from planner.model.vehicle import Component, Vehicle
from planner.model.work import WorkList

JOINED = ":joined"
"""Ends the id of a link's feature of being joined."""


def joint_faults(vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """Every part that may be changed while a pinned link that stays as it is holds it.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        Which kinds of link are undone by hand.
    """
    parts = {**vehicle.components, **knockons.after}
    places = {i.partition("@")[0] for i in work.features if ":" not in i} & parts.keys()
    for name, link in sorted(knockons.links_after.items()):
        kind = catalog.link_kinds.get(link.kind)
        own = {i for i in work.features if i.partition("@")[0] == name and ":" not in i}
        if name not in vehicle.links or own or kind is None or not kind.undo:
            continue
        both = zip(vehicle.links[name].ends, link.ends, strict=True)
        one, other = ({_comes_off_with(e.component, places, parts) for e in pair} for pair in both)
        for part in sorted((one | other) & places) if one != other else ():
            for feature in (f for i, f in work.features.items() if i.partition("@")[0] == part and ":" not in i):
                for toggle in feature.toggles:
                    if not any(d.feature == name + JOINED and not d.on for d in toggle.demands):
                        yield f"`{feature.id}` may be changed ({toggle.title}) with `{name}` still joined to it"


def late_link_faults(knockons: Knockons, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """Every part that may come off its place with a link still laid to it that comes off, or is laid, in this job.

    What was there is undone at a part in the minutes of its coming off, but for what is held by pins; what is laid anew
    is laid after that.
    """
    for feature_id, link in sorted(work.features.items()):
        name = feature_id.partition("@")[0]
        if name not in knockons.links_after or ":" in feature_id or not link.goal:
            continue
        kind = catalog.link_kinds.get(knockons.links_after[name].kind)
        if link.start and (kind is None or not kind.undo):
            continue
        for part in sorted({e.component for e in knockons.links_after[name].ends}):
            places = (
                f
                for i, f in work.features.items()
                if i.partition("@")[0] == part and ":" not in i and (f.goal or link.start)
            )
            for off in (f.turn_off for f in places if f.turn_off is not None):
                if not any(d.feature == feature_id and not d.on for d in off.demands):
                    yield f"`{off.feature}` may come off with `{feature_id}` laid to it"


def _comes_off_with(part: str, places: set[str], parts: dict[str, Component]) -> str:
    """The part itself, or what it rides on."""
    host = parts[part].mounted_on
    return _comes_off_with(host, places, parts) if part not in places and parts[part].rides and host else part
