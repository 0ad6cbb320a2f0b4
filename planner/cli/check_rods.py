"""Rods that a job brings, or joins to a part it brings, where they would lean out of their cylinder's line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from planner.files import Document, KeyPath
    from planner.finding import Finding
    from planner.model.job import Change, Job
    from planner.model.vehicle import Vehicle


def job_rods(project: Path, job: Job, vehicle: Vehicle) -> list[Finding]:
    """What cannot be so of the rods as the job draws them, each with the change that brings it; of every option."""
    from planner.files import read_document

    document, _ = read_document(project / "jobs" / f"{job.id}.yaml")
    if document is None:
        return []
    written: list[tuple[KeyPath, Change]] = [(("changes", n), c) for n, c in enumerate(job.changes)]
    found = _told(document, replace(job, options={}), vehicle, written)
    for option in job.options.values():
        own = [(("options", option.id, "changes", n), c) for n, c in enumerate(option.changes)]
        asked = replace(job, options={}, changes=(*job.changes, *option.changes))
        found += [f for f in _told(document, asked, vehicle, [*written, *own]) if f not in found]
    return found


def _told(document: Document, job: Job, vehicle: Vehicle, written: list[tuple[KeyPath, Change]]) -> list[Finding]:
    from planner.cli.check import ROD, rod_hint
    from planner.finding import error_at
    from planner.knockon import drawn_rods

    paths = dict(_brought(written))
    return [
        error_at(document.place(paths[fault.brought], key=True), ROD, fault.text, rod_hint(fault))
        for fault in drawn_rods(vehicle, job)
        if fault.brought in paths
    ]


def _brought(written: list[tuple[KeyPath, Change]]) -> Iterator[tuple[str, KeyPath]]:
    """Ids of parts and links that changes bring, with the way to what is said of them."""
    from planner.model.job import Add, AddLink, Replace

    for path, change in written:
        if isinstance(change, AddLink):
            yield change.link.id, (*path, "link")
        elif isinstance(change, (Add, Replace)):
            yield change.component.id, (*path, "component")
