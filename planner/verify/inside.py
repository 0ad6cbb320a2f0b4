"""States that lie inside one another: the tank drained before the line is made safe, and filled when all is whole."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from planner.model.catalog import Catalog
from planner.model.effects import Knockons
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.work import Feature, Toggle, WorkList


def inside_faults(vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog) -> Iterator[str]:
    """Every state that may be entered, or left, with what it works on away from the vehicle.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle as it stands.
    knockons : Knockons
        What it becomes.
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        Which states lie inside which, and what is whole when they are left.
    """
    by_subject: dict[str, Feature] = {f.subject: f for f in work.features.values() if f.subject in catalog.conditions}
    for name, feature in sorted(by_subject.items()):
        if catalog.conditions[name].apart and not all(t.apart for t in feature.toggles):
            yield f"`{feature.id}` may be entered or left beside other work"
        outer = by_subject.get(catalog.conditions[name].inside)
        if outer is not None:
            yield from _inside(feature, feature.turn_on, outer)
            yield from _inside(feature, feature.turn_off, outer)
            yield from _kept(outer, feature, on=False)
        yield from _beside(feature, [by_subject[c] for c in catalog.conditions[name].never_with if c in by_subject])
        yield from _not_whole(vehicle, knockons, work, catalog, feature)
    for feature in work.features.values():
        system = vehicle.systems.get(feature.subject)
        if system is None:
            continue
        kind = catalog.system_kinds[system.kind]
        outer = by_subject.get(kind.inside)
        if outer is not None:
            yield from _inside(feature, feature.turn_off, outer)
            if feature.turn_on is not None:
                yield from _kept(outer, feature, on=True)
        for shut in (by_subject[c] for c in kind.close_without if c in by_subject):
            if feature.turn_on is not None and not _demands(feature.turn_on, shut.id, on=False):
                yield f"`{feature.id}` may be closed while `{shut.id}` holds"


def _demands(toggle: Toggle | None, feature: str, *, on: bool) -> bool:
    return toggle is not None and any(d.feature == feature and d.on is on for d in toggle.demands)


def _inside(feature: Feature, toggle: Toggle | None, outer: Feature) -> Iterator[str]:
    if toggle is not None and not _demands(toggle, outer.id, on=True):
        yield f"`{feature.id}` may be changed ({toggle.title}) without `{outer.id}`"


def _kept(outer: Feature, feature: Feature, *, on: bool) -> Iterator[str]:
    if outer.turn_off is not None and not _demands(outer.turn_off, feature.id, on=on):
        yield f"`{outer.id}` may be left while `{feature.id}` is {'open' if on else 'on'}"


def _beside(feature: Feature, others: Sequence[Feature]) -> Iterator[str]:
    """A state changed while another holds that it never goes with."""
    for other in others:
        if any(not _demands(t, other.id, on=False) for t in feature.toggles):
            yield f"`{feature.id}` may be entered or left while `{other.id}` holds"


def _not_whole(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, feature: Feature
) -> Iterator[str]:
    """A state left with a part away that it wants in place, unless all that it bears is away."""
    known = catalog.conditions[feature.subject]
    wet = {s.id for s in vehicle.systems.values() if s.kind in known.whole}
    before: dict[str, Component | Link] = {**vehicle.components, **vehicle.links}
    after: dict[str, Component | Link] = {**knockons.after, **knockons.links_after}
    bodies = [f for f in work.features.values() if ":" not in f.id]
    old = {f.id for f in bodies if f.id in before and _in(before[f.id], wet, known.whole_parts)}
    final = {f.id for f in bodies if f.goal and f.subject in after and _in(after[f.subject], wet, known.whole_parts)}
    if feature.turn_off is None or not old or not final:
        return
    borne = {c.id for c in (*vehicle.components.values(), *knockons.after.values()) if c.kind in known.bears}
    hung = {f.id for f in bodies if f.subject in borne}
    for way in feature.turn_off.ways or ((),):
        asked = {d.feature for d in (*way, *feature.turn_off.demands) if d.on}
        gone = {d.feature for d in (*way, *feature.turn_off.demands) if not d.on}
        bare = bool(borne) and hung <= gone and borne == {f.subject for f in bodies if f.id in hung}
        if not (old <= asked or final <= asked or bare):
            yield f"`{feature.id}` may be left with parts away: {', '.join(sorted(final - asked))}"


def _in(part: Component | Link, wet: set[str], sorts: Collection[str]) -> bool:
    systems = part.systems if isinstance(part, Component) else (part.system,)
    return bool(wet & set(systems)) or part.kind in sorts or part.group in sorts
