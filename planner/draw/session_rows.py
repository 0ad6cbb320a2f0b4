"""Session bars as plain data: which steps lie in a row, by whose hands, what waits there and what arrives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from planner.draw.picture import plain
from planner.draw.plan_steps import number_of
from planner.model.job import Session
from planner.model.plan import Chain, Plan
from planner.model.work import Task, WorkList
from planner.order.binds_slots import Row, hands_of, row_of
from planner.units.spoken import moment_words, short_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One slot in a row: ``lanes`` are the pairs of hands it takes, from 0; minutes are those of the day."""

    slot: int
    lanes: tuple[int, ...]
    start_min: int
    end_min: int
    binds: bool
    ties: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """A wait that begins with the end of a slot, such as a cure: until when, and which slots have to wait."""

    slot: int
    until: datetime
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionRow:
    """One session with work in it; ``idle`` sessions before it have none."""

    session: Session
    bars: tuple[Bar, ...]
    waits: tuple[Wait, ...]
    arrivals: tuple[str, ...]
    idle: int

    @property
    def start_min(self) -> int:
        """Start in minutes of the day."""
        return minutes_of(self.session.start)

    @property
    def end_min(self) -> int:
        """End in minutes of the day."""
        return minutes_of(self.session.end)


def minutes_of(at: time) -> int:
    """Minutes since midnight."""
    return at.hour * 60 + at.minute


def rows_of(work: WorkList, plan: Plan, chain: Chain | None, numbers: tuple[int, ...]) -> tuple[SessionRow, ...]:
    """The rows of a plan, by date.

    Raises
    ------
    ValueError
        The slots are no valid sequence of steps.
    """
    if not plan.slots:
        return ()
    row = row_of(work, plan)
    hands = hands_of(row, max(s.hands for s in plan.sessions))
    ties: dict[int, list[str]] = {}
    for tie in chain.ties if chain is not None else ():
        ties.setdefault(tie.slot, []).append(tie.text)
    waits = _waits(row, plan, numbers)
    used = sorted({s.session for s in plan.slots}, key=lambda n: (plan.sessions[n].day, plan.sessions[n].start))
    rows = []
    before: int | None = None
    since = date.min
    for n in used:
        session = plan.sessions[n]
        inside = [i for i in row.order if plan.slots[i].session == n]
        rows.append(
            SessionRow(
                session=session,
                bars=tuple(_bar(plan, i, hands[i], ties) for i in inside),
                waits=tuple(waits[i] for i in inside if i in waits),
                arrivals=_arrivals(work, plan, row, (since, session.day), numbers),
                idle=0 if before is None else n - before - 1,
            )
        )
        before, since = n, session.day
    return tuple(rows)


def _bar(plan: Plan, i: int, lanes: tuple[int, ...], ties: dict[int, list[str]]) -> Bar:
    slot = plan.slots[i]
    start, end = minutes_of(slot.start.time()), minutes_of(slot.end.time())
    return Bar(slot=i, lanes=lanes or (0,), start_min=start, end_min=end, binds=i in ties, ties=tuple(ties.get(i, ())))


def _waits(row: Row, plan: Plan, numbers: tuple[int, ...]) -> dict[int, Wait]:
    """For each slot that others have to wait after: the longest of the waits."""
    lags: dict[int, dict[int, int]] = {}
    for later, before in enumerate(row.before):
        for earlier, lag in before.items():
            if lag > 0:
                lags.setdefault(earlier, {})[later] = lag
    found = {}
    for i, slot in enumerate(plan.slots):
        piece = row.pieces[i]
        kept = piece.keep_min if isinstance(piece, Task) and slot.part == slot.parts else 0
        longest = max([kept, *lags.get(i, {}).values()])
        if not longest:
            continue
        until = slot.end + _minutes(longest)
        held_up = sorted(number_of(numbers, n) for n in lags.get(i, {}))
        held = f"; {_number_list(held_up)} not before" if held_up else ""
        number = number_of(numbers, i)
        told = f"{number} is left alone until {moment_words(until)}{held}"
        if isinstance(piece, Task) and piece.away:
            told = f"what {number} has made is here by {moment_words(until)}{held}"
        found[i] = Wait(slot=i, until=until, told=told)
    return found


def _minutes(count: int) -> timedelta:
    return timedelta(minutes=count)


_NUMBERS = 6


def _number_list(numbers: list[int]) -> str:
    more = f" and {len(numbers) - _NUMBERS} more" if len(numbers) > _NUMBERS else ""
    return ", ".join(str(n) for n in numbers[:_NUMBERS]) + more


def _arrivals(
    work: WorkList, plan: Plan, row: Row, days: tuple[date, date], numbers: tuple[int, ...]
) -> tuple[str, ...]:
    """What has come since the session before when it is ordered on the first day, each with the steps that need it."""
    needed: dict[str, list[int]] = {}
    for i, piece in enumerate(row.pieces):
        for buy in piece.purchases:
            needed.setdefault(buy, []).append(number_of(numbers, i))
    # What is ordered when it is measured cannot come before: the wait after that step says when it is here.
    later = {task.orders for task in work.tasks.values()}
    told = []
    for buy, arrives in sorted(plan.arrives.items(), key=lambda kv: (kv[1], kv[0])):
        bought = work.buys.get(buy)
        if bought is None or bought.lead_days <= 0 or not days[0] < arrives <= days[1] or buy in later:
            continue
        held = f", for {_number_list(sorted(needed[buy]))}" if buy in needed else ""
        state = "is here" if bought.goods else "is over"
        told.append(f"{plain(bought.what)} {state} by {short_day(arrives)}{held}")
    return tuple(told)
