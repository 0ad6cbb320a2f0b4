"""Work that was done and that the job does not ask for any more: by an update of the program, or by its files."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop, listed

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.model.bygone import Bygone
    from planner.model.standing import Agreed
    from planner.model.work import WorkList

MOST_LOST = 8


def is_updated(agreed: Agreed) -> bool:
    """Whether a plan was made by another program than this one."""
    from planner.cli.program import program_digest

    return agreed.made_by != program_digest()


def bygone_in(work: WorkList, book: LogBook) -> tuple[Bygone, ...]:
    """What was done and is no work of today's, where this program is another than the one that planned it.

    Parameters
    ----------
    work : WorkList
        The whole of it, with what puts failures right.
    book : LogBook

    Raises
    ------
    Stop
        The same program planned it: then it is the job's files, or a size, that do not ask for it any more. What was
        taken off would not go back, and what was cut, made or opened would not be proved.
    """
    from planner.work import bygone_of, strange_to

    agreed = book.agreed
    if agreed is None:
        return bygone_of(work, None, book.standing) if book.lost else ()
    if is_updated(agreed):
        return bygone_of(work, agreed, book.standing)
    _see_known(work, agreed, book)
    return strange_to(work, agreed, book.standing)


def bygone_lines(bygones: tuple[Bygone, ...], book: LogBook) -> Iterator[str]:
    """In words, once: what was done and is no step any more, and what becomes of it."""
    from planner.units.spoken import day_words

    known = {b.ref for b in ([] if book.agreed is None else book.agreed.bygone)}
    fresh = [b for b in bygones if b.ref not in known]
    if fresh and (book.agreed is None or is_updated(book.agreed)):
        yield "knockon was updated since that plan was agreed"
    for one in fresh:
        done = f"{one.title} (line {one.n}, {day_words(one.at)})"
        if one.carried:
            yield f"{done}: goes on as it was agreed, nothing else puts it right"
        else:
            yield f"{done}: stays in the log, counts for no step and no check of the new plan"
    if any(not one.carried for one in fresh):
        yield "one step looks these over before anything is started or driven"
    if fresh:
        said, back = sizes_since(book)
        yield from (f"if it is not the update but what was measured ({said}): {back}" for _ in fresh[:1] if said)


def _see_known(work: WorkList, agreed: Agreed, book: LogBook) -> None:
    from planner.model.steps import known_as, step_of_key

    before, standing, told = agreed.work, book.standing, {b.ref for b in agreed.bygone}
    lost = [
        f"{before.features[f].name}: {'yes' if on else 'no'}, and the job does not say what becomes of it"
        for f, on in standing.states.items()
        if f in before.features and f not in told and known_as(f, work.features) not in work.features
        if on is not before.features[f].start
    ]
    made = {step_of_key(k).ref for k in standing.done if step_of_key(k).on is None} - told
    lost += [
        f"`{before.tasks[t].title}` was done, and the job does not know of it"
        for t in sorted(made)
        if t in before.tasks and t not in work.tasks and (before.tasks[t].effect or before.tasks[t].checkpoint)
    ]
    if lost:
        words = listed(lost, MOST_LOST, rest=True)
        hint = "put it back into the job's file; or undo the lines, if it was never done (`status --log`)"
        said, back = sizes_since(book)
        asks = "the job's file does not ask for" if not said else "the job does not ask for"
        with_sizes = f"with {said}: " if said else ""
        first = f"take back what was measured wrong: {back}; else " if back else ""
        raise Stop(Exit.FAULTS, f"{with_sizes}work was done that {asks} any more:{words}", f"{first}{hint}")


def sizes_since(book: LogBook) -> tuple[str, str]:
    """Sizes of the log that the agreed plan was not made with, and how each is taken back; both empty without any."""
    from planner.log.sizes import made_with
    from planner.model.log import SizeLine

    known = {} if book.agreed is None else made_with(book.agreed, book.standing)
    lines = {e.size: e for e in book.standing.entries if isinstance(e, SizeLine)}
    fresh = [e for e in lines.values() if known.get(e.size) != e.value]
    if not fresh:
        return "", ""
    told = ", ".join(f"{e.size} as measured, {e.value} (line {e.n})" for e in fresh)
    undo = " or ".join(f"knockon undo {e.n} --in {book.project} --job {book.job}" for e in fresh)
    return told, undo
