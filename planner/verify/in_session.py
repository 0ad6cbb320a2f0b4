"""Does every slot lie in its session's work time, and are there hands enough at every moment."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from planner.model.plan import Plan, Slot
from planner.model.work import Task, WorkList
from planner.verify.replay import piece_of
from planner.verify.words import Numbered, clock, named
from planner.verify.work_time import Kept, closes_at, opens_at, session_of


def time_faults(work: WorkList, plan: Plan, slots: Numbered, kept: Kept) -> Iterator[str]:
    """Give a sentence for each slot that does not lie in the work time of its session."""
    for number, slot in slots:
        name = named(number, slot)
        session = session_of(plan, slot)
        if session is None:
            yield f"{name}: there is no session {slot.session}"
            continue
        opens, closes = opens_at(session, kept), closes_at(session, kept)
        if slot.start < opens:
            yield f"{name}: it starts at {clock(slot.start)}, before its session is ready at {clock(opens)}"
        if slot.end > closes:
            said = f"after its session ends at {clock(closes)}"
            if kept.tidy_min:
                said = f"after {clock(closes)}, when its session has {kept.tidy_min} min left to put away"
            yield f"{name}: it ends at {clock(slot.end)}, {said}"
        elif slot.end > closes - timedelta(minutes=_stay_min(work, slot)):
            yield (
                f"{name}: it ends at {clock(slot.end)} and its session at {clock(closes)}: somebody has to stay by it "
                f"for {_stay_min(work, slot)} min"
            )


def _stay_min(work: WorkList, slot: Slot) -> int:
    piece = piece_of(work, slot.step)
    return piece.stay_min if isinstance(piece, Task) else 0


def hand_faults(work: WorkList, plan: Plan, slots: Numbered) -> Iterator[str]:
    """Give a sentence for each slot with whose start more hands are at work than there are.

    Hands are laid hold of at starts only, so no other moment has to be looked at.
    """
    at_work: list[tuple[int, Slot, int]] = []
    for number, slot in slots:
        session = session_of(plan, slot)
        piece = piece_of(work, slot.step)
        if session is None or piece is None:
            continue
        at_work = [entry for entry in at_work if entry[1].end > slot.start]
        if piece.hands > session.hands:
            yield (
                f"{named(number, slot)}: it takes {piece.hands} hands and session {slot.session} has {session.hands}"
            )
        elif slot.end > slot.start:
            together = piece.hands + sum(hands for _, _, hands in at_work)
            if together > session.hands:
                others = ", ".join(str(other) for other, _, _ in at_work)
                yield (
                    f"{named(number, slot)}: at {clock(slot.start)} it takes {together} hands together with "
                    f"slot {others} and session {slot.session} has {session.hands}"
                )
        at_work.append((number, slot, piece.hands))


def apart_faults(work: WorkList, slots: Numbered) -> Iterator[str]:
    """Give a sentence for each slot that shares a moment with one beside which nothing may be done."""
    long = [(n, s) for n, s in slots if s.end > s.start]
    for number, slot in long:
        piece = piece_of(work, slot.step)
        if piece is None or not piece.apart:
            continue
        for other, beside in long:
            if other != number and beside.start < slot.end and slot.start < beside.end:
                yield f"{named(number, slot)}: nothing may be done beside it, and {named(other, beside)} is"
