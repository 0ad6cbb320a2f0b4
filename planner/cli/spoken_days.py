"""Days and moments as people and this tool write them: `Sat 5 Dec`, `Sat 5 Dec 2026 10:04`, `Sat 2026-12-05`."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

NEAR = timedelta(days=120)
"""A day and month alone mean the one within so many days of today: that of another year is twice as far at least."""
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_DAY = re.compile(
    r"(?:(?P<week>[a-z]{3,9})\.?,?\s+)?"
    r"(?:(?P<iso>[0-9]{4}-[0-9]{2}-[0-9]{2})|(?P<day>[0-9]{1,2})\s+(?P<month>[a-z]{3,9})\.?(?:,?\s+(?P<year>[0-9]{4}))?)"
)
_MOMENT = re.compile(r"(?P<day>.*?)(?:t|,?\s+)(?P<time>[0-9]{1,2}:[0-9]{2})(?::[0-9]{2})?")
_NUMBERS = re.compile(r"[0-9]{1,4}[./-][0-9]{1,2}[./-][0-9]{1,4}")


def spoken_day(text: str, today: date) -> date:
    """The day that is meant.

    Parameters
    ----------
    text : str
        A date with its year, or a day and month, with its weekday unless it is near.
    today : date
        Tells which year is near.

    Raises
    ------
    ValueError
        It is no day, or may be several; the message says what is missing.

    Examples
    --------
    >>> spoken_day("Sat 5 Dec", date(2026, 11, 27)), spoken_day("sat 2 january 2027", date(2026, 11, 27))
    (datetime.date(2026, 12, 5), datetime.date(2027, 1, 2))
    """
    asked = " ".join(text.lower().split())
    found = _DAY.fullmatch(asked)
    if found is None:
        several = "may be several days" if _NUMBERS.fullmatch(asked) else "is no date"
        raise ValueError(f"{text!r} {several}: write it as 2026-12-05 or sat 5 dec")
    week = None if found["week"] is None else _place(found["week"], _DAYS, text)
    if found["iso"] is not None:
        day = _date(found["iso"], text)
    else:
        month = _place(found["month"], _MONTHS, text) + 1
        if found["year"] is None:
            return _near(text, week, (month, int(found["day"])), today)
        day = _date(f"{found['year']}-{month:02}-{int(found['day']):02}", text)
    if week is not None and day.weekday() != week:
        raise ValueError(f"{text!r}: that day is a {_DAYS[day.weekday()].capitalize()}, say which of the two is meant")
    return day


def spoken_moment(text: str, today: date) -> datetime:
    """The moment that is meant: a day as :func:`spoken_day` takes it, and a time of day.

    Raises
    ------
    ValueError
        It is no moment; the message says what is missing.

    Examples
    --------
    >>> spoken_moment("Sat 5 Dec 10:04", date(2026, 11, 27))
    datetime.datetime(2026, 12, 5, 10, 4)
    """
    asked = " ".join(text.lower().split())
    found = _MOMENT.fullmatch(asked)
    if found is None:
        spoken_day(text, today)
        raise ValueError(f"{text!r} has no time of day: write it as {asked} 10:30")
    if found["day"] in {d[:n] for d in _DAYS for n in range(3, len(d) + 1)}:
        raise ValueError(f"{text!r} does not say which {found['day']}: write it as sat 5 dec {found['time']}")
    try:
        clock = time.fromisoformat(found["time"].zfill(5))
    except ValueError as error:
        raise ValueError(f"{text!r}: {found['time']} is no time of day") from error
    return datetime.combine(spoken_day(found["day"], today), clock)


def _place(word: str, words: tuple[str, ...], text: str) -> int:
    """Place of the one word that begins so; three letters tell them apart."""
    for place, known in enumerate(words):
        if known.startswith(word):
            return place
    raise ValueError(f"{text!r}: {word!r} is no {'month' if words is _MONTHS else 'day of the week'}")


def _date(iso: str, text: str) -> date:
    try:
        return date.fromisoformat(iso)
    except ValueError as error:
        raise ValueError(f"{text!r} is no date: {error}") from error


def _near(text: str, week: int | None, month_day: tuple[int, int], today: date) -> date:
    """The day of a month nearest to today: its weekday has to say the same, and without one it has to be near."""
    years = range(max(1, today.year - 1), today.year + 2)
    there = [day for year in years if (day := _date_or_none(year, *month_day)) is not None]
    if not there:
        raise ValueError(f"{text!r} is no date of these years: write it as 2026-12-05")
    nearest = min(there, key=lambda day: abs(day - today))
    if week is None:
        if abs(nearest - today) > NEAR:
            raise ValueError(f"{text!r} does not say which year: write it as 2026-12-05 or with its weekday, sat 5 dec")
        return nearest
    if nearest.weekday() != week:
        told = f"{nearest} is a {_DAYS[nearest.weekday()].capitalize()}"
        raise ValueError(f"{text!r}: {told}, write the year behind it if another one is meant")
    return nearest


def _date_or_none(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
