"""Which line agreed the plan that is worked to; an old plan was made with the sizes told before that line."""

from __future__ import annotations

from datetime import datetime

from test_fold import agreed_of

from planner.log.sizes import made_with
from planner.model.log import AgreedLine, SizeLine
from planner.model.standing import Standing
from planner.model.work import WorkList

AT = datetime(2026, 5, 2, 9, 0)  # noqa: DTZ001  # wall-clock time of one workshop
ENTRIES = (
    AgreedLine(n=1, at=AT, plan="a"),
    SizeLine(n=2, at=AT, size="tank.at.x", value="10 mm"),
    AgreedLine(n=3, at=AT, plan="b"),
    SizeLine(n=4, at=AT, size="tank.at.y", value="20 mm"),
)


def test_it_is_the_last_line_that_agreed_a_plan() -> None:
    assert Standing(entries=ENTRIES).begun_by == 3
    assert Standing().begun_by == 0


def test_a_plan_that_does_not_say_was_made_with_the_sizes_told_before_it() -> None:
    work = WorkList(features={}, tasks={}, checkpoints={}, buys={})
    old = agreed_of(work)
    assert made_with(old, Standing(entries=ENTRIES)) == {"tank.at.x": "10 mm"}
