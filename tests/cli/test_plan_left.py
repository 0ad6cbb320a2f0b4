"""Random jobs, planned, worked through for a while and planned again: nothing twice, nothing open left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta
from random import Random

import pytest
from random_calendar import FIRST, TIDY_MIN
from random_jobs import random_ask
from yard import catalog

from planner.cli.planning_left import Ask, Left, Situation, plan_left
from planner.log.agreed import keys_of, numbers_for
from planner.log.fold import fold
from planner.model.job import Job
from planner.model.log import AgreedLine, DoneLine, Entry, FailedLine, OrderedLine, SignedLine, Verdict
from planner.model.plan import Plan
from planner.model.standing import Agreed, Basis, Standing
from planner.model.work import WorkList
from planner.order import scheduled
from planner.order.shift import MOVED_ON
from planner.verify import check_left, check_plan, check_strip
from planner.work import amended, with_mending

CATALOG = catalog(TIDY_MIN)


def agreed_of(work: WorkList, plan: Plan, standing: Standing, again: tuple[str, ...] = ()) -> Agreed:
    keys = keys_of(plan, standing)
    return Agreed(
        made=FIRST,
        project="",
        job="",
        option=None,
        inputs={},
        pace={},
        homes={},
        work=work,
        plan=plan,
        keys=keys,
        named=dict(zip(keys, numbers_for(keys, {}), strict=True)),
        again=again,
    )


def lines_for(agreed: Agreed, many: int, first: int = 2) -> list[Entry]:
    """The first steps of a plan done, each when it was to be; a check passes."""
    lines: list[Entry] = []
    for key, slot in list(zip(agreed.keys, agreed.plan.slots, strict=True))[:many]:
        known = agreed.work.tasks.get(slot.step.ref) if slot.step.on is None else None
        n = first + len(lines)
        if known is not None and known.checkpoint is not None and slot.part == slot.parts:
            lines.append(
                SignedLine(
                    n=n,
                    at=slot.end,
                    checkpoint=known.checkpoint,
                    key=key,
                    verdict=Verdict.PASSED,
                    limit="",
                    by="AB",
                )
            )
        else:
            minutes = int((slot.end - slot.start).total_seconds()) // 60
            lines.append(DoneLine(n=n, at=slot.end, key=key, guess_min=minutes, work="planning"))
    return lines


def situation(work: WorkList, job: Job, agreed: Agreed, entries: tuple[Entry, ...], now: datetime) -> Situation:
    standing = fold(entries, replace(agreed.basis, work=work))
    setup_min = TIDY_MIN if job.setup_min is None else job.setup_min
    return Situation(
        work=with_mending(work, standing),
        job=amended(job, standing, now, setup_min),
        catalog=CATALOG,
        agreed=agreed,
        entries=entries,
        standing=standing,
    )


def sound(there: Situation, left: Left, now: datetime) -> list[str]:
    if not left.plan.slots:
        told = left.plan.trouble or left.plan.strip.trouble
        return [] if told else [*check_left(there.work, left.plan, there.entries)]
    job = replace(there.job, from_time=None) if left.kept else there.job
    return [
        *check_strip(left.work, left.plan.strip),
        *check_plan(left.work, left.plan, job, CATALOG, now.date()),
        *check_left(there.work, left.plan, there.entries),
    ]


def begun(seed: int) -> tuple[WorkList, Job, Agreed, Random] | None:
    """A random job with a plan that was agreed on its first day."""
    ask = random_ask(seed)
    plan = scheduled(ask.work, ask.job, CATALOG, today=FIRST, limit_s=0.3)
    if not plan.slots:
        return None
    return ask.work, ask.job, agreed_of(ask.work, plan, fold((), Basis(work=ask.work))), Random(f"left {seed}")


def see_moved_on(plan: Plan, agreed: Plan, seed: int, *, free: bool) -> None:
    """No step on an earlier day than agreed.

    How the vehicle must stand at a session's end can ask for work sooner; ``free``: it does not.
    """
    first = {s.step: s.start.date() for s in reversed(agreed.slots)}
    early = [s for s in plan.slots if s.part == 1 and s.step in first and s.start.date() < first[s.step]]
    assert not (free and early), seed


def walk(seed: int) -> int:
    """Work through a random part of a plan; gives 1 when there was a plan."""
    found = begun(seed)
    if found is None:
        return 0
    work, job, agreed, rng = found
    many = rng.randint(0, len(agreed.plan.slots))
    start = AgreedLine(n=1, at=datetime.combine(FIRST, time()), plan="x")
    day = FIRST if job.start is None else max(FIRST, job.start)
    goods = [
        OrderedLine(n=2 + i, at=start.at, buy=b.id, due=day + timedelta(days=b.lead_days))
        for i, b in enumerate(work.buys.values())
    ]
    entries = (start, *goods, *lines_for(agreed, many, 2 + len(goods)))
    now = max((e.at for e in entries), default=datetime.combine(FIRST, time()))
    there = situation(work, job, agreed, entries, now)

    # Nothing happened that was not planned: what is left of the plan is the plan.
    left = plan_left(there, Ask(now=now, limit_s=0.3))
    rest = agreed.plan.slots[many:]
    assert not sound(there, left, now), (seed, sound(there, left, now))
    if rest and all(s.end >= now for s in rest):
        assert left.kept, seed
        assert [(s.step, s.start, s.end) for s in left.plan.slots] == [(s.step, s.start, s.end) for s in rest], seed

    # Looked at anew, nothing is done twice and nothing is forgotten.
    fresh = plan_left(there, Ask(now=now, limit_s=0.3, anew=True))
    assert not sound(there, fresh, now), (seed, sound(there, fresh, now))

    # Time was lost: what was agreed is moved on, nothing to an earlier day, and finished on the same day after all.
    later = now + timedelta(minutes=rng.choice((5, 60, 300, 3000)))
    late = situation(work, job, agreed, entries, later)
    moved = plan_left(late, Ask(now=later, limit_s=0.3))
    assert not sound(late, moved, later), (seed, sound(late, moved, later))
    if MOVED_ON in moved.plan.notes:
        see_moved_on(moved.plan, agreed.plan, seed, free=not work.holds)

    # Something failed: it is done again, and the checks that rest on it.
    done = [e for e in entries if isinstance(e, DoneLine) and ":" not in e.key and "~" not in e.key]
    if done:
        wrong = FailedLine(n=len(entries) + 1, at=now, key=rng.choice(done).key, why="short")
        there = situation(work, job, agreed, (*entries, wrong), now)
        again = plan_left(there, Ask(now=now, limit_s=0.3))
        assert not sound(there, again, now), (seed, sound(there, again, now))
        if again.plan.slots:
            assert wrong.key in {s.step.ref for s in again.plan.slots}, seed
            assert any(s.step.ref.startswith(f"put-right.{wrong.key}.") for s in again.plan.slots), seed
    return 1


def test_plans_for_what_is_left_of_random_jobs() -> None:
    assert sum(walk(seed) for seed in range(40)) > 15


@pytest.mark.slow
def test_plans_for_what_is_left_of_many_random_jobs() -> None:
    assert sum(walk(seed) for seed in range(1_000, 2_000)) > 400
