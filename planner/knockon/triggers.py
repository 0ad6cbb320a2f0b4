"""Which catalog templates and checkpoint rules the effects of a job call for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from planner.knockon.left_holes import left_holes
from planner.knockon.open_ends import is_left_open, left_open
from planner.model.catalog import CheckpointRule, Trigger, When
from planner.model.effects import Effect, EffectKind
from planner.model.job import Cut, Job, Mending, OwnTask
from planner.model.vehicle import Component, Link, Vehicle
from planner.model.words import Deed


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """Something that is done to ``subject`` because of ``effect``; ``words`` are the names a trigger may call it by."""

    when: When
    subject: str
    effect: str
    words: frozenset[str]
    why: str = ""
    """In words, where no effect says it."""


ANY_CHANGE = "any change to the vehicle"
SEALS_HOST = frozenset({"brake-servo"})
"""Kinds that are disturbed by what is bolted to them: a cylinder shuts a servo's front and meets its rod."""
_LEAVING = frozenset({EffectKind.GONE, EffectKind.REMADE, EffectKind.ADJUSTED})
_PART_FACTS = {
    EffectKind.MOVES: (When.MOVED, When.DISTURBED),
    EffectKind.GROWS: (When.MADE, When.DISTURBED),
    EffectKind.REMADE: (When.MADE, When.DISTURBED),
    EffectKind.OFF_AND_BACK: (When.DISTURBED,),
    EffectKind.GONE: (When.DISTURBED,),
}
_LINK_FACTS = {
    EffectKind.NEW: (When.LINK_MADE, When.DISTURBED),
    EffectKind.REMADE: (When.LINK_MADE, When.DISTURBED),
    EffectKind.ADJUSTED: (When.LINK_ADJUSTED,),
    EffectKind.OFF_AND_BACK: (When.DISTURBED,),
    EffectKind.GONE: (When.DISTURBED,),
}


def facts_of(
    effects: tuple[Effect, ...],
    vehicle: Vehicle,
    job: Job,
    after: dict[str, Component],
    links_after: dict[str, Link],
    pierced: Mapping[str, tuple[str, ...]],
) -> tuple[Fact, ...]:
    """Everything the effects do, in the order of the effects; ``pierced`` are the parts in which a link gets a hole."""
    cuts = {c.id: c for c in job.changes if isinstance(c, Cut)}
    parts = {**vehicle.components, **after}
    links = {**vehicle.links, **links_after}
    facts: list[Fact] = [Fact(when=When.ALWAYS, subject="", effect="", words=frozenset())]
    for effect in effects:
        if effect.subject in cuts:
            facts.extend(_cut_facts(effect, cuts[effect.subject], parts))
        elif effect.subject in parts:
            facts.extend(_part_facts(effect, parts[effect.subject], parts))
        elif effect.subject in links:
            link = links[effect.subject]
            words = frozenset({link.kind, link.group})
            facts.extend(_fact(w, effect, words) for w in _LINK_FACTS.get(effect.kind, ()))
            if effect.kind in {EffectKind.NEW, EffectKind.REMADE, EffectKind.ADJUSTED}:
                hosts = (parts[i] for i in pierced.get(effect.subject, ()))
                facts.extend(_fact(When.DRILLED, effect, frozenset({h.kind, h.group})) for h in hosts)
        elif effect.kind is EffectKind.OPENED:
            facts.append(_fact(When.OPENED, effect, frozenset({vehicle.systems[effect.subject].kind})))
    by_subject = {e.subject: e for e in effects if e.kind in _LEAVING}
    for subject, left_in in left_holes(effects, vehicle, job, after, links_after, pierced).items():
        known_as = (frozenset({after[h].kind, after[h].group}) for h in left_in)
        facts.extend(_fact(When.LEFT, by_subject[subject], names) for names in known_as)
    facts.extend(_open_facts(effects, vehicle))
    for task in job.tasks:
        if task.mending is not None:
            facts.extend(_mending_facts(task, task.mending, {**links, **parts}))
    return tuple(facts)


def _fact(when: When, effect: Effect, words: frozenset[str]) -> Fact:
    return Fact(when=when, subject=effect.subject, effect=effect.id, words=words)


def _open_facts(effects: tuple[Effect, ...], vehicle: Vehicle) -> Iterator[Fact]:
    known = {e.id: e for e in effects}
    for effect in (e for e in effects if is_left_open(e, vehicle)):
        for subject, kinds in left_open(effect, known, vehicle):
            yield Fact(when=When.LEFT_OPEN, subject=subject, effect=effect.id, words=kinds)


def _cut_facts(effect: Effect, cut: Cut, parts: dict[str, Component]) -> Iterator[Fact]:
    host = parts[cut.host]
    words = frozenset({host.kind, host.group})
    yield _fact(When.CUT, effect, words)
    if cut.welded:
        yield _fact(When.WELDED, effect, words)


def _part_facts(effect: Effect, part: Component, parts: dict[str, Component]) -> Iterator[Fact]:
    words = frozenset({part.kind, part.group})
    if effect.kind is EffectKind.NEW:
        yield _fact(When.MADE if part.make_min is not None else When.BOUGHT, effect, words)
        yield _fact(When.DISTURBED, effect, words)
    for when in _PART_FACTS.get(effect.kind, ()):
        yield _fact(when, effect, words)
    host = parts.get(part.mounted_on or "")
    if host is not None and host.kind in SEALS_HOST and effect.kind in {EffectKind.NEW, *_PART_FACTS}:
        yield _fact(When.DISTURBED, effect, frozenset({host.kind}))
    if effect.kind in {EffectKind.NEW, EffectKind.MOVES, EffectKind.REMADE} and part.mounted_on in parts:
        host = parts[part.mounted_on]
        yield _fact(When.DRILLED, effect, frozenset({host.kind, host.group}))


def _mending_facts(task: OwnTask, mending: Mending, things: Mapping[str, Component | Link]) -> Iterator[Fact]:
    """What a mending does: to the part as well, unless it is plain work."""
    thing = things.get(mending.on)
    words = frozenset[str]() if thing is None else frozenset({thing.kind, thing.group})
    for when in _mending_whens(task, mending):
        yield Fact(when=when, subject=task.id, effect="", words=words, why=task.title)
    if thing is not None and {*mending.does} - {Deed.PLAIN}:
        yield Fact(when=When.DISTURBED, subject=mending.on, effect="", words=words, why=task.title)


def _mending_whens(task: OwnTask, mending: Mending) -> Iterator[When]:
    yield When.MENDED
    if Deed.WELD in mending.does:
        yield When.WELDED_OFF if task.at_bench else When.WELDED
    if Deed.GRIND in mending.does and task.burns:
        yield When.SPARKS
    if Deed.CUT in mending.does:
        yield When.CUT
        if not task.at_bench:
            yield When.DRILLED


def pulls(trigger: Trigger, fact: Fact) -> bool:
    """Whether a trigger is pulled by a fact."""
    return trigger.when is fact.when and (not trigger.of or bool(fact.words & set(trigger.of)))


def calls_for(rule: CheckpointRule, facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """The facts that call for a checkpoint rule."""
    return tuple(f for f in facts if any(pulls(t, f) for t in rule.triggers))
