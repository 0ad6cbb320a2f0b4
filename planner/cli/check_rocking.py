"""Stiff pipes between the engine and the frame: in the vehicle, and where a job lays them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.cli.check_options import in_every_option

if TYPE_CHECKING:
    from pathlib import Path

    from planner.files import Document, KeyPath
    from planner.finding import Finding
    from planner.knockon import Rocked
    from planner.model.catalog import Catalog
    from planner.model.job import Change, Job
    from planner.model.vehicle import Vehicle


def vehicle_rocked(project: Path, vehicle: Vehicle, catalog: Catalog) -> list[Finding]:
    """Links of the vehicle as its file has it, as warnings with places."""
    from planner.files import read_document
    from planner.knockon import rocked_now

    found = rocked_now(vehicle, catalog)
    document = read_document(project / "vehicle.yaml")[0] if found else None
    return [] if document is None else [_finding(document, ("links", one.link), one) for one in found]


def job_rocked(project: Path, job: Job, vehicle: Vehicle, catalog: Catalog) -> list[Finding]:
    """What a job lays between them, each at its change; of every option."""
    from planner.knockon import rocked_asked

    def look(document: Document, asked: Job, written: list[tuple[KeyPath, Change]]) -> list[Finding]:
        from planner.model.job import AddLink

        paths = {c.link.id: (*path, "link") for path, c in written if isinstance(c, AddLink)}
        return [_finding(document, paths[o.link], o) for o in rocked_asked(vehicle, asked, catalog) if o.link in paths]

    return in_every_option(project, job, look)


def _finding(document: Document, path: KeyPath, one: Rocked) -> Finding:
    from planner.finding import Finding, Severity

    return Finding(
        code="pipe-to-what-rocks",
        severity=Severity.WARNING,
        message=f"{one.name} is a stiff pipe from {one.firm} to {one.rocking}, which rocks on its mountings: it cracks "
        "in time",
        place=document.place(path, key=True),
        hint=f"end it at a bracket and lay a {one.instead} from there; or write `slack: 15 mm`, where coils wound in "
        "the pipe give that much",
    )
