"""Telling which circuits are opened and what must be tested again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.knockon.graph import EffectBook
from planner.knockon.opening import opened_by
from planner.knockon.outcome import Outcome, links_at
from planner.knockon.triggers import ANY_CHANGE, calls_for, facts_of
from planner.model.catalog import When
from planner.model.effects import Cause, CauseKind, EffectKind

_UNDOING = (EffectKind.GONE, EffectKind.MOVES, EffectKind.GROWS, EffectKind.OFF_AND_BACK, EffectKind.REMADE)
_WORDS = {
    EffectKind.GONE: "goes",
    EffectKind.MOVES: "moves",
    EffectKind.GROWS: "is changed",
    EffectKind.OFF_AND_BACK: "comes off",
    EffectKind.REMADE: "is made anew",
    EffectKind.NEW: "is added",
}


def tell_opened(out: Outcome, book: EffectBook) -> None:
    """Circuits opened because a part or link of theirs is undone or added."""
    for kind in (*_UNDOING, EffectKind.NEW):
        for subject in book.of_kind(kind):
            source = f"{kind.value}:{subject}"
            for system, member in sorted(set(_opened_by(out, subject))):
                if kind is EffectKind.NEW and member != subject:
                    continue
                by = out.name(subject) + (f" {_WORDS[kind]}" if member == subject else "")
                text = by if member == subject else f"{by} {_WORDS[kind]}, and {out.name(member)} is undone from it"
                cause = Cause(kind=CauseKind.PART_OF, source=source, text=text)
                book.add(EffectKind.OPENED, system, out.name(system), [cause])
    for task in out.job.tasks:
        for system in () if task.mending is None else task.mending.opens:
            if system in out.vehicle.systems:
                asked = Cause(kind=CauseKind.ASKED, source="", text=f"it is opened for: {task.title}")
                book.add(EffectKind.OPENED, system, out.name(system), [asked])


def _opened_by(out: Outcome, subject: str) -> Iterator[tuple[str, str]]:
    """Systems opened when a part or link is undone, each with the member that opens it."""
    links = {**out.vehicle.links, **out.asked.links}
    if subject in links:
        yield from ((s, subject) for s in opened_by(links[subject], out.vehicle, out.catalog))
        return
    parts = {**out.vehicle.components, **out.asked.base}
    if subject not in parts:
        return
    yield from ((s, subject) for s in opened_by(parts[subject], out.vehicle, out.catalog))
    for link in links_at(links, subject):
        yield from ((s, link.id) for s in opened_by(link, out.vehicle, out.catalog))


def tell_retests(out: Outcome, book: EffectBook, pierced: Mapping[str, tuple[str, ...]]) -> None:
    """Checkpoint rules that the effects call for, each with the effects that do; ``pierced`` as in the knock-ons."""
    after = {i: p.part for i, p in out.answer.placed.items()}
    effects = book.effects()
    facts = facts_of(effects, out.vehicle, out.job, after, out.asked.links, pierced)
    texts = {e.id: e.text for e in effects}
    for rule in out.catalog.rules.values():
        if all(t.when is When.ENTERED for t in rule.triggers):
            continue
        causes = [
            Cause(kind=CauseKind.RULE, source=f.effect, text=texts.get(f.effect, f.why or ANY_CHANGE))
            for f in calls_for(rule, facts)
        ]
        if causes:
            book.add(EffectKind.RETESTED, rule.id, rule.title, causes)
