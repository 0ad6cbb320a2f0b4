"""Lines that say that steps are done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from planner.cli.beside import see_alone
from planner.cli.ending import Exit, Stop, listed
from planner.cli.handed_over import on_its_way
from planner.cli.logbook import LogBook
from planner.cli.moments import see_after_its_work
from planner.cli.naming import done_within, keys_named
from planner.cli.options import Where
from planner.cli.terminal import say
from planner.cli.writing import UNWRITTEN, written
from planner.log import lacks_of, piece_of_key
from planner.log.words import step_words
from planner.model.log import ArrivedLine, DoneLine, FailedLine, Line, NoteLine
from planner.model.steps import is_mending, mending_id, put_right_by, step_of_key
from planner.model.work import Task
from planner.units.spoken import day_words

if TYPE_CHECKING:
    from planner.log import Lack
    from planner.model.standing import Agreed


def mark_done(where: Where, steps: Sequence[str], took_min: int | None, anyway: str) -> None:
    """Write down that steps are done, and say what comes next."""
    told: list[str] = []

    def decide(known: LogBook) -> Sequence[Line]:
        lines: list[Line] = []
        told.clear()
        if took_min is not None:
            _see_all_open(known, steps)
        keys = keys_named(known, steps)
        for place, key in enumerate(keys):
            try:
                new = lines_for(known.extended(lines), key, anyway)
                for line in (e for e in new if isinstance(e, DoneLine)):
                    see_after_its_work(known, line, where.at)
                lines += new
            except Stop as stop:
                raise _in_part(known, stop, keys, place) from stop
            told.extend(_failed_before(known, key))
        return _timed(lines, took_min)

    written(where, decide)
    for line in told:
        say(line)


def _in_part(book: LogBook, stop: Stop, keys: Sequence[str], place: int) -> Stop:
    """The same ending, saying that the steps before it are not written down either, and how they would be."""
    if len(keys) == 1:
        return stop
    named = book.plan().named
    could = ",".join(str(named.get(k, k)) for k in keys[:place])
    first = f"; those before it can be: knockon done {could}" if could else ""
    return Stop(stop.code, f"{UNWRITTEN} of these {len(keys)} steps: {stop.message}", f"{stop.hint}{first}")


def _see_all_open(book: LogBook, steps: Sequence[str]) -> None:
    """Minutes by the clock are for all the steps named: none of them may be passed over as done already."""
    over = done_within(book, steps)
    if over:
        told = listed(step_words(k, book.plan()) for k in over)
        hint = "name the steps that the minutes are for"
        raise Stop(Exit.USAGE, f"--took is shared out among the steps named, and these are done already:{told}", hint)


def lines_for(book: LogBook, key: str, anyway: str) -> list[Line]:
    """The lines that say that a step is done; ends the command when it cannot be, or is already."""
    agreed = book.plan()
    if key in book.standing.done:
        raise Stop(Exit.USAGE, f"{step_words(key, agreed)} is done already", _again(book, key))
    piece = piece_of_key(agreed, key)
    if piece is None:
        raise _no_more(book, key)
    if isinstance(piece, Task) and piece.checkpoint is not None:
        point = agreed.work.checkpoints[piece.checkpoint]
        raise Stop(
            Exit.USAGE,
            f"{step_words(key, agreed)}: it is done when its check is signed (limit: {point.limit})",
            f"knockon record check {agreed.named.get(key, key)} READING --by INITIALS",
        )
    see_alone(book, step_of_key(key).ref)
    lacking = lacks_of(agreed, book.standing, key)
    open_ = [one for one in lacking if not one.parcel]
    if open_ and (not anyway or any(one.gate for one in open_)):
        raise _waiting(step_words(key, agreed), open_)
    lines: list[Line] = [ArrivedLine(buy=one.parcel) for one in lacking if one.parcel]
    minutes = _planned_min(agreed, key, piece.minutes)
    factor = agreed.pace.get(piece.work.value, 1.0)
    lines.append(DoneLine(key=key, guess_min=minutes, work=piece.work.value, pace=factor))
    lines += on_its_way(book, piece)
    if open_:
        lines.append(NoteLine(text=f"done out of order: {anyway}", of=key))
    return lines


def _no_more(book: LogBook, key: str) -> Stop:
    """A step of an earlier plan that the agreed one does not have, told by what it was and not by its inside name."""
    agreed, ref = book.plan(), step_of_key(key).ref
    number = agreed.named.get(key, "")
    failed = agreed.work.tasks.get(put_right_by(ref)) if is_mending(ref) else None
    if failed is None:
        return Stop(Exit.USAGE, f"step {number or key} is no step of the agreed plan any more", "knockon next")
    told = f"{number} Put right what failed: {failed.title}".strip()
    again = [t for t in book.standing.reopened if t in agreed.work.tasks]
    instead = listed(step_words(_first_key(agreed, t), agreed) for t in again)
    why = f"; this puts it right instead:{instead}" if again else ": it has been put right since"
    return Stop(Exit.USAGE, f"{told} is no step any more{why}", "knockon next")


def _first_key(agreed: Agreed, task: str) -> str:
    return next((k for k in agreed.keys if step_of_key(k).ref == task), task)


def _failed_before(book: LogBook, key: str) -> list[str]:
    """A word on a trial that did not fit and that nothing in the plan puts right: done says that it fits now."""
    agreed, task = book.plan(), step_of_key(key).ref
    last = book.standing.mending.get(task)
    mended = mending_id(task, book.standing.failures.get(task, 0)) in agreed.work.tasks
    if not isinstance(last, FailedLine) or mended or last.redo:
        return []
    told = f"! {step_words(key, agreed)} did not fit on {day_words(last.at)} ({last.why}) and no step puts it right"
    return [f"{told}: done says that it fits now; if it does not, take it back: knockon undo"]


def _again(book: LogBook, key: str) -> str:
    """How a step that is done is done again."""
    agreed, line = book.plan(), book.standing.done[key]
    piece = piece_of_key(agreed, key)
    back = f"`knockon undo {line.n}` takes that back"
    number = agreed.named.get(key, key)
    if isinstance(piece, Task) and piece.checkpoint is not None:
        return f"`knockon record check {number} READING` signs it once more; {back}"
    if isinstance(piece, Task):
        return f"{back}; was the work no good, its trial says so: knockon record failed TRIAL WHY --redo {number}"
    return back


def _waiting(step: str, lacking: Sequence[Lack]) -> Stop:
    told = listed(one.words for one in lacking)
    if any(one.gate for one in lacking):
        return Stop(Exit.FAULTS, f"{step} waits for:{told}", "a checkpoint is never passed over")
    return Stop(Exit.FAULTS, f"{step} waits for:{told}", "do those first or name them too; or say why: --anyway WHY")


def _planned_min(agreed: Agreed, key: str, minutes: int) -> int:
    """Minutes of a step's slot: of a split task's part, that part's own."""
    slot = dict(zip(agreed.keys, agreed.plan.slots, strict=True)).get(key)
    return minutes if slot is None else int((slot.end - slot.start).total_seconds()) // 60


def _timed(lines: Sequence[Line], took_min: int | None) -> list[Line]:
    """Share the minutes by the clock out among the steps, as they were guessed."""
    steps = [e for e in lines if isinstance(e, DoneLine)]
    guess_min = sum(e.guess_min for e in steps)
    if took_min is None or not guess_min:
        return list(lines)
    shared: list[Line] = []
    left_min, left_guess = took_min, guess_min
    for line in lines:
        if isinstance(line, DoneLine) and left_guess:
            share = round(left_min * line.guess_min / left_guess)
            left_min, left_guess = left_min - share, left_guess - line.guess_min
            shared.append(replace(line, took_min=share))
        else:
            shared.append(line)
    return shared
