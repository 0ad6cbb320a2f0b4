"""Files of a project that look like a vehicle or a job and are not read because of their name."""

from __future__ import annotations

from pathlib import Path

from planner.finding import Finding, Place, Severity
from planner.finding.words import quoted
from planner.shelf.fresh import NameFaultError, called, free_id
from planner.shelf.load import JOBS, VEHICLE, list_jobs, vehicles_misnamed, yaml_files


def unread_files(project: Path) -> tuple[Finding, ...]:
    """What stands in a project's folder as YAML and is not read, as warnings that say the name it would be read by.

    Parameters
    ----------
    project : Path
        Its folder; nothing is told of one that cannot be looked into.

    Examples
    --------
    Of `jobs/two circuits.yml`: rename it `two-circuits.yaml`.
    """
    jobs = set(list_jobs(project))
    rule = f"files of jobs have names of small letters, digits and dashes that end in `.yaml` (`{JOBS}/pedals.yaml`)"
    found = [
        _unread(path, f"rename it {quoted(f'{_job_name(path.stem, jobs)}.yaml')}: {rule}")
        for path in yaml_files(project / JOBS)
        if path.suffix != ".yaml" or path.stem not in jobs
    ]
    found += [
        _unread(project / name, f"the vehicle is read from `{VEHICLE}` alone: keep one of the two")
        for name in vehicles_misnamed(project)
        if (project / VEHICLE).exists()
    ]
    return tuple(found)


def _job_name(stem: str, taken: set[str]) -> str:
    try:
        return free_id(called(stem, "job").id, taken)
    except NameFaultError:
        return free_id("job", taken)


def _unread(path: Path, hint: str) -> Finding:
    return Finding(
        code="not-read",
        severity=Severity.WARNING,
        message=f"{quoted(path.name)} is not read",
        place=Place((path.parent / quoted(path.name).strip("`")).as_posix()),
        hint=hint,
    )
