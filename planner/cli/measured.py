"""A project with the sizes that its log says were measured."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from planner.cli.ending import Exit, Stop
from planner.cli.terminal import say

if TYPE_CHECKING:
    from pathlib import Path

    from planner.cli.logbook import LogBook
    from planner.model.catalog import Catalog
    from planner.model.job import Job
    from planner.model.sizes import TapeSize
    from planner.model.vehicle import Vehicle
    from planner.shelf import Draft


def as_measured(book: LogBook, vehicle: Vehicle, job: Job, catalog: Catalog) -> tuple[Vehicle, Job]:
    """The vehicle and the job with measured sizes in place of the written ones; an option taken stays taken."""
    from planner.shelf import draft_of

    if not book.standing.sizes:
        return vehicle, job
    fresh, written = filled_with(draft_of(book.project, book.job, catalog), book.standing.sizes)
    return fresh, written if job.option is None else written.taking(job.option)


def as_logged(project: Path, vehicle: Vehicle, job: Job, catalog: Catalog) -> tuple[Vehicle, Job]:
    """The same of a job that is named by its file, whether it has a log or none; a size taken in is told on stderr.

    What a job that is over has measured is in the vehicle's file.
    """
    from planner.cli.logbook import log_book

    book = log_book(project, job.id)
    if book.over():
        return vehicle, job
    tell_sizes(book)
    return as_measured(book, vehicle, job, catalog)


def draft_logged(project: Path, job: str, catalog: Catalog) -> Draft:
    """The two files of a job with the sizes of its log in place of theirs, as long as it is not over."""
    from planner.cli.logbook import log_book
    from planner.shelf import draft_of

    draft, book = draft_of(project, job, catalog), log_book(project, job)
    sizes = {} if book.over() else book.standing.sizes
    return holding(draft, sizes) if sizes else draft


def holding(draft: Draft, sizes: Mapping[str, str]) -> Draft:
    """A draft with other values for some sizes."""
    return draft.holding(_values(draft, sizes))


def _values(draft: Draft, sizes: Mapping[str, str]) -> dict[str, str]:
    from planner.cli.measure import values_tried

    return values_tried(draft, [f"{name}={value}" for name, value in sizes.items()])


def named_now(book: LogBook, draft: Draft, name: str) -> str:
    """What a size is called as things stand: of a part that is back from being altered it is the size as altered."""
    known = name if name in draft.names else name.replace(".solids.1.", ".")
    back = draft.back(known)
    if back == known or book.agreed is None or not is_back(book, known.partition(".")[0], draft):
        return known
    return back


def tried_now(project: Path, job: str, draft: Draft, tried: list[str]) -> list[str]:
    """What is tried, each size by the name it has as things stand; what is no size and value is left as it is."""
    from planner.cli.logbook import log_book

    book = log_book(project, job)
    pairs = [t.partition("=") for t in tried]
    now = book if not book.over() else None
    return [
        f"{name if now is None else named_now(now, draft, name.strip())}{equals}{typed_length(value)}"
        for name, equals, value in pairs
    ]


def typed_length(text: str) -> str:
    """A length as it was typed, with a point for its decimal comma; ends the command where that may be thousands."""
    from planner.shelf.tape import pointed
    from planner.units import UnitError

    try:
        return pointed(text)
    except UnitError as error:
        raise Stop(Exit.USAGE, str(error), error.hint) from None


def is_back(book: LogBook, part: str, draft: Draft) -> bool:
    """Whether a part that the job makes larger has been: it came back, or the work that alters it is done."""
    from planner.knockon.options import template_for
    from planner.model.catalog import When, Work

    agreed, standing = book.plan(), book.standing
    if f"buy:{part}" in standing.arrived:
        return True
    vehicle = draft.filled({})[0]
    known = None if vehicle is None else vehicle.components.get(part)
    template = None if known is None else template_for(draft.catalog, When.MADE, known.kind, known.group)
    steps = () if template is None else tuple(enumerate(template.steps, start=1))
    altering = {Work.CUTTING, Work.BENDING, Work.WELDING}
    sent = {f"{part}.{n}" for n, s in steps if s.away} or {f"{part}.{n}" for n, s in steps if s.work in altering}
    return any(task in standing.finished for task in sent & agreed.work.tasks.keys())


def size_before(draft: Draft, name: str, vehicle: Vehicle, job: Job) -> TapeSize:
    """A size as the files have it; of an altered part as the job makes it."""
    from dataclasses import replace

    from planner.knockon.asked import asked_by, size_of

    size, altered = draft.size(name), draft.altered(name)
    if altered is None:
        return size
    solid, which = altered
    return replace(size, mm=size_of(asked_by(vehicle, job).base[size.part].solids[solid], which))


def tell_sizes(book: LogBook) -> None:
    """Say which sizes are not those of the files, and where they come from."""
    sizes = book.standing.sizes
    if sizes:
        told = ", ".join(f"{name} = {value}" for name, value in sizes.items())
        what = "1 size" if len(sizes) == 1 else f"{len(sizes)} sizes"
        say(f"with {what} as measured, from {book.path}: {told}", err=True)


def in_option(job: Job, option: str | None) -> Job:
    """The job as it was agreed: with the option that was taken, where it still has that."""
    return job.taking(option) if option in job.options else job


def filled_with(draft: Draft, sizes: Mapping[str, str]) -> tuple[Vehicle, Job]:
    """The project with other values for some sizes; stops the command where they lead to an error."""
    from planner.finding import has_errors

    vehicle, job, findings = draft.filled(_values(draft, sizes))
    if vehicle is None or job is None:
        wrong = [f for f in findings if has_errors([f])]
        told = ", ".join(f"{name} = {value}" for name, value in sizes.items())
        raise Stop(Exit.USAGE, f"{told}: {wrong[0].message}", wrong[0].hint)
    return vehicle, job
