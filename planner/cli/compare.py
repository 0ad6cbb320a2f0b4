"""`knockon compare`: the options of a job, or what-ifs, side by side."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.ending import Exit, Stop
from planner.cli.options import FromOption, tell_read, today
from planner.cli.plan import first_day
from planner.units.spoken import day_words

if TYPE_CHECKING:
    from planner.cli.planning import Outline
    from planner.cli.show_compare import Case
    from planner.model.answer import Answer
    from planner.model.catalog import Catalog
    from planner.model.job import Job, Session
    from planner.model.vehicle import Vehicle
    from planner.model.work import WorkList

    Change = Callable[[Job, WorkList], tuple[Job, WorkList]]

_LIMIT_S = 8.0


def compare(
    project: Annotated[Path, typer.Argument(help="Folder with vehicle.yaml and jobs/.")],
    job: Annotated[str, typer.Argument(help="A job of the project.")],
    option: Annotated[str, typer.Option(help="Ask the what-ifs of this option of the job.")] = "",
    helper: Annotated[
        list[str] | None,
        typer.Option(help="What if there were one more pair of hands on this day: sun 20 dec, or every sun."),
    ] = None,
    session: Annotated[
        list[str] | None,
        typer.Option(help="What if there were this session too: 'sat 19 dec 9-13 2', 'sat & sun 10-16'."),
    ] = None,
    late: Annotated[
        list[str] | None,
        typer.Option(help="What if a purchase, or what is bought for a part, came N days later: ID=N."),
    ] = None,
    without_wishes: Annotated[
        bool, typer.Option("--without-wishes", help="What if nothing had to be left in.")
    ] = False,
    from_day: FromOption = None,
    limit_s: Annotated[float, typer.Option("--limit", help="Seconds for each plan.")] = _LIMIT_S,
    as_json: Annotated[bool, typer.Option("--json", help="The same as JSON.")] = False,
) -> None:
    """Compare the options of a job, or what would change the date, side by side."""
    from planner.cli.loading import catalog_read, job_read, job_written, vehicle_read
    from planner.cli.show_compare import cases_json, show_cases

    catalog = catalog_read()
    vehicle = vehicle_read(project, catalog)
    found = job_written(project, job, vehicle, catalog)
    begin = first_day(from_day)
    first = begin if found.start is None else max(begin, found.start)
    changes = _changes(helper or [], session or [], late or [], first)
    if changes or without_wishes or option or not found.options:
        base = job_read(project, job, vehicle, catalog, option)
        cases = _what_ifs(vehicle, base, catalog, changes, today=begin, limit_s=limit_s, lift=without_wishes)
    else:
        cases = _options(vehicle, found, catalog, today=begin, limit_s=limit_s)
    if as_json:
        typer.echo(json.dumps(cases_json(found, cases), indent=1, ensure_ascii=False))
    else:
        show_cases(vehicle, found, cases)
    if any(c.answer is not None and c.answer.violations for c in cases):
        raise Stop(Exit.BUG, "the independent checker does not accept one of these plans", "do not work from it")


def _options(vehicle: Vehicle, job: Job, catalog: Catalog, *, today: date, limit_s: float) -> list[Case]:
    """A case for each option; one that has no place says why."""
    from planner.cli.planning import planned
    from planner.cli.show_compare import Case

    cases = []
    for name, option in job.options.items():
        title = f"{name}: {option.name}"
        try:
            answer = planned(vehicle, job.taking(name), catalog, today=today, limit_s=limit_s)
        except Stop as stop:
            cases.append(Case(title=title, answer=None, trouble=stop.message))
        else:
            cases.append(Case(title=title, answer=answer))
    return cases


def _what_ifs(
    vehicle: Vehicle,
    job: Job,
    catalog: Catalog,
    changes: dict[str, Change],
    *,
    today: date,
    limit_s: float,
    lift: bool,
) -> list[Case]:
    """The plan as it is, then a case for each what-if, then all of them together."""
    from planner.cli.planning import outlined, planned
    from planner.cli.show_compare import Case
    from planner.order import without_wishes

    outline = outlined(vehicle, job, catalog)
    for change in changes.values():
        _changed(outline, [change])
    cases = [Case(title="as planned", answer=_timed(outline, catalog, [], today=today, limit_s=limit_s))]
    for title, change in changes.items():
        cases.append(Case(title=title, answer=_timed(outline, catalog, [change], today=today, limit_s=limit_s)))
    if len(changes) > 1:
        every = _timed(outline, catalog, list(changes.values()), today=today, limit_s=limit_s)
        cases.append(Case(title="all of these together", answer=every))
    if lift:
        free = planned(vehicle, without_wishes(job), catalog, today=today, limit_s=limit_s)
        cases.append(Case(title="nothing has to be left in", answer=free))
    return cases


def _timed(outline: Outline, catalog: Catalog, changes: list[Change], *, today: date, limit_s: float) -> Answer:
    from planner.cli.planning import timed

    return timed(_changed(outline, changes), catalog, today=today, limit_s=limit_s)


def _changed(outline: Outline, changes: list[Change]) -> Outline:
    """What is to be done under changed circumstances; a change that cannot be is a slip of the pen."""
    from dataclasses import replace

    job, work = outline.job, outline.work
    for change in changes:
        try:
            job, work = change(job, work)
        except ValueError as error:
            raise Stop(Exit.USAGE, str(error)) from None
    return replace(outline, job=job, work=work)


def _changes(helpers: list[str], sessions: list[str], late: list[str], first: date) -> dict[str, Change]:
    """What-ifs by title, in the order asked; ``first`` is the first day of work."""
    from planner.order import with_late
    from planner.work import with_more_time

    found: dict[str, Change] = {}

    def longer(extra: Session) -> Change:
        return lambda job, work: (with_more_time(job, extra), work)

    def later(name: str, days: int) -> Change:
        return lambda job, work: (job, with_late(work, name, days))

    for text in helpers:
        found |= _helpers(text, first)
    for text in sessions:
        for extra in _sessions(text, first):
            found[f"a session on {day_words(extra.day)} {extra.start:%H:%M}-{extra.end:%H:%M}"] = longer(extra)
    for text in late:
        name, _, days = text.partition("=")
        if not days.isdecimal() or not 0 < int(days) <= _MOST_DAYS:
            raise Stop(Exit.USAGE, f"`--late {text}` is not ID=DAYS", "such as `--late brake-fluid=7`")
        found[f"`{name}` {days} days later"] = later(name, int(days))
    return found


def _helpers(text: str, first: date) -> dict[str, Change]:
    """A helper on one day, on several, or on a day of every week, by title."""
    from planner.order import with_helper
    from planner.work import with_helper_every

    def helped(day: date) -> Change:
        return lambda job, work: (with_helper(job, day), work)

    def helped_every(week: int) -> Change:
        return lambda job, work: (with_helper_every(job, week), work)

    weekly = _every(text)
    if weekly is not None:
        return {f"a helper every {weekly[0]}": helped_every(weekly[1])}
    return {f"a helper on {day_words(day)}": helped(day) for day in _days(text, first)}


_MOST_DAYS = 730


def _every(text: str) -> tuple[str, int] | None:
    """The day of every week that is meant, by name and number: `every sun`, `sundays`; None for one day."""
    from planner.units.day_text import DAYS, weekday_of

    word = " ".join(text.lower().split())
    day = word.removeprefix("every ").removeprefix("each ")
    week = weekday_of(day)
    if week is None or (day == word and day.rstrip(".") != f"{DAYS[week]}s"):
        return None
    return DAYS[week].capitalize(), week


def _days(text: str, first: date) -> tuple[date, ...]:
    from planner.cli.spoken_days import coming_days

    try:
        found = coming_days(text, today(), first)
    except ValueError as error:
        raise Stop(Exit.USAGE, str(error), "such as 2026-12-20 or sun 20 dec") from None
    tell_read(text, *(day_words(d) for d in found))
    return found


def _sessions(text: str, first: date) -> tuple[Session, ...]:
    from planner.cli.spoken_sessions import session_words, spoken_sessions

    try:
        found = spoken_sessions(text, today(), first)
    except ValueError as error:
        raise Stop(Exit.USAGE, str(error)) from None
    tell_read(text, *(session_words(s) for s in found))
    return found
