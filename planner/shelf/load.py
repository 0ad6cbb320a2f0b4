"""From a project folder to its vehicle and its jobs."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from planner.files import Document, JobFile, Parts, VehicleFile, read_document, validate_parts
from planner.files.values import LONGEST_ID, SLUG
from planner.finding import Finding, Place, error_at, has_errors, sort_findings
from planner.finding.words import did_you_mean, quoted
from planner.model.catalog import Catalog
from planner.model.job import Job
from planner.model.vehicle import Vehicle
from planner.shelf.fill_job import fill_job
from planner.shelf.fill_vehicle import fill_vehicle
from planner.units import Bare

VEHICLE = "vehicle.yaml"
JOBS = "jobs"
_YAML = frozenset({".yaml", ".yml"})
_ENTRY = 2
VEHICLE_PARTS = Parts(
    sections=dict.fromkeys(("systems", "components", "links", "spaces", "relations", "to_prove"), _ENTRY)
    | {"driver": 1, "figures": 1},
    stand_ins={"knockon": 1, "name": "vehicle", "ground": 0},
)
_JOB_SECTIONS = (
    "changes",
    "tasks",
    "relations",
    "purchases",
    "sessions",
    "days_off",
    "pace",
    "leave_in",
    "again",
    "at_session_end",
    "options",
)
JOB_PARTS = Parts(
    sections=dict.fromkeys(_JOB_SECTIONS, _ENTRY),
    stand_ins={"knockon": 1, "name": "job"},
)


def load_vehicle(project: Path, catalog: Catalog) -> tuple[Vehicle | None, tuple[Finding, ...]]:
    """Read the vehicle of a project.

    Parameters
    ----------
    project : Path
        Its folder, shown in findings as it is given.
    catalog : Catalog

    Returns
    -------
    vehicle : Vehicle or None
        None when there is any error.
    findings : tuple of Finding
        Sorted by place.
    """
    path = project / VEHICLE
    trouble = _project_fault(project) or _outside(project, path)
    if trouble is not None:
        return None, (trouble,)
    document, findings = read_document(path)
    if document is None:
        return None, findings
    return vehicle_from(document, catalog, findings)


def vehicle_from(
    document: Document, catalog: Catalog, findings: tuple[Finding, ...] = ()
) -> tuple[Vehicle | None, tuple[Finding, ...]]:
    """Fill in the vehicle of a document that was read (``findings``: what was found while reading it)."""
    file, faults, _ = validate_parts(document, VehicleFile, {"bare": bare_unit(document)}, VEHICLE_PARTS)
    if file is None:
        return None, sort_findings((*findings, *faults))
    vehicle, more = fill_vehicle(file, document, catalog)
    everything = sort_findings((*findings, *faults, *more))
    return (None if has_errors(everything) else vehicle), everything


def load_job(project: Path, job: str, vehicle: Vehicle, catalog: Catalog) -> tuple[Job | None, tuple[Finding, ...]]:
    """Read one job of a project.

    Parameters
    ----------
    project : Path
        Its folder.
    job : str
        Name of the job, or path of its file within the project.
    vehicle : Vehicle
        As it stands.
    catalog : Catalog

    Returns
    -------
    job : Job or None
        None when there is any error.
    findings : tuple of Finding
        Sorted by place.
    """
    path, trouble = job_path(project, job)
    if path is None or trouble is not None:
        return None, () if trouble is None else (trouble,)
    document, findings = read_document(path)
    if document is None:
        return None, findings
    return job_from(document, vehicle, catalog, findings)


def job_from(
    document: Document, vehicle: Vehicle, catalog: Catalog, findings: tuple[Finding, ...] = ()
) -> tuple[Job | None, tuple[Finding, ...]]:
    """Fill in the job of a document that was read (``findings``: what was found while reading it)."""
    file, faults, left_out = validate_parts(document, JobFile, {"bare": vehicle.units}, JOB_PARTS)
    if file is None:
        return None, sort_findings((*findings, *faults))
    filled, more = fill_job(file, document, vehicle, catalog, left_out)
    everything = sort_findings((*findings, *faults, *more))
    return (None if has_errors(everything) else filled), everything


def list_jobs(project: Path) -> tuple[str, ...]:
    """Names of the jobs of a project, sorted; files whose name is no id are left out."""
    try:
        names = [path.stem for path in (project / JOBS).iterdir() if path.suffix == ".yaml" and path.is_file()]
    except OSError:
        return ()
    return tuple(sorted(name for name in names if _is_id(name)))


def yaml_files(folder: Path) -> tuple[Path, ...]:
    """Files of a folder that end in `.yaml`, `.yml` or the same in capitals, sorted; none of an unreadable folder."""
    try:
        return tuple(p for p in sorted(folder.iterdir()) if p.suffix.lower() in _YAML and p.is_file())
    except OSError:
        return ()


def vehicles_misnamed(project: Path) -> tuple[str, ...]:
    """Names of files that are meant for the vehicle's, but for their ending or their capitals."""
    read = project / VEHICLE
    found = [p for p in yaml_files(project) if p.stem.lower() == read.stem and p.name != VEHICLE]
    # Where capitals do not count, the file is the very one that is read.
    return tuple(p.name for p in found if not (read.exists() and p.samefile(read)))


def _is_id(name: str) -> bool:
    return SLUG.fullmatch(name) is not None and len(name) <= LONGEST_ID


def bare_unit(document: Document) -> Bare:
    """Find the unit of a bare number in a vehicle file, as far as it says one."""
    data: Any = document.data
    units = data.get("units") if isinstance(data, Mapping) else None
    return "inch" if units == "inch" else "mm"


def _project_fault(project: Path) -> Finding | None:
    file = project.as_posix()
    try:
        if not project.exists():
            return _fault(
                "no-project",
                file,
                "there is no such project folder",
                "copy projects/trials-car, or begin with `knockon new FOLDER`",
            )
        if not project.is_dir():
            return _fault("no-project", file, "a project is a folder, this is a file", "name the folder it is in")
        if not (project / VEHICLE).exists() and not (project / VEHICLE).is_symlink():
            misnamed = vehicles_misnamed(project)
            hint = (
                f"rename {quoted(misnamed[0])}: it has to be called `{VEHICLE}`"
                if misnamed
                else f"a project has a `{VEHICLE}`; copy projects/trials-car, or begin with `knockon new FOLDER`"
            )
            return _fault("no-project", file, f"this folder is no project: it has no `{VEHICLE}`", hint)
    except (OSError, ValueError):
        return _fault(
            "no-project",
            quoted(file).strip("`"),
            "the folder cannot be looked into",
            "check its name and who may read it",
        )
    return None


def _outside(project: Path, path: Path) -> Finding | None:
    """Report a ``path`` that leads out of the project folder, by `..`, from the root or through a link."""
    try:
        within = ".." not in path.relative_to(project).parts if path.is_relative_to(project) else path.is_absolute()
        within = within and path.resolve().is_relative_to(project.resolve())
    except (OSError, RuntimeError, ValueError):
        within = False
    if within:
        return None
    hint = "files of a project stay in its folder; links out of it are not followed"
    return _fault("outside-project", quoted(path.as_posix()).strip("`"), "this leads out of the project folder", hint)


def job_path(project: Path, job: str) -> tuple[Path | None, Finding | None]:
    """Path of a job's file, or why there is none."""
    if _is_id(job):
        path = project / JOBS / f"{job}.yaml"
        if not path.exists() and not path.is_symlink():
            return None, _no_job(project, job)
        return path, _outside(project, path)
    if "\x00" in job or Path(job).suffix != ".yaml":
        return None, _no_job(project, job)
    tries = [project / JOBS / job, project / job, *([Path(job)] if Path(job).is_relative_to(project) else [])]
    found = next((path for path in tries if path.exists() or path.is_symlink()), tries[0])
    trouble = _outside(project, found)
    if trouble is None and not _is_id(found.stem):
        hint = "use small letters, digits and dashes"
        trouble = _fault(
            "bad-id",
            quoted(found.as_posix()).strip("`"),
            f"{quoted(found.stem)} cannot be the name of a job",
            hint,
        )
    if trouble is None and not found.exists():
        trouble = _no_job(project, job)
    return (None, trouble) if trouble else (found, None)


def _no_job(project: Path, job: str) -> Finding:
    hint = did_you_mean(job, list_jobs(project)) or f"a job is a file such as `{JOBS}/pedals.yaml`"
    named = Path(job).name
    unread = next((p.name for p in yaml_files(project / JOBS) if named in {p.name, p.stem}), None)
    if unread is not None:
        hint = f"{quoted(unread)} cannot be read by that name: `knockon check` says what to call it"
    return _fault("no-job", (project / JOBS).as_posix(), f"there is no job {quoted(job)}", hint)


def _fault(code: str, file: str, message: str, hint: str) -> Finding:
    return error_at(Place(file), code, message, hint)
