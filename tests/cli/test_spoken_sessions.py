"""Sessions as they are typed: what can mean one thing is taken, the rest is refused with how it is written.

What is expected was read off a printed calendar: 27 November 2026 is a Friday, 5 December a Saturday.
"""

from __future__ import annotations

from datetime import date, time

import pytest

from planner.cli.spoken_sessions import session_words, spoken_hours, spoken_sessions
from planner.model.job import Session

TODAY = date(2026, 11, 27)


@pytest.mark.parametrize(
    "text",
    ["5 dec 10:00-16:00 2", "sat 5 dec 10-16 2", "2026-12-05 10:00 to 16:00, 2 hands", "5.12. 10.00-16.00 x2",
     "Sat, 5 Dec 10am to 4pm with 2", "dec 5 1000-1600 2 people", "sat 5 dec: from 10 till 16, 2 pairs of hands"],
)  # fmt: skip
def test_the_same_session_in_every_form(text: str) -> None:
    (session,) = spoken_sessions(text, TODAY)
    assert session == Session(day=date(2026, 12, 5), start=time(10), end=time(16), hands=2)
    assert session_words(session) == "Sat 5 Dec 2026, 10:00 to 16:00, 2 pairs of hands"


@pytest.mark.parametrize("text", ["sat & sun 10-16", "sat and sun 10-16", "sat 10-16; sun 10:00-16:00"])
def test_two_days_are_two_sessions(text: str) -> None:
    assert [(s.day.day, s.start.hour, s.end.hour, s.hands) for s in spoken_sessions(text, TODAY)] == [
        (28, 10, 16, 1),
        (29, 10, 16, 1),
    ]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("9-13", "is no session: write it as"),
        ("sat", "is no session"),
        ("sat 9 13", "is no session"),
        ("next sat 9-13", "may be several days"),
        ("4/12 9-13", "may be several days"),
        ("sat 10-4", "ends before it begins.*write it as 10:00-16:00"),
        ("sat 6-9", "morning or an evening: write 06:00-09:00 or 18:00-21:00"),
        ("sat 9-1pm", "which half of the day"),
        ("sat 9-25", "no stretch of a day"),
        ("sat 9-13 99", "99 people"),
        ("", "is no session"),
    ],
)
def test_what_is_doubtful_is_refused_with_a_form(text: str, told: str) -> None:
    with pytest.raises(ValueError, match=told) as error:
        spoken_sessions(text, TODAY)
    assert "\n" not in str(error.value)


def test_noon_and_midnight() -> None:
    assert spoken_hours("10am-12pm") == spoken_hours("10:00-noon") == (time(10), time(12))
    assert spoken_hours("12am-9am") == (time(0), time(9))
