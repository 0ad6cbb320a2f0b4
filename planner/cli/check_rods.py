"""Rods that a job brings, or joins to a part it brings, where they would lean out of their cylinder's line."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from planner.cli.check_options import in_every_option

if TYPE_CHECKING:
    from pathlib import Path

    from planner.files import Document, KeyPath
    from planner.finding import Finding
    from planner.model.job import Change, Job
    from planner.model.vehicle import Vehicle


def job_rods(project: Path, job: Job, vehicle: Vehicle) -> list[Finding]:
    """What cannot be so of the rods as the job draws them, each with the change that brings it; of every option."""
    return in_every_option(project, job, lambda document, asked, written: _told(document, asked, written, vehicle))


def _told(document: Document, job: Job, written: list[tuple[KeyPath, Change]], vehicle: Vehicle) -> list[Finding]:
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
