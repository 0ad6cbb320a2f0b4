"""The open time of the sessions in many runs at once: until when each pair of hands is taken, and by which act.

Of a session each pair of hands has one number a run: the moment to which it is taken. What is placed in a session
comes after what is there already, but a session that was passed over stays open, so what waits leaves its time to
others. (Gaps inside a session were tried as well: a finish of a job of 470 acts came 0.3 days sooner in 84.)

A moment and the act that brought it are one whole number, the moment in grains above the lowest ``BITS`` bits and
there the number of the act from 1 (0: none); so the later of two moments brings its act along.
"""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from planner.order.calendar import Bay, Calendar
from planner.order.chance_draw import GRAIN

Keys = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Columns = npt.NDArray[np.intp]

BITS = 20
ACT = (1 << BITS) - 1
"""The bits of the act in a key."""
MINUTE = int(GRAIN) << BITS
"""A minute in keys."""
NEVER = 1 << 61
"""After all sessions; far enough below the largest whole number for waits to be added."""


class Work(NamedTuple):
    """What is to be placed: hands, act number from 1, and of each column the key it is ready at and its length.

    ``apart``: nothing is done beside it, so it takes all hands of whatever session it comes into.
    """

    hands: int
    number: int
    columns: Columns
    ready: Keys
    length: Keys
    apart: bool = False
    stay: int = 0
    """What is left of its session at its end [key]."""

    def some(self, which: Columns) -> Work:
        """The same for some of the columns, by place in ``columns``."""
        if which.size == self.columns.size:
            return self
        return self._replace(
            columns=self.columns.take(which), ready=self.ready.take(which), length=self.length.take(which)
        )


class _Session:
    """One session: for each pair of hands a row of keys, the row of those free first coming first in each run."""

    def __init__(self, bay: Bay, runs: int) -> None:
        self.hands, self.room = bay.hands, bay.room * MINUTE
        self.opens, self.closes = bay.opens * MINUTE, bay.closes * MINUTE
        self.runs = runs
        self.free: list[Keys] = []
        self.least = self.opens
        """The first moment any hands are free in any run."""

    def start(self, work: Work) -> Keys:
        """When work could start here, hands and time to the close left aside."""
        if not self.free:
            return np.maximum(work.ready, self.opens)
        return np.maximum(work.ready, self._of(self.free[self._hands(work) - 1], work.columns))

    def take(self, work: Work, start: Keys, end: Keys) -> None:
        """Give work the hands, of those free at its start, that are taken the longest; none to what takes no time."""
        busy = work.length.nonzero()[0]
        if not busy.size:
            return
        work, start, end = work.some(busy), start.take(busy), end.take(busy)
        if not self.free:
            self.free = [np.full(self.runs, self.opens) for _ in range(self.hands)]
        hands = self._hands(work)
        if hands == self.hands:
            rows = [end] * self.hands
        else:
            rows = [self._of(row, work.columns) for row in self.free]
            moment = start | ACT
            for _ in range(hands):
                # The row is in order and stays so: the last one free at the start goes out, the end comes in.
                moved = [
                    np.where(later > moment, np.minimum(later, np.maximum(row, end)), row)
                    for row, later in pairwise(rows)
                ]
                rows = [*moved, np.maximum(rows[-1], end)]
        for mine, row in zip(self.free, rows, strict=True):
            mine[work.columns] = row
        self.least = int(self.free[0].min()) & ~ACT

    def _hands(self, work: Work) -> int:
        return self.hands if work.apart else work.hands

    def _of(self, row: Keys, columns: Columns) -> Keys:
        return row if columns.size == self.runs else row.take(columns)


class Bays:
    """All sessions in some runs."""

    def __init__(self, calendar: Calendar, runs: int) -> None:
        self.sessions = [_Session(b, runs) for b in calendar.bays]
        self.with_hands: dict[int, tuple[list[_Session], list[int], list[int]]] = {}

    def whole(self, work: Work, start: Keys, end: Keys) -> Work:
        """Place work without a break in the first session with room for it, and return what has found no place.

        ``start`` and ``end`` are rows of all runs that are filled in; the act in ``start`` is the one that was waited
        for last.
        """
        sessions, closes, most = self._with(work.hands)
        before: _Session | None = None
        shortest = int(work.length.min())
        for n in range(bisect_left(closes, int(work.ready.min()) & ~ACT), len(sessions)):
            session = sessions[n]
            if shortest > most[n]:
                break
            if session.least + shortest <= session.closes - work.stay:
                at = session.start(work)
                fits = at + work.length <= (session.closes - work.stay) | ACT
                inside = fits.nonzero()[0]
                if inside.size:
                    placed, at = work.some(inside), at.take(inside)
                    ends = (at & ~ACT) + placed.length + work.number
                    end[placed.columns] = ends
                    start[placed.columns] = _known(at, placed, before)
                    session.take(placed, at, ends)
                    work = work.some((~fits).nonzero()[0])
                    if not work.columns.size:
                        break
                    shortest = int(work.length.min())
            before = session
        return work

    def too_long(self, work: Work) -> Work:
        """Of work that has found no place, what did not though the last session is untouched."""
        last = self._with(work.hands)[0][-1]
        return work.some((last.start(work) & ~ACT == last.opens).nonzero()[0])

    def spread(self, work: Work, start: Keys, end: Keys) -> None:
        """Place work that goes on from session to session wherever there are hands; else its end is never."""
        sessions, closes, _ = self._with(work.hands)
        before: _Session | None = None
        start[work.columns] = work.ready
        end[work.columns] = NEVER + work.number
        for session in sessions[bisect_left(closes, int(work.ready.min()) & ~ACT) :]:
            closes_at = session.closes - work.stay
            if session.least < closes_at or not work.length.min():
                at = session.start(work)
                left = closes_at - (at & ~ACT)
                able = ((left > 0) | ((left == 0) & (work.length == 0))).nonzero()[0]
                if able.size:
                    piece, at = work.some(able), at.take(able)
                    piece = piece._replace(length=np.minimum(piece.length, left.take(able)))
                    self._put_piece(piece, at, session, before, (start, end))
                    rest = work.length.copy()
                    rest[able] -= piece.length
                    going_on = rest > 0
                    going_on |= left < rest
                    work = work._replace(length=rest).some(going_on.nonzero()[0])
            if not work.columns.size:
                return
            before = session
        end[work.columns] = NEVER + work.number

    @staticmethod
    def _put_piece(piece: Work, at: Keys, session: _Session, before: _Session | None, into: tuple[Keys, Keys]) -> None:
        """Place a piece; ``start`` keeps the last act that was waited for before or between the pieces."""
        start, ends = into
        told = np.where(ends.take(piece.columns) >= NEVER, _known(at, piece, before), at)
        tells = (told & ACT) > 0
        start[piece.columns[tells]] = told[tells]
        end = (at & ~ACT) + piece.length + piece.number
        ends[piece.columns] = end
        session.take(piece, at, end)

    def _with(self, hands: int) -> tuple[list[_Session], list[int], list[int]]:
        """Sessions with hands enough, when they close, and the room of the longest from each on."""
        if hands not in self.with_hands:
            found = [s for s in self.sessions if s.hands >= hands]
            if not found:
                raise ValueError(f"no session has {hands} pairs of hands")
            rooms = np.maximum.accumulate([s.room for s in found][::-1])[::-1]
            self.with_hands[hands] = found, [s.closes for s in found], [int(r) for r in rooms]
        return self.with_hands[hands]


def _known(at: Keys, work: Work, before: _Session | None) -> Keys:
    """Starts with the act that held them back: of those at the opening of a session, what was in the way before it."""
    bare = ((at & ACT) == 0).nonzero()[0]
    if not bare.size:
        return at
    some = work.some(bare)
    held = some.ready & ACT if before is None else before.start(some) & ACT
    told = at.copy()
    told[bare] |= np.where(held > 0, held, some.ready & ACT)
    return told
