"""From a job file to the job: names resolved against the vehicle as it stands and as it will be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import PurePath
from typing import Any

from planner.files import Document, Faults, JobFile, KeyPath
from planner.finding import Finding
from planner.finding.words import quoted
from planner.model.catalog import Catalog
from planner.model.job import Add, AddLink, Change, Job, Replace
from planner.model.vehicle import Component, Link, Relation, Vehicle
from planner.shelf.bench import Bench
from planner.shelf.change_checks import check_changes, check_off
from planner.shelf.fill_change import Changes, Roll, call_roll
from planner.shelf.fill_diary import check_year, fill_pace, fill_purchases, fill_sessions, fill_tasks
from planner.shelf.fill_relation import Around, fill_relation
from planner.shelf.fill_vehicle import catalog_ids, section_ids
from planner.shelf.lone_members import warn_of_lone_members

Content = Mapping[str, Any]
"""A file's own content, sound or not."""


def fill_job(
    file: JobFile,
    document: Document,
    vehicle: Vehicle,
    catalog: Catalog,
    left_out: frozenset[KeyPath] = frozenset(),
) -> tuple[Job, tuple[Finding, ...]]:
    """Fill in a job.

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
        Complete only when there is no error among the findings.
    findings : tuple of Finding
    """
    faults = Faults(document)
    data: Content = document.data if isinstance(document.data, dict) else {}
    roll = call_roll(data.get("changes"), vehicle)
    bench = _bench(faults, vehicle, catalog, roll, data)
    kept = {section: _kept(data, section, left_out) for section in ("changes", "sessions", "days_off")}
    changes = Changes(vehicle, bench).fill(list(zip(kept["changes"], file.changes, strict=True)))
    written = list(zip(kept["changes"], changes, strict=True))
    check_changes(written, roll, catalog, faults)
    check_off(file.tasks, roll, faults)
    new = [
        (("changes", index, "link" if isinstance(change, AddLink) else "component"), item)
        for index, change in written
        for item in _added(change)
    ]
    warn_of_lone_members(new, {s.id: s.kind for s in vehicle.systems.values()}, catalog, faults)
    _check_content(data, faults)
    _check_dates(file, kept["days_off"], bench)
    dated, weekly = fill_sessions(zip(kept["sessions"], file.sessions, strict=True), file, bench)
    job = Job(
        id=PurePath(document.file).stem,
        name=file.name,
        changes=changes,
        start=file.start,
        finish_by=file.finish_by,
        hour_worth=file.hour_worth,
        currency=file.currency,
        sessions=dated,
        repeating=weekly,
        days_off=tuple(sorted(set(file.days_off))),
        relations=_relations(file, vehicle, changes, bench),
        tasks=fill_tasks(file.tasks, bench),
        purchases=fill_purchases(file.purchases, bench),
        pace=fill_pace(file.pace, bench),
    )
    return job, faults.findings()


def _relations(file: JobFile, vehicle: Vehicle, changes: Iterable[Change], bench: Bench) -> dict[str, Relation]:
    """Fill in the job's own relations: they may name the parts it adds."""
    around = Around(driver=vehicle.driver, bump_mm=vehicle.bump_mm)
    parts = {**vehicle.components, **{c.component.id: c.component for c in changes if isinstance(c, (Add, Replace))}}
    for name in file.relations:
        if name in vehicle.relations:
            message = f"{quoted(name)} is a relation of the vehicle already"
            bench.faults.error("double-id", ("relations", name), message, "choose another id", key=True)
    return {name: fill_relation(name, entry, bench, parts, around) for name, entry in file.relations.items()}


def _added(change: Change) -> tuple[Component | Link, ...]:
    match change:
        case Add(component=part) | Replace(component=part):
            return (part,)
        case AddLink(link=link):
            return (link,)
        case _:
            return ()


def _check_content(data: Content, faults: Faults) -> None:
    """Warn of a job that asks for nothing or tells no time."""
    if not data.get("changes") and not data.get("tasks"):
        faults.warn(
            "empty-job",
            (),
            "the job changes nothing and has no tasks",
            "say under `changes` what is to change",
        )
    if not data.get("sessions"):
        hint = 'say under `sessions` when there is time, such as `{every: saturday, from: "09:00", to: "13:00"}`'
        faults.warn("no-sessions", (), "no work time is told", hint)


def _kept(data: Content, section: str, left_out: frozenset[KeyPath]) -> list[int]:
    """Positions in the file of the items of a list that were read."""
    items = data.get(section)
    return [i for i in range(len(items)) if (section, i) not in left_out] if isinstance(items, list) else []


def _bench(faults: Faults, vehicle: Vehicle, catalog: Catalog, roll: Roll, data: Content) -> Bench:
    """Make the bench of a job: its parts and links are those there are when the job is done."""
    worked_on = [c["part"] for c in data.get("changes") or () if isinstance(c, dict) and isinstance(c.get("part"), str)]
    known = {
        "part": dict.fromkeys(roll.parts_after()),
        "link": dict.fromkeys(roll.links_after()),
        "system": tuple(vehicle.systems),
        "task": section_ids(data, "tasks"),
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
