"""What failed is put right before the tests that it took back are made again."""

from __future__ import annotations

from datetime import UTC, datetime

from trials import answer

from planner.model.log import SignedLine, Verdict
from planner.model.standing import Standing
from planner.model.steps import mending_id
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
    assert {t.id for t in waiting} <= {failed, *redo}
