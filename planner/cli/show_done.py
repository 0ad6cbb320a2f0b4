"""What was just written down, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.show_look import show_stop
from planner.cli.terminal import indented, page
from planner.log import lacks_of, open_keys, piece_of_key, unproved
from planner.log.questions import open_questions
from planner.log.rests import resting_on
from planner.log.words import line_words, proof_words, step_words
from planner.model.log import ArrivedLine, DoneLine, Entry, SettledLine, SignedLine, SkippedLine, UndoLine, Verdict
from planner.model.steps import step_of_key
from planner.model.work import Toggle

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.model.standing import Agreed

MOST_RESTING = 3
"""Of the steps that needed what was taken back, so many are named."""


def tell_done(book: LogBook, numbers: Sequence[int]) -> None:
    """Say what lines were written, what they took back, and what comes next."""
    agreed = book.plan()
    new = set(numbers)
    with page() as console:
        for entry in book.entries:
            if entry.n in new:
                console.print(_numbered(entry.n, line_words(entry, agreed)))
                for check in _unsigned(book, entry.key) if isinstance(entry, DoneLine) else ():
                    point = agreed.work.checkpoints[check]
                    console.print(indented(f"CHECK {point.title}: {point.measure}. Limit: {point.limit}", 6, "bold"))
        for again in book.standing.reopened.values():
            if again.n in new:
                console.print(indented(f"to be done again: {step_words(again.task, agreed)} ({again.why})", 6, "bold"))
        signed = [e for e in book.entries if e.n in new and isinstance(e, SignedLine)]
        _tell_ahead(console, book, signed)


def _tell_ahead(console: Console, book: LogBook, signed: Sequence[SignedLine]) -> None:
    """What holds the work up, or what comes next."""
    agreed = book.plan()
    keys = open_keys(agreed, book.standing)
    proofs = unproved(agreed, book.standing)
    for check in proofs:
        console.print(Text(proof_words(check, agreed, book.standing.signed.get(check)), style="bold"))
    for line in signed:
        if line.verdict is Verdict.FAILED and line.checkpoint not in proofs:
            console.print(Text(_held_back(line, agreed), style="bold"))
    show_stop(console, book)
    if proofs:
        return
    ready = next((k for k in keys if not lacks_of(agreed, book.standing, k)), None)
    if ready is not None:
        console.print(Text(f"next: {step_words(ready, agreed)}"))
    elif not keys:
        console.print(f"Every step is done: `knockon status {book.project} {book.job} --road`")
    else:
        console.print(f"No step can be done as things stand: `knockon next {book.project} {book.job}` says why")


def _held_back(failed: SignedLine, agreed: Agreed) -> str:
    """What may not be done until a check that failed passes."""
    # Its room is loaded only when it is needed: `done` and `record` have to be quick.
    from planner.export.plan_words import BLOCKS

    point = agreed.work.checkpoints[failed.checkpoint]
    held = "; ".join(BLOCKS.get(b, b) for b in point.blocks)
    again = f"put it right, then sign it again: knockon record check {point.id} READING"
    return f"until {point.title} passes: {held}; {again}"


def _unsigned(book: LogBook, key: str) -> list[str]:
    """Checks that are made with a step and that nobody has signed since."""
    piece = piece_of_key(book.plan(), key)
    checks = piece.checks if isinstance(piece, Toggle) else ()
    return [c for c in checks if c not in book.standing.signed]


def tell_undone(before: LogBook, after: LogBook, numbers: Sequence[int]) -> None:
    """Say what no longer counts, or counts again."""
    count_before, count_after = ({e.n for e in book.standing.entries} for book in (before, after))
    known = {e.n: e for e in after.entries}
    by = {e.cancels: n for n in numbers if isinstance(e := known[n], UndoLine)}
    by |= {e.cancels: by[n] for n in list(by) if isinstance(e := known[n], UndoLine)}
    with page() as console:
        for n in sorted(count_before - count_after):
            told = line_words(known[n], after.agreed)
            console.print(Text(f"{by.get(n, numbers[0]):>4}  line {n} does not count any more: {told}"))
            told = _resting(before, after, known[n])
            if told:
                console.print(indented(f"! done after it, and needed it: {told}", 6, "bold"))
        for n in sorted((count_after - count_before) & count_before.union(e.n for e in before.entries)):
            console.print(
                Text(f"{by.get(n, numbers[0]):>4}  line {n} counts again: {line_words(known[n], after.agreed)}")
            )


def _resting(before: LogBook, after: LogBook, line: Entry) -> str:
    """Steps that stay done though they needed a line that does not count any more; empty when it was said twice."""
    if before.agreed is None or after.agreed is None or _still_so(after, line):
        return ""
    done = after.standing.done
    keys = [k for k in resting_on(before.agreed, before.standing, line) if k in done]
    told = [step_words(k, after.agreed) for k in keys[:MOST_RESTING]]
    if len(keys) > len(told):
        told.append(f"and {len(keys) - len(told)} more")
    return "; ".join(told)


def _still_so(after: LogBook, line: Entry) -> bool:
    """Whether another line says the same as one that was taken back."""
    match line:
        case SignedLine():
            return after.standing.is_passed(line.checkpoint)
        case DoneLine():
            return line.key in after.standing.done
        case SkippedLine():
            return step_of_key(line.key).ref in after.standing.finished
        case ArrivedLine():
            return line.buy in after.standing.arrived
        case SettledLine():
            return line.question not in {q.id for q in open_questions(after.plan(), after.standing)}
        case _:
            return False


def _numbered(n: int, text: str) -> Table:
    """A line of the log with its number, wrapped beside it."""
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(justify="right", width=4, no_wrap=True)
    grid.add_column(ratio=1)
    grid.add_row(str(n), Text(text))
    return grid
