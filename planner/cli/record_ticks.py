"""Ticks and readings made in the job book, taken into the log as far as they hold."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.cli.doing import lines_for
from planner.cli.ending import Exit, Stop
from planner.cli.logbook import LogBook
from planner.cli.moments import see_after_its_work
from planner.cli.options import Where
from planner.cli.signing import Told, signed_line
from planner.cli.terminal import say
from planner.cli.writing import written
from planner.log import open_keys
from planner.log.signing import task_of
from planner.log.words import step_words
from planner.model.log import DoneLine, Line

LARGEST_BYTES = 4_000_000
LONGEST = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One line of the book's file: a step ticked, or a checkpoint's reading."""

    at: datetime
    step: str = ""
    check: str = ""
    text: str = ""
    by: str = ""


def take_ticks(file: Path, project: Path, job: str) -> None:
    """Take in what holds, in the order of the moments, and tell what does not."""
    ticks = list(_ticks(_text(file), str(file)))
    refused: list[str] = []

    def decide(known: LogBook) -> Sequence[Line]:
        refused.clear()
        return _lines(known, ticks, refused)

    written(Where(project, job, None), decide)
    for line in refused:
        say(f"not taken: {line}", err=True)
    if refused:
        kept = "and nothing was written" if len(refused) == len(ticks) else "the others are in the log"
        raise Stop(Exit.FAULTS, f"{len(refused)} of {len(ticks)} ticks were not taken, {kept}", "knockon next")


def _text(file: Path) -> str:
    if str(file) == "-":
        return sys.stdin.read(LARGEST_BYTES)
    if not file.is_file():
        raise Stop(Exit.FILE, f"{file}: there is no such file", "save it from the book first")
    if file.stat().st_size > LARGEST_BYTES:
        raise Stop(Exit.FILE, f"{file}: {file.stat().st_size} bytes are no ticks of ours", f"at most {LARGEST_BYTES}")
    try:
        return file.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        raise Stop(Exit.FILE, f"{file}: it is no text", "save it from the book once more") from error


def _ticks(text: str, name: str) -> Iterable[Tick]:
    """Every line of the file; one that is none of ours ends the command before anything is written."""
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        try:
            data: Any = json.loads(line)
            yield _tick(data)
        except (ValueError, TypeError, KeyError, RecursionError) as error:
            raise Stop(Exit.FAULTS, f"{name}:{number}: this is no tick: {error}", "nothing was written") from error


def _tick(data: Any) -> Tick:  # noqa: ANN401  # whatever the line holds
    if not isinstance(data, dict) or data.get("v") != 1:
        raise ValueError('it does not say "v": 1')
    words = {k: data.get(k, "") for k in ("tick", "value", "text", "by")}
    if any(not isinstance(w, str) or len(w) > LONGEST for w in words.values()):
        raise ValueError(f"its words are texts of at most {LONGEST} letters")
    if bool(words["tick"]) is bool(words["value"]):
        raise ValueError("it names a step or a checkpoint")
    at = datetime.fromisoformat(data["at"]).replace(tzinfo=None)
    return Tick(at=at, step=words["tick"], check=words["value"], text=words["text"], by=words["by"])


def _lines(book: LogBook, ticks: Sequence[Tick], refused: list[str]) -> list[Line]:
    """Lines for all ticks that hold, each given those before it, until no more of them do.

    Work may be ticked in another order than it was done in; a check that was signed before its work is not taken.
    """
    lines: list[Line] = []
    waiting = [t for t in ticks if not (t.step and t.step in book.standing.done)]
    rank = {k: i for i, k in enumerate(open_keys(book.plan(), book.standing))}
    waiting.sort(key=lambda t: (t.at, rank.get(t.step or f"check.{t.check}", len(rank))))
    taken = True
    told: dict[Tick, str] = {}
    while taken:
        taken = False
        for tick in list(waiting):
            try:
                new = _line(book.extended(lines), tick)
            except Stop as stop:
                told[tick] = stop.message
                continue
            lines += [replace(line, at=tick.at) for line in new]
            waiting.remove(tick)
            taken = True
    refused += [_named(book, t, told[t]) for t in waiting]
    return lines


def _named(book: LogBook, tick: Tick, why: str) -> str:
    """Why a tick is not taken, behind its name where the reason does not begin with it."""
    point = book.plan().work.checkpoints.get(tick.check)
    name = step_words(tick.step, book.agreed) if tick.step else tick.check if point is None else point.title
    return why if why.startswith((name, *_step_of(book, tick.check))) else f"{name}: {why}"


def _step_of(book: LogBook, check: str) -> tuple[str, ...]:
    task = task_of(book.plan(), check)
    return () if task is None else (step_words(task.id, book.agreed),)


def _line(book: LogBook, tick: Tick) -> list[Line]:
    if tick.step:
        found = lines_for(book, tick.step, "")
        for line in found:
            if isinstance(line, DoneLine):
                see_after_its_work(book, line, tick.at)
        return found
    last = book.standing.signed.get(tick.check)
    if last is not None and last.at > tick.at:
        raise Stop(Exit.USAGE, f"it was signed later, {last.at:%Y-%m-%d %H:%M}", "sign it once more if it still holds")
    if not tick.by.strip():
        raise Stop(Exit.USAGE, "nobody signed it", "write initials beside the reading")
    told = Told(reading=tick.text, by=tick.by, failed="", waived="", redo=(), alone=False)
    signed = signed_line(book, tick.check, told)
    see_after_its_work(book, signed, tick.at)
    return [signed]
