"""Is a dated plan sound? Asked by replaying its slots in time order and by looking at the calendar."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from planner.model.catalog import Catalog
from planner.model.job import Job, Session
from planner.model.plan import Plan, Slot, Step
from planner.model.work import Task, WorkList
from planner.verify.replay import piece_of, replay, step_words

_Numbered = list[tuple[int, Slot]]


def check_plan(work: WorkList, plan: Plan, job: Job, catalog: Catalog, today: date) -> tuple[str, ...]:
    """Every rule that a dated plan breaks.

    Parameters
    ----------
    work : WorkList
        What has to be done, and what each step demands.
    plan : Plan
        The answer to be checked. Slots are numbered from 1 in the order of time.
    job : Job
        When there is time to work.
    catalog : Catalog
        Its ``tidy_min`` is kept free at the start of each session.
    today : date
        The day the plan was asked for; goods are ordered on it, or on the job's first day if that is later.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation; empty when sound. A plan without slots that tells its trouble passes.
    """
    if not plan.slots and (plan.trouble or plan.strip.trouble):
        return ()
    first = first_day(job, today)
    # Slots of no length come before the one that starts as they end; equal times keep the plan's own order.
    slots = list(enumerate(sorted(plan.slots, key=lambda slot: (slot.start, slot.end)), start=1))
    return (
        *replay(work, [slot.step for _, slot in slots], noun="slot"),
        *_against_strip(plan),
        *_sessions_exist(plan, job),
        *_in_session(work, plan, slots, catalog.tidy_min),
        *_one_after_another(slots),
        *_not_too_early(slots, first),
        *_lags(work, slots),
        *_kept_still(work, slots),
        *_purchases(work, plan, slots, first),
        *_totals(work, plan),
    )


def first_day(job: Job, today: date) -> date:
    """Give the first day on which anything can be done or ordered."""
    return today if job.start is None else max(today, job.start)


def _named(number: int, slot: Slot) -> str:
    return f"slot {number}, {step_words(slot.step)}"


def _clock(moment: datetime) -> str:
    return f"{moment:%d %b %H:%M}"


def _against_strip(plan: Plan) -> Iterator[str]:
    packed: Counter[Step] = Counter(slot.step for slot in plan.slots)
    asked: Counter[Step] = Counter(plan.strip.steps)
    steps = sorted(packed.keys() | asked.keys(), key=lambda step: (step.ref, str(step.on)))
    for step in steps:
        if packed[step] != asked[step]:
            found = f"{packed[step]} times in the slots and {asked[step]} times in the strip"
            yield f"{step_words(step)} stands {found}"
    if plan.slots != tuple(sorted(plan.slots, key=lambda slot: slot.start)):
        yield "the slots are not listed in the order of time"
    if plan.why and len(plan.why) != len(plan.slots):
        yield f"there are {len(plan.slots)} slots and {len(plan.why)} reasons"


def _sessions_exist(plan: Plan, job: Job) -> Iterator[str]:
    for number, session in enumerate(plan.sessions):
        told = f"session {number} on {session.day} from {session.start:%H:%M} to {session.end:%H:%M}"
        if session.day in job.days_off:
            yield f"{told} is on a day off"
        if session not in job.sessions and not _repeats(session, job):
            yield f"{told} with {session.hands} hands is no work time of the job"


def _repeats(session: Session, job: Job) -> bool:
    return any(
        (entry.weekday, entry.start, entry.end, entry.hands)
        == (session.day.weekday(), session.start, session.end, session.hands)
        for entry in job.repeating
    )


def _in_session(work: WorkList, plan: Plan, slots: _Numbered, tidy_min: int) -> Iterator[str]:
    for number, slot in slots:
        name = _named(number, slot)
        piece = piece_of(work, slot.step)
        took = slot.end - slot.start
        if piece is not None and took != timedelta(minutes=piece.minutes):
            yield f"{name}: it lasts {took.total_seconds() / 60:g} min and should last {piece.minutes} min"
        if not 0 <= slot.session < len(plan.sessions):
            yield f"{name}: there is no session {slot.session}"
            continue
        session = plan.sessions[slot.session]
        opens = datetime.combine(session.day, session.start) + timedelta(minutes=tidy_min)
        closes = datetime.combine(session.day, session.end)
        if slot.start < opens:
            yield f"{name}: it starts at {_clock(slot.start)}, before its session is ready at {_clock(opens)}"
        if slot.end > closes:
            yield f"{name}: it ends at {_clock(slot.end)}, after its session ends at {_clock(closes)}"
        if piece is not None and piece.hands > session.hands:
            yield f"{name}: it takes {piece.hands} hands and session {slot.session} has {session.hands}"


def _one_after_another(slots: _Numbered) -> Iterator[str]:
    busy_until: tuple[datetime, str] | None = None
    for number, slot in slots:
        if busy_until is not None and slot.start < busy_until[0]:
            yield f"{_named(number, slot)}: it overlaps {busy_until[1]}"
        if busy_until is None or slot.end > busy_until[0]:
            busy_until = (slot.end, _named(number, slot))


def _not_too_early(slots: _Numbered, first: date) -> Iterator[str]:
    for number, slot in slots:
        if slot.start.date() < first:
            yield f"{_named(number, slot)}: it is on {slot.start.date()}, before the first day {first}"


def _lags(work: WorkList, slots: _Numbered) -> Iterator[str]:
    ends = {slot.step.ref: slot.end for _, slot in reversed(slots) if slot.step.on is None}
    for number, slot in slots:
        piece = piece_of(work, slot.step)
        if not isinstance(piece, Task):
            continue
        for entry in piece.after:
            # A task that comes too late altogether is the replay's to tell.
            if entry.task not in ends or entry.lag_min <= 0:
                continue
            ready = ends[entry.task] + timedelta(minutes=entry.lag_min)
            if ends[entry.task] <= slot.start < ready:
                yield (
                    f"{_named(number, slot)}: it starts at {_clock(slot.start)} and `{entry.task}` "
                    f"asks for {entry.lag_min} min of waiting, until {_clock(ready)}"
                )


def _kept_still(work: WorkList, slots: _Numbered) -> Iterator[str]:
    """Find features toggled while a task just done still asks that they be left alone (cure, soak)."""
    still: dict[str, list[tuple[datetime, Task]]] = {}
    for number, slot in slots:
        for until, task in still.get(slot.step.ref, ()) if slot.step.on is not None else ():
            if slot.start < until:
                yield (
                    f"{_named(number, slot)}: it starts at {_clock(slot.start)} and `{task.id}` "
                    f"asks that it be left alone until {_clock(until)}"
                )
        done = piece_of(work, slot.step)
        if isinstance(done, Task) and done.keep_min > 0:
            until = slot.end + timedelta(minutes=done.keep_min)
            for demand in done.demands:
                still.setdefault(demand.feature, []).append((until, done))


def _purchases(work: WorkList, plan: Plan, slots: _Numbered, first: date) -> Iterator[str]:
    here = {buy_id: first + timedelta(days=buy.lead_days) for buy_id, buy in work.buys.items()}
    used: dict[str, date] = {}
    for number, slot in slots:
        piece = piece_of(work, slot.step)
        for buy_id in () if piece is None else piece.purchases:
            if buy_id not in here:
                yield f"{_named(number, slot)}: it uses `{buy_id}`, which is not on the buying list"
                continue
            used.setdefault(buy_id, slot.start.date())
            if slot.start < datetime.combine(here[buy_id], time.min):
                yield f"{_named(number, slot)}: it uses `{buy_id}`, which arrives on {here[buy_id]}"
    yield from _dates("arrives", "is here", plan.arrives, here)
    latest = {buy_id: day - timedelta(days=work.buys[buy_id].lead_days) for buy_id, day in used.items()}
    yield from _dates("order_by", "must be ordered by", plan.order_by, latest)
    for buy_id in sorted((plan.arrives.keys() | plan.order_by.keys()) - work.buys.keys()):
        yield f"`{buy_id}` has a date and is not on the buying list"


def _dates(where: str, verb: str, told: dict[str, date], right: dict[str, date]) -> Iterator[str]:
    for buy_id in sorted(right):
        if buy_id not in told:
            yield f"`{buy_id}` has no date in {where}"
        elif told[buy_id] != right[buy_id]:
            yield f"`{buy_id}` {verb} {right[buy_id]} and the plan says {told[buy_id]}"


def _totals(work: WorkList, plan: Plan) -> Iterator[str]:
    finish = max((slot.end for slot in plan.slots), default=None)
    if plan.finish != finish:
        yield f"the plan says it finishes at {plan.finish} and its last slot ends at {finish}"
    pieces = [piece_of(work, slot.step) for slot in plan.slots]
    work_min = sum(piece.minutes * piece.hands for piece in pieces if piece is not None)
    if plan.work_min != work_min:
        yield f"the plan says {plan.work_min} hand-minutes of work and its slots add up to {work_min}"
