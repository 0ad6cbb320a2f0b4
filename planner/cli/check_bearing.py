"""Parts that stand clear of what they are said to be mounted on: in the vehicle, and where a job puts them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.cli.check_options import in_every_option

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from planner.files import Document, KeyPath
    from planner.finding import Finding
    from planner.knockon import Adrift
    from planner.model.job import Change, Job
    from planner.model.vehicle import Vehicle


def vehicle_adrift(project: Path, vehicle: Vehicle) -> list[Finding]:
    """Parts of the vehicle as its file has it, as warnings with places."""
    from planner.files import read_document
    from planner.knockon import adrift_now

    found = adrift_now(vehicle)
    document = read_document(project / "vehicle.yaml")[0] if found else None
    if document is None:
        return []
    names = {i: c.name for i, c in vehicle.components.items()}
    return [_finding(document, ("components", a.part), a, names, vehicle.units, "mounted_on") for a in found]


def job_adrift(project: Path, job: Job, vehicle: Vehicle) -> list[Finding]:
    """What a job adds or moves away from what carries it, each at its change; of every option."""
    return in_every_option(project, job, lambda document, asked, written: _told(document, asked, written, vehicle))


def _told(document: Document, job: Job, written: Iterable[tuple[KeyPath, Change]], vehicle: Vehicle) -> list[Finding]:
    from planner.knockon import adrift_asked
    from planner.model.job import Add, Move, Replace

    paths: dict[str, tuple[KeyPath, str]] = {}
    names = {i: c.name for i, c in vehicle.components.items()}
    for path, change in written:
        if isinstance(change, Add | Replace):
            paths[change.component.id] = ((*path, "component"), "mounted_on")
            names[change.component.id] = change.component.name
        elif isinstance(change, Move):
            paths[change.part] = (path, "onto")
    return [
        _finding(document, paths[a.part][0], a, names, vehicle.units, paths[a.part][1])
        for a in adrift_asked(vehicle, job)
        if a.part in paths
    ]


def _finding(  # all of it is told
    document: Document, path: KeyPath, found: Adrift, names: dict[str, str], units: str, key: str
) -> Finding:
    from planner.finding import Finding, Severity
    from planner.knockon import adrift_words
    from planner.units import format_length

    told = adrift_words(found, lambda i: names[i], lambda mm: format_length(mm, units))
    hint = "measure both again; or add what carries it, such as a bracket, and name that"
    if found.nearest is not None:
        hint = f"if that carries it, write `{key}: {found.nearest}`; else measure again, or add a bracket and name that"
    return Finding(
        code="carried-by-nothing",
        severity=Severity.WARNING,
        message=f"{names[found.part]}: {told}",
        place=document.place(path, key=True),
        hint=hint,
    )
