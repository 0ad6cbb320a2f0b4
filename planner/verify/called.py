"""Which checkpoint rules the effects of a job call for, worked out afresh from the effects and the catalog."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.model.catalog import Catalog, CheckpointRule, When
from planner.model.effects import Effect, EffectKind, Knockons
from planner.model.job import Cut, Job, OwnTask
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.words import Deed
from planner.model.work import WorkList
from planner.verify.left_behind import left_behind
from planner.verify.open_ends import ends_left_open
from planner.verify.through import goes_through

_DISTURBING = frozenset({EffectKind.NEW, EffectKind.MOVES, EffectKind.GROWS, EffectKind.OFF_AND_BACK, EffectKind.GONE})
_LINK_DISTURBING = frozenset(
    {EffectKind.NEW, EffectKind.REMADE, EffectKind.OFF_AND_BACK, EffectKind.GONE},
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that is done to ``subject``; ``known_as`` are the kinds and groups a trigger may name it by."""

    when: When
    subject: str
    known_as: frozenset[str]


def events_of(
    vehicle: Vehicle, knockons: Knockons, work: WorkList, catalog: Catalog, job: Job | None
) -> tuple[Event, ...]:
    """Give everything that can pull the trigger of a rule.

    Parameters
    ----------
    job : Job or None
        Names the host of each cut. Without it a cut pulls only the triggers that name no host.
    """
    cuts = {} if job is None else {change.id: change for change in job.changes if isinstance(change, Cut)}
    events = [Event(when=When.ALWAYS, subject="", known_as=frozenset())]
    for effect in knockons.effects:
        events += _effect_events(effect, vehicle, knockons, cuts)
    for subject, host in left_behind(vehicle, knockons, job):
        events.append(Event(when=When.LEFT, subject=subject, known_as=frozenset({host.kind, host.group})))
    for subject, kind in ends_left_open(vehicle, knockons, catalog):
        events.append(Event(when=When.LEFT_OPEN, subject=subject, known_as=frozenset({kind})))
    for task in () if job is None else job.tasks:
        events += _mended_events(task, vehicle, knockons)
        events += _watched_events(task, catalog)
    entered = {feature.subject for feature in work.features.values()} & catalog.conditions.keys()
    states = (When.ENTERED, When.BROUGHT_ABOUT)
    events += [Event(when=when, subject=c, known_as=frozenset({c})) for c in sorted(entered) for when in states]
    return tuple(dict.fromkeys(events))


def called_rules(
    catalog: Catalog, events: tuple[Event, ...], vehicle: Vehicle, knockons: Knockons
) -> Iterator[tuple[CheckpointRule, tuple[Event, ...]]]:
    """Pair each rule that is called for with the events that call for it."""
    for _, rule in sorted(catalog.rules.items()):
        if not _has_it(rule, vehicle, knockons):
            continue
        calls = tuple(
            event
            for event in events
            if any(
                trigger.when is event.when and (not trigger.of or event.known_as & set(trigger.of))
                for trigger in rule.triggers
            )
        )
        if calls:
            yield rule, calls


def _has_it(rule: CheckpointRule, vehicle: Vehicle, knockons: Knockons) -> bool:
    """The part a rule is for is on the vehicle, and a second circuit where it tells one from another."""
    if rule.where and not any(p.kind in rule.where or p.group in rule.where for p in knockons.after.values()):
        return False
    used = {s for p in knockons.after.values() for s in p.systems} | {k.system for k in knockons.links_after.values()}
    named = {name for t in rule.triggers if t.when is When.OPENED for name in t.of}
    return not rule.several or sum(s.kind in named and s.id in used for s in vehicle.systems.values()) > 1


def _effect_events(effect: Effect, vehicle: Vehicle, knockons: Knockons, cuts: dict[str, Cut]) -> list[Event]:
    subject = effect.subject
    if effect.kind is EffectKind.CUT:
        return _cut_events(effect, vehicle, knockons, cuts)
    if effect.kind is EffectKind.OPENED:
        system = vehicle.systems.get(subject)
        known_as = frozenset() if system is None else frozenset({system.kind})
        return [Event(when=When.OPENED, subject=subject, known_as=known_as)]
    part = knockons.after.get(subject) or vehicle.components.get(subject)
    if part is not None:
        known_as = frozenset({part.kind, part.group})
        events = [Event(when=when, subject=subject, known_as=known_as) for when in _part_whens(effect.kind, part)]
        return events + _drilled(effect, part, vehicle, knockons) + _on_servo(effect, part, vehicle, knockons)
    link = knockons.links_after.get(subject) or vehicle.links.get(subject)
    if link is not None:
        known_as = frozenset({link.kind, link.group})
        events = [Event(when=when, subject=subject, known_as=known_as) for when in _link_whens(effect.kind, link)]
        return events + _drilled_for(effect, link, vehicle, knockons, cuts)
    return []


def _part_whens(kind: EffectKind, part: Component) -> Iterator[When]:
    if kind is EffectKind.NEW:
        yield When.BOUGHT if part.make_min is None else When.MADE
    if kind is EffectKind.GROWS:
        yield When.MADE
    if kind is EffectKind.MOVES:
        yield When.MOVED
    if kind in _DISTURBING:
        yield When.DISTURBED


def _link_whens(kind: EffectKind, _link: Link) -> Iterator[When]:
    if kind in {EffectKind.NEW, EffectKind.REMADE}:
        yield When.LINK_MADE
    if kind is EffectKind.ADJUSTED:
        yield When.LINK_ADJUSTED
    if kind in _LINK_DISTURBING:
        yield When.DISTURBED


def _on_servo(effect: Effect, part: Component, vehicle: Vehicle, knockons: Knockons) -> list[Event]:
    """A servo's front is opened, and its rod let go, by whatever comes off it or goes on it."""
    host = knockons.after.get(part.mounted_on or "") or vehicle.components.get(part.mounted_on or "")
    if host is None or host.kind != "brake-servo" or effect.kind not in {*_DISTURBING, EffectKind.REMADE}:
        return []
    return [Event(when=When.DISTURBED, subject=part.id, known_as=frozenset({host.kind}))]


def _drilled(effect: Effect, part: Component, vehicle: Vehicle, knockons: Knockons) -> list[Event]:
    """A new or moved part is drilled for in what it is mounted on."""
    if effect.kind not in {EffectKind.NEW, EffectKind.MOVES} or part.mounted_on is None:
        return []
    host = knockons.after.get(part.mounted_on) or vehicle.components.get(part.mounted_on)
    if host is None:
        return []
    return [Event(when=When.DRILLED, subject=part.id, known_as=frozenset({host.kind, host.group}))]


def _drilled_for(effect: Effect, link: Link, vehicle: Vehicle, knockons: Knockons, cuts: dict[str, Cut]) -> list[Event]:
    """A new link is drilled for in what it goes right through, where the job cuts nothing and no link leaves a hole."""
    if effect.kind is not EffectKind.NEW:
        return []
    opened = {cut.host for cut in cuts.values()}
    opened |= {p for i, old in vehicle.links.items() if i not in knockons.links_after for p in old.passes}
    hosts = [knockons.after[p] for p in link.passes if p in knockons.after and p not in opened]
    return [
        Event(when=When.DRILLED, subject=link.id, known_as=frozenset({host.kind, host.group}))
        for host in hosts
        if goes_through(link, host, knockons.after)
    ]


def _cut_events(effect: Effect, vehicle: Vehicle, knockons: Knockons, cuts: dict[str, Cut]) -> list[Event]:
    cut = cuts.get(effect.subject)
    host = None if cut is None else knockons.after.get(cut.host) or vehicle.components.get(cut.host)
    known_as = frozenset() if host is None else frozenset({host.kind, host.group})
    whens = [When.CUT, When.WELDED] if cut is not None and cut.welded else [When.CUT]
    return [Event(when=when, subject=effect.subject, known_as=known_as) for when in whens]


def _mended_events(task: OwnTask, vehicle: Vehicle, knockons: Knockons) -> list[Event]:
    """What a mending does; at the bench nothing of it is done to the vehicle."""
    mending = task.mending
    if mending is None:
        return []
    pools = (knockons.after, vehicle.components, knockons.links_after, vehicle.links)
    thing = next((pool[mending.on] for pool in pools if mending.on in pool), None)
    known_as = frozenset[str]() if thing is None else frozenset({thing.kind, thing.group})
    bench = mending.on in task.off
    whens = [When.MENDED]
    for deed in mending.does:
        whens += _DONE_AT_BENCH.get(deed, []) if bench else _DONE_IN_PLACE.get(deed, [])
    events = [Event(when=when, subject=task.id, known_as=known_as) for when in whens]
    if thing is not None and any(deed is not Deed.PLAIN for deed in mending.does):
        events.append(Event(when=When.DISTURBED, subject=mending.on, known_as=known_as))
    return events


def _watched_events(task: OwnTask, catalog: Catalog) -> list[Event]:
    """An own task that asks for the watch for fire brings sparks."""
    told = [r.conditions for r in catalog.rules.values() if any(t.when is When.SPARKS for t in r.triggers)]
    hot = task.mending is None and any(c in conditions for conditions in told for c in task.conditions)
    return [Event(when=When.SPARKS, subject=task.id, known_as=frozenset())] if hot else []


_DONE_IN_PLACE = {Deed.WELD: [When.WELDED], Deed.GRIND: [When.SPARKS], Deed.CUT: [When.CUT, When.DRILLED]}
_DONE_AT_BENCH = {Deed.WELD: [When.WELDED_OFF], Deed.CUT: [When.CUT]}
