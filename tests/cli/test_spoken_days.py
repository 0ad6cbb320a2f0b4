"""Days and moments as they are typed: every form the tool prints is taken, the doubtful is refused in one line.

What is expected was read off a printed calendar: 5 December 2026 is a Saturday, 2 January 2027 too, 29 February 2028 a
Tuesday.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from planner.cli.options import day_of, moment
from planner.cli.show_dates import day_words
from planner.cli.spoken_days import coming_day, coming_days, spoken_day, spoken_days, spoken_moment

TODAY = date(2026, 11, 27)
SAT = date(2026, 12, 5)


@pytest.mark.parametrize(
    "text",
    ["2026-12-05", "sat 5 dec", "Sat 5 Dec", "SAT  5  DEC", "Sat 5 Dec 2026", "saturday 5 december", "Sat 2026-12-05",
     "5 dec 2026", "5 December, 2026", "Sat, 5 Dec 2026", "5.12.", "5.12", "5.12.2026", "5.12.26", "2026/12/05",
     "dec 5", "5th dec", "the 5th of december", "5dec", "5-dec-2026", "sat 5/12", "sat 12/5"],
)  # fmt: skip
def test_the_same_day_in_every_form(text: str) -> None:
    assert spoken_day(text, TODAY) == SAT


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("5 jun", "does not say which year"),
        ("5/12/2026", "may be several days, Sat 5 Dec 2026 or Tue 12 May 2026: write 5 dec 2026 or 12 may 2026"),
        ("4/12", "may be several days, Fri 4 Dec 2026 or Mon 12 Apr 2027"),
        ("next sat", "may be several days, Sat 28 Nov 2026 or Sat 5 Dec 2026: write sat 28 nov or sat 5 dec"),
        ("fri 5 dec", "2026-12-05 is a Saturday"),
        ("sun 5 dec 2026", "is a Saturday"),
        ("Sun 2026-12-05", "is a Saturday"),
        ("tue 29 feb", "no date of these years"),
        ("31 feb 2027", "is no date"),
        ("sat 5 dez", "'dez' is no month"),
        ("xyz 5 dec", "is no day of the week"),
        ("sa 5 dec", "is no date"),
        ("sat", "may be several days, Sat 21 Nov 2026 or Sat 28 Nov 2026"),
        ("", "is no date"),
        ("\N{ARABIC-INDIC DIGIT FIVE} dec 2026", "is no date"),
    ],
)
def test_what_is_doubtful_is_refused_in_one_line(text: str, told: str) -> None:
    with pytest.raises(ValueError, match=told) as error:
        spoken_day(text, TODAY)
    assert "\n" not in str(error.value)


def test_without_a_year_the_nearest_one_is_taken_on_either_side_of_new_year() -> None:
    assert spoken_day("sat 2 jan", TODAY) == date(2027, 1, 2)
    assert spoken_day("sat 5 dec", date(2027, 1, 9)) == SAT


def test_a_near_day_needs_neither_its_weekday_nor_its_year() -> None:
    assert spoken_day("5 dec", TODAY) == SAT
    assert spoken_moment("5 December 10:04", TODAY) == datetime(2026, 12, 5, 10, 4)  # noqa: DTZ001  # wall-clock time
    for n in range(-120, 121):
        day = TODAY + timedelta(days=n)
        assert spoken_day(f"{day.day} {day:%b}", TODAY) == day
    for n in (-121, 121):
        far = TODAY + timedelta(days=n)
        with pytest.raises(ValueError, match="which year"):
            spoken_day(f"{far.day} {far:%b}", TODAY)


def test_a_day_to_come_is_the_next_of_its_name() -> None:
    """27 November 2026 is a Friday."""
    assert coming_day("sat", TODAY) == date(2026, 11, 28)
    assert coming_day("Thursday", TODAY) == date(2026, 12, 3)
    assert coming_day("sat", TODAY, date(2026, 12, 1)) == SAT
    assert coming_day("next fri", TODAY) == date(2026, 12, 4)
    for text in ("next sat", "fri"):
        with pytest.raises(ValueError, match="may be several days"):
            coming_day(text, TODAY)


def test_a_number_above_twelve_is_no_month() -> None:
    assert spoken_day("25/12", TODAY) == spoken_day("12/25/2026", TODAY) == date(2026, 12, 25)


def test_today_and_a_time_alone_are_of_today() -> None:
    assert spoken_day("yesterday", TODAY) == date(2026, 11, 26)
    at = datetime(2026, 11, 27, 18, 30)  # noqa: DTZ001  # wall-clock time
    assert {spoken_moment(t, TODAY) for t in ("18:30", "today 18:30", "6:30 pm", "today at 6.30pm")} == {at}


def test_several_days_share_their_month() -> None:
    assert coming_days("5 & 6 dec", TODAY) == coming_days("sat 5 and sun 6 dec", TODAY) == (SAT, date(2026, 12, 6))
    assert [d.day for d in spoken_days("5.12. + 26/12", TODAY)] == [5, 26]


def test_every_day_comes_back_as_it_is_printed() -> None:
    """Printed by the plan with its year, by the list of what the finish hangs on without."""
    for n in range(-150, 150):
        day = TODAY + timedelta(days=n)
        assert spoken_day(day_words(day), TODAY) == day
        assert spoken_day(f"{day:%a} {day.day} {day:%b}", TODAY) == day
        assert spoken_day(f"{day:%a} {day}", TODAY) == day
        at = datetime.combine(day, datetime.min.time()) + timedelta(minutes=7 * (n + 150) % 1440)
        assert spoken_moment(f"{at:%a} {at.day} {at:%b %H:%M}", TODAY) == at
        assert spoken_moment(f"{at:%Y-%m-%d %H:%M}", TODAY) == at


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("sat 5 dec", "has no time of day"),
        ("Sat 10:04", "does not say which sat"),
        ("sat 5 dec 24:30", "is no time of day"),
        ("5 jun 10:04", "which year"),
        ("soon", "is no date"),
    ],
)
def test_a_moment_wants_its_day_and_its_time(text: str, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        spoken_moment(text, TODAY)


def test_the_options_take_them_too() -> None:
    today = datetime.now().astimezone().date()
    assert day_of(f"{today:%a} {today.day} {today:%b}") == today
    assert moment(f"{today:%a} {today.day} {today:%b} 10:04") == datetime.combine(today, datetime.min.time()).replace(
        hour=10, minute=4
    )
