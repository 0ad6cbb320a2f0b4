"""One session more beside those a job has: no two of a day overlap, and nothing of the day's time is lost.

What is expected was worked out by hand on a day's line of hours: 5 December 2026 is a Saturday.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

import pytest

from planner.log import fold
from planner.model.job import Job, Repeating, Session
from planner.model.log import Entry, ExtraLine, LostLine, UndoLine
from planner.order.sessions import sessions_on
from planner.verify import check_days
from planner.verify.work_time import sessions_on as checked_on
from planner.work import amended, with_helper_every, with_more_time

DAY = date(2026, 12, 5)
NOW = datetime(2026, 12, 1, 8)  # noqa: DTZ001  # wall-clock time of one workshop
WEEKLY = Repeating(weekday=5, start=time(9), end=time(13))


def session(start: int, end: int, hands: int = 1) -> Session:
    return Session(day=DAY, start=time(start), end=time(end), hands=hands)


@pytest.mark.parametrize(
    ("more", "found"),
    [
        ((14, 16, 1), [(9, 13, 1), (14, 16, 1)]),
        ((13, 16, 1), [(9, 16, 1)]),
        ((10, 16, 1), [(9, 16, 1)]),
        ((10, 16, 2), [(9, 10, 1), (10, 16, 2)]),
        ((10, 12, 2), [(9, 10, 1), (10, 12, 2), (12, 13, 1)]),
        ((9, 13, 2), [(9, 13, 2)]),
        ((8, 14, 3), [(8, 14, 3)]),
        ((13, 15, 2), [(9, 13, 1), (13, 15, 2)]),
    ],
)
@pytest.mark.parametrize("weekly", [True, False])
def test_the_later_word_counts_for_its_hours(
    more: tuple[int, int, int], found: list[tuple[int, int, int]], *, weekly: bool
) -> None:
    dated = () if weekly else (session(9, 13),)
    job = Job(id="j", name="J", changes=(), sessions=dated, repeating=(WEEKLY,) if weekly else ())
    after = sessions_on(with_more_time(job, session(*more)), DAY)
    assert [(s.start.hour, s.end.hour, s.hands) for s in after] == found


def test_other_days_are_as_they_were_and_a_day_off_is_one_no_more() -> None:
    job = Job(id="j", name="J", changes=(), repeating=(WEEKLY,), days_off=(DAY, date(2026, 12, 12)))
    after = with_more_time(job, session(18, 20))
    assert after.days_off == (date(2026, 12, 12),)
    assert sessions_on(after, date(2026, 12, 19)) == sessions_on(job, date(2026, 12, 19))


def lost(n: int) -> LostLine:
    return LostLine(n=n, day=DAY)


def won(n: int, start: int, end: int, hands: int = 1) -> ExtraLine:
    return ExtraLine(n=n, day=DAY, start=time(start), end=time(end), hands=hands)


TWO = Repeating(weekday=5, start=time(9), end=time(13), hands=2)
"""Every Saturday, with a helper."""


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ([lost(1)], []),
        ([lost(1), won(2, 9, 13)], [(9, 13, 1)]),
        ([lost(1), won(2, 18, 21)], [(18, 21, 1)]),
        ([won(1, 18, 21), lost(2)], []),
        ([won(1, 18, 21), lost(2), won(3, 10, 12)], [(10, 12, 1)]),
        ([lost(1), won(2, 9, 13), lost(3)], []),
        ([lost(1), won(2, 9, 11), won(3, 14, 16)], [(9, 11, 1), (14, 16, 1)]),
        ([lost(1), lost(2), won(3, 9, 13)], [(9, 13, 1)]),
        ([lost(1), won(2, 9, 13), UndoLine(n=3, cancels=1)], [(9, 13, 1)]),
        ([won(1, 14, 16), lost(2), UndoLine(n=3, cancels=2)], [(9, 13, 2), (14, 16, 1)]),
    ],
)
@pytest.mark.parametrize("weekly", [True, False])
def test_of_a_day_the_last_line_counts(said: list[Entry], found: list[tuple[int, int, int]], *, weekly: bool) -> None:
    """The helper is ill: the day is given up with its two hands, and taken up again for one by a later line."""
    dated = () if weekly else (session(9, 13, 2),)
    job = Job(id="j", name="J", changes=(), sessions=dated, repeating=(TWO,) if weekly else ())
    after = amended(job, fold(said), NOW, 0)
    assert [(s.start.hour, s.end.hour, s.hands) for s in sessions_on(after, DAY)] == found
    assert [(s.start.hour, s.end.hour, s.hands) for s in checked_on(after, DAY)] == found
    assert check_days(after, said) == ()
    assert sessions_on(after, date(2026, 12, 12)) == sessions_on(job, date(2026, 12, 12))


def test_the_checker_finds_time_that_was_given_up_and_time_that_is_missing() -> None:
    job = Job(id="j", name="J", changes=(), repeating=(TWO,))
    assert "09:00 on 2026-12-05 was given up (line 1" in check_days(job, [lost(1)])[0]
    off = replace(job, days_off=(DAY,))
    assert "18:00 on 2026-12-05 was won (line 2" in check_days(off, [lost(1), won(2, 18, 21)])[0]
    assert check_days(off, [lost(1), won(2, 18, 21), UndoLine(n=3, cancels=2)]) == ()


def test_a_helper_every_week_is_in_each_session_of_that_day_and_in_no_other() -> None:
    sunday = Repeating(weekday=6, start=time(14), end=time(17))
    job = Job(id="j", name="J", changes=(), sessions=(session(14, 16),), repeating=(WEEKLY, sunday))
    helped = with_helper_every(job, 5)
    assert [s.hands for s in sessions_on(helped, DAY)] == [2, 2]
    assert [s.hands for s in sessions_on(helped, date(2026, 12, 12))] == [2]
    assert sessions_on(helped, date(2026, 12, 13)) == sessions_on(job, date(2026, 12, 13))
    with pytest.raises(ValueError, match="never a session"):
        with_helper_every(job, 0)
