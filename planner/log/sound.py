"""Lines of a log as what they say, and what no line of ours says: a moment of another age, a session that ends first.

Whatever is wrong with a line is told with its place in the file; nothing of a log that has such a line is used.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from planner.finding import Finding, Place, Severity
from planner.log.entries import entry_of
from planner.log.frozen import MisfitError
from planner.model.log import (
    BrokenLine,
    DoneLine,
    Entry,
    ExtraLine,
    FailedLine,
    FoundLine,
    Line,
    LostLine,
    OrderedLine,
    SettledLine,
    SkippedLine,
    UndoLine,
)
from planner.model.words import FIRST_YEAR, LAST_YEAR, MOST_DAYS, MOST_HANDS, MOST_MIN, MOST_PRICE

LEAST_PACE, MOST_PACE = 0.01, 100.0
"""Factors on minutes outside these are a slip."""
MOST_TOOK_MIN = 10**7
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,79}")


def entries_of(found: Sequence[Mapping[str, Any]], path: Path) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """What the lines of a log say.

    Parameters
    ----------
    found : sequence of mapping
        Lines as they were read from ``path``.
    path : Path
        The log, to tell the place of a line that is none of ours.

    Returns
    -------
    entries : tuple of Entry
        Of the lines without fault.
    findings : tuple of Finding
        One error for each thing that is wrong.
    """
    entries: list[Entry] = []
    faulty: list[tuple[Any, str]] = []
    for data in found:
        try:
            entry = entry_of(data)
        except MisfitError as error:
            faulty.append((data.get("n"), str(error)))
            continue
        faults = list(faults_of(entry))
        faulty += [(entry.n, told) for told in faults]
        if not faults:
            entries.append(entry)
    places = _places(path, [n for n, _ in faulty]) if faulty else {}
    return tuple(entries), tuple(_finding(path, places.get(n, 0), told) for n, told in faulty)


def faults_of(entry: Line) -> Iterator[str]:
    """What a line says that cannot be, each thing in words.

    A line that is not written yet has no number, and may have no moment: those are given when it is.
    """
    if entry.n or entry.at != datetime.min:  # noqa: DTZ901  # the default of a line without one
        yield from _moment("at", entry.at)
    if entry.batch and not 0 < entry.batch <= (entry.n or entry.batch):
        yield f"`batch`: {entry.batch} is no line before it"
    match entry:
        case DoneLine() | SkippedLine() | FailedLine() if not entry.key:
            yield "`key` names no step"
        case FoundLine() | BrokenLine() if not _ID.fullmatch(entry.id):
            yield "`id` is no id"
        case UndoLine() if entry.cancels < 1 or 0 < entry.n <= entry.cancels:
            yield f"`cancels`: {entry.cancels} is no line before it"
        case SettledLine() if not (entry.question and entry.answer.strip()):
            yield "`question` and `answer`: one of them is empty"
        case _:
            pass
    yield from _amounts(entry)


def _amounts(entry: Line) -> Iterator[str]:
    match entry:
        case DoneLine():
            yield from _within("guess_min", entry.guess_min, 0, MOST_MIN)
            yield from _within("pace", entry.pace, LEAST_PACE, MOST_PACE)
            yield from _within("took_min", entry.took_min or 0, 0, MOST_TOOK_MIN)
        case FoundLine():
            yield from _within("minutes", entry.minutes, 1, MOST_MIN)
            yield from _within("hands", entry.hands, 1, MOST_HANDS)
        case BrokenLine():
            yield from _within("minutes", entry.minutes, 0, MOST_MIN)
            yield from _within("lead_days", entry.lead_days, 0, MOST_DAYS)
            yield from _within("price", entry.price, 0, MOST_PRICE)
        case OrderedLine():
            yield from _year("due", entry.due)
        case LostLine():
            yield from _year("day", entry.day)
        case ExtraLine():
            yield from _year("day", entry.day)
            yield from _within("hands", entry.hands, 1, MOST_HANDS)
            yield from _hours(entry)
        case _:
            pass


def _hours(entry: ExtraLine) -> Iterator[str]:
    if entry.start.tzinfo is not None or entry.end.tzinfo is not None:
        yield "`start` and `end` have a time zone: times are those of the workshop's clock"
    elif entry.end <= entry.start:
        yield f"`end`: {entry.end:%H:%M} is not after {entry.start:%H:%M}"


def _moment(name: str, at: datetime) -> Iterator[str]:
    if at.tzinfo is not None:
        yield f"`{name}` has a time zone: times are those of the workshop's clock"
    yield from _year(name, at)


def _year(name: str, day: date) -> Iterator[str]:
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        yield f"`{name}`: the year {day.year} is in no time of ours, from {FIRST_YEAR} to {LAST_YEAR}"


def _within(name: str, value: float, least: float, most: float) -> Iterator[str]:
    if not least <= value <= most:
        yield f"`{name}`: {value:g} is not from {least:g} to {most:g}"


def _places(path: Path, numbers: Sequence[Any]) -> dict[Any, int]:
    """Line of the file of each numbered line of the log; read again, because only a faulty log asks for it."""
    wanted, found = set(numbers), dict[Any, int]()
    for place, text in enumerate(path.read_bytes().split(b"\n"), start=1):
        try:
            data = json.loads(text)
        except (ValueError, RecursionError):
            continue
        n = data.get("n") if isinstance(data, dict) else None
        if isinstance(n, int) and n in wanted:
            found.setdefault(n, place)
    return found


def _finding(path: Path, line: int, told: str) -> Finding:
    place = Place(path.as_posix(), line, 1) if line else Place(path.as_posix())
    hint = "the line was not written by us: put the file back from a copy"
    return Finding(code="log-line", severity=Severity.ERROR, message=told, place=place, hint=hint)
