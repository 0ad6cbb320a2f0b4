"""A plan: the least strip-down, one order of steps, packed into dated work sessions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from planner.model.words import Proof, Session


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

    ``cost`` is the sum of minutes x hands over toggles and of ``dislike``, the owner's own price on some of them
    [hand-min]; ``bound`` the proved least of that sum; ``trouble`` says in words what cannot hold together when there
    is no order at all.
    """

    proof: Proof
    steps: tuple[Step, ...]
    cost: int
    bound: int
    dislike: int = 0
    trouble: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """When a step is done: wall-clock start and end, in session ``session`` (index into ``Plan.sessions``).

    A task that may be split has ``parts`` slots, numbered by ``part`` from 1, one a session.
    """

    step: Step
    session: int
    start: datetime
    end: datetime
    part: int = 1
    parts: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One point of the trade between work and finish: at ``cost`` of strip-down [hand-min], done on day ``finish``.

    ``proved``: with that strip-down no earlier day can be had, and no less strip-down gives that day.
    """

    cost: int
    finish: date
    sessions: int
    proved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """What holds a slot back: ``slot`` could not start earlier because of ``text`` (a step, hands, a parcel...).

    ``sort`` is one of "step", "wait", "hands", "parcel", "session", "start", "hold" (how the vehicle must stand when a
    session ends) and "free" (nothing: it could start earlier).
    """

    slot: int
    sort: str
    text: str
    after: int | None = None
    """The slot it waits for, where it is one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """What binds the finish: ``ties`` from the last slot back to the start, in order of time.

    ``float_min`` gives for each slot how much later it could end without a later finish day [min of wall clock].
    """

    ties: tuple[Tie, ...]
    float_min: tuple[int, ...]
    held: tuple[int | None, ...] = ()
    """For each slot the one that would be held up first, were it later than that; None where it is the finish day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """The chances of a plan's dates, from ``runs`` simulated jobs.

    ``days`` gives, rising, each day on which some run was finished with the share of runs finished by then (0 to 1);
    ``late`` the share of runs that ran out of sessions. ``p50``, ``p80``, ``p95``: the day by which that share was
    finished, None when it never was. ``by`` is the chance of the job's own date, None when it has none.
    """

    runs: int
    days: tuple[tuple[date, float], ...]
    late: float
    p50: date | None
    p80: date | None
    p95: date | None
    by: float | None
    costs: tuple[tuple[str, float], ...]
    """Step ref -> days by which the mean finish would come sooner if its time were sure, dearest first."""
    critical: tuple[tuple[str, float], ...]
    """Step ref -> share of runs in which it was on the chain that binds the finish, most first."""
    notes: tuple[str, ...] = ()
    """What the numbers rest on and do not cover, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WishCost:
    """What one wish costs.

    ``cost`` is the effort that would be saved without the wish, its own price included where the plan pays it
    [hand-min]; ``more_min`` the part of it that is work. Both None when one of the two sides has no plan.
    """

    feature: str
    on: bool
    title: str
    """Of the toggle."""
    dislike_min: int | None
    """The wish: a price [hand-min], None for never."""
    times: int
    """How often the plan makes the toggle all the same."""
    cost: int | None
    more_min: int | None
    proved: bool
    """The cost is exact. Otherwise the plans may both be bettered."""
    blocks: bool = False
    """With the wish no plan is there, and without it there is one; ``proved``: with it there can be none."""


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
    proof: Proof = Proof.FOUND
    """Of the finish: ``PROVED``: with this strip-down no earlier day can be had, and no fewer sessions on it."""
    earliest: date | None = None
    """No plan whatever, at any effort, finishes before this day (proved); None: not looked at."""
    frontier: tuple[Point, ...] = ()
    """From the least strip-down to the earliest finish; the plan is one of them."""
    notes: tuple[str, ...] = ()
    """What the reader should know of how it was found (stopped early, time over), in words."""


NOTHING_LEFT = Plan(
    strip=Strip(proof=Proof.PROVED, steps=(), cost=0, bound=0),
    sessions=(),
    slots=(),
    why=(),
    order_by={},
    arrives={},
    finish=None,
    work_min=0,
    proof=Proof.PROVED,
)
"""The plan of no work at all."""
