"""Lines written to a log by a verb, and told: the one way in which all of them do it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from planner.cli.current import see_open
from planner.cli.ending import Stop
from planner.cli.logbook import LogBook, log_book, moment_of, write_lines
from planner.cli.moments import slip_words
from planner.cli.options import Where
from planner.cli.show_done import tell_done
from planner.cli.terminal import say
from planner.model.log import Line

UNWRITTEN = "nothing was written"


def written(where: Where, decide: Callable[[LogBook], Sequence[Line]]) -> tuple[LogBook, tuple[int, ...]]:
    """Write what is decided on, say what it comes to, and give the log after it with the numbers of the new lines."""
    book = log_book(where.project, where.job)
    book.plan()
    see_open(book)
    try:
        after, numbers = write_lines(book, decide, moment_of(where.at))
    except Stop as stop:
        raise _unwritten(stop) from stop
    tell_done(after, numbers)
    for told in slip_words(after, numbers):
        say(told)
    return after, numbers


def _unwritten(stop: Stop) -> Stop:
    """The same ending with a word that nothing was written: lines are written all together or not at all."""
    if not stop.message or UNWRITTEN in f"{stop.message} {stop.hint}":
        return stop
    return Stop(stop.code, stop.message, f"{stop.hint}; {UNWRITTEN}" if stop.hint else UNWRITTEN)
