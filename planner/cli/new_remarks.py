"""What is told of a new thing that overlaps, touches or comes too near, and what its owner says to that."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.cli.new_asking import Question, Talk
from planner.cli.new_choice import one_of

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet, Tried
    from planner.knockon import Fault
    from planner.shelf.fresh import Entry


LEAVE, RETYPE, ALLOW = "leave", "retype", "allow"
_SAYS = {
    LEAVE: "stays as typed, `check` goes on telling of it",
    RETYPE: "size and place are asked for again",
    ALLOW: "it is like that on the vehicle and may be: written into the file, nothing tells of it again",
}
_ALLOWED = (
    "allow writes `touches` (of a link `passes`) for what overlaps or touches, `near` for what is near and has proved "
    "itself, `swing` for a rod that leans a little; it makes nothing safer"
)


def remarks_answered(talk: Talk, sheet: Sheet, tried: Tried, answers: Sequence[str]) -> str:
    """Tell what cannot be so, with why, and ask what to do about it: one of ``answers``."""
    for fault in tried.faults:
        talk.say(f"  ! {told_fault(fault, tried)}")
        reason = gap_reason(fault, sheet, tried)
        if reason:
            talk.say(f"    {reason}")
    words = f"{', '.join(answers[:-1])} or {answers[-1]}"
    return talk.ask(
        Question(
            words=words,
            read=one_of(answers, "answer"),
            default=LEAVE,
            help="; ".join(f"{word}: {_SAYS[word]}" for word in answers),
            examples=(_ALLOWED,),
            aside=tuple(answers),
        )
    )


def gap_reason(fault: Fault, sheet: Sheet, tried: Tried) -> str:
    """Why a gap is asked for: by which part's keep-clear or which rule, and what that rests on; empty for no gap."""
    from planner.knockon.clearances import KeepBook, keep_clear_words, source_words
    from planner.model.effects import CauseKind
    from planner.units import format_length

    vehicle = tried.vehicle
    if vehicle is None or fault.kind is not CauseKind.KEEP_CLEAR:
        return ""
    things = [(vehicle.components | vehicle.links)[i] for i in (fault.part, fault.other)]
    told = []
    owners = [t for t in things if t.id in vehicle.components]
    owner = max((vehicle.components[t.id] for t in owners), key=lambda c: c.keep_clear_mm, default=None)
    if owner is not None and owner.keep_clear_mm > 0:
        kind = sheet.catalog.kinds[owner.kind]
        gap = format_length(owner.keep_clear_mm, sheet.bare)
        if owner.keep_clear_mm == kind.keep_clear_mm:
            told.append(f"the catalog keeps {gap} clear round a {kind.name} ({keep_clear_words(kind)})")
        else:
            told.append(f"the file keeps {gap} clear round {owner.name}")
    rule = KeepBook(sheet.catalog).rule(things[0], things[1])
    if rule is not None:
        told.append(f"{format_length(rule.keep_mm, sheet.bare)} between these two: {rule.why} ({source_words(rule)})")
    return "; ".join(told)


def told_fault(fault: Fault, tried: Tried) -> str:
    """One overlap or the like in a sentence."""
    component = None if tried.vehicle is None else tried.vehicle.components.get(fault.part)
    return f"{component.name}: {fault.text}" if component is not None else fault.text


def as_it_is(sheet: Sheet, new: Sequence[Entry], tried: Tried) -> tuple[list[Entry], Tried]:
    """Write down what touches, what is near and how far a rod leans, as the owner says it is."""
    from dataclasses import replace

    from planner.files import Put
    from planner.knockon import swing_for
    from planner.model.effects import CauseKind

    entry = new[-1]
    block = dict(entry.put.value) if isinstance(entry.put.value, dict) else {}
    touches: list[str] = []
    near: dict[str, int | float] = {}
    for fault in tried.faults:
        other = fault.other if fault.part == entry.id else fault.part
        if fault.kind is CauseKind.CLASH:
            touches.append(other)
        elif fault.kind is CauseKind.KEEP_CLEAR:
            near[other] = _gap_now(sheet, tried, entry.id, other)
        elif fault.part == entry.id and (swing := swing_for(fault.lean_deg)) is not None:
            block["swing"] = swing
    key = "passes" if entry.put.path == ("links",) else "touches"
    if touches:
        block[key] = [*dict.fromkeys(touches)]
    if near:
        block["near"] = dict(near)
    again = [*new[:-1], replace(entry, put=Put(entry.put.path, entry.put.key, block))]
    retried = sheet.tried(again)
    return (again, retried) if not retried.errors else (list(new), tried)


def _gap_now(sheet: Sheet, tried: Tried, one: str, other: str) -> int | float:
    """How near two things are [whole mm, rounded down], in the file's unit."""
    from math import floor

    from planner.knockon.conflicts import run_of
    from planner.knockon.placed import place
    from planner.shelf.tape import in_units
    from planner.space import gap

    vehicle = tried.vehicle
    if vehicle is None:
        raise AssertionError("a fault has a vehicle round it")
    bodies = [
        place(vehicle.components[i]).body if i in vehicle.components else run_of(vehicle.links[i], vehicle.components)
        for i in (one, other)
    ]
    return in_units(max(0, floor(gap(*bodies).mm)), sheet.bare)
