"""Moments as they are said: what cannot be, and what may be a slip of the year."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.log import piece_of_key
from planner.log.words import step_words
from planner.model.log import (
    AgreedLine,
    ArrivedLine,
    DoneLine,
    FailedLine,
    FoundLine,
    SignedLine,
    SkippedLine,
    Verdict,
)
from planner.model.steps import step_of_key
from planner.model.work import Toggle
from planner.units.spoken import day_words, moment_words

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook

LATE_DAYS = 14
"""Nobody writes down what was done later than this after it: starting guess."""
PAUSE_DAYS = 180
"""A job may rest, but hardly longer than this: starting guess."""
LONG_DAYS = 31
"""A job may be begun before its plan is agreed, but hardly longer than this: starting guess."""
_MONTH_DAYS = 30.4
_MOST_DAYS_TOLD = 60
_WORKED = (ArrivedLine, DoneLine, FailedLine, FoundLine, SignedLine, SkippedLine)


def see_after_its_work(book: LogBook, line: DoneLine | SignedLine, at: datetime | None) -> None:
    """End the command where a step cannot have been done, or a check not have passed, at the moment that is said.

    A check that passed before the work it looks at was done proves nothing of it. A step is often written down late,
    so one may be so many days before what it comes after.
    """
    checked = isinstance(line, SignedLine)
    if at is None or (isinstance(line, SignedLine) and line.verdict is not Verdict.PASSED):
        return
    last = max(_comes_after(book, line.key), key=lambda done: (done.at, done.n), default=None)
    if last is None or (not _is_before(at, last.at) if checked else (last.at - at).days < LATE_DAYS):
        return
    agreed, name = book.plan(), step_words(last.key, book.plan())
    what = "that check was signed" if checked else f"{step_words(line.key, agreed)} was done"
    again = "look at it now and sign it once more" if checked else "say when it was: --at MOMENT"
    wrong = f"if {moment_words(last.at)} is wrong, take it back: knockon undo {last.n}" if last.n else ""
    told = f"{what} {day_words(at)} {at:%H:%M}, before `{name}`, which it comes after, was done {_when(last.at, at)}"
    raise Stop(Exit.FAULTS, told, "; ".join(w for w in (again, wrong) if w))


def slip_words(book: LogBook, numbers: Sequence[int]) -> Iterator[str]:
    """A word on new lines whose moment is long before any plan of the job was agreed, or long after all other lines."""
    fresh = {*numbers}
    agreed = next((e for e in book.standing.entries if isinstance(e, AgreedLine)), None)
    new = sorted((e for e in book.entries if e.n in fresh and isinstance(e, _WORKED)), key=lambda e: (e.at, e.n))
    if agreed is None or not new:
        return
    first, last = new[0].at, new[-1].at
    latest = max((e.at for e in book.standing.entries if e.n not in fresh), default=agreed.at)
    slip = f"if the day or the year is wrong, take it back (knockon undo {min(fresh)}) and say it again: --at MOMENT"
    if (agreed.at - first).days > LONG_DAYS:
        before = f"{_long(agreed.at, first)} before the plan was agreed ({day_words(agreed.at)})"
        yield f"! {day_words(first)} is {before}: {slip}"
    elif (last - latest).days > PAUSE_DAYS:
        after = f"{_long(last, latest)} after all that is in the log ({day_words(latest)})"
        yield f"! {day_words(last)} is {after}: {slip}"


def _comes_after(book: LogBook, key: str) -> Iterator[DoneLine]:
    """Lines of what a step comes after: the work it waits for, and what brought about the states it is done in.

    Not the checks it waits for: one may have been signed once more since.
    """
    agreed, done = book.plan(), book.standing.done
    piece = piece_of_key(agreed, key)
    if piece is None:
        return
    tasks = set(piece.after) if isinstance(piece, Toggle) else {a.task for a in piece.after}
    checks = {t for t in tasks if t in agreed.work.tasks and agreed.work.tasks[t].checkpoint is not None}
    states = {(d.feature, d.on) for d in piece.demands}
    if isinstance(piece, Toggle) and key in done:
        yield done[key]
    for other, line in done.items():
        step = step_of_key(other)
        if (step.ref in tasks - checks) if step.on is None else (step.ref, step.on) in states:
            yield line


def _is_before(at: datetime, done: datetime) -> bool:
    """Whether a moment is before another one, both to the minute: nobody says seconds."""
    return at.replace(second=0, microsecond=0) < done.replace(second=0, microsecond=0)


def _when(done: datetime, at: datetime) -> str:
    return f"at {done:%H:%M}" if done.date() == at.date() else f"{day_words(done)} {done:%H:%M}"


def _long(late: datetime, early: datetime) -> str:
    days = (late.date() - early.date()).days
    return f"{days} days" if days < _MOST_DAYS_TOLD else f"{round(days / _MONTH_DAYS)} months"
