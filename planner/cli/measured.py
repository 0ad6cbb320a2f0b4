"""A project with the sizes that its log says were measured."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.model.catalog import Catalog
    from planner.model.job import Job
    from planner.model.vehicle import Vehicle


def as_measured(book: LogBook, vehicle: Vehicle, job: Job, catalog: Catalog) -> tuple[Vehicle, Job]:
    """The vehicle and the job with measured sizes in place of the written ones; an option taken stays taken."""
    if not book.standing.sizes:
        return vehicle, job
    fresh, written = filled_with(book, book.standing.sizes, catalog)
    return fresh, written if job.option is None else written.taking(job.option)


def filled_with(book: LogBook, sizes: Mapping[str, str], catalog: Catalog) -> tuple[Vehicle, Job]:
    """The project read with other values for some sizes; stops the command where they lead to an error."""
    from planner.cli.measure import values_tried
    from planner.finding import has_errors
    from planner.shelf import draft_of

    draft = draft_of(book.project, book.job, catalog)
    values = values_tried(draft, [f"{name}={value}" for name, value in sizes.items()])
    vehicle, job, findings = draft.filled(values)
    if vehicle is None or job is None:
        wrong = [f for f in findings if has_errors([f])]
        told = ", ".join(f"{name} = {value}" for name, value in sizes.items())
        raise Stop(Exit.USAGE, f"{told}: {wrong[0].message}", wrong[0].hint)
    return vehicle, job
