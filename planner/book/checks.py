"""Checkpoints as a reader meets them: at their step, and on a sheet to be filled in and signed."""

from __future__ import annotations

from dataclasses import dataclass

from planner.book.facts import BookFacts
from planner.export.plan_words import BLOCKS, checks_of, piece_of
from planner.units.spoken import day_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """One time a checkpoint is made: where its value, initials and day are written. ``key`` is that of its step."""

    check: str
    key: str
    number: int | None = None
    """None: no step of this plan makes it."""
    day: str = ""
    slot: int | None = None
    numeric: bool = False
    beside: bool = False
    """The limit asks for more than its number: yes or no is written behind it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """A checkpoint in words. ``computed`` is what the sums make of its limit for this vehicle.

    ``signed`` is what was written down about it before this plan; ``open``: it still holds back what it holds back.
    """

    id: str
    title: str
    measure: str
    limit: str
    computed: str
    unit: str
    holds: str
    caution: str
    source: str
    why: str
    blanks: tuple[Blank, ...]
    number: int
    """That of its sheet, from 1."""
    signed: str = ""
    open: bool = True


_HERE = "; here: "
"""What stands between a rule's own limit and what the sums make of it."""


def checks_in(facts: BookFacts) -> tuple[Check, ...]:
    """Every checkpoint of the job, in the order they first come up, those no step makes last."""
    answer = facts.answer
    made: dict[str, list[Blank]] = {}
    for slot, placed in enumerate(answer.plan.slots):
        for check in checks_of(piece_of(answer.work, placed.step)):
            made.setdefault(check, []).append(blank_at(facts, slot, check))
    numbers = sheet_numbers(facts)
    return tuple(_told(facts, i, tuple(made.get(i, _unmade(facts, i))), n) for i, n in numbers.items())


def sheet_numbers(facts: BookFacts) -> dict[str, int]:
    """The number of each checkpoint's sheet, in the order they first come up, those no step makes last."""
    work = facts.answer.work
    made = (c for s in facts.answer.plan.slots for c in checks_of(piece_of(work, s.step)))
    return {c: n for n, c in enumerate(dict.fromkeys((*made, *work.checkpoints)), start=1)}


def _unmade(facts: BookFacts, check: str) -> list[Blank]:
    """The blank of a checkpoint that no step makes; none when it is signed already."""
    known = facts.signed.get(check)
    return [] if known is not None and known.stands else [_loose(facts, check)]


def blank_at(facts: BookFacts, slot: int, check: str) -> Blank:
    """The blank of a checkpoint at one step."""
    answer = facts.answer
    return Blank(
        check=check,
        key=facts.keys[slot],
        number=answer.number(slot),
        day=day_words(answer.plan.slots[slot].start.date()),
        slot=slot,
        numeric=answer.work.checkpoints[check].is_counted,
        beside=bool(answer.work.checkpoints[check].beside),
    )


def check_at(facts: BookFacts, slot: int, check: str, number: int) -> Check:
    """A checkpoint, told by the number of its sheet, with the one blank it has at a step."""
    return _told(facts, check, (blank_at(facts, slot, check),), number)


def _loose(facts: BookFacts, check: str) -> Blank:
    point = facts.answer.work.checkpoints[check]
    return Blank(check=check, key="", numeric=point.is_counted, beside=bool(point.beside))


def _told(facts: BookFacts, check: str, blanks: tuple[Blank, ...], number: int) -> Check:
    point, known = facts.answer.work.checkpoints[check], facts.signed.get(check)
    limit, _, computed = point.limit.partition(_HERE)
    return Check(
        id=point.id,
        title=point.title,
        measure=point.measure,
        limit=limit,
        computed=computed,
        unit=point.unit,
        holds="; ".join(BLOCKS.get(b, b) for b in point.blocks),
        caution=point.caution,
        source=point.source,
        why=point.why,
        blanks=blanks,
        number=number,
        signed=known.words if known is not None else "",
        open=bool(blanks) or known is None or not known.stands,
    )
