"""Days and times in a job's file as people write them; what may be two things is refused.

What is expected was read off a printed calendar: 19 December 2026 is a Saturday.
"""

from __future__ import annotations

from datetime import date, time
from pathlib import Path

import pytest
from job_text import CHANGES, read_job, sound_job

from planner.model.job import Repeating

DAY = date(2026, 12, 19)


@pytest.mark.parametrize("written", ["2026-12-19", "19 dec 2026", "Sat 19 December 2026", "19.12.2026", "19/12/2026"])
def test_a_day_in_every_form(tmp_path: Path, written: str) -> None:
    job = sound_job(tmp_path, f"{CHANGES}days_off: [{written}]\n")
    assert job.days_off == (DAY,)


@pytest.mark.parametrize("written", ["sunday", "Sun", "Sundays"])
def test_a_day_of_the_week_in_every_form(tmp_path: Path, written: str) -> None:
    text = f"{CHANGES}at_session_end:\n  rolls: {{name: car rolls, fitted: [header-tank], on: [{written}, sat]}}\n"
    job, _ = read_job(tmp_path, text)
    assert job is not None
    assert set(job.at_end["rolls"].weekdays) == {5, 6}


def test_hours_need_no_quotes_and_no_nought(tmp_path: Path) -> None:
    """The head ends with the sessions: one more is added to them."""
    job, findings = read_job(tmp_path, f"  - {{every: Sun, from: 9:00, to: 13:30}}\n{CHANGES}")
    assert findings == ()
    assert job is not None
    assert job.repeating[-1] == Repeating(weekday=6, start=time(9), end=time(13, 30))


@pytest.mark.parametrize(
    ("written", "told"),
    [("5/12/2026", "may be two days"), ("19 dec", "does not say which year"), ("sun 19 dec 2026", "is a Saturday"),
     ("soon", "is no date"), ("31 feb 2026", "is no date")],
)  # fmt: skip
def test_what_may_be_two_days_is_refused(tmp_path: Path, written: str, told: str) -> None:
    _, findings = read_job(tmp_path, f"{CHANGES}days_off: [{written}]\n")
    found = [f for f in findings if f.code == "bad-date"]
    assert len(found) == 1
    assert told in found[0].message
    assert "2026-12-05" in (found[0].hint or "")


@pytest.mark.parametrize(("written", "days"), [("", None), ("answer_in: 10 days\n", 10), ("answer_in: 0 days\n", 0)])
def test_how_long_an_answer_takes_is_the_jobs_to_say(tmp_path: Path, written: str, days: int | None) -> None:
    assert sound_job(tmp_path, f"{CHANGES}{written}").answer_days == days


def test_an_answer_in_eleven_years_is_a_slip(tmp_path: Path) -> None:
    _, findings = read_job(tmp_path, f"{CHANGES}answer_in: 4000 days\n")
    assert [f.code for f in findings] == ["absurd-time"]
