"""Options and arguments that the verbs of the log share; each is read by a parser of its own, which is quick."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Annotated, TypeVar

import typer

from planner.cli.completing import jobs
from planner.model.words import FIRST_YEAR, LAST_YEAR

DIGITS = 7


AnyDay = TypeVar("AnyDay", date, datetime)


def _in_time(found: AnyDay, text: str) -> AnyDay:
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise typer.BadParameter(f"{text!r} is in no time of ours: years go from {FIRST_YEAR} to {LAST_YEAR}")
    return found


def moment(text: str) -> datetime:
    """A moment as `--at` takes it."""
    for form in ("%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"):
        try:
            found = datetime.strptime(text, form)  # noqa: DTZ007  # wall-clock time of one workshop
        except ValueError:
            continue
        return _in_time(found, text)
    from planner.cli.spoken_days import spoken_moment
    from planner.units.spoken import day_words

    found = _in_time(_read(text, spoken_moment), text)
    tell_read(text, f"{day_words(found)} {found:%H:%M}")
    return found


def day_of(text: str) -> date:
    """A date, gone by or to come."""
    from planner.cli.spoken_days import spoken_day

    return _date(text, spoken_day)


def day_ahead(text: str, now: date | None = None) -> date:
    """A date to come, for which a day of the week is enough; ``now`` is the day it is told on, else today."""
    from planner.cli.spoken_days import coming_day

    return _date(text, coming_day, now)


def day_start(text: str) -> datetime:
    """The start of a day to come."""
    return datetime.combine(day_ahead(text), time())


def today() -> date:
    """The day it is in this place."""
    return datetime.now().astimezone().date()


def tell_read(text: str, *read: str) -> None:
    """Say how a day, a moment or a session was read, on stderr: it was told in words."""
    from planner.cli.terminal import say

    say(f"{text!r} read as {'; '.join(read)}", err=True)


def _date(text: str, reader: Callable[[str, date], date], now: date | None = None) -> date:
    try:
        return _in_time(date.fromisoformat(text), text)
    except ValueError:
        found = _in_time(_read(text, reader, now), text)
    from planner.units.spoken import day_words

    tell_read(text, day_words(found))
    return found


def _read(text: str, reader: Callable[[str, date], AnyDay], now: date | None = None) -> AnyDay:
    try:
        return reader(text, now or today())
    except ValueError as error:
        raise typer.BadParameter(str(error)) from error


def whole(value: str | int) -> int:
    """A whole number from 1 on; a default comes as one already."""
    text = str(value)
    if text.isascii() and text.isdigit() and 1 <= len(text) <= DIGITS and int(text) > 0:
        return int(text)
    raise typer.BadParameter(f"{text!r} is no whole number from 1 up")


def minutes(value: str | int) -> int:
    """A time by the clock in whole minutes: a bare number, or with its unit as a file takes it."""
    # In a time an `m` is a minute, as on any watch; in a file it would be a metre.
    text = re.sub(r"(?<=[0-9])\s*m$", " min", str(value).strip())
    if text.isascii() and text.isdigit():
        return whole(text)
    from planner.units import UnitError, parse_minutes

    try:
        return whole(parse_minutes(text))
    except UnitError as error:
        raise typer.BadParameter(f"{text!r} is no time: write the minutes, or such as 1 h 20 min") from error


def open_steps(ctx: typer.Context, incomplete: str) -> list[tuple[str, str]]:
    """Complete the number of a step that is not done, with its title; nothing where there is no agreed plan."""
    from planner.cli.ending import Stop
    from planner.cli.logbook import log_book
    from planner.log import open_keys, piece_of_key

    try:
        book = log_book(Path(ctx.params.get("project") or "."), ctx.params.get("job") or "")
        agreed = book.plan()
    except (Stop, OSError):
        return []
    named = (
        (str(agreed.named[k]), piece_of_key(agreed, k)) for k in open_keys(agreed, book.standing) if k in agreed.named
    )
    return [(n, "" if p is None else p.title) for n, p in named if n.startswith(incomplete)]


ProjectArgument = Annotated[
    Path, typer.Argument(parser=Path, metavar="[PROJECT]", help="Folder with vehicle.yaml and jobs/; else this folder.")
]
JobArgument = Annotated[
    str, typer.Argument(autocompletion=jobs, help="A job of the project; else the one that is being worked on.")
]
InOption = Annotated[
    Path, typer.Option("--in", parser=Path, metavar="FOLDER", help="Folder with vehicle.yaml and jobs/; else this one.")
]
JobOption = Annotated[
    str, typer.Option("--job", autocompletion=jobs, help="Which job; else the one that is being worked on.")
]
AtOption = Annotated[
    datetime | None,
    typer.Option("--at", parser=moment, metavar="MOMENT", help="When it was, 2026-05-02T09:30; else now."),
]
FromOption = Annotated[
    datetime | None,
    typer.Option("--from", parser=day_start, metavar="DAY", help="First day of work; else the job's own."),
]


@dataclass(frozen=True, slots=True)
class Where:
    """Which log a line goes to, and when it was."""

    project: Path
    job: str
    at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """Parts, links, cuts and own tasks that a piece of work found has to do with."""

    before: Sequence[str]
    after: Sequence[str]
    off: Sequence[str]
    fitted: Sequence[str]
