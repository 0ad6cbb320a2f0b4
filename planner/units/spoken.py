"""Days, moments and hands as they are told: `Sat 5 Dec 2026`, `Sat 5 Dec 10:04`, `2 pairs of hands`."""

from __future__ import annotations

from datetime import date, datetime


def day_words(day: date) -> str:
    """A day with its weekday and year.

    Examples
    --------
    >>> day_words(date(2026, 12, 5))
    'Sat 5 Dec 2026'
    """
    return f"{short_day(day)} {day:%Y}"


def short_day(day: date) -> str:
    """A day with its weekday."""
    return f"{day:%a} {day.day} {day:%b}"


def moment_words(moment: datetime) -> str:
    """A day with its time.

    Examples
    --------
    >>> moment_words(datetime(2026, 12, 5, 10, 4))
    'Sat 5 Dec 10:04'
    """
    return f"{short_day(moment)} {moment:%H:%M}"


def hands_words(hands: int) -> str:
    """So many pairs of hands."""
    return "1 pair of hands" if hands == 1 else f"{hands} pairs of hands"
