"""What else must move and why, as nested lists, and what is to be settled or measured before metal is cut."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from planner.book.facts import BookFacts
from planner.knockon import ASKED_TEXT
from planner.model.effects import Effect, EffectKind
from planner.model.job import Job
from planner.model.runs import Laid

_ASIDE = (EffectKind.RETESTED, EffectKind.MEASURED, EffectKind.OPENED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """One knock-on with its reasons, and what follows from it."""

    text: str
    reasons: tuple[str, ...]
    below: tuple[Branch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reasoned:
    """A thing told with its reasons."""

    text: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KnockonPage:
    """The tree, and what is opened or tested again because of it."""

    roots: tuple[Branch, ...]
    quiet: tuple[str, ...]
    """Asked for, with nothing that has to give way for it."""
    opened: tuple[Reasoned, ...]
    tested: tuple[Reasoned, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisions:
    """What nobody has decided yet."""

    options: tuple[Reasoned, ...]
    runs: tuple[str, ...]
    figures: tuple[str, ...]
    measures: tuple[Reasoned, ...]

    @property
    def none(self) -> bool:
        """Whether everything is decided."""
        return not (self.options or self.runs or self.figures or self.measures)


def knockons_of(facts: BookFacts) -> KnockonPage:
    """The knock-ons of the job, each under its nearest cause."""
    effects = facts.answer.knockons.effects
    children: dict[str, list[Effect]] = defaultdict(list)
    for effect in effects:
        if effect.kind not in _ASIDE:
            children[effect.causes[0].source if effect.causes else ""].append(effect)
    known = {e.id for e in effects if e.kind not in _ASIDE}
    roots = [e for source, several in children.items() if source not in known for e in several]
    loud = [e for e in roots if e.id in children or e.kind is EffectKind.OFF_AND_BACK]
    return KnockonPage(
        roots=tuple(_branch(e, children) for e in loud),
        quiet=tuple(e.text for e in roots if e not in loud),
        opened=tuple(_reasoned(e) for e in effects if e.kind is EffectKind.OPENED),
        tested=tuple(_reasoned(e) for e in effects if e.kind is EffectKind.RETESTED),
    )


def _branch(effect: Effect, children: dict[str, list[Effect]]) -> Branch:
    below = tuple(_branch(e, children) for e in children.get(effect.id, []))
    return Branch(text=effect.text, reasons=_reasons(effect), below=below)


def _reasoned(effect: Effect) -> Reasoned:
    return Reasoned(text=effect.text, reasons=_reasons(effect))


def _reasons(effect: Effect) -> tuple[str, ...]:
    return tuple(dict.fromkeys(c.text for c in effect.causes if c.text and c.text != ASKED_TEXT))


def decisions_of(facts: BookFacts) -> Decisions:
    """Options without a choice, runs that are not clear or not known, figures the sums wait for, sizes in doubt."""
    knockons = facts.answer.knockons
    instead = [r.link for r in knockons.runs.values() if r.laid is Laid.INSTEAD]
    wanted: dict[str, int] = {}
    for line in facts.sums:
        for what in line.missing:
            wanted[what] = wanted.get(what, 0) + 1
    return Decisions(
        options=_options(facts.answer.job),
        runs=tuple(
            f"{facts.name_of(i)}: the run the job draws is not clear, it is made by another one" for i in instead
        ),
        figures=tuple(
            f"{facts.figure(what)}: {count} {'sum waits' if count == 1 else 'sums wait'} for it"
            for what, count in wanted.items()
        ),
        measures=tuple(_reasoned(e) for e in knockons.effects if e.kind is EffectKind.MEASURED),
    )


def _options(job: Job) -> tuple[Reasoned, ...]:
    if not job.options or job.take is not None:
        return ()
    names = tuple(f"{o.name}{' (this book)' if o.id == job.option else ''}" for o in job.options.values())
    return (Reasoned(text="the job's options: none is taken in its file yet", reasons=names),)
