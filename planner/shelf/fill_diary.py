"""Things to buy for a job, when there is time, and the owner's own pace."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, time

from planner.files import KeyPath
from planner.files.schema_job import JobFile, PurchaseFile, SessionFile
from planner.files.values import Weekday
from planner.finding.words import did_you_mean, quoted
from planner.model.catalog import Work
from planner.model.job import Purchase, Repeating, Session
from planner.shelf.bench import Bench
from planner.shelf.fill_component import PARTS_AND_LINKS
from planner.shelf.sheets import Named

WEEKDAYS = tuple(Weekday)
FIRST_YEAR, LAST_YEAR = 2000, 2100


def fill_purchases(files: Named[PurchaseFile], bench: Bench) -> tuple[Purchase, ...]:
    """Things to buy that are no parts."""
    filled = []
    for path, file in files:
        if file.for_ is not None:
            bench.check_id((*path, "for"), file.for_, *PARTS_AND_LINKS)
        filled.append(
            Purchase(
                id=str(path[-1]),
                what=file.what,
                price=file.price,
                lead_days=bench.days((*path, "lead"), file.lead),
                lead_told=file.lead is not None,
                for_part=file.for_,
            )
        )
    return tuple(filled)


def fill_sessions(
    files: Iterable[tuple[int, SessionFile]], job: JobFile, bench: Bench
) -> tuple[tuple[Session, ...], tuple[Repeating, ...]]:
    """Dated sessions and repeating ones.

    Parameters
    ----------
    files : iterable of (int, SessionFile)
        With their position in the file.
    job : JobFile
        For its first and last day.
    bench : Bench
    """
    dated, weekly = [], []
    seen: dict[date | int, list[tuple[time, time]]] = {}
    for index, file in files:
        path: KeyPath = ("sessions", index)
        if file.to <= file.from_:
            message = f"the session ends at `{file.to:%H:%M}`, not after its start at `{file.from_:%H:%M}`"
            bench.faults.error("bad-session", (*path, "to"), message, "a session lies within one day")
            continue
        if file.on is not None:
            _check_day((*path, "on"), file.on, job, bench)
            dated.append(Session(day=file.on, start=file.from_, end=file.to, hands=file.hands))
            slots = [*seen.get(file.on.weekday(), []), *seen.get(file.on, [])]
            seen.setdefault(file.on, []).append((file.from_, file.to))
        else:
            weekday = WEEKDAYS.index(file.every) if file.every else 0
            weekly.append(Repeating(weekday=weekday, start=file.from_, end=file.to, hands=file.hands))
            slots = [s for day, kept in seen.items() for s in kept if _is_weekday(day, weekday)]
            seen.setdefault(weekday, []).append((file.from_, file.to))
        if any(file.from_ < end and start < file.to for start, end in slots):
            message = "the session overlaps another one above"
            bench.faults.error("sessions-overlap", path, message, "join them, or move one; `hands` says how many work")
    return tuple(dated), tuple(weekly)


def _is_weekday(day: date | int, weekday: int) -> bool:
    return (day.weekday() if isinstance(day, date) else day) == weekday


def _check_day(path: KeyPath, day: date, job: JobFile, bench: Bench) -> None:
    """Report a session outside the job's dates, unless those dates are wrong themselves."""
    if not check_year(path, day, bench) or (job.start and job.finish_by and job.finish_by < job.start):
        return
    if job.start is not None and day < job.start:
        message = f"`{day}` is before the start on `{job.start}`"
        bench.faults.warn("session-outside", path, message, "it is not used")
    elif job.finish_by is not None and day > job.finish_by:
        message = f"`{day}` is after `{job.finish_by}`, by which the job is to be done"
        bench.faults.warn("session-outside", path, message, "check the dates")


def check_year(path: KeyPath, day: date, bench: Bench) -> bool:
    """Whether a day is of a believable year; a finding when not."""
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return True
    message = f"`{day}` is not between the years {FIRST_YEAR} and {LAST_YEAR}"
    bench.faults.error("bad-date", path, message, "check the year")
    return False


def fill_pace(pace: Mapping[str, float], bench: Bench) -> dict[str, float] | None:
    """Fill in the owner's own pace by kind of work."""
    works = [work.value for work in Work]
    for name in pace:
        if name not in works:
            message = f"{quoted(name)} is no kind of work known here"
            bench.faults.error("unknown-work", ("pace", name), message, did_you_mean(name, works), key=True)
    return dict(pace) or None
