"""A failed brake check on a job that is under way: what is planned from there bleeds again and proves the rest anew."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from test_plan_left import agreed_of
from workshop import part, scuttle, shelf

from planner.cli.planning_left import Ask, Situation, plan_left
from planner.knockon import find_knockons
from planner.log.fold import fold
from planner.log.signing import shaken_by
from planner.model.job import Job, Session, TakeOff
from planner.model.log import AgreedLine, DoneLine, Entry, SignedLine, Verdict
from planner.model.plan import Plan
from planner.model.standing import Basis
from planner.model.steps import mending_id
from planner.model.work import Task
from planner.order import scheduled
from planner.verify import check_left, check_plan
from planner.work import amended, with_mending, work_for

FIRST = date(2027, 3, 1)
FAILS = "brake-pedal-holds"


def slots_of(plan: Plan) -> list[str]:
    return [f"{s.step.ref}{'' if s.step.on is None else ':on' if s.step.on else ':off'}" for s in plan.slots]


def test_after_a_failed_pedal_check_the_circuit_is_bled_by_two_and_proved_again() -> None:
    """Common practice, no published source: a pedal that sinks has air or a leak in it."""
    v = scuttle()
    v = replace(v, components={**v.components, "pedal": part("brake-pedal", "pedal", (-200, 0, 500))})
    days = tuple(Session(day=FIRST + timedelta(days=i), start=time(8), end=time(18), hands=2) for i in range(20))
    job = Job(id="job", name="job", changes=(TakeOff(part="master"),), start=FIRST, sessions=days)
    knockons = find_knockons(v, job, shelf())
    work = work_for(v, job, knockons, shelf())
    plan = scheduled(work, job, shelf(), today=FIRST, limit_s=2.0)
    agreed = agreed_of(work, plan, fold((), Basis(work=work)))
    lines: list[Entry] = [AgreedLine(n=1, at=datetime.combine(FIRST, time()), plan="x")]
    for key, slot in zip(agreed.keys, plan.slots, strict=True):
        piece = work.piece(slot.step)
        check = piece.checkpoint if isinstance(piece, Task) else None
        n, at = len(lines) + 1, slot.end
        if check is None:
            lines.append(DoneLine(n=n, at=at, key=key, guess_min=piece.minutes, work=piece.work.value))
            continue
        if check == FAILS:
            now = at
            standing = fold(tuple(lines), replace(agreed.basis, work=work))
            redo = shaken_by(agreed, standing, FAILS)
            assert redo
            lines.append(
                SignedLine(
                    n=n, at=at, checkpoint=check, key=key, verdict=Verdict.FAILED, limit="", text="20", redo=redo
                )
            )
            break
        lines.append(SignedLine(n=n, at=at, checkpoint=check, key=key, verdict=Verdict.PASSED, limit="", by="AB"))
    entries = tuple(lines)
    standing = fold(entries, replace(agreed.basis, work=work))
    whole = with_mending(work, standing)
    there = Situation(
        work=whole, job=amended(job, standing, now, 10), catalog=shelf(), agreed=agreed, entries=entries,
        standing=standing,
    )  # fmt: skip
    left = plan_left(there, Ask(now=now, limit_s=2.0))
    assert check_left(whole, left.plan, entries) == ()
    assert check_plan(left.work, left.plan, there.job, shelf(), now.date()) == ()
    steps = slots_of(left.plan)
    mend = mending_id(f"check.{FAILS}", 1)
    bleed = steps.index(f"{mend}.front")
    assert whole.tasks[f"{mend}.front"].hands == 2
    assert steps.index(mend) < bleed < steps.index(f"check.{FAILS}")
    for again in redo:
        assert bleed < steps.index(again)
    assert "circuit:front:off" not in steps
