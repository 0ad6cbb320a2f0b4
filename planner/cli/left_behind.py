"""What an adopted job left open: read with the vehicle, and signed in that job's own log afterwards."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from planner.cli.terminal import say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from planner.cli.logbook import LogBook
    from planner.cli.options import Where
    from planner.model.log import Line
    from planner.model.vehicle import Owed, Vehicle


def still_owed(project: Path, vehicle: Vehicle) -> Vehicle:
    """The vehicle without what was signed since in the log of the job that left it open."""
    left = {i: one for i, one in vehicle.to_prove.items() if not _signed_there(project, one)}
    return vehicle if len(left) == len(vehicle.to_prove) else replace(vehicle, to_prove=left)


def _signed_there(project: Path, owed: Owed) -> bool:
    from planner.cli.logbook import log_book, log_path
    from planner.log.left_open import proved_since

    if not owed.check or not owed.job or not log_path(project, owed.job).is_file():
        return False
    if not (project / "jobs" / f"{owed.job}.yaml").is_file():
        return False
    book = log_book(project, owed.job)
    return book.agreed is not None and proved_since(owed, book.agreed, book.standing)


def left_early(book: LogBook) -> bool:
    """Whether a job is over and was adopted with things open."""
    from planner.model.log import AdoptedLine

    adopted = [e for e in book.standing.entries if isinstance(e, AdoptedLine)]
    return book.over() and bool(adopted[-1].why)


def written_afterwards(where: Where, decide: Callable[[LogBook], Sequence[Line]]) -> None:
    """A check of a job that is over and left it open is signed in that job's log: it counts for the vehicle."""
    from planner.cli.logbook import log_book, moment_of, write_lines
    from planner.log.words import line_words

    book = log_book(where.project, where.job)
    after, numbers = write_lines(book, decide, moment_of(where.at))
    for entry in (e for e in after.entries if e.n in numbers):
        say(f"{entry.n}  {line_words(entry, after.agreed)}")
    left = len(still_owed_in(where.project))
    say(f"`{book.job}` is over; of what was left open on the vehicle {left} are open still (`knockon check`)")


def still_owed_in(project: Path) -> tuple[Owed, ...]:
    """What is left open on the vehicle of a project, whichever job left it."""
    from planner.cli.loading import catalog_read
    from planner.shelf import load_vehicle

    vehicle, _ = load_vehicle(project, catalog_read())
    return () if vehicle is None else tuple(still_owed(project, vehicle).to_prove.values())
