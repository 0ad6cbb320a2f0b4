"""Lines of the log taken back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LogBook, log_book, moment_of, write_lines
from planner.cli.show_done import tell_undone
from planner.cli.show_look import show_stop
from planner.cli.terminal import page, say
from planner.cli.unadopting import put_back
from planner.model.log import AgreedLine, Entry, Line, UndoLine


def take_back(project: Path, job: str, line: int | None, at: datetime | None) -> None:
    """Write that a line does not count, or all that the last command wrote, and say what that changes."""
    book = log_book(project, job)

    files: list[Path] = []

    def decide(known: LogBook) -> Sequence[Line]:
        lines = _cancelled(known, line)
        file = put_back(known, lines)
        files.extend([] if file is None else [file])
        return [UndoLine(cancels=n) for n in lines]

    after, numbers = write_lines(book, decide, moment_of(at))
    for file in files:
        say(f"{file} is as it was before it was adopted; `{book.job}` is open again")
    tell_undone(book, after, numbers)
    if after.agreed is not None:
        with page() as console:
            show_stop(console, after)
        say(f"`knockon replan {project} {book.job}` says whether the plan still holds")


def _cancelled(book: LogBook, line: int | None) -> list[int]:
    """The line that is meant; when none is named, the last one that counts, with all that its command wrote.

    Agreed plans and undoings are left alone then. An undoing that is named is taken back with all it took back.
    """
    counting = {e.n for e in book.standing.entries}
    if line is None:
        last = [e for e in book.standing.entries if not isinstance(e, AgreedLine)]
        if not last:
            raise Stop(Exit.FAULTS, "there is nothing to take back", "knockon status --log")
        return [e.n for e in last if _written_with(e, last[-1])]
    known = {e.n: e for e in book.entries}
    if line not in known:
        raise Stop(Exit.USAGE, f"there is no line {line}", f"lines go from 1 to {max(known, default=0)}: status --log")
    undoing = isinstance(known[line], UndoLine)
    if line not in counting and not undoing:
        raise Stop(Exit.USAGE, f"line {line} is taken back already", "undo the line that did it to bring it back")
    if undoing and any(isinstance(e, UndoLine) and e.cancels == line for e in book.entries):
        raise Stop(Exit.USAGE, f"line {line} is taken back already", "knockon status --log")
    live = {e.n for e in book.entries} - {e.cancels for e in book.entries if isinstance(e, UndoLine)}
    undone = [e.n for e in book.entries if undoing and e.n in live and _written_with(e, known[line])]
    return undone or [line]


def _written_with(one: Entry, other: Entry) -> bool:
    """Whether one command wrote both."""
    return one.n == other.n or 0 < one.batch == other.batch
