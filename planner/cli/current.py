"""The plan of a job as it stands now: from its files, its log and the sizes measured since."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.cli.logbook import LogBook
    from planner.cli.replanning import Replanned
    from planner.model.catalog import Catalog
    from planner.model.log import Entry
    from planner.model.vehicle import Vehicle


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Which plan is wanted: of which job, from which moment, with how much time to look for it."""

    project: Path
    job: str
    now: datetime
    limit_s: float
    option: str = ""
    anew: bool = False
    odds: bool = False
    costs: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Current:
    """A plan with what it was made from; ``vehicle`` is as measured."""

    replan: Replanned
    book: LogBook
    catalog: Catalog
    vehicle: Vehicle


def see_open(book: LogBook) -> None:
    """End the command when the job is over: its vehicle's file describes what it built already."""
    from planner.cli.ending import Exit, Stop
    from planner.model.log import AdoptedLine
    from planner.units.spoken import day_words

    adopted = [e for e in book.standing.entries if isinstance(e, AdoptedLine)]
    if book.over():
        told = f"`{book.job}` was adopted on {day_words(adopted[-1].at)}: vehicle.yaml describes it as built"
        raise Stop(Exit.FAULTS, f"{told}, the job is over", way_back(book))


def see_not_before(book: LogBook, now: datetime) -> None:
    """End the command when work is logged after the moment that is planned from: it is done there, and was not then."""
    from planner.cli.ending import Exit, Stop
    from planner.units.spoken import moment_words

    last = _worked_after(book, now)
    if last is not None:
        raise Stop(
            Exit.USAGE,
            f"work is in the log up to {moment_words(last.at)} (line {last.n}), and {moment_words(now)} is before that",
            f"plan from then on: --at {last.at:%Y-%m-%dT%H:%M}; a wrong moment is taken back: knockon undo {last.n}",
        )


def _worked_after(book: LogBook, now: datetime) -> Entry | None:
    """The line of the log with the latest moment at which somebody worked, where that is after a minute."""
    from planner.model.log import DoneLine, FailedLine, SignedLine

    worked = [e for e in book.standing.entries if isinstance(e, DoneLine | SignedLine | FailedLine)]
    last = max(worked, key=lambda e: (e.at, e.n), default=None)
    return None if last is None or now >= last.at.replace(second=0, microsecond=0) else last


def _from_then_on(book: LogBook, now: datetime) -> datetime:
    """The moment to plan from: not before the work that is in the log, and that is said."""
    from planner.cli.terminal import say
    from planner.units.spoken import day_words

    last = _worked_after(book, now)
    if last is None:
        return now
    told = f"planned from {day_words(last.at)} {last.at:%H:%M} on"
    say(f"{told}: up to then work is in the log (line {last.n})", err=True)
    return last.at


def way_back(book: LogBook) -> str:
    """How a job that was adopted too soon is gone on with."""
    from planner.cli.unadopting import can_put_back, undo_words
    from planner.model.log import AdoptedLine

    adopted = [e for e in book.standing.entries if isinstance(e, AdoptedLine)]
    back = undo_words(book, adopted[-1].n)
    if can_put_back(book, adopted[-1]):
        return f"to go on with it: {back}, which puts vehicle.yaml back as it was before"
    return f"to go on with it, put vehicle.yaml back as it was before that day, then: {back}"


def see_agreed(found: Current) -> None:
    """End the command when a plan was agreed and holds no more: nobody should print one that nobody agreed to."""
    from planner.cli.ending import Exit, Stop

    if found.book.agreed is not None and not found.replan.kept and found.replan.answer.plan.slots:
        where = f"{found.book.project} {found.book.job}"
        raise Stop(
            Exit.FAULTS,
            "the agreed plan does not hold any more, and no other was agreed",
            f"knockon replan {where} shows what changes, --agree makes it the plan",
        )


def current_plan(wish: Wish) -> Current:
    """Plan what is left of a job; all of it when nothing is done. Ctrl-C keeps the best so far."""
    from dataclasses import replace

    from planner.cli.loading import catalog_read, job_read, vehicle_read
    from planner.cli.logbook import log_book
    from planner.cli.measured import as_measured, tell_sizes
    from planner.cli.planning import with_odds, with_wish_costs
    from planner.cli.planning_left import Ask
    from planner.cli.replanning import replanned
    from planner.cli.stopping import until_stopped

    catalog = catalog_read()
    vehicle = vehicle_read(wish.project, catalog)
    book = log_book(wish.project, wish.job)
    see_open(book)
    now = _from_then_on(book, wish.now)
    option = wish.option or (book.agreed.option or "" if book.agreed is not None else "")
    job = job_read(wish.project, wish.job, vehicle, catalog, option)
    tell_sizes(book)
    vehicle, job = as_measured(book, vehicle, job, catalog)
    plan = until_stopped(
        lambda halt: replanned(
            vehicle, job, catalog, book, Ask(now=now, limit_s=wish.limit_s, halt=halt, anew=wish.anew)
        )
    )
    if wish.odds:
        plan = replace(plan, answer=with_odds(plan.answer, catalog))
    if wish.costs:
        plan = replace(
            plan,
            answer=until_stopped(lambda halt: with_wish_costs(plan.answer, limit_s=wish.limit_s, halt=halt)),
        )
    return Current(replan=plan, book=book, catalog=catalog, vehicle=vehicle)
