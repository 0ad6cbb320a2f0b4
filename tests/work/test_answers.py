"""Whoever must agree is asked first, and the wait for the answer is planned (common practice, no published source)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop import first_of, scuttle, shelf, worked

from planner.model.catalog import Work
from planner.model.job import Job, Move
from planner.model.shapes import Pose
from planner.model.work import After
from planner.verify.answers import answer_faults

UNION = Move(part="union", to=Pose(at_mm=(60.0, 300.0, 600.0)))
ASK, CHECK = "ask.change-told", "check.change-told"


def test_nothing_is_cut_before_the_answer_is_there() -> None:
    """Ten days of 24 hours and 60 minutes lie between the question and the check of its answer."""
    work, _ = worked(scuttle(), UNION, answer_days=10)
    assert work.tasks[ASK].title.startswith("Ask inspection body and insurer")
    assert work.tasks[CHECK].after == (After(task=ASK, lag_min=10 * 24 * 60),)
    assert work.tasks[CHECK].notes == ()
    drilled = [i for i, t in work.tasks.items() if i.startswith("union.") and t.work is Work.DRILLING]
    assert drilled
    assert all({ASK, CHECK} <= first_of(work, i) for i in drilled)


@pytest.mark.parametrize(("days", "told"), [(None, True), (0, False)])
def test_a_wait_that_nobody_told_is_said(days: int | None, *, told: bool) -> None:
    """0 days: they have answered already."""
    work, _ = worked(scuttle(), UNION, answer_days=days)
    assert ASK not in work.tasks
    assert work.tasks[CHECK].after == ()
    assert any("answer_in: 14 days" in n for n in work.tasks[CHECK].notes) is told


def test_the_checker_tells_an_answer_that_is_not_waited_for() -> None:
    work, _ = worked(scuttle(), UNION, answer_days=10)
    job = Job(id="job", name="job", changes=(UNION,), answer_days=10)
    assert list(answer_faults(work, shelf(), job)) == []
    for after in ((), (After(task=ASK, lag_min=9 * 24 * 60),), (After(task="union.1", lag_min=10 * 24 * 60),)):
        hasty = replace(work, tasks={**work.tasks, CHECK: replace(work.tasks[CHECK], after=after)})
        assert list(answer_faults(hasty, shelf(), job)) == [
            "`check.change-told` may come less than 10 days after anybody is asked"
        ]
    assert list(answer_faults(work, shelf(), replace(job, answer_days=None))) == []
