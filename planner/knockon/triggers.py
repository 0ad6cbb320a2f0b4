"""Which catalog templates and checkpoint rules the effects of a job call for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from planner.model.catalog import CheckpointRule, Trigger, When
from planner.model.effects import Effect, EffectKind
from planner.model.job import Cut, Job
from planner.model.vehicle import Component, Link, Vehicle


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """Something that is done to ``subject`` because of ``effect``; ``words`` are the names a trigger may call it by."""

    when: When
    subject: str
    effect: str
    words: frozenset[str]


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
    return tuple(facts)


def _fact(when: When, effect: Effect, words: frozenset[str]) -> Fact:
    return Fact(when=when, subject=effect.subject, effect=effect.id, words=words)


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
    if effect.kind in {EffectKind.NEW, EffectKind.MOVES, EffectKind.REMADE} and part.mounted_on in parts:
        host = parts[part.mounted_on]
        yield _fact(When.DRILLED, effect, frozenset({host.kind, host.group}))


def pulls(trigger: Trigger, fact: Fact) -> bool:
    """Whether a trigger is pulled by a fact."""
    return trigger.when is fact.when and (not trigger.of or bool(fact.words & set(trigger.of)))


def calls_for(rule: CheckpointRule, facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """The facts that call for a checkpoint rule."""
    return tuple(f for f in facts if any(pulls(t, f) for t in rule.triggers))
