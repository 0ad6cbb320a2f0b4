"""Heat at a hole, and the owner's own: whatever minds it is off for it, and goes back after the last of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.model.catalog import Catalog, When
from planner.model.effects import Knockons
from planner.model.job import Cut, Job, OwnTask
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Freedom, Link, Vehicle
from planner.model.work import WorkList
from planner.space import Body, closer_than, solid_body
from planner.verify.mended import standing
from planner.verify.templates_called import templates_called

_ROUNDING_MM = 0.5


def heat_faults(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None
) -> Iterator[str]:
    """Give a sentence for each thing that minds heat and may be there, or back, while there is heat beside it.

    Parameters
    ----------
    vehicle : Vehicle
        As it stands.
    knockons : Knockons
    work : WorkList
        The answer to be checked.
    catalog : Catalog
        What minds heat, and how far off.
    job : Job or None
        Its cuts and own tasks.
    """
    cuts = {c.id: c for c in (() if job is None else job.changes) if isinstance(c, Cut)}
    hot: dict[str, tuple[Body, ...]] = {}
    for called in templates_called(vehicle, knockons, catalog, job):
        rows = [n for n, s in enumerate(called.template.steps, start=1) if s.hot and called.when is When.WELDED]
        hole = solid_body((cuts[called.subject].hole,), Pose()) if rows else None
        hot |= {f"{called.prefix}{n}": (hole,) for n in rows if hole is not None}
    brought = _own_heat(catalog, job)
    things = list(_that_mind(vehicle, knockons, catalog)) if hot or brought else []
    for step in sorted(hot.keys() & work.tasks.keys()):
        yield from _there(work, catalog, step, hot[step], things)
    for own in (o for o in brought if o.id in work.tasks):
        yield from _back_early(knockons, work, catalog, own, things)


_Things = Sequence[tuple[Component | Link, bool, Body]]


def _that_mind(vehicle: Vehicle, knockons: Knockons, catalog: Catalog) -> Iterator[tuple[Component | Link, bool, Body]]:
    for thing, starts, body in standing(vehicle, knockons):
        rides = isinstance(thing, Component) and thing.rides
        if {thing.kind, thing.group} & {*catalog.hot_clear} and not rides and thing.freedom is not Freedom.STAYS:
            yield thing, starts, body


def _there(work: WorkList, catalog: Catalog, step: str, hot: tuple[Body, ...], things: _Things) -> Iterator[str]:
    off = {d.feature for d in work.tasks[step].demands if not d.on}
    reach_mm = catalog.hot_reach_mm - _ROUNDING_MM
    for thing, starts, body in things:
        about = [f for f in work.features.values() if f.subject == thing.id and ":" not in f.id]
        places = {f.id for f in about if (f.start if starts else f.goal)}
        if places - off and any(_boxes_near(h, body, reach_mm) and closer_than(h, body, reach_mm) for h in hot):
            yield f"`{step}` may be done with `{min(places - off)}` there: it minds the heat"


def _boxes_near(one: Body, other: Body, reach_mm: float) -> bool:
    sides = zip(one.lo_mm, one.hi_mm, other.lo_mm, other.hi_mm, strict=True)
    return all(a - reach_mm <= d and c <= b + reach_mm for a, b, c, d in sides)


def _watches(catalog: Catalog) -> set[str]:
    """The states in which somebody watches for fire."""
    rules = (r for r in catalog.rules.values() if any(t.when is When.SPARKS for t in r.triggers))
    return {state for rule in rules for state in rule.conditions}


def _own_heat(catalog: Catalog, job: Job | None) -> list[OwnTask]:
    states = _watches(catalog)
    return [t for t in (() if job is None else job.tasks) if t.mending is None and states & {*t.conditions}]


def _back_early(knockons: Knockons, work: WorkList, catalog: Catalog, own: OwnTask, things: _Things) -> Iterator[str]:
    """What comes off for other heat goes back after the owner's own heat beside it."""
    held = {i for i, f in work.features.items() if f.subject in _watches(catalog)}
    others = [t for t in work.tasks.values() if t.id != own.id and any(d.on and d.feature in held for d in t.demands)]
    away = {d.feature for t in others for d in t.demands if not d.on}
    heats = [solid_body(p.solids, p.pose) for i in own.fitted if (p := knockons.after.get(i)) is not None]
    back = [(t, s, b) for t, s, b in things if s and t.id in away and t.id not in own.fitted and _stays(work, t.id)]
    yield from _there(work, catalog, own.id, tuple(heats), back)


def _stays(work: WorkList, body: str) -> bool:
    """Whether a thing comes off and goes back to where it was."""
    known = work.features.get(body)
    return known is not None and known.start and known.goal is True
