"""A plan is agreed: kept in a file of its own, and one line in the job's log."""

from __future__ import annotations

import hashlib
from datetime import datetime
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.terminal import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from planner.cli.logbook import LogBook
    from planner.cli.replanning import Replanned
    from planner.model.log import Line


def agree(replan: Replanned, book: LogBook, now: datetime) -> None:
    """Keep a plan and say in the log that it is the one to work to.

    Raises
    ------
    Stop
        It is no sound plan, or the log has grown since the plan was made.
    """
    from planner.cli.beside import begun_beside
    from planner.cli.logbook import write_lines
    from planner.cli.replanning import agreed_of
    from planner.log import keep_agreed
    from planner.model.log import AgreedLine

    digest = keep_agreed(book.plans, agreed_of(replan, book, inputs_of(book), now))

    def decide(known: LogBook) -> Sequence[Line]:
        if known.entries != book.entries:
            raise Stop(Exit.FAULTS, "something was written to the log while this was planned", "plan once more")
        return [] if known.standing.agreed == digest else [AgreedLine(at=now, plan=digest)]

    write_lines(book, decide, now)
    for other in begun_beside(book):
        say(f"! {other.words}; what it has off or open this plan does not know of")
    say(f"agreed: `knockon next {book.project}` says what to do now (log: {book.path})")


def inputs_of(book: LogBook) -> dict[str, str]:
    """Digests of the files a plan is made from, by their names in the project."""
    names = ("vehicle.yaml", f"jobs/{book.job}.yaml")
    paths = {name: book.project / name for name in names}
    return {name: hashlib.sha256(path.read_bytes()).hexdigest() for name, path in paths.items() if path.is_file()}


def changed_inputs(book: LogBook) -> list[str]:
    """Files that were changed since the plan was agreed."""
    now = inputs_of(book)
    return [] if book.agreed is None else [n for n, digest in book.agreed.inputs.items() if now.get(n) != digest]
