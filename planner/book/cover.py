"""The first page: what this is, how much of it there is, and how far it can be trusted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.book.facts import BookFacts
from planner.export.plan_words import SOUND, WRONG, headline, least_words, one_line, plan_name, trouble_of, warnings_of
from planner.model.effects import Effect, EffectKind, Proof
from planner.model.plan import Plan
from planner.units import format_minutes
from planner.units.spoken import day_words

_NAMED = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """What the first page says."""

    title: str
    vehicle: str
    job: str
    plan: str
    made: str
    changes: tuple[tuple[str, str], ...]
    finish: str
    effort: str
    headline: str
    proofs: tuple[str, ...]
    sound: bool
    checker: str
    warnings: tuple[str, ...]
    notes: tuple[str, ...]


def cover_of(facts: BookFacts) -> Cover:
    """The first page of a book."""
    answer, plan = facts.answer, facts.answer.plan
    name = plan_name(answer)
    notes = tuple(one_line(n) for n in plan.notes)
    told = tuple(n[:1].upper() + n[1:] for n in notes)
    finish = f"{day_words(plan.finish.date())} {plan.finish:%H:%M}" if plan.finish is not None else "no finish"
    return Cover(
        title=name,
        vehicle=answer.vehicle.name,
        job=name.removeprefix(f"{answer.vehicle.name}: "),
        plan=facts.digest,
        made=day_words(answer.today),
        changes=tuple(_changes(facts)),
        finish=finish,
        effort=format_minutes(plan.work_min),
        headline=headline(answer) if plan.slots else "There is no plan.",
        proofs=tuple(_proofs(facts)),
        sound=not answer.violations and not trouble_of(plan),
        checker=WRONG if answer.violations else "" if trouble_of(plan) else SOUND,
        warnings=tuple(w for w in warnings_of(answer) if w != WRONG and w not in notes),
        notes=told,
    )


def _changes(facts: BookFacts) -> Iterator[tuple[str, str]]:
    """What changes, in three lines."""
    effects = facts.answer.knockons.effects
    asked = [e for e in effects if e.kind not in _TOLD_APART and any(not c.source for c in e.causes)]
    follow = [e for e in effects if e.kind not in _TOLD_APART and e not in asked]
    opened = [e.text for e in effects if e.kind is EffectKind.OPENED]
    checks = len(facts.answer.work.checkpoints)
    yield "Asked for", _listed(facts, asked) or "nothing"
    yield "Follows from it", _listed(facts, follow) or "nothing else has to give way"
    whole = f"{', '.join(opened)} opened and made whole again; " if opened else ""
    noun = "checkpoint" if checks == 1 else "checkpoints"
    yield "Proved again", f"{whole}{checks} {noun} between this job and the road"


_TOLD_APART = (EffectKind.RETESTED, EffectKind.MEASURED, EffectKind.OPENED)


def _listed(facts: BookFacts, effects: list[Effect]) -> str:
    names = [f"{facts.name_of(e.subject)} {e.kind.value}" for e in effects]
    more = len(names) - _NAMED
    if more <= 1:
        return "; ".join(names)
    return f"{'; '.join(names[:_NAMED])}; and {more} more"


def _proofs(facts: BookFacts) -> Iterator[str]:
    """How good each answer is known to be."""
    answer, plan = facts.answer, facts.answer.plan
    found = answer.knockons
    if found.proof is Proof.PROVED:
        yield "New places: the cheapest there are, proved."
    elif found.proof is Proof.FOUND:
        yield f"New places: the best found, {found.cost} hand-minutes; at least {found.bound} are needed."
    strip = plan.strip
    if strip.proof is not Proof.NONE:
        yield f"Taking apart: {format_minutes(strip.cost - strip.dislike)}, {least_words(strip)}."
    if not plan.slots:
        return
    yield from _finish_proofs(plan)


def _finish_proofs(plan: Plan) -> Iterator[str]:
    on_earliest = plan.finish is not None and plan.earliest == plan.finish.date()
    if plan.proof is Proof.PROVED:
        yield "Finish: the earliest with that much taking apart, proved."
    elif not on_earliest:
        yield "Finish: the best found; an earlier one may exist."
    if on_earliest:
        yield "No order finishes on an earlier day: proved."
    elif plan.earliest is not None and plan.finish is not None:
        yield f"No order finishes before {day_words(plan.earliest)}: proved."
