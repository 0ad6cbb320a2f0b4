"""Does the vehicle stand as its owner asks whenever a work session ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from planner.model.job import Job, Session
from planner.model.plan import Plan, Slot
from planner.model.work import Demand, WorkList
from planner.verify.replay import state_word
from planner.verify.words import Numbered, clock
from planner.verify.work_time import session_of, sessions_between


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """A session's end between the first step of a plan and its last, with the slots begun by then."""

    session: Session
    ends: datetime
    begun: Numbered

    def __str__(self) -> str:
        """Name the session."""
        return f"the session on {self.session.day} from {self.session.start:%H:%M} to {self.session.end:%H:%M}"


def endings(plan: Plan, job: Job, slots: Numbered) -> Iterator[Ending]:
    """Give the ends of the job's own sessions, worked in or not, from the first step of a plan on.

    A session by whose end the last step is done is not among them: then the vehicle stands as the job leaves it.
    """
    if not slots:
        return
    first: date = min(slot.start for _, slot in slots).date()
    last: date = max(slot.end for _, slot in slots).date()
    for session in sessions_between(job, first, last):
        ends = datetime.combine(session.day, session.end)
        begun = [(number, slot) for number, slot in slots if _begun(plan, slot, ends)]
        if begun and not (len(begun) == len(slots) and all(slot.end <= ends for _, slot in begun)):
            yield Ending(session=session, ends=ends, begun=begun)


def hold_faults(work: WorkList, plan: Plan, job: Job, slots: Numbered) -> Iterator[str]:
    """Give a sentence for each session that ends with a hold broken."""
    for ending in endings(plan, job, slots) if work.holds else ():
        for hold_id, hold in sorted(work.holds.items()):
            for demand in hold.demands if hold.asks(ending.session.day) else ():
                clause = not_so(work, demand, ending)
                if clause:
                    yield f"{ending}: hold `{hold_id}` asks that at its end {clause}"


def _begun(plan: Plan, slot: Slot, ends: datetime) -> bool:
    """Whether a slot has begun when a session ends; one that starts at that moment belongs to the session it names."""
    session = session_of(plan, slot)
    of_it = session is not None and datetime.combine(session.day, session.end) <= ends
    return slot.start < ends or (slot.start == ends and of_it)


def not_so(work: WorkList, demand: Demand, ending: Ending) -> str:
    """Say how a demand does not hold at a session's end; "" when it does."""
    feature = work.features.get(demand.feature)
    if feature is None:
        return f"the unknown feature `{demand.feature}` be {state_word(on=demand.on)}"
    changes = [(n, slot) for n, slot in ending.begun if slot.step.ref == demand.feature and slot.step.on is not None]
    wanted = f"`{demand.feature}` be {state_word(on=demand.on)}"
    going_on = [n for n, slot in changes if slot.end > ending.ends]
    if going_on:
        return f"{wanted} and slot {going_on[0]} is changing it at {clock(ending.ends)}"
    if not changes:
        return "" if feature.start == demand.on else f"{wanted} and it is {state_word(on=feature.start)} from the start"
    number, latest = changes[-1]
    if latest.step.on == demand.on:
        return ""
    return f"{wanted} and it is {state_word(on=not demand.on)} since slot {number}"
