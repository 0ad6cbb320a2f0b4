"""The step at hand on the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.text import Text

from planner.cli.ahead import Ahead, ahead_of
from planner.cli.current import way_back
from planner.cli.show_look import held_count, question_lines, show_stop
from planner.cli.terminal import indented, page
from planner.log import lacks_of, piece_of_key, unproved, unsigned, waits_until
from planner.log.bags import bag_of
from planner.log.questions import open_questions
from planner.log.rests import MAKING
from planner.log.rewatched import was_short
from planner.log.signing import in_words
from planner.log.words import line_words, proof_words, step_words
from planner.model.log import SignedLine
from planner.model.steps import mending_id, step_of_key, whole_steps
from planner.model.work import Checkpoint, Task, Toggle
from planner.units.spoken import hands_words, moment_words

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.model.plan import Slot

MOST = 3
"""So many things that a step waits for are named."""
DEFER = "A home builder's aid, not an approval: local rules, inspection and qualified people decide."


def show_next(book: LogBook, count: int, now: datetime, changed: Sequence[str]) -> None:
    """Print the next step whole, the ones after it by name, and what waits for what."""
    agreed = book.plan()
    ahead = ahead_of(book, count)
    keys = ahead.keys
    with page() as console:
        console.print(Text(f"{agreed.project}: {agreed.job}", style="bold"))
        done, left = whole_steps(book.standing.done, keys)
        console.print(f"{done} step{'' if done == 1 else 's'} done, {left} to go.")
        if ahead.over:
            _over(console, book, ahead)
            if keys:
                console.print(Text(f"{way_back(book)[0].upper()}{way_back(book)[1:]}", style="dim"))
            return
        _unsigned(console, book)
        show_stop(console, book)
        _warn(console, book, keys, now, changed)
        if not keys:
            _end(console, book)
            return
        _questions(console, book, keys)
        _prove(console, book, ahead.proofs)
        if ahead.ready:
            _whole(console, book, ahead.ready)
        elif not ahead.proofs:
            console.print(Text("No step can be done as things stand:", style="bold"))
        _others(console, book, ahead.others)
        console.print(Text(f"\n{DEFER}", style="dim"))


def _end(console: Console, book: LogBook) -> None:
    console.print("Every step is done.")
    console.print(f"`knockon status {book.project} {book.job} --road` says whether it may go on the road;")
    console.print(f"`knockon adopt {book.project} {book.job}` writes what was built into vehicle.yaml.")


def _questions(console: Console, book: LogBook, keys: Sequence[str]) -> None:
    """What has to be settled on the vehicle, as long as there is a step that makes something."""
    agreed = book.plan()
    count = len(open_questions(agreed, book.standing))
    if count and any(isinstance(p := piece_of_key(agreed, k), Task) and p.work in MAKING for k in keys):
        told = "1 open question" if count == 1 else f"{count} open questions"
        held = held_count(book)
        waits = f" ({held} step{' waits' if held == 1 else 's wait'} for that)" if held else ""
        where = f"knockon status {book.project} {book.job}"
        console.print(Text(f"! {told}, to be settled before metal is cut{waits}: `{where}` tells them"))
        if held:
            console.print(indented("settle one with: knockon record settled QUESTION ANSWER"))


def _prove(console: Console, book: LogBook, proofs: Sequence[str]) -> None:
    """Put before any step the checks that the state of the vehicle rests on."""
    agreed = book.plan()
    for check in proofs:
        console.print()
        console.print(Text(proof_words(check, agreed, book.standing.signed.get(check)), style="bold"))
        console.print(indented(check_words(agreed.work.checkpoints[check])))


def _over(console: Console, book: LogBook, ahead: Ahead) -> None:
    """A job that was adopted is over; what it left open holds the road, whichever job is worked on next."""
    if not ahead.owed:
        console.print("This job was adopted: vehicle.yaml describes it as built. It is over.")
        return
    console.print("This job was adopted: vehicle.yaml describes it as built.")
    for line in ahead.stop:
        console.print(Text(line, style="bold"))
    for one in ahead.owed[:MOST]:
        console.print(indented(f"{one.what}{f': {one.why}' if one.why else ''}"))
    console.print(
        Text(
            f"each is a check of the next job's plan; or sign it here: knockon record check NAME READING "
            f"--in {book.project} --job {book.job}",
            style="dim",
        )
    )


def _unsigned(console: Console, book: LogBook) -> None:
    agreed = book.plan()
    told = unproved(agreed, book.standing)
    for check in (c for c in unsigned(agreed, book.standing) if c not in told):
        title = agreed.work.checkpoints[check].title
        console.print(Text(f"! CHECK {title} is not signed: knockon record check {check} READING"))


def _warn(console: Console, book: LogBook, keys: Sequence[str], now: datetime, changed: Sequence[str]) -> None:
    """Whatever makes the agreed plan less than it was."""
    agreed = book.plan()
    planned = {step_of_key(k).ref for k in agreed.keys}
    again = [k for k in keys if step_of_key(k).ref not in planned]
    told = [f"`{name}` was changed after the plan was agreed" for name in changed]
    told += [
        f"not in the plan yet: {line_words(f, agreed)}" for f in book.standing.found if f.id not in agreed.work.tasks
    ]
    told += [f"to be done again and not in the plan: {step_words(k, agreed)}" for k in again]
    told += [
        f"{_failed(book, task)}: {step_words(task, agreed)}"
        for task in book.standing.mending
        if task not in book.standing.finished and not _mended(book, task)
    ]
    slot = _slot(book, keys[0]) if keys else None
    if slot is not None and slot.end < now:
        told.append(f"the next step was planned for {moment_words(slot.start)}")
    for line in told:
        console.print(Text(f"! {line}"))
    if told:
        console.print(f"`knockon replan {book.project} {book.job}` plans what is left from here.")


def _failed(book: LogBook, task: str) -> str:
    """What a failure asks for: of a watch that was only too short, nothing is to be put right."""
    line, known = book.standing.mending[task], book.plan().work.tasks.get(task)
    point = None if known is None else book.plan().work.checkpoints.get(known.checkpoint or "")
    short = point is not None and isinstance(line, SignedLine) and was_short(point, line)
    return "it was watched too short a time, watch on" if short else "it failed and has to be put right"


def _mended(book: LogBook, task: str) -> bool:
    """Whether the plan already has what puts a failure right."""
    mend = mending_id(task, book.standing.failures[task])
    return mend in book.plan().work.tasks or bool(book.standing.mending[task].redo)


def _slot(book: LogBook, key: str) -> Slot | None:
    agreed = book.plan()
    return dict(zip(agreed.keys, agreed.plan.slots, strict=True)).get(key)


def _whole(console: Console, book: LogBook, key: str) -> None:
    agreed = book.plan()
    piece = piece_of_key(agreed, key)
    if piece is None:
        return
    slot = _slot(book, key)
    console.print()
    console.print(Text(step_words(key, agreed), style="bold"))
    planned = piece.minutes if slot is None else int((slot.end - slot.start).total_seconds()) // 60
    # What is only watched once more takes less than was planned for the whole of it.
    minutes = min(planned, piece.minutes)
    console.print(f"   {minutes} min, {hands_words(piece.hands)}")
    for line in _lines(book, key, piece):
        console.print(indented(line))
    for caution in piece.cautions:
        console.print(indented(f"! {caution}", style="bold"))
    for check in _checks(piece):
        console.print(indented(f"CHECK {check_words(agreed.work.checkpoints[check])}", style="bold"))
    number = agreed.named.get(key, "")
    wants = " READING" if isinstance(piece, Task) and piece.checkpoint is not None else ""
    verb = "record check" if wants else "done"
    console.print(Text(f"   then: knockon {verb} {number}{wants}", style="dim"))


def _lines(book: LogBook, key: str, piece: Task | Toggle) -> list[str]:
    agreed = book.plan()
    why = dict(zip(agreed.keys, agreed.plan.why, strict=True)).get(key, "")
    lines = [why] if why else []
    lines += [f"- {line}" for line in (piece.steps if isinstance(piece, Toggle) else piece.notes)]
    if piece.tools:
        lines.append(f"tools: {', '.join(piece.tools)}")
    bag = bag_of(agreed, book.standing, key)
    if bag:
        lines.append(bag)
    return lines + [f"wait: {line}" for line in waits_until(agreed, book.standing, key)]


def _checks(piece: Task | Toggle) -> tuple[str, ...]:
    if isinstance(piece, Toggle):
        return piece.checks
    return (piece.checkpoint,) if piece.checkpoint is not None else ()


YES_PASSES = "yes: it is so, and passes; no: it is not"


def check_words(point: Checkpoint) -> str:
    """A checkpoint's measure, limit and caution."""
    counted = point.unit if point.is_counted else ""
    count = f"read in {counted}" if counted else ""
    if counted and point.beside:
        count = "" if in_words(point) else f"{count}, then yes if all else is so as well: 'NUMBER yes'"
    told = " or ".join(t for t in (YES_PASSES if in_words(point) else "", count) if t)
    unit = f" ({told})" if told else ""
    return f"{point.title}: {point.measure}. Limit: {point.limit}{unit}. {point.caution}".strip()


def _others(console: Console, book: LogBook, keys: Sequence[str]) -> None:
    agreed = book.plan()
    if keys:
        console.print("\nafter that" if len(keys) > 1 else "")
    for key in keys:
        lacking = lacks_of(agreed, book.standing, key)
        console.print(indented(step_words(key, agreed)))
        if lacking:
            told = [one.words for one in lacking[:MOST]]
            more = f" and {len(lacking) - MOST} more" if len(lacking) > MOST else ""
            console.print(indented(f"waits for {'; '.join(told)}{more}", 6, "dim"))


def next_json(book: LogBook, count: int) -> dict[str, Any]:
    """The next steps as plain data: the one that can be done now first, as on the terminal."""
    agreed = book.plan()
    ahead = ahead_of(book, count)
    done, left = whole_steps(book.standing.done, ahead.keys)
    return {
        "job": agreed.job,
        "done": done,
        "to_go": left,
        "over": ahead.over,
        "prove_first": list(ahead.proofs),
        "stop": " ".join(line.removeprefix("STOP: ") for line in ahead.stop),
        "questions": question_lines(book),
        "steps": [_step_json(book, k) for k in ahead.told],
    }


def _step_json(book: LogBook, key: str) -> dict[str, Any]:
    agreed = book.plan()
    piece = piece_of_key(agreed, key)
    slot = _slot(book, key)
    return {
        "key": key,
        "number": agreed.named.get(key),
        "title": key if piece is None else piece.title,
        "minutes": None if piece is None else piece.minutes,
        "hands": None if piece is None else piece.hands,
        "planned": None if slot is None else slot.start.isoformat(),
        "tools": [] if piece is None else list(piece.tools),
        "cautions": [] if piece is None else list(piece.cautions),
        "checkpoints": [] if piece is None else list(_checks(piece)),
        "waits_for": [one.text for one in lacks_of(agreed, book.standing, key)],
    }
