"""One look at a job as it stands and with each of its options, each finding told once."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from planner.files import Document, KeyPath
    from planner.finding import Finding
    from planner.model.job import Change, Job

    Written = list[tuple[KeyPath, Change]]
    """Changes with the way to where they stand in the job's file."""
    Look = Callable[[Document, Job, Written], list[Finding]]


def in_every_option(project: Path, job: Job, look: Look) -> list[Finding]:
    """What a look finds in a job, and in each of its options besides; nothing where its file cannot be read."""
    from planner.files import read_document

    document, _ = read_document(project / "jobs" / f"{job.id}.yaml")
    if document is None:
        return []
    written: Written = [(("changes", n), c) for n, c in enumerate(job.changes)]
    found = look(document, replace(job, options={}), written)
    for option in job.options.values():
        own = [(("options", option.id, "changes", n), c) for n, c in enumerate(option.changes)]
        asked = replace(job, options={}, changes=(*job.changes, *option.changes))
        found += [f for f in look(document, asked, [*written, *own]) if f not in found]
    return found
