"""Days and times of day in the forms people write them: what a text may mean, without asking which day it is today."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, time

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
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
CLOCK = r"(?:[0-9]{1,2}[:.][0-9]{2}(?::[0-9]{2})?\s?(?:[ap]m)?|[0-9]{1,2}\s?(?:[ap]m|h)|[0-9]{4}|[0-9]{1,2}|noon)"
"""What :func:`clock_of` may read; in small letters."""
_LETTERS = 3
_WEEK = r"(?:(?P<week>(?!the )[a-z]{3,10})\.?,?\s+)?"
_YEAR = r"(?:,?\s+(?P<year>[0-9]{4}))?"
_DAY = r"(?:the\s+)?(?P<day>[0-9]{1,2})(?:st|nd|rd|th|\.)?"
_FORMS = tuple(
    re.compile(_WEEK + form)
    for form in (
        rf"{_DAY}\s*(?:of\s+)?(?P<name>[a-z]{{3,9}})\.?{_YEAR}",
        rf"(?P<name>[a-z]{{3,9}})\.?\s+{_DAY}{_YEAR}",
        r"(?P<year>[0-9]{4})(?P<mark>[-./])(?P<month>[0-9]{1,2})(?P=mark)(?P<day>[0-9]{1,2})",
        r"(?P<day>[0-9]{1,2})\.(?P<month>[0-9]{1,2})(?:\.(?P<year>[0-9]{4}|[0-9]{2})?)?",
        r"(?P<first>[0-9]{1,2})(?P<mark>[-/])(?P<second>[0-9]{1,2})(?:(?P=mark)(?P<year>[0-9]{4}|[0-9]{2}))?",
    )
)
_JOINED = re.compile(r"(?<=[0-9])[-/](?=[a-z])|(?<=[a-z])[-/](?=[0-9])")
_CLOCKS = re.compile(
    r"(?P<hour>[0-9]{1,2})(?:[:.](?P<min>[0-9]{2})(?::[0-9]{2})?)?\s?(?P<half>[ap]m|h)?|(?P<four>[0-9]{4})"
)
_NOON = 12


@dataclass(frozen=True, slots=True)
class SaidDay:
    """One thing that a date may mean: its year may be left open, and its weekday."""

    year: int | None
    month: int
    day: int
    week: int | None


def weekday_of(word: str) -> int | None:
    """Monday is 0; three letters are enough, and a day of every week may be several.

    Examples
    --------
    >>> weekday_of("sat"), weekday_of("Tuesdays"), weekday_of("sa")
    (5, 1, None)
    """
    return _place(word.lower().removesuffix("."), DAYS)


def clock_of(text: str) -> time | None:
    """A time of day; None for what is none.

    Examples
    --------
    >>> [str(clock_of(t)) for t in ("9", "9.30", "0930", "7 pm", "24:00")]
    ['09:00:00', '09:30:00', '09:30:00', '19:00:00', 'None']
    """
    asked = " ".join(text.lower().split())
    if asked == "noon":
        return time(_NOON)
    found = _CLOCKS.fullmatch(asked)
    if found is None:
        return None
    hour, minute = int(found["hour"] or found["four"][:2]), int(found["min"] or (found["four"] or "00")[-2:])
    if found["half"] in {"am", "pm"}:
        if not 1 <= hour <= _NOON:
            return None
        hour = hour % _NOON + (_NOON if found["half"] == "pm" else 0)
    try:
        return time(hour, minute)
    except ValueError:
        return None


def days_meant(text: str) -> tuple[SaidDay, ...]:
    """What a date may mean: nothing, one day, or two where day and month may stand in either order.

    Raises
    ------
    ValueError
        A word in it is no month, or no day of the week.

    Examples
    --------
    >>> days_meant("sat 5 dec"), len(days_meant("4/12")), len(days_meant("25/12")), days_meant("4.12.")[0].month
    ((SaidDay(year=None, month=12, day=5, week=5),), 2, 1, 12)
    """
    asked = _JOINED.sub(" ", " ".join(text.lower().split()))
    found = next((m for form in _FORMS if (m := form.fullmatch(asked)) is not None), None)
    if found is None:
        return ()
    said = found.groupdict()
    week = None if said["week"] is None else weekday_of(said["week"])
    if said["week"] is not None and week is None:
        raise ValueError(f"{text!r}: {said['week']!r} is no day of the week")
    year = None if said["year"] is None else int(said["year"]) + (2000 if len(said["year"]) < len("2026") else 0)
    if said.get("name") is not None:
        month = _place(said["name"], MONTHS)
        if month is None:
            raise ValueError(f"{text!r}: {said['name']!r} is no month")
        return (SaidDay(year, month + 1, int(said["day"]), week),)
    if said.get("first") is None:
        return (SaidDay(year, int(said["month"]), int(said["day"]), week),)
    pair = int(said["first"]), int(said["second"])
    both = {SaidDay(year, month, day, week): None for day, month in (pair, pair[::-1]) if month <= len(MONTHS)}
    return tuple(both)


def day_written(text: str) -> date:
    """The day of a date that says its year.

    Raises
    ------
    ValueError
        It is no date, says no year, or may mean two days; the message says which.

    Examples
    --------
    >>> day_written("19 dec 2026"), day_written("19.12.2026")
    (datetime.date(2026, 12, 19), datetime.date(2026, 12, 19))
    """
    meant = days_meant(text)
    if not meant:
        raise ValueError(f"{text!r} is no date")
    if any(m.year is None for m in meant):
        raise ValueError(f"{text!r} does not say which year")
    if len(meant) > 1:
        raise ValueError(f"{text!r} may be two days")
    return date_of(text, meant[0], meant[0].year or 0)


def date_of(text: str, meant: SaidDay, year: int) -> date:
    """The date of a year, whose weekday has to be the one that is said.

    Raises
    ------
    ValueError
        There is no such day, or it is another day of the week.
    """
    try:
        day = date(year, meant.month, meant.day)
    except ValueError as error:
        raise ValueError(f"{text!r} is no date: {error}") from error
    if meant.week is not None and day.weekday() != meant.week:
        raise ValueError(f"{text!r}: that day is a {DAYS[day.weekday()].capitalize()}, say which of the two is meant")
    return day


def _place(word: str, words: tuple[str, ...]) -> int | None:
    """Place of the one word that begins so; three letters tell them apart."""
    if len(word) < _LETTERS:
        return None
    for begun in (word, word.removesuffix("s")):
        for place, known in enumerate(words):
            if known.startswith(begun):
                return place
    return None
