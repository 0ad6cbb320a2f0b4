"""Days and moments as people and this tool write them: `Sat 5 Dec`, `4.12.`, `Sat 5 Dec 2026 10:04`, `today 18:30`."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

from planner.units.day_text import CLOCK, DAYS, SaidDay, clock_of, date_of, days_meant, weekday_of
from planner.units.spoken import day_words, short_day

NEAR = timedelta(days=120)
"""A day and month alone mean the one within so many days of today: that of another year is twice as far at least."""
_NAMED = {"today": 0, "tomorrow": 1, "yesterday": -1}
_WEEK = 7
_ALONE = re.compile(r"(?:(?P<which>next|this|last|coming|on)\s+)?(?P<week>[a-z]{3,10})\.?")
_MOMENT = re.compile(rf"(?:(?P<day>.*?)(?:t|,?\s+(?:at\s+)?))?(?P<time>{CLOCK})")
_AND = re.compile(r"\s*(?:&|\+|\band\b)\s*")
_BARE = re.compile(r"(?:[a-z]{3,10}\.?\s+)?[0-9]{1,2}(?:st|nd|rd|th)?")
_TAIL = re.compile(r"(?:[a-z]{3,10}\.?,?\s+)?[0-9]{1,2}(?:st|nd|rd|th)?(?P<tail>\s+[a-z]{3,9}.*)")


def spoken_day(text: str, today: date) -> date:
    """The day that is meant.

    Parameters
    ----------
    text : str
        A date with its year, or a day and month, with its weekday unless it is near; or `today` and the like.
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
    if asked in _NAMED:
        return today + timedelta(days=_NAMED[asked])
    alone = _ALONE.fullmatch(asked)
    if alone is not None and (week := weekday_of(alone["week"])) is not None:
        ahead = _ahead(week, today)
        first = ahead if ahead == today or alone["which"] == "next" else ahead - timedelta(days=_WEEK)
        raise ValueError(_either(text, (first, first + timedelta(days=_WEEK)), today))
    meant = days_meant(text)
    if not meant:
        raise ValueError(f"{text!r} is no date: write it as 2026-12-05 or sat 5 dec")
    if len(meant) == 1:
        return _day(text, meant[0], today)
    found = {day for one in meant if (day := _day_or_none(text, one, today)) is not None}
    if len(found) == 1 and meant[0].week is not None:
        return found.pop()
    days = [day for one in meant if (day := _nearest(one, today)) is not None]
    raise ValueError(_either(text, days, today))


def coming_day(text: str, today: date, first: date | None = None) -> date:
    """A day that is still to come: as :func:`spoken_day`, and a weekday alone is the next one there is.

    Parameters
    ----------
    text : str
    today : date
    first : date, optional
        First day that can be meant, where that is after today.

    Raises
    ------
    ValueError
        It is no day, or may be several.

    Examples
    --------
    >>> coming_day("sat", date(2026, 11, 27)), coming_day("next sat", date(2026, 11, 28))
    (datetime.date(2026, 11, 28), datetime.date(2026, 12, 5))
    """
    alone = _ALONE.fullmatch(" ".join(text.lower().split()))
    week = None if alone is None else weekday_of(alone["week"])
    if alone is None or week is None or alone["which"] == "last":
        return spoken_day(text, today)
    if first is not None and first > today and alone["which"] != "next":
        return _ahead(week, first)
    ahead = _ahead(week, today)
    later = ahead + timedelta(days=_WEEK)
    if ahead == today and alone["which"] in {"next", "coming"}:
        return later
    if ahead == today or alone["which"] == "next":
        raise ValueError(_either(text, (ahead, later), today))
    return ahead


def coming_days(text: str, today: date, first: date | None = None) -> tuple[date, ...]:
    """Several days to come: `sat & sun`, `5 and 6 dec`; each once, in their order.

    Raises
    ------
    ValueError
        One of them is no day, or may be several.

    Examples
    --------
    >>> [d.day for d in coming_days("5 & 6 dec", date(2026, 11, 27))]
    [5, 6]
    """
    return tuple(sorted({coming_day(p, today, first) for p in day_pieces(text)}))


def spoken_days(text: str, today: date) -> tuple[date, ...]:
    """Several days, gone by or to come, as :func:`coming_days` and :func:`spoken_day` take them.

    Raises
    ------
    ValueError
        One of them is no day, or may be several.
    """
    return tuple(sorted({spoken_day(p, today) for p in day_pieces(text)}))


def day_pieces(text: str) -> list[str]:
    """The days of a text, each with the month that is said with the last of them."""
    pieces = _AND.split(" ".join(text.lower().split()))
    tail = _TAIL.fullmatch(pieces[-1])
    if tail is not None:
        pieces = [p + tail["tail"] if _BARE.fullmatch(p) else p for p in pieces]
    return [text] if len(pieces) == 1 else pieces


def spoken_moment(text: str, today: date) -> datetime:
    """The moment that is meant: a day as :func:`spoken_day` takes it, and a time of day; alone it is one of today.

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
    # A bare number is a day or a year as well, and four figures are one or the other.
    if found is None or found["time"].isdigit() or _is_day(asked, today):
        day = spoken_day(text, today)
        raise ValueError(f"{text!r} has no time of day: write it as {short_day(day).lower()} 10:30")
    clock = clock_of(found["time"])
    if clock is None:
        raise ValueError(f"{text!r}: {found['time']} is no time of day")
    said = found["day"]
    if said and weekday_of(said) is not None:
        raise ValueError(f"{text!r} does not say which {said}: write it as sat 5 dec {found['time']}")
    return datetime.combine(today if not said else spoken_day(said, today), clock)


def _is_day(asked: str, today: date) -> bool:
    """Whether a text is a date as it stands, `4.12` and `5.12.26` say: those look like times of day too."""
    try:
        return bool(days_meant(asked)) and bool(spoken_day(asked, today))
    except ValueError:
        return False


def _ahead(week: int, first: date) -> date:
    """The first such day of the week, that day itself included."""
    return first + timedelta(days=(week - first.weekday()) % _WEEK)


def _either(text: str, days: tuple[date, ...] | list[date], today: date) -> str:
    told = " or ".join(day_words(d) for d in days)
    near = all(abs(d - today) <= NEAR for d in days)
    forms = " or ".join((short_day(d) if near else f"{d.day} {d:%b %Y}").lower() for d in days)
    return f"{text!r} may be several days, {told}: write {forms}"


def _day(text: str, meant: SaidDay, today: date) -> date:
    """The day of a month nearest to today: its weekday has to say the same, and without one it has to be near."""
    if meant.year is not None:
        return date_of(text, meant, meant.year)
    nearest = _nearest(meant, today)
    if nearest is None:
        raise ValueError(f"{text!r} is no date of these years: write it as 2026-12-05")
    if meant.week is None and abs(nearest - today) > NEAR:
        raise ValueError(f"{text!r} does not say which year: write it as 2026-12-05 or with its weekday, sat 5 dec")
    if meant.week is not None and nearest.weekday() != meant.week:
        told = f"{nearest} is a {DAYS[nearest.weekday()].capitalize()}"
        raise ValueError(f"{text!r}: {told}, write the year behind it if another one is meant")
    return nearest


def _day_or_none(text: str, meant: SaidDay, today: date) -> date | None:
    try:
        return _day(text, meant, today)
    except ValueError:
        return None


def _nearest(meant: SaidDay, today: date) -> date | None:
    years = range(max(1, today.year - 1), today.year + 2) if meant.year is None else (meant.year,)
    there = [day for year in years if (day := _date_or_none(year, meant.month, meant.day)) is not None]
    return min(there, key=lambda day: abs(day - today), default=None)


def _date_or_none(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
