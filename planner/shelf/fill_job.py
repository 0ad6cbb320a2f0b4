"""From a job file to the job: names resolved against the vehicle as it stands and as it will be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Any

from planner.files import Document, Faults, JobFile, KeyPath
from planner.finding import Finding, sort_findings
from planner.finding.words import did_you_mean, quoted
from planner.model.catalog import Catalog
from planner.model.job import (
    USUAL_CURRENCY,
    Add,
    AddLink,
    Change,
    EndState,
    Grow,
    Job,
    Option,
    OwnTask,
    Purchase,
    Replace,
)
from planner.model.vehicle import Component, Link, Relation, Vehicle
from planner.shelf.bench import Bench
from planner.shelf.change_checks import check_changes, check_off
from planner.shelf.fill_change import Changes, call_roll
from planner.shelf.fill_diary import check_year, fill_pace, fill_purchases, fill_sessions
from planner.shelf.fill_relation import Around, fill_relation
from planner.shelf.fill_task import fill_tasks
from planner.shelf.fill_vehicle import catalog_ids
from planner.shelf.fill_wishes import Wished, check_session_lengths, fill_again, fill_end_states, fill_leave_in
from planner.shelf.guessed_sizes import warn_of_guessed_sizes
from planner.shelf.link_ends import see_ends
from planner.shelf.lone_members import warn_of_lone_members
from planner.shelf.sheets import OPTIONS, Content, Sheet, SheetFaults, check_twice, joined, kept, sheets_of


@dataclass(frozen=True, slots=True, kw_only=True)
class _Filled:
    """One sheet filled in, each entry with its place."""

    changes: list[tuple[KeyPath, Change]]
    tasks: list[tuple[KeyPath, OwnTask]]
    relations: list[tuple[KeyPath, Relation]]
    purchases: list[tuple[KeyPath, Purchase]]
    leave_in: dict[str, int | None]
    again: dict[str, float]
    at_end: dict[str, EndState]


def fill_job(
    file: JobFile,
    document: Document,
    vehicle: Vehicle,
    catalog: Catalog,
    left_out: frozenset[KeyPath] = frozenset(),
) -> tuple[Job, tuple[Finding, ...]]:
    """Fill in a job; with options it is checked once with each of them, as if that one were worked in.

    Parameters
    ----------
    file : JobFile
        May lack the entries in ``left_out``, which exist but could not be read.
    document : Document
        The file's text and places; the job's id is the name of the file.
    vehicle, catalog
        The vehicle as it stands, and the catalog.
    left_out : frozenset of KeyPath

    Returns
    -------
    job : Job
        Complete only when there is no error among the findings. No option is worked in yet.
    findings : tuple of Finding
    """
    data: Content = document.data if isinstance(document.data, dict) else {}
    sheets = sheets_of(file, data, left_out)
    found: list[tuple[str | None, SheetFaults]] = []
    filled: dict[str | None, _Filled] = {}
    for sheet in sheets:
        faults = SheetFaults(document, sheet.option)
        filled[sheet.option] = _fill(sheet, file, _bench(faults, vehicle, catalog, sheet), vehicle)
        found.append((sheet.option, faults))
    whole = Faults(document)
    _check_content(data, sheets, whole)
    _check_take(file, sheets, whole)
    _check_currency(file, vehicle, whole)
    plain = _job(file, PurePath(document.file).stem, filled, vehicle.currency)
    job = _with_diary(plain, file, data, left_out, _bench(whole, vehicle, catalog, sheets[0]))
    return job, sort_findings((*joined(found), *whole.findings()))


def _job(file: JobFile, job: str, filled: Mapping[str | None, _Filled], currency: str | None) -> Job:
    """The job without its times; what is outside the options is the same on every sheet."""
    first = next(iter(filled.values()))
    return Job(
        id=job,
        name=file.name,
        changes=tuple(c for at, c in first.changes if not _in_option(at)),
        hour_worth=file.hour_worth,
        currency=file.currency or currency or USUAL_CURRENCY,
        relations={r.id: r for at, r in first.relations if not _in_option(at)},
        tasks=tuple(t for at, t in first.tasks if not _in_option(at)),
        purchases=tuple(p for at, p in first.purchases if not _in_option(at)),
        day_worth=file.day_worth,
        leave_in=first.leave_in,
        at_end=first.at_end,
        again=first.again,
        options={o: _option(o, file.options[o].name, filled[o]) for o in file.options},
        take=file.take,
    )


def _option(option: str, name: str, filled: _Filled) -> Option:
    return Option(
        id=option,
        name=name,
        changes=tuple(c for at, c in filled.changes if _in_option(at)),
        tasks=tuple(t for at, t in filled.tasks if _in_option(at)),
        purchases=tuple(p for at, p in filled.purchases if _in_option(at)),
        relations={r.id: r for at, r in filled.relations if _in_option(at)},
    )


def _in_option(path: KeyPath) -> bool:
    return path[0] == OPTIONS


def _with_diary(job: Job, file: JobFile, data: Content, left_out: frozenset[KeyPath], bench: Bench) -> Job:
    """Fill in the dates and the work time, which are the same whatever is changed."""
    places = {section: kept(data, section, (), left_out) for section in ("sessions", "days_off")}
    _check_dates(file, places["days_off"], bench)
    sessions = list(zip(places["sessions"], file.sessions, strict=True))
    dated, weekly = fill_sessions(sessions, file, bench)
    check_session_lengths(sessions, file, bench)
    return replace(
        job,
        start=file.start,
        finish_by=file.finish_by,
        sessions=dated,
        repeating=weekly,
        days_off=tuple(sorted(set(file.days_off))),
        answer_days=None if file.answer_in is None else bench.days(("answer_in",), file.answer_in),
        pace=fill_pace(file.pace, bench),
        setup_min=None if file.setup is None else bench.minutes(("setup",), file.setup, 0),
        tidy_min=bench.minutes(("tidy",), file.tidy, 0),
    )


def _fill(sheet: Sheet, file: JobFile, bench: Bench, vehicle: Vehicle) -> _Filled:
    faults, catalog = bench.faults, bench.catalog
    roll = call_roll(sheet.changes_read, vehicle)
    changes = Changes(vehicle, bench).fill(sheet.changes)
    written = [(path, change) for (path, _), change in zip(sheet.changes, changes, strict=True)]
    check_changes(written, roll, catalog, faults)
    check_off(sheet.tasks, roll, faults)
    check_twice(sheet, faults)
    new = [
        ((*path, "link" if isinstance(change, AddLink) else "component"), item)
        for path, change in written
        for item in _added(change)
    ]
    system_kinds = {s.id: s.kind for s in vehicle.systems.values()}
    warn_of_lone_members(new, system_kinds, catalog, faults)
    warn_of_guessed_sizes(new, faults)
    parts = {**vehicle.components, **{item.id: item for _, item in new if isinstance(item, Component)}}
    see_ends([(path, item) for path, item in new if isinstance(item, Link)], parts, system_kinds, catalog, faults)
    coming = {c.component.id for c in changes if isinstance(c, Add | Replace)}
    tasks = fill_tasks(sheet.tasks, bench, frozenset(coming | {c.part for c in changes if isinstance(c, Grow)}))
    wished = Wished(roll=roll, changes=changes, tasks=tasks, file=file)
    purchases = fill_purchases(sheet.purchases, bench)
    return _Filled(
        changes=written,
        tasks=[(path, task) for (path, _), task in zip(sheet.tasks, tasks, strict=True)],
        relations=_relations(sheet, vehicle, changes, bench),
        purchases=[(path, bought) for (path, _), bought in zip(sheet.purchases, purchases, strict=True)],
        leave_in=fill_leave_in(wished, bench),
        again=fill_again(file.again, bench),
        at_end=fill_end_states(wished, bench),
    )


def _added(change: Change) -> tuple[Component | Link, ...]:
    match change:
        case Add(component=part) | Replace(component=part):
            return (part,)
        case AddLink(link=link):
            return (link,)
        case _:
            return ()


def _relations(
    sheet: Sheet, vehicle: Vehicle, changes: Iterable[Change], bench: Bench
) -> list[tuple[KeyPath, Relation]]:
    """Fill in the job's own relations: they may name the parts it adds."""
    around = Around(driver=vehicle.driver, bump_mm=vehicle.bump_mm)
    parts = {**vehicle.components, **{c.component.id: c.component for c in changes if isinstance(c, (Add, Replace))}}
    for path, _ in sheet.relations:
        if path[-1] in vehicle.relations:
            message = f"{quoted(path[-1])} is a relation of the vehicle already"
            bench.faults.error("double-id", path, message, "choose another id", key=True)
    return [(path, fill_relation(path, entry, bench, parts, around)) for path, entry in sheet.relations]


def _check_take(file: JobFile, sheets: Iterable[Sheet], faults: Faults) -> None:
    """Report a choice of an option that is not there."""
    options = [sheet.option for sheet in sheets if sheet.option is not None]
    if file.take is not None and file.take not in options:
        hint = did_you_mean(file.take, options) if options else "write the options under `options`"
        faults.error("unknown-id", ("take",), f"there is no option {quoted(file.take)}", hint)


def _check_currency(file: JobFile, vehicle: Vehicle, faults: Faults) -> None:
    """Report prices that cannot be added up: those of the vehicle's parts are in another currency than the job's."""
    if file.currency is not None and vehicle.currency not in {None, file.currency}:
        message = f"prices in {quoted(file.currency)}, and in {quoted(vehicle.currency)} in the vehicle's file"
        faults.error("two-currencies", ("currency",), message, "leave it out here: the vehicle's holds for its jobs")


def _check_content(data: Content, sheets: Iterable[Sheet], faults: Faults) -> None:
    """Warn of a job that asks for nothing or tells no time."""
    if not any(sheet.changes_read or sheet.tasks_read for sheet in sheets):
        faults.warn(
            "empty-job",
            (),
            "the job changes nothing and has no tasks",
            "say under `changes` what is to change",
        )
    if not data.get("sessions"):
        hint = 'say under `sessions` when there is time, such as `{every: saturday, from: "09:00", to: "13:00"}`'
        faults.warn("no-sessions", (), "no work time is told", hint)


def _bench(faults: Faults, vehicle: Vehicle, catalog: Catalog, sheet: Sheet) -> Bench:
    """Make the bench of a job: its parts and links are those there are when the job is done."""
    roll = call_roll(sheet.changes_read, vehicle)
    worked_on = [c["part"] for c in sheet.changes_read if isinstance(c, dict) and isinstance(c.get("part"), str)]
    known = {
        "part": dict.fromkeys(roll.parts_after()),
        "link": dict.fromkeys(roll.links_after()),
        "system": tuple(vehicle.systems),
        "task": sheet.tasks_read,
        "change": sorted({*roll.subjects, *worked_on}),
        **catalog_ids(catalog),
    }
    return Bench(
        catalog=catalog,
        faults=faults,
        units=vehicle.units,
        known=known,
        gone=frozenset(roll.gone - set(roll.new)),
    )


def _check_dates(file: JobFile, days_off: list[int], bench: Bench) -> None:
    named: list[tuple[KeyPath, Any]] = [(("start",), file.start), (("finish_by",), file.finish_by)]
    named += [(("days_off", index), day) for index, day in zip(days_off, file.days_off, strict=True)]
    fine = [check_year(path, day, bench) for path, day in named if day is not None]
    if all(fine) and file.start and file.finish_by and file.finish_by < file.start:
        message = f"`{file.finish_by}` is before the start on `{file.start}`"
        bench.faults.error("dates-out-of-order", ("finish_by",), message, "check the two dates")
