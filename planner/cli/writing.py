"""Lines written to a log by a verb, and told: the one way in which all of them do it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from planner.cli.current import see_open
from planner.cli.logbook import LogBook, log_book, moment_of, write_lines
from planner.cli.options import Where
from planner.cli.show_done import tell_done
from planner.model.log import Line


def written(where: Where, decide: Callable[[LogBook], Sequence[Line]]) -> tuple[LogBook, tuple[int, ...]]:
    """Write what is decided on, say what it comes to, and give the log after it with the numbers of the new lines."""
    book = log_book(where.project, where.job)
    book.plan()
    see_open(book)
    after, numbers = write_lines(book, decide, moment_of(where.at))
    tell_done(after, numbers)
    return after, numbers
