"""Many runs of a plan at once: what the steps' times turn out to be decides when each is done.

The steps are taken in the plan's order, but that order is only who chooses first: each is placed at the earliest
moment at which all it must follow is over, with its waits, and its parcels are here, in the first session that has
hands and time enough left for the length it turns out to have. So what one step leaves of a session when it must
wait, the steps after it use, as a person would; what must come before what is kept in every run. What may be split
takes what is left of each session from that moment on. A step that fits into no session any more though the last one
is untouched turned out longer than all that are to come: it goes on from session to session as well, and is counted.

When all times are the plan's own nothing ends later than in the plan: whatever chose before a step began before it
there and, by the same argument, ends no later, so that at the plan's moment the step's hands are free at the latest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.order.chance_bays import ACT, BITS, MINUTE, NEVER, Bays, Columns, Keys, Work
from planner.order.chance_draw import GRAIN, Bools, Floats
from planner.order.chance_model import Act, Course

CHUNK = 16_000
"""Runs worked at a time, for the sake of memory."""
LONGEST = NEVER // (8 * MINUTE)
"""Waits and times are cut to so many minutes, some centuries: longer than any calendar lasts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """Of each act and run keys (see :mod:`planner.order.chance_bays`) of its end and of what held its start back.

    The act in an end is the one that is over with it: itself, or when it does not happen the one it stands in for.
    ``cut`` counts by index of the times the runs in which an unsplittable step had to be worked over sessions.
    """

    ends: Keys
    starts: Keys
    cut: dict[int, int]

    @property
    def finish(self) -> Floats:
        """The end of each run [min]; infinite where the sessions ran out."""
        last = self.ends.max(axis=0)
        return np.asarray(np.where(last >= NEVER, np.inf, (last & ~ACT) / MINUTE))

    def end_min(self, act: int) -> Floats:
        """The end of an act in each run [min]; infinite where the sessions ran out."""
        return np.asarray(np.where(self.ends[act] >= NEVER, np.inf, (self.ends[act] & ~ACT) / MINUTE))


def simulate(course: Course, minutes: Floats, happens: Bools) -> Runs:
    """Work a course through, once a column.

    Parameters
    ----------
    course : Course
    minutes : array of float, shape (times, runs) [min]
        Rounded to whole grains.
    happens : array of bool, shape (fails, runs)

    Returns
    -------
    Runs

    Raises
    ------
    ValueError
        An act needs more hands than any session has.
    """
    runs = minutes.shape[1]
    ends = np.empty((len(course.acts), runs), dtype=np.int64)
    starts = np.empty((len(course.acts), runs), dtype=np.int64)
    cut: dict[int, int] = {}
    for begin in range(0, runs, CHUNK):
        some = slice(begin, begin + CHUNK)
        one = _Chunk(course, minutes[:, some], happens[:, some], (starts[:, some], ends[:, some]))
        for times, count in one.work().items():
            cut[times] = cut.get(times, 0) + count
    return Runs(ends=ends, starts=starts, cut=cut)


class _Chunk:
    """Some of the runs."""

    def __init__(self, course: Course, minutes: Floats, happens: Bools, into: tuple[Keys, Keys]) -> None:
        self.course, self.happens = course, happens
        self.minutes = minutes
        self.starts, self.ends = into
        self.all = np.arange(minutes.shape[1])
        self.bays = Bays(course.calendar, minutes.shape[1])

    def work(self) -> dict[int, int]:
        """Fill in starts and ends, and return how often which times were cut."""
        cut: dict[int, int] = {}
        for a, act in enumerate(self.course.acts):
            columns = self.all
            if act.failed is not None:
                self.ends[a], self.starts[a] = self.ends[act.instead], 0
                columns = np.flatnonzero(self.happens[act.failed])
            over = self._place(a, act, columns) if columns.size else 0
            if over:
                cut[act.times] = cut.get(act.times, 0) + over
        return cut

    def _place(self, a: int, act: Act, columns: Columns) -> int:
        """Place an act in some columns, and return in how many it was cut."""
        start, end = self.starts[a], self.ends[a]
        ready = self._ready(act, columns)
        length = self._length(act, columns)
        work = Work(
            hands=act.hands,
            number=a + 1,
            columns=columns,
            ready=ready,
            length=length,
            apart=act.apart,
            stay=act.stay_min * MINUTE,
        )
        if act.splits:
            self.bays.spread(work, start, end)
            return 0
        work = self.bays.whole(work, start, end)
        if not work.columns.size:
            return 0
        start[work.columns], end[work.columns] = work.ready, NEVER + a + 1
        over = self.bays.too_long(work)
        if over.columns.size:
            self.bays.spread(over, start, end)
        return int((end[over.columns] < NEVER).sum())

    def _length(self, act: Act, columns: Columns) -> Keys:
        whole = np.minimum(self._some(self.minutes[act.times], columns), LONGEST)
        if (act.begin, act.end) == (0.0, 1.0):
            return _keys(whole)
        return _keys(whole * act.end) - _keys(whole * act.begin)

    def _ready(self, act: Act, columns: Columns) -> Keys:
        """When nothing but hands is waited for any more, with the act that was waited for last."""
        ready = np.full(columns.size, min(act.ready, LONGEST) * MINUTE)
        for other, lag in act.before:
            at = self._some(self.ends[other], columns)
            np.maximum(ready, at + min(lag, LONGEST) * MINUTE if lag else at, out=ready)
        return ready

    def _some(self, row: Keys | Floats, columns: Columns) -> Keys | Floats:
        return row if columns is self.all else row.take(columns)


def _keys(minutes: Floats) -> Keys:
    return np.asarray(np.rint(minutes * GRAIN).astype(np.int64) << BITS)
