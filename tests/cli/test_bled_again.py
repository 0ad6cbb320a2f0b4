"""A failed brake check on a job that is under way: what is planned from there bleeds again and proves the rest anew."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from test_plan_left import agreed_of
from workshop import part, scuttle, shelf

from planner.cli.planning_left import Ask, Left, Situation, plan_left
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A job as it stands when its pedal check has just failed, and the plan for what is left."""

    entries: tuple[Entry, ...]
    redo: tuple[str, ...]
    there: Situation
    left: Left
    now: datetime


def pedal_failed(waived: str = "") -> Failed:
    """Every step done in its order up to the pedal check; one check on the way may not apply."""
    v = scuttle()
    v = replace(v, components={**v.components, "pedal": part("brake-pedal", "pedal", (-200, 0, 500))})
    days = tuple(Session(day=FIRST + timedelta(days=i), start=time(8), end=time(18), hands=2) for i in range(20))
    job = Job(id="job", name="job", changes=(TakeOff(part="master"),), start=FIRST, sessions=days)
    knockons = find_knockons(v, job, shelf())
    work = work_for(v, job, knockons, shelf())
    plan = scheduled(work, job, shelf(), today=FIRST, limit_s=2.0)
    agreed = agreed_of(work, plan, fold((), Basis(work=work)))
    lines: list[Entry] = [AgreedLine(n=1, at=datetime.combine(FIRST, time()), plan="x")]
    redo: tuple[str, ...] = ()
    now = lines[0].at
    for key, slot in zip(agreed.keys, plan.slots, strict=True):
        piece = work.piece(slot.step)
        check = piece.checkpoint if isinstance(piece, Task) else None
        n, now = len(lines) + 1, slot.end
        if check is None:
            lines.append(DoneLine(n=n, at=now, key=key, guess_min=piece.minutes, work=piece.work.value))
            continue
        word = Verdict.NOT_APPLICABLE if check == waived else Verdict.PASSED
        signed = SignedLine(n=n, at=now, checkpoint=check, key=key, verdict=word, limit="", by="AB")
        if check == FAILS:
            redo = shaken_by(agreed, fold(tuple(lines), replace(agreed.basis, work=work)), FAILS)
            lines.append(replace(signed, verdict=Verdict.FAILED, text="20", redo=redo))
            break
        lines.append(signed)
    entries = tuple(lines)
    standing = fold(entries, replace(agreed.basis, work=work))
    there = Situation(
        work=with_mending(work, standing), job=amended(job, standing, now, 10), catalog=shelf(), agreed=agreed,
        entries=entries, standing=standing,
    )  # fmt: skip
    return Failed(entries=entries, redo=redo, there=there, left=plan_left(there, Ask(now=now, limit_s=2.0)), now=now)


def test_after_a_failed_pedal_check_the_circuit_is_bled_by_two_and_proved_again() -> None:
    """Common practice, no published source: a pedal that sinks has air or a leak in it."""
    found = pedal_failed()
    whole, left = found.there.work, found.left
    assert found.redo
    assert check_left(whole, left.plan, found.entries) == ()
    assert check_plan(left.work, left.plan, found.there.job, shelf(), found.now.date()) == ()
    steps = slots_of(left.plan)
    mend = mending_id(f"check.{FAILS}", 1)
    bleed = steps.index(f"{mend}.front")
    assert whole.tasks[f"{mend}.front"].hands == 2
    assert steps.index(mend) < bleed < steps.index(f"check.{FAILS}")
    for again in found.redo:
        assert bleed < steps.index(again)
    assert "circuit:front:off" not in steps


def test_a_check_that_does_not_apply_is_not_asked_again_because_another_failed() -> None:
    """One circuit is one circuit before and after it is bled once more; what was proved by pressing is proved anew."""
    usual = pedal_failed()
    waived = next(t for t in usual.redo)
    found = pedal_failed(waived.removeprefix("check."))
    whole, left = found.there.work, found.left
    assert set(found.redo) == set(usual.redo) - {waived}
    assert waived in found.there.standing.finished
    steps = slots_of(left.plan)
    assert waived not in steps
    assert f"{mending_id(f'check.{FAILS}', 1)}.front" in steps
    assert check_left(whole, left.plan, found.entries) == ()
    assert check_plan(left.work, left.plan, found.there.job, shelf(), found.now.date()) == ()
    # Said of a check that passed the same plan leaves out what has to be made again.
    passed = tuple(  # what was said of it alone is another
        replace(e, verdict=Verdict.PASSED) if isinstance(e, SignedLine) and e.key == waived else e
        for e in found.entries
    )
    assert any(waived in told for told in check_left(whole, left.plan, passed))
