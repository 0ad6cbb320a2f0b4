"""What is told of a new thing that overlaps, touches or comes too near, and what its owner says to that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from planner.cli.new_asking import Question, Talk
from planner.cli.new_choice import one_of

if TYPE_CHECKING:
    from planner.cli.new_sheet import Sheet, Tried
    from planner.files import Plain
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
    "itself, `swing` for a rod that leans a little, `rooms` as deep as is left of a room; it makes nothing safer"
)


def remarks_answered(talk: Talk, sheet: Sheet, new: Sequence[Entry], tried: Tried, answers: Sequence[str]) -> str:
    """Tell what cannot be so, with why, and ask what to do about it: one of ``answers``."""
    from planner.cli.room_hint import room_hint
    from planner.model.effects import CauseKind

    if ALLOW in answers and len(as_it_is(sheet, new, tried).tried.faults) >= len(tried.faults):
        # What it writes would change nothing of this.
        answers = [a for a in answers if a != ALLOW]
    for fault in tried.faults:
        talk.say(f"  ! {told_fault(fault, tried)}")
        reason = gap_reason(fault, sheet, tried)
        if reason:
            talk.say(f"    {reason}")
        if fault.kind is CauseKind.ROOM_LOST and tried.vehicle is not None and ALLOW not in answers:
            talk.say(f"    {room_hint(fault, tried.vehicle)}")
    if len(answers) == 1:
        return answers[0]
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
    from planner.finding.words import with_article
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
            told.append(f"the catalog keeps {gap} clear round {with_article(kind.name)} ({keep_clear_words(kind)})")
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """What was to be added with what its owner says is so: new entries, those that were there, and how they read."""

    new: list[Entry]
    entries: list[Entry]
    tried: Tried


def as_it_is(sheet: Sheet, new: Sequence[Entry], tried: Tried) -> Allowed:
    """Write down what touches, what is near, how far a rod leans and what is left of a room, as the owner says."""
    from planner.files import Put
    from planner.shelf.fresh import Entry

    entry = new[-1]
    block = _block(entry) | _said_of(sheet, entry, tried)
    again, there = [*new[:-1], _with(entry, block)], list(sheet.entries)
    for part, rooms in _rooms_left(tried):
        for entries in (again, there):
            entries[:] = [_with(e, _block(e) | {"rooms": rooms}) if _is_part(e, part) else e for e in entries]
        if not any(_is_part(e, part) for e in (*again, *there)) and _says_no_rooms(sheet, part):
            again.insert(0, Entry(put=Put(("components", part), "rooms", rooms)))
    trial = replace(sheet, entries=there)
    retried = trial.tried(again)
    if retried.errors:
        return Allowed(new=list(new), entries=list(sheet.entries), tried=tried)
    return Allowed(new=again, entries=there, tried=retried)


def allow(talk: Talk, sheet: Sheet, new: Sequence[Entry], tried: Tried) -> tuple[list[Entry], Tried]:
    """Write it down as the owner says it is, and tell what that does not cure."""
    from planner.cli.room_hint import room_hint
    from planner.model.effects import CauseKind

    allowed = as_it_is(sheet, new, tried)
    sheet.entries[:] = allowed.entries
    for fault in allowed.tried.faults:
        talk.say(f"  still so: {told_fault(fault, allowed.tried)}")
        if fault.kind is CauseKind.ROOM_LOST and allowed.tried.vehicle is not None:
            talk.say(f"    {room_hint(fault, allowed.tried.vehicle)}")
    return allowed.new, allowed.tried


def _block(entry: Entry) -> dict[str, Plain]:
    return dict(entry.put.value) if isinstance(entry.put.value, dict) else {}


def _with(entry: Entry, block: dict[str, Plain]) -> Entry:
    from planner.files import Put

    return replace(entry, put=Put(entry.put.path, entry.put.key, block))


def _says_no_rooms(sheet: Sheet, part: str) -> bool:
    """Whether a part that is in the file already has its kind's rooms: then there are none in its block."""
    known = None if sheet.vehicle is None else sheet.vehicle.components.get(part)
    return known is not None and known.rooms == sheet.catalog.kinds[known.kind].rooms


def _is_part(entry: Entry, part: str) -> bool:
    return entry.put.path == ("components",) and entry.id == part


def _said_of(sheet: Sheet, entry: Entry, tried: Tried) -> dict[str, Plain]:
    from planner.knockon import swing_for
    from planner.model.effects import CauseKind

    said: dict[str, Plain] = {}
    touches: list[str] = []
    near: dict[str, int | float] = {}
    for fault in tried.faults:
        other = fault.other if fault.part == entry.id else fault.part
        if fault.kind is CauseKind.CLASH:
            touches.append(other)
        elif fault.kind is CauseKind.KEEP_CLEAR:
            near[other] = _gap_now(sheet, tried, entry.id, other)
        elif fault.part == entry.id and (swing := swing_for(fault.lean_deg)) is not None:
            said["swing"] = swing
    if touches:
        said["passes" if entry.put.path == ("links",) else "touches"] = [*dict.fromkeys(touches)]
    if near:
        said["near"] = dict(near)
    return said


def _rooms_left(tried: Tried) -> list[tuple[str, list[Plain]]]:
    from planner.cli.room_hint import rooms_as_they_are
    from planner.model.effects import CauseKind

    if tried.vehicle is None:
        return []
    lost = [f for f in tried.faults if f.kind is CauseKind.ROOM_LOST]
    return [found for f in lost if (found := rooms_as_they_are(f, tried.vehicle)) is not None]


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
