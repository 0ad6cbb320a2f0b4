"""Everything one plan was made from, and what was found out about it: what the faces of the tool read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from planner.model.effects import Knockons
from planner.model.job import Job
from planner.model.plan import Chain, Odds, Plan, WishCost
from planner.model.vehicle import Vehicle
from planner.model.work import WorkList


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A plan with all it was made from, and what the independent checker says against it."""

    vehicle: Vehicle
    job: Job
    knockons: Knockons
    work: WorkList
    plan: Plan
    violations: tuple[str, ...]
    today: date
    faults: int
    """Faults of the vehicle as it stands."""
    fault_words: tuple[str, ...] = ()
    """What each of them is."""
    chain: Chain | None = None
    odds: Odds | None = None
    wishes: tuple[WishCost, ...] = ()
    """What the owner's wishes cost, where that was asked for."""
    numbers: tuple[int, ...] = ()
    """What each slot's step is called by; empty: its place in the plan, from 1."""
    settled: frozenset[str] = frozenset()
    """Ids of open questions that the job's log has an answer to."""

    def number(self, slot: int) -> int:
        """The number a person calls a slot's step by."""
        return self.numbers[slot] if self.numbers else slot + 1
