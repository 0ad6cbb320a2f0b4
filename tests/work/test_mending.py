"""What failed is put right before the tests that it took back are made again."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from trials import answer

from planner.model.log import DoneLine, FailedLine, SignedLine, Verdict
from planner.model.plan import Slot, Step
from planner.model.standing import Standing
from planner.model.steps import mending_id, thing_of
from planner.model.words import Work
from planner.model.work import Demand, Task, WorkList
from planner.verify.refilled import refilling_faults
from planner.work import with_mending


def test_tests_taken_back_by_a_failure_wait_until_it_is_put_right() -> None:
    work = answer("hung-pedals").work
    failed = "check.brake-reserve"
    redo = ("check.brake-leak", "check.brake-pedal-holds", "check.nothing-loose", "check.brake-free-play")
    assert set(redo) <= work.tasks.keys()
    line = SignedLine(
        n=1, at=datetime(2027, 2, 1, tzinfo=UTC), checkpoint="brake-reserve", key=failed, verdict=Verdict.FAILED,
        limit="at least 50 mm", text="20", redo=redo,
    )  # fmt: skip
    standing = Standing(mending={failed: line}, failures={failed: 1})
    after = with_mending(work, standing)
    mend = mending_id(failed, 1)
    assert mend in after.tasks
    waiting = {t for t in after.tasks.values() if mend in {a.task for a in t.after}}
    assert {t.id for t in waiting} >= {failed, "check.brake-leak", "check.brake-pedal-holds", "check.nothing-loose"}
    assert {t.id for t in waiting if t.work is not Work.FILLING} <= {failed, *redo}


def failed_on(check: str, *redo: str) -> tuple[WorkList, WorkList]:
    work = answer("hung-pedals").work
    line = SignedLine(
        n=1, at=datetime(2027, 2, 1, tzinfo=UTC), checkpoint=check, key=f"check.{check}", verdict=Verdict.FAILED,
        limit="dry", text="2", redo=redo,
    )  # fmt: skip
    return work, with_mending(work, Standing(mending={f"check.{check}": line}, failures={f"check.{check}": 1}))


def refillings(work: WorkList) -> list[Task]:
    """Those of circuits: a cylinder that is bled in a vice fills none."""
    return [
        t
        for t in work.tasks.values()
        if t.work is Work.FILLING and any(d.feature.startswith("circuit:") for d in t.demands)
    ]


def test_a_circuit_is_filled_and_bled_once_more_after_a_failed_brake_check() -> None:
    """Common practice, no published source: whoever undoes a joint lets air in."""
    work, after = failed_on("brake-each-circuit")
    mend = mending_id("check.brake-each-circuit", 1)
    circuits = {i: f.turn_on for i, f in work.features.items() if f.subject in ("front-brakes", "rear-brakes")}
    assert not refillings(work)
    again = refillings(after)
    assert len(again) == len([t for t in circuits.values() if t is not None]) > 0
    for task in again:
        (closing,) = [t for i, t in circuits.items() if t is not None and Demand(feature=i, on=True) in task.demands]
        assert (task.minutes, task.hands, task.purchases) == (closing.minutes, closing.hands, closing.purchases)
        assert set(closing.demands) <= set(task.demands)
        assert mend in {a.task for a in task.after}
        waiting = {t.id for t in after.tasks.values() if task.id in {a.task for a in t.after}}
        assert {
            f"check.{c}" for c in ("brake-each-circuit", "brake-leak", "brake-pedal-holds", "brake-fluid")
        } <= waiting


def test_work_that_is_done_again_does_not_spare_the_bleeding() -> None:
    work, _ = failed_on("brake-leak")
    bend = next(i for i, t in work.tasks.items() if t.work is Work.BENDING)
    _, after = failed_on("brake-leak", bend)
    assert mending_id("check.brake-leak", 1) not in after.tasks
    assert all(bend in {a.task for a in t.after} for t in refillings(after))
    assert refillings(after)


def test_a_failed_lamp_check_bleeds_nothing() -> None:
    assert not refillings(failed_on("stop-lamps")[1])


def test_the_checker_misses_the_bleeding_in_a_plan_without_it() -> None:
    _, after = failed_on("brake-leak")
    line = SignedLine(
        n=4, at=datetime(2027, 2, 1, tzinfo=UTC), checkpoint="brake-leak", key="check.brake-leak",
        verdict=Verdict.FAILED, limit="dry", text="2",
    )  # fmt: skip
    day = datetime(2027, 2, 2, 9, tzinfo=UTC)
    slots = [Slot(step=Step(ref=i, on=None), session=0, start=day, end=day) for i in ("a", "check.brake-leak")]
    plan = replace(answer("hung-pedals").plan, slots=tuple(slots))
    assert list(refilling_faults(after, plan, [line]))
    fills = [Slot(step=Step(ref=t.id, on=None), session=0, start=day, end=day) for t in refillings(after)]
    assert not list(refilling_faults(after, replace(plan, slots=(*fills, *slots)), [line]))
    assert list(refilling_faults(after, replace(plan, slots=(*slots, *fills)), [line]))
    done = [DoneLine(n=5 + i, at=day, key=t.id, guess_min=1, work="filling") for i, t in enumerate(refillings(after))]
    assert not list(refilling_faults(after, plan, [line, *done]))


def test_a_leak_is_put_right_with_the_battery_off_and_before_the_look_for_drips_that_it_takes_back() -> None:
    """Common practice, no published source: no cable on the battery before every joint is dry, nothing undone hot."""
    work = answer("hung-pedals").work
    assert {"check.fuel-first-run", "check.fuel-leak"} <= work.tasks.keys()
    _, after = failed_on("fuel-first-run", "check.fuel-leak")
    mend = after.tasks[mending_id("check.fuel-first-run", 1)]
    assert mend.id in {a.task for a in after.tasks["check.fuel-leak"].after}
    asked = {d.feature: d.on for d in mend.demands}
    assert asked["state:battery-isolated"] is True
    assert asked["state:engine-cold"] is True
    assert not any(d.last for d in mend.demands)
    # Whoever opens a fuel joint is told what the look for drips says of the battery.
    assert any("no cable goes on the battery" in c for c in mend.cautions)


def test_work_done_again_for_a_trial_comes_before_the_trial_whatever_it_is_on() -> None:
    work = answer("hung-pedals").work
    trial = next(t for t in work.tasks.values() if t.work is Work.TRIAL_FIT)
    other = next(t for t in work.tasks.values() if t.work is Work.DRILLING and thing_of(t.id) != thing_of(trial.id))
    line = FailedLine(n=1, at=datetime(2027, 2, 1, tzinfo=UTC), key=trial.id, why="foul", redo=(other.id,))
    after = with_mending(work, Standing(mending={trial.id: line}, failures={trial.id: 1}))
    assert other.id not in {a.task for a in trial.after}
    assert other.id in {a.task for a in after.tasks[trial.id].after}
