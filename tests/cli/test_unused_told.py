"""An evening that a plan leaves free is named, with why."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

from planner.cli.show_replan import unused_words
from planner.model.job import Session
from planner.model.plan import NOTHING_LEFT, Plan, Slot, Step

MONDAY = Session(day=date(2027, 3, 8), start=time(19), end=time(21), hands=1)
SATURDAY = Session(day=date(2027, 3, 13), start=time(9), end=time(12), hands=2)
NOW = datetime(2027, 3, 8, 18, 50)  # noqa: DTZ001 - wall clock


def plan(session: int) -> Plan:
    when = datetime(2027, 3, 13, 9)  # noqa: DTZ001 - wall clock
    slot = Slot(step=Step(ref="weld"), session=session, start=when, end=when)
    return replace(NOTHING_LEFT, sessions=(MONDAY, SATURDAY), slots=(slot,))


def test_a_session_before_the_first_step_is_told_with_the_reason() -> None:
    (told,) = unused_words(plan(1), NOW)
    assert told.startswith("Nothing is planned for Mon 8 Mar 19:00: it is finished on the same day without")
    assert "fewest sessions" in told
    (moved,) = unused_words(replace(plan(1), notes=("moved on",)), NOW)
    assert "what was agreed for later stays there" in moved


def test_nothing_is_said_where_work_begins_at_once() -> None:
    assert list(unused_words(plan(0), NOW)) == []
    assert list(unused_words(NOTHING_LEFT, NOW)) == []
    assert list(unused_words(plan(1), NOW.replace(hour=21))) == []
