"""Sabotage of waits, parcels, hands and sessions."""

from dataclasses import replace
from datetime import datetime, timedelta
from random import Random

from random_calendar import FIRST, TIDY_MIN, clock
from random_plans import Case, piece
from spoil import (
    MINUTE,
    Broken,
    Sabotage,
    begins,
    change_slots,
    ends,
    moved_to,
    other_slot,
    pick,
    steps_now,
    with_plan,
    with_task,
)

from planner.model.job import Session


def lengthen_lag(rng: Random, case: Case) -> Broken:
    old = pick(rng, [t for t in case.work.tasks.values() if t.after])
    if old is None:
        return None
    entry = old.after[0]
    gap = int((begins(case)[old.id] - ends(case)[entry.task]).total_seconds()) // 60
    return with_task(
        case, replace(old, after=(replace(entry, lag_min=gap + 1), *old.after[1:]))
    ), f"`{old.id}`.*min of waiting"


def touched_in_cure(rng: Random, case: Case) -> Broken:
    last = ends(case)
    pairs = [
        (t, s)
        for t in case.work.tasks.values()
        for s in change_slots(case)
        if s.start > last[t.id] and s.step.ref in {d.feature for d in t.demands}
    ]
    found = pick(rng, pairs)
    if found is None:
        return None
    task, later = found
    keep_min = int((later.start - last[task.id]).total_seconds()) // 60 + 1
    return with_task(
        case, replace(task, keep_min=keep_min)
    ), f"`{later.step.ref}` .*`{task.id}` asks that it be left alone"


def late_parcel(rng: Random, case: Case) -> Broken:
    used = pick(rng, [s for s in case.plan.slots if piece(case.work, s.step).purchases])
    if used is None:
        return None
    [buy_id] = piece(case.work, used.step).purchases
    first_use = min(s.start for s in case.plan.slots if s.step == used.step).date()
    days = (first_use - FIRST).days + 1
    buys = {**case.work.buys, buy_id: replace(case.work.buys[buy_id], lead_days=days)}
    order_by = {**case.plan.order_by, buy_id: FIRST - timedelta(days=1)}
    arrives = {**case.plan.arrives, buy_id: FIRST + timedelta(days=days)}
    case = with_plan(replace(case, work=replace(case.work, buys=buys)), order_by=order_by, arrives=arrives)
    return case, f"it uses `{buy_id}`, which arrives on {FIRST + timedelta(days=days)}"


def wrong_order_day(rng: Random, case: Case) -> Broken:
    buy_id = pick(rng, sorted(case.plan.order_by))
    if buy_id is None:
        return None
    day = case.plan.order_by[buy_id] + timedelta(days=rng.choice([-1, 1]))
    return with_plan(case, order_by={**case.plan.order_by, buy_id: day}), f"`{buy_id}` must be ordered by"


def wrong_arrival(rng: Random, case: Case) -> Broken:
    buy_id = pick(rng, sorted(case.plan.arrives))
    if buy_id is None:
        return None
    day = case.plan.arrives[buy_id] + timedelta(days=rng.choice([-1, 1]))
    return with_plan(case, arrives={**case.plan.arrives, buy_id: day}), f"`{buy_id}` is here"


def setup_min(case: Case) -> int:
    return TIDY_MIN if case.job.setup_min is None else case.job.setup_min


def into_setup(rng: Random, case: Case) -> Broken:
    old = rng.choice(case.plan.slots)
    session = case.plan.sessions[old.session]
    opens = datetime.combine(session.day, session.start) + timedelta(minutes=setup_min(case))
    return steps_now(case, other_slot(case, old, moved_to(old, opens - MINUTE))), "before its session is ready"


def into_putting_away(rng: Random, case: Case) -> Broken:
    old = rng.choice(case.plan.slots)
    session = case.plan.sessions[old.session]
    closes = datetime.combine(session.day, session.end) - timedelta(minutes=case.job.tidy_min)
    start = closes + MINUTE - (old.end - old.start)
    return steps_now(case, other_slot(case, old, moved_to(old, start))), "it ends at .* after"


def locked_up_too_soon(rng: Random, case: Case) -> Broken:
    """A task asks for a minute more of its session after it than there is."""
    slot = pick(rng, [s for s in case.plan.slots if s.step.on is None])
    if slot is None:
        return None
    session = case.plan.sessions[slot.session]
    closes = datetime.combine(session.day, session.end) - timedelta(minutes=case.job.tidy_min)
    spare_min = int((closes - slot.end).total_seconds()) // 60
    task = replace(case.work.tasks[slot.step.ref], stay_min=spare_min + 1)
    return with_task(case, task), f"somebody has to stay by it for {spare_min + 1} min"


def job_keeps_more(rng: Random, case: Case) -> Broken:
    """The job asks for a minute more of putting away than the fullest session leaves."""
    spare = min(
        datetime.combine(case.plan.sessions[s.session].day, case.plan.sessions[s.session].end) - s.end
        for s in case.plan.slots
    )
    minutes = int(spare.total_seconds()) // 60 + rng.choice([1, 2])
    return replace(case, job=replace(case.job, tidy_min=minutes)), "left to put away"


def other_session(rng: Random, case: Case) -> Broken:
    """A slot says it belongs to another session than the one it lies in."""
    if len(case.plan.sessions) < 2:
        return None
    old = rng.choice(case.plan.slots)
    number = rng.choice([n for n in range(-1, len(case.plan.sessions) + 1) if n != old.session])
    slots = tuple(other_slot(case, old, replace(old, session=number)))
    return with_plan(case, slots=slots, frontier=()), f"`{old.step.ref}`.*(there is no session|its session)"


def with_fewer_hands(case: Case, number: int, hands: int) -> Case:
    """One session with fewer hands, in the plan and in the job: a dated one stands for a weekly one."""
    old = case.plan.sessions[number]
    new = replace(old, hands=hands)
    dated = tuple(s for s in case.job.sessions if s != old)
    sessions = tuple(new if n == number else s for n, s in enumerate(case.plan.sessions))
    return with_plan(replace(case, job=replace(case.job, sessions=(*dated, new))), sessions=sessions)


def helper_stays_away(rng: Random, case: Case) -> Broken:
    robbed = pick(rng, [s for s in case.plan.slots if piece(case.work, s.step).hands >= 2])
    if robbed is None:
        return None
    case = with_fewer_hands(case, robbed.session, piece(case.work, robbed.step).hands - 1)
    return case, f"and session {robbed.session} has {piece(case.work, robbed.step).hands - 1}"


def one_hand_short(rng: Random, case: Case) -> Broken:
    """Two steps at once take all the hands there are, and one is taken away."""
    pairs = [
        (a, b)
        for a in case.plan.slots
        for b in case.plan.slots
        if a is not b and a.start <= b.start < a.end and b.start < b.end
    ]
    found = pick(rng, pairs)
    if found is None:
        return None
    first, second = found
    hands = piece(case.work, first.step).hands + piece(case.work, second.step).hands - 1
    return with_fewer_hands(case, first.session, hands), f"and session {first.session} has {hands}"


def at_the_same_time(rng: Random, case: Case) -> Broken:
    """A step is moved to the begin of another when the two take more hands than there are."""
    pairs = [
        (a, b)
        for a in case.plan.slots
        for b in case.plan.slots
        if a is not b
        and a.start < a.end
        and b.start < b.end
        and piece(case.work, a.step).hands + piece(case.work, b.step).hands > case.plan.sessions[a.session].hands
    ]
    found = pick(rng, pairs)
    if found is None:
        return None
    first, second = found
    moved = replace(moved_to(second, first.start), session=first.session)
    return steps_now(case, other_slot(case, second, moved)), r"it takes \d hands .*and session"


def day_off(rng: Random, case: Case) -> Broken:
    day = rng.choice(case.plan.sessions).day
    return replace(case, job=replace(case.job, days_off=(*case.job.days_off, day))), str(day)


def session_invented(rng: Random, case: Case) -> Broken:
    number = rng.randrange(len(case.plan.sessions))
    old = case.plan.sessions[number]
    longer = clock(old.end.hour * 60 + old.end.minute + 5)
    new = rng.choice([replace(old, end=longer), replace(old, hands=old.hands + 1)])
    sessions = tuple(new if n == number else s for n, s in enumerate(case.plan.sessions))
    return with_plan(case, sessions=sessions), "is no work time of the job"


def weekly_gives_way(rng: Random, case: Case) -> Broken:
    """A dated session of a few minutes takes the place of a weekly one that the plan works in."""
    dated = set(case.job.sessions)
    old = pick(rng, [s for s in case.plan.sessions if s not in dated])
    if old is None:
        return None
    short = Session(
        day=old.day, start=old.start, end=clock(old.start.hour * 60 + old.start.minute + 7), hands=old.hands
    )
    return replace(case, job=replace(case.job, sessions=(*case.job.sessions, short))), "is no work time of the job"


def session_twice(rng: Random, case: Case) -> Broken:
    number = rng.randrange(len(case.plan.sessions))
    sessions = (*case.plan.sessions[: number + 1], *case.plan.sessions[number:])
    slots = tuple(replace(s, session=s.session + (s.session > number)) for s in case.plan.slots)
    return with_plan(case, sessions=sessions, slots=slots), f"is not after session {number}"


OF_TIMES: tuple[Sabotage, ...] = (
    lengthen_lag,
    touched_in_cure,
    late_parcel,
    wrong_order_day,
    wrong_arrival,
    into_setup,
    into_putting_away,
    locked_up_too_soon,
    job_keeps_more,
    other_session,
    helper_stays_away,
    one_hand_short,
    at_the_same_time,
    day_off,
    session_invented,
    weekly_gives_way,
    session_twice,
)
