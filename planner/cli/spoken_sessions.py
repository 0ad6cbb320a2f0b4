"""Sessions as people type them: `sat 9-13`, `5 dec 10:00-16:00 2`, `sat & sun 10am to 4pm with 2`."""

from __future__ import annotations

import re
from datetime import date, time

from planner.cli.spoken_days import coming_days, day_pieces, spoken_day
from planner.model.job import Repeating, Session
from planner.model.words import MOST_HANDS
from planner.units.day_text import CLOCK, clock_of, weekday_of
from planner.units.spoken import day_words, hands_words

FORM = "write it as 'sat 5 dec 10:00-16:00', with more than one at work: 'sat 5 dec 10:00-16:00 2'"
_MORNING = time(8)
"""Bare hours before it may as well be of an evening."""
_HOURS = rf"(?:from\s+)?(?P<start>{CLOCK})\s*(?:-|\N{{EN DASH}}|\bto\b|\btill\b|\buntil\b)\s*(?P<end>{CLOCK})"
_HANDS = r"(?:(?:,\s*|\s+)(?:with\s+|x\s*)?(?P<hands>[0-9]{1,2})(?:\s*(?:hands?|people|pairs? of hands))?)?"
_SESSION = re.compile(rf"(?P<days>.*?[^\s,:]):?(?:,\s*|\s+){_HOURS}{_HANDS}")
_STRETCH = re.compile(_HOURS)


def spoken_sessions(text: str, today: date, first: date | None = None) -> tuple[Session, ...]:
    """The sessions that are meant, one a day.

    Parameters
    ----------
    text : str
        A day or several, from and to, how many are at work where it is more than one; `;` between several.
    today : date
    first : date, optional
        First day that can be meant by a day of the week alone, where that is after today.

    Raises
    ------
    ValueError
        It is no session, or may be several; the message says how it is written.

    Examples
    --------
    >>> [session_words(s) for s in spoken_sessions("sat & sun 10-16 2", date(2026, 11, 27))]
    ['Sat 28 Nov 2026, 10:00 to 16:00, 2 pairs of hands', 'Sun 29 Nov 2026, 10:00 to 16:00, 2 pairs of hands']
    """
    found = [s for piece in text.split(";") if piece.strip() for s in _sessions(piece, today, first)]
    if not found:
        raise ValueError(f"{text!r} is no session: {FORM}")
    return tuple(found)


def spoken_hours(text: str) -> tuple[time, time]:
    """From and to.

    Raises
    ------
    ValueError
        It is no stretch of a day, or may be of a morning or an evening.

    Examples
    --------
    >>> [str(t) for t in spoken_hours("9.30 to 1pm")]
    ['09:30:00', '13:00:00']
    """
    found = _STRETCH.fullmatch(" ".join(text.lower().split()))
    start, end = (None, None) if found is None else (clock_of(found["start"]), clock_of(found["end"]))
    if found is None or start is None or end is None:
        raise ValueError(f"{text!r} is no stretch of a day: write it as 18:00-21:30")
    if found["end"].endswith("m") and found["start"].isdigit():
        raise ValueError(f"{text!r} does not say which half of the day it begins in: write it as 9am-1pm or 9:00-13:00")
    if start >= end:
        afternoon = f"{start:%H:%M}-{end.hour + 12}:{end:%M}" if start.hour < end.hour + 12 < 24 else "18:00-21:30"  # noqa: PLR2004
        raise ValueError(f"{text!r} ends before it begins, a session lies within one day: write it as {afternoon}")
    if found["start"].isdigit() and found["end"].isdigit() and start < _MORNING and end <= time(12):
        evening = f"{start.hour + 12}:{start:%M}-{min(end.hour + 12, 23)}:{end:%M}"
        raise ValueError(f"{text!r} may be of a morning or an evening: write {start:%H:%M}-{end:%H:%M} or {evening}")
    return start, end


def session_words(session: Session) -> str:
    """How a session was read."""
    return f"{day_words(session.day)}, {session.start:%H:%M} to {session.end:%H:%M}, {hands_words(session.hands)}"


def spoken_time(text: str, today: date) -> tuple[Session | Repeating, ...]:
    """When there is time: a day of the week alone is meant every week.

    Raises
    ------
    ValueError
        It is no session, or may be several.

    Examples
    --------
    >>> [type(t).__name__ for t in spoken_time("sat & sun 9-13; 5 dec 10-16 2", date(2026, 11, 27))]
    ['Repeating', 'Repeating', 'Session']
    """
    found: list[Session | Repeating] = []
    for piece in (p for p in text.split(";") if p.strip()):
        days, start, end, hands = _parts(piece)
        for word in day_pieces(days):
            week = weekday_of(word.removeprefix("every "))
            if week is None:
                found.append(Session(day=spoken_day(word, today), start=start, end=end, hands=hands))
            else:
                found.append(Repeating(weekday=week, start=start, end=end, hands=hands))
    return tuple(found)


def _sessions(text: str, today: date, first: date | None) -> list[Session]:
    days, start, end, hands = _parts(text)
    return [Session(day=d, start=start, end=end, hands=hands) for d in coming_days(days, today, first)]


def _parts(text: str) -> tuple[str, time, time, int]:
    """The words for the days, from and to, and how many hands."""
    asked = " ".join(text.lower().split())
    found = _SESSION.fullmatch(asked)
    if found is None:
        raise ValueError(f"{text.strip()!r} is no session: {FORM}")
    hands = int(found["hands"] or 1)
    if not 1 <= hands <= MOST_HANDS:
        raise ValueError(f"{text.strip()!r}: {hands} people are not from 1 to {MOST_HANDS}")
    return found["days"], *spoken_hours(asked[found.start("start") : found.end("end")]), hands
