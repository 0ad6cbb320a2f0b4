"""The log of a job for a command: found, read, folded, and written to."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from difflib import get_close_matches
from pathlib import Path
from typing import cast

from planner.cli.ending import Exit, Stop
from planner.finding import Finding, has_errors
from planner.finding.words import quoted
from planner.log import (
    AgreedError,
    LogFaultyError,
    append_after,
    counting,
    digest_of,
    entries_of,
    faults_of,
    fold,
    last_agreed,
    line_of,
    read_agreed,
    read_log,
)
from planner.log.rewatched import with_rewatched
from planner.model.log import AdoptedLine, AgreedLine, Entry, Line
from planner.model.standing import Agreed, Standing
from planner.units.spoken import moment_words

LOG = ".log.jsonl"
_ID = re.compile(r"[a-z0-9][a-z0-9-]*")
PLANS = ".plans"


@dataclass(frozen=True, slots=True, kw_only=True)
class LogBook:
    """A job's log as it was when it was read."""

    project: Path
    job: str
    entries: tuple[Entry, ...]
    agreed: Agreed | None
    standing: Standing
    lost: str = ""
    """Why the plan that was agreed cannot be read, when it cannot."""
    now: datetime | None = None
    """The moment at which it is asked how the job stands; None: nobody asks what is on too long."""

    @property
    def path(self) -> Path:
        """The log's file."""
        return log_path(self.project, self.job)

    @property
    def plans(self) -> Path:
        """Folder of the plans that were agreed."""
        return self.project / "jobs" / f"{self.job}{PLANS}"

    def plan(self) -> Agreed:
        """The plan that is worked to; stops the command when there is none."""
        if self.lost:
            hint = f"put it back from a copy, or plan anew: knockon replan {self.project} {self.job} --agree"
            raise Stop(Exit.FAULTS, f"{self.plans}/{self.lost}", hint)
        if self.agreed is None:
            raise Stop(
                Exit.FAULTS,
                f"no plan has been agreed for `{self.job}` yet",
                f"knockon plan {self.project} {self.job} --agree",
            )
        work = with_rewatched(self.agreed.work, self.standing)
        return self.agreed if work is self.agreed.work else replace(self.agreed, work=work)

    def over(self) -> bool:
        """Whether what the job built is in the vehicle's file: it was adopted, and the file is not as before."""
        return _is_over(self.project, self.standing.entries)

    def extended(self, lines: Sequence[Line]) -> LogBook:
        """The log as it would be with some lines more."""
        first = len(self.entries) + 1
        entries = (*self.entries, *(cast("Entry", replace(e, n=first + i)) for i, e in enumerate(lines)))
        basis = None if self.agreed is None else self.agreed.basis
        return replace(self, entries=entries, standing=fold(entries, basis, self.now))


def as_of(book: LogBook, moment: datetime) -> LogBook:
    """The log as it stood at a moment; ends the command when no plan had been agreed by then.

    A plan may be agreed for days to come: it counts from the line on that was written after it.
    """
    known = [i for i, e in enumerate(book.entries) if e.at <= moment]
    upto = known[-1] + 1 if known else 0
    found = _folded(book, tuple(e for e in book.entries[:upto] if e.at <= moment or isinstance(e, AgreedLine)))
    if found.standing.agreed is None:
        hint = f"the log begins {moment_words(book.entries[0].at)}" if book.entries else ""
        raise Stop(Exit.USAGE, f"no plan of `{book.job}` was agreed by {moment_words(moment)}", hint)
    return found


def log_path(project: Path, job: str) -> Path:
    """Where a job's log is."""
    return project / "jobs" / f"{job}{LOG}"


def log_book(project: Path, job: str = "", now: datetime | None = None) -> LogBook:
    """Read the log of a job, empty when it has none; of the one that is being worked on when none is named."""
    name = Path(job).name.removesuffix(".yaml") or _in_work(project)
    _see_job(project, name)
    empty = LogBook(project=project, job=name, entries=(), agreed=None, standing=Standing(), now=now)
    return _folded(empty, _read(empty.path))


def _show(findings: tuple[Finding, ...]) -> None:
    from planner.cli.show_findings import show_findings

    show_findings(findings, to_stderr=True)


def all_entries(book: LogBook) -> tuple[Entry, ...]:
    """Lines that count of every log of the project, this one's as it was read: how quick its owner is."""
    found = [*counting(book.entries)]
    for path in sorted((book.project / "jobs").glob(f"*{LOG}")):
        if path != book.path:
            lines, _ = read_log(path)
            found += counting(_entries(path, lines))
    return tuple(found)


def adopted_jobs(project: Path) -> frozenset[str]:
    """Jobs of a project that are over: their logs say that what they built is in the vehicle's file."""
    logs = sorted((project / "jobs").glob(f"*{LOG}"))
    lines = {p.name.removesuffix(LOG): counting(_entries(p, read_log(p)[0])) for p in logs}
    return frozenset(job for job, entries in lines.items() if _is_over(project, entries))


def vehicle_digest(project: Path) -> str:
    """Digest of the text of the vehicle's file; empty when there is none."""
    path = project / "vehicle.yaml"
    return digest_of(path.read_bytes().decode("utf-8-sig", "replace")) if path.is_file() else ""


def _is_over(project: Path, entries: Sequence[Entry]) -> bool:
    """A line that says adopted counts once the file is no more what it was before: a crash may come in between."""
    adopted = [e for e in entries if isinstance(e, AdoptedLine)]
    return bool(adopted) and vehicle_digest(project) != adopted[-1].before


def write_lines(
    book: LogBook, decide: Callable[[LogBook], Sequence[Line]], at: datetime | None
) -> tuple[LogBook, tuple[int, ...]]:
    """Add lines to a log, decided on as it stands at that very moment; gives the log after it and their numbers.

    Parameters
    ----------
    book : LogBook
        As it was read.
    decide : callable of LogBook to lines
        Asked under the log's lock with everything in it; their numbers and moments are given when they are written.
    at : datetime, optional
        When it was; the clock when None.
    """
    moment = moment_of(at)
    book = replace(book, now=moment)

    def lines(found: Sequence[dict[str, object]]) -> list[dict[str, object]]:
        decided = decide(_folded(book, _entries(book.path, found)))
        wrong = [told for line in decided for told in faults_of(line)]
        if wrong:
            raise Stop(Exit.USAGE, f"no log has such a line: {'; '.join(wrong)}", "nothing was written")
        return [line_of(line) for line in decided]

    try:
        numbers = append_after(book.path, lines, at=moment.isoformat(timespec="seconds"))
    except LogFaultyError as error:
        _show(error.findings)
        raise Stop(Exit.FAULTS) from error
    return _folded(book, _read(book.path)), numbers


def moment_of(at: datetime | None) -> datetime:
    """The moment asked for, else now, in the wall-clock time of this place."""
    return at if at is not None else datetime.now().astimezone().replace(tzinfo=None, microsecond=0)


def _folded(book: LogBook, entries: tuple[Entry, ...]) -> LogBook:
    """The log with these lines; the plan that was agreed is read again only when it is another one."""
    digest, agreed, lost = last_agreed(entries), book.agreed, book.lost
    if digest != book.standing.agreed:
        agreed, lost = None, ""
        try:
            agreed = None if digest is None else read_agreed(book.plans, digest)
        except AgreedError as error:
            lost = str(error)
    standing = fold(entries, None if agreed is None else agreed.basis, book.now)
    return replace(book, entries=entries, agreed=agreed, standing=standing, lost=lost)


def _read(path: Path) -> tuple[Entry, ...]:
    found, findings = read_log(path)
    if findings:
        _show(findings)
        if has_errors(findings):
            raise Stop(Exit.FAULTS)
    return _entries(path, found)


def _entries(path: Path, found: Sequence[dict[str, object]]) -> tuple[Entry, ...]:
    entries, findings = entries_of(found, path)
    if findings:
        _show(findings)
        raise Stop(Exit.FAULTS)
    return entries


def _in_work(project: Path) -> str:
    """The job with the log that was written to last."""
    folder = project / "jobs"
    if not folder.is_dir():
        raise Stop(Exit.USAGE, f"{project}: there is no folder `jobs` in it", "name the project's folder")
    logs = [p for p in folder.glob(f"*{LOG}") if p.is_file()]
    if not logs:
        jobs = sorted(p.stem for p in folder.glob("*.yaml"))
        hint = f"knockon plan {project} {jobs[0] if jobs else 'JOB'} --agree"
        raise Stop(Exit.FAULTS, f"{project}: no job is being worked on, no plan has been agreed", hint)
    latest = max(logs, key=lambda p: (p.stat().st_mtime_ns, p.name))
    return latest.name.removesuffix(LOG)


def _see_job(project: Path, job: str) -> None:
    if not _ID.fullmatch(job) or not (project / "jobs" / f"{job}.yaml").is_file():
        known = sorted(p.stem for p in (project / "jobs").glob("*.yaml"))
        near = get_close_matches(job, known, n=1)
        hint = f"did you mean `{near[0]}`?" if near else f"known: {', '.join(f'`{k}`' for k in known) or 'none'}"
        raise Stop(Exit.FAULTS, f"{project}: there is no job {quoted(job)}", hint)
