"""The calendar as whole minutes of wall clock: when work can be done, with how many hands.

Minute 0 is midnight at the start of the first day. Of a session, the time from its start plus the setting up to
its end less the putting away is open for work; sessions never overlap.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import cached_property

from planner.model.catalog import Catalog
from planner.model.job import Job, Session
from planner.model.words import DAY_MIN
from planner.order.sessions import begins, finishes, first_day, sessions_from


@dataclass(frozen=True, slots=True, kw_only=True)
class Bay:
    """The open part of one session [min from the calendar's start]; ``number`` is the session's."""

    number: int
    opens: int
    closes: int
    hands: int

    @property
    def room(self) -> int:
        """Minutes open for work."""
        return self.closes - self.opens

    @property
    def day(self) -> int:
        """Days since the first day."""
        return self.opens // DAY_MIN


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """Work sessions from the first day on, and what of them is open for work.

    ``bays`` leaves out sessions that setting up and putting away use up; they rise in time and do not overlap.
    """

    first: date
    sessions: tuple[Session, ...]
    setup_min: int
    tidy_min: int
    bays: tuple[Bay, ...]

    @cached_property
    def _opens(self) -> list[int]:
        return [b.opens for b in self.bays]

    @cached_property
    def _closes(self) -> list[int]:
        return [b.closes for b in self.bays]

    @property
    def most_hands(self) -> int:
        """Hands in the session that has most; 0 without sessions."""
        return max((b.hands for b in self.bays), default=0)

    def at(self, minute: int) -> datetime:
        """Wall-clock moment of a minute."""
        return datetime.combine(self.first, time()) + timedelta(minutes=minute)

    def minute(self, moment: datetime) -> int:
        """Minute of a wall-clock moment; below 0 before the first day."""
        return int((moment - datetime.combine(self.first, time())).total_seconds() // 60)

    def day_of(self, minute: int) -> date:
        """Date of a minute."""
        return self.first + timedelta(days=minute // DAY_MIN)

    def index_at(self, minute: int) -> int:
        """Index into ``bays`` of the last one that opens at or before a minute; -1 before them all."""
        return bisect_right(self._opens, minute) - 1

    def first_closing_after(self, minute: int) -> int:
        """Index into ``bays`` of the first one that closes at or after a minute."""
        return bisect_left(self._closes, minute)

    def up_to(self, day: int) -> Calendar:
        """The same calendar without the bays after a day (days since the first)."""
        return replace(self, bays=tuple(b for b in self.bays if b.day <= day))


def setup_of(job: Job, catalog: Catalog) -> int:
    """Minutes at each session's start before work begins."""
    return catalog.tidy_min if job.setup_min is None else job.setup_min


def calendar_of(job: Job, catalog: Catalog, today: date) -> Calendar:
    """Make the calendar of a job that is planned on a day."""
    first, sessions = first_day(job, today), sessions_from(job, today)
    setup_min = setup_of(job, catalog)
    midnight = datetime.combine(first, time())
    bays: list[Bay] = []
    for number, session in enumerate(sessions):
        opens = int((begins(session) - midnight).total_seconds()) // 60 + setup_min
        closes = int((finishes(session) - midnight).total_seconds()) // 60 - job.tidy_min
        if bays:
            opens = max(opens, bays[-1].closes)
        if closes > opens:
            bays.append(Bay(number=number, opens=opens, closes=closes, hands=session.hands))
    return Calendar(first=first, sessions=sessions, setup_min=setup_min, tidy_min=job.tidy_min, bays=tuple(bays))
