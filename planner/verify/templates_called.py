"""Which templates of the catalog the effects of a job call for, worked out afresh, and which of their steps apply."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.model.catalog import Catalog, Template, TemplateStep, When, Work
from planner.model.effects import Effect, EffectKind, Knockons
from planner.model.job import Cut, Job, Replace
from planner.model.vehicle import Component, Link, Vehicle
from planner.verify.left_behind import left_behind
from planner.verify.poses import carried_along, same_pose

_HELD_ANEW = frozenset({EffectKind.NEW, EffectKind.MOVES, EffectKind.REMADE})
_LEAVING = frozenset({EffectKind.GONE, EffectKind.REMADE, EffectKind.ADJUSTED})
_DISTURBING = frozenset({*_HELD_ANEW, EffectKind.GROWS, EffectKind.OFF_AND_BACK})


@dataclass(frozen=True, slots=True, kw_only=True)
class Called:
    """A template with what calls for it; ``prefix`` and a number, from 1, name each of its steps."""

    template: Template
    when: When
    subject: str
    prefix: str
    effect: Effect
    host: str = ""
    """What gets, or keeps, a hole."""


def templates_called(vehicle: Vehicle, knockons: Knockons, catalog: Catalog, job: Job | None) -> Iterator[Called]:
    """Every template that an effect calls for, but for those done once for parts that belong together."""
    cuts = {c.id: c for c in (() if job is None else job.changes) if isinstance(c, Cut)}
    ends = {e.subject: e for e in knockons.effects if e.kind in _LEAVING}
    for effect in knockons.effects:
        yield from _of_effect(vehicle, knockons, catalog, effect, cuts)
    for subject, host in left_behind(vehicle, knockons, job):
        found = template_of(catalog, When.LEFT, host.kind, host.group)
        if found is not None and subject in ends:
            prefix = f"{subject}.{host.id}.left"
            about = {"subject": subject, "prefix": prefix, "host": host.id}
            yield Called(template=found, when=When.LEFT, effect=ends[subject], **about)


def template_of(catalog: Catalog, when: When, kind: str, group: str) -> Template | None:
    """Give the template that names a kind, else the one that names its group, else the one that names none."""
    those = sorted((t for t in catalog.templates.values() if t.trigger.when is when), key=lambda t: t.id)
    for name in (kind, group):
        for template in those:
            if name in template.trigger.of:
                return template
    return next((t for t in those if not t.trigger.of), None)


def _of_effect(
    vehicle: Vehicle, knockons: Knockons, catalog: Catalog, effect: Effect, cuts: dict[str, Cut]
) -> Iterator[Called]:
    name = effect.subject
    part, link = knockons.after.get(name), knockons.links_after.get(name)
    if effect.kind is EffectKind.CUT and name in cuts:
        host = knockons.after.get(cuts[name].host) or vehicle.components[cuts[name].host]
        when = When.WELDED if cuts[name].welded else When.CUT
        yield from _one(catalog, when, effect, host, f"{name}.")
    elif part is not None:
        for when in _part_whens(vehicle, knockons, effect, part):
            yield from _one(catalog, when, effect, part, f"{name}.set" if when is When.DISTURBED else f"{name}.")
    elif link is not None:
        if effect.kind in {EffectKind.NEW, EffectKind.REMADE}:
            yield from _one(catalog, When.LINK_MADE, effect, link, f"{name}.")
        if effect.kind is EffectKind.ADJUSTED:
            yield from _one(catalog, When.LINK_ADJUSTED, effect, link, f"{name}.adj")
        passing = effect.kind in {EffectKind.NEW, EffectKind.REMADE, EffectKind.ADJUSTED}
        for hole in knockons.pierced.get(name, ()) if passing else ():
            yield from _one(catalog, When.PASSED, effect, knockons.after[hole], f"{name}.{hole}.")


def _one(catalog: Catalog, when: When, effect: Effect, about: Component | Link, prefix: str) -> Iterator[Called]:
    found = template_of(catalog, when, about.kind, about.group)
    if found is not None and not found.once:
        host = about.id if when in {When.PASSED, When.CUT, When.WELDED} else ""
        yield Called(template=found, when=when, subject=effect.subject, prefix=prefix, effect=effect, host=host)


def _part_whens(vehicle: Vehicle, knockons: Knockons, effect: Effect, part: Component) -> Iterator[When]:
    if effect.kind is EffectKind.NEW:
        yield When.BOUGHT if part.make_min is None else When.MADE
    if effect.kind in {EffectKind.GROWS, EffectKind.REMADE}:
        yield When.MADE
    if effect.kind is EffectKind.MOVES and not _goes_along(vehicle, knockons, part):
        yield When.MOVED
    if effect.kind in _DISTURBING:
        yield When.DISTURBED


def _goes_along(vehicle: Vehicle, knockons: Knockons, part: Component) -> bool:
    """Whether a part stays bolted to what moves."""
    old, name = vehicle.components[part.id], part.mounted_on or ""
    hosts = vehicle.components.get(name), knockons.after.get(name)
    if name not in knockons.homes or old.mounted_on != name or hosts[0] is None or hosts[1] is None:
        return False
    return carried_along(old.pose, part.pose, hosts[0].pose, hosts[1].pose)


def steps_of(
    called: Called, vehicle: Vehicle, knockons: Knockons, catalog: Catalog, job: Job | None
) -> dict[int, TemplateStep]:
    """Give the steps of a template that apply, by their numbers, in the order in which they are done.

    Those about holes only where such holes are made, or left; holes that a part may stand over are closed before it is
    tried.
    """
    part, old = knockons.after.get(called.subject), vehicle.components.get(called.subject)
    link = knockons.links_after.get(called.subject)
    thing = part or link or old
    about_hole = called.when in {When.CUT, When.WELDED, When.PASSED, When.LEFT}
    kind = "" if about_hole or thing is None else thing.kind
    done: dict[int, TemplateStep] = {}
    for number, step in enumerate(called.template.steps, start=1):
        drilled = not step.seat or bool(step.undrilled) or _drilled_for(called, vehicle, knockons, catalog, job)
        left = not step.left or _leaves_holes(vehicle, knockons, catalog, old)
        if kind not in step.not_of and drilled and left:
            done[number] = step
    stays_on = part is not None and old is not None and part.mounted_on == old.mounted_on
    trial = min((n for n, s in done.items() if s.work is Work.TRIAL_FIT), default=0)
    return dict(sorted(done.items(), key=lambda row: trial - 0.5 if row[1].left and stays_on and trial else row[0]))


def _drilled_for(called: Called, vehicle: Vehicle, knockons: Knockons, catalog: Catalog, job: Job | None) -> bool:
    """Whether holes are drilled at home for a part: not in castings, and not where it takes those of the old one."""
    part = knockons.after.get(called.subject)
    if part is None or part.rides or called.effect.kind not in _HELD_ANEW:
        return False
    if part.mounted_on is None:
        return called.effect.kind is EffectKind.MOVES
    if not _is_drilled(catalog, knockons.after.get(part.mounted_on)):
        return False
    swaps = [c for c in (() if job is None else job.changes) if isinstance(c, Replace)]
    before = [vehicle.components[c.part] for c in swaps if c.component.id == part.id and c.part in vehicle.components]
    return not any(_takes_holes(part, old, vehicle, knockons) for old in before)


def _takes_holes(part: Component, old: Component, vehicle: Vehicle, knockons: Knockons) -> bool:
    name = part.mounted_on or ""
    hosts = vehicle.components.get(name), knockons.after.get(name)
    alike = part.kind == old.kind and part.mounted_on == old.mounted_on and same_pose(part.pose, old.pose)
    return alike and hosts[0] is not None and hosts[1] is not None and same_pose(hosts[0].pose, hosts[1].pose)


def _leaves_holes(vehicle: Vehicle, knockons: Knockons, catalog: Catalog, old: Component | None) -> bool:
    """Whether what held a part stays, and was drilled for it; where nobody said what that was, something was."""
    name = "" if old is None else old.mounted_on or ""
    if name not in vehicle.components:
        return True
    return name in knockons.after and _is_drilled(catalog, vehicle.components[name])


def _is_drilled(catalog: Catalog, host: Component | None) -> bool:
    return host is not None and bool({host.kind, host.group} & {*catalog.drilled_hosts})
