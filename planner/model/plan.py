"""A plan: the least strip-down, one order of steps, packed into dated work sessions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from planner.model.effects import Proof
from planner.model.job import Session


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One line of the order of work: a task, or a toggle of a feature (then ``on`` is its new state)."""

    ref: str
    """Task id, or feature id for a toggle."""
    on: bool | None = None
    """None for a task."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The least strip-down: every step in one feasible order.

    ``cost`` is the sum of minutes x hands over toggles; ``bound`` the proved least; ``trouble`` says in words what
    cannot hold together when there is no order at all.
    """

    proof: Proof
    steps: tuple[Step, ...]
    cost: int
    bound: int
    trouble: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """When a step is done: wall-clock start and end, in session ``session`` (index into ``Plan.sessions``)."""

    step: Step
    session: int
    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The finished plan. ``why`` gives, for each toggle step index, the reasons in words."""

    strip: Strip
    sessions: tuple[Session, ...]
    slots: tuple[Slot, ...]
    why: tuple[str, ...]
    """One text a slot, in the order of ``slots``."""
    order_by: dict[str, date]
    """Purchase id -> latest day to order it without delaying the plan."""
    arrives: dict[str, date]
    """Purchase id -> day it is here when ordered on the first day."""
    finish: datetime | None
    work_min: int
    """Sum of minutes x hands over all steps."""
    trouble: tuple[str, ...] = ()
