"""Whether the time a job has is what its log says last of each day: given up, or taken up again for some hours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, time

from planner.model.job import Job, Session
from planner.model.log import Entry, ExtraLine, LostLine
from planner.verify.left import that_count
from planner.verify.work_time import sessions_on


def check_days(job: Job, entries: Sequence[Entry]) -> tuple[str, ...]:
    """Whether no time is used that was given up, and all that was won after it can be.

    Parameters
    ----------
    job : Job
        With the log worked in.
    entries : sequence of Entry
        The whole log, undone lines among them.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation.
    """
    words: dict[date, list[LostLine | ExtraLine]] = {}
    for line in that_count(entries):
        if isinstance(line, LostLine | ExtraLine):
            words.setdefault(line.day, []).append(line)
    begun = {day: said for day, said in words.items() if job.start is None or day >= job.start}
    return tuple(fault for day in sorted(begun) for fault in _faults(job, day, begun[day]))


def _faults(job: Job, day: date, said: Sequence[LostLine | ExtraLine]) -> Iterator[str]:
    lost = max((i for i, line in enumerate(said) if isinstance(line, LostLine)), default=-1)
    won = [line for line in said[lost + 1 :] if isinstance(line, ExtraLine)]
    there = sessions_on(job, day)
    if lost >= 0:
        for minute in sorted(_minutes(there) - _minutes(won)):
            yield f"{_clock(minute)} on {day} was given up (line {said[lost].n} of the log), and the job works then"
            break
    if won:
        over = _minute(job.from_time) if job.from_time is not None and day == job.start else 0
        last = won[-1]
        hands = _minutes([s for s in there if s.hands == last.hands])
        for minute in sorted(m for m in _minutes([last]) - hands if m >= over):
            yield f"{_clock(minute)} on {day} was won (line {last.n} of the log), and the job does not work then"
            break


def _minutes(spans: Sequence[Session | ExtraLine]) -> set[int]:
    """Minutes of the day that one of the spans covers."""
    return {m for s in spans for m in range(_minute(s.start), _minute(s.end))}


def _minute(clock: time) -> int:
    return clock.hour * 60 + clock.minute


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"
