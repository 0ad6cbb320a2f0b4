"""What the reader should know of how a plan was found, and why there is none, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from planner.model.job import Job
from planner.model.plan import Plan
from planner.model.work import WorkList
from planner.order.frontier import Trade
from planner.order.pack import Packer, ranks_of
from planner.order.schedule_search import Found
from planner.order.schedule_words import Told, left_over
from planner.units.spoken import day_words


def notes_of(words: Told, job: Job, plan: Plan, trade: Trade, best: Found, *, halted: bool) -> tuple[str, ...]:
    """Say what was left open: time over, a date not met, a trade not looked at in full, gaps."""
    return tuple(_notes(words, job, plan, trade, best, halted=halted))


def _notes(words: Told, job: Job, plan: Plan, trade: Trade, best: Found, *, halted: bool) -> Iterator[str]:
    if plan.finish is None:
        return
    finish, first = plan.finish.date(), words.calendar.first
    earliest = first + timedelta(days=trade.earliest_day)
    if halted:
        yield "stopped before everything was proved: this is the best found so far"
    if job.finish_by is not None and finish > job.finish_by:
        yield _missed(words, job.finish_by, earliest)
    if best.day > best.bound_day:
        possible = first + timedelta(days=best.bound_day)
        yield (
            f"this strip-down cannot be finished before {day_words(possible)}, which is proved; whether before"
            f" {day_words(finish)} is open"
        )
    elif best.used > best.bound_used:
        yield f"it takes {best.used} sessions; fewer than {best.bound_used} are proved too few, between them it is open"
    if not trade.whole and finish > earliest:
        yield (
            f"whether more strip-down would finish sooner was not looked at to the end: no plan finishes before"
            f" {day_words(earliest)}, and this one does on {day_words(finish)}"
        )


def _missed(words: Told, by: date, earliest: date) -> str:
    """Say why the date to meet is not met."""
    late = [b for b in words.work.buys.values() if words.arrives[b.id] > by]
    told = f"the date to meet, {day_words(by)}, is not met"
    if late:
        worst = max(late, key=lambda b: (words.arrives[b.id], b.id))
        return f"{told}: `{worst.what}` is here on {day_words(words.arrives[worst.id])} only"
    if earliest > by:
        return f"{told}: no plan finishes before {day_words(earliest)}, whatever the effort"
    return f"{told}: no plan was found that does, and none was shown to be impossible"


def stuck_words(words: Told, best: Found, trade: Trade) -> tuple[str, ...]:
    """Say why no plan fits into the sessions."""
    free = replace(best.net, stretches=())
    without = Packer(net=free, rank=ranks_of(free, best.leaving)[0])
    # What is left is told of what was placed: it is packed even where there is no hold to be blamed.
    if not without.run() or not words.work.holds:
        return left_over(words, free, without)
    never = tuple(dict.fromkeys(_never(words.work)))
    if never:
        return never
    titles = " and ".join(f"`{h.title}`" for h in words.work.holds.values())
    told = f"without {titles} at the end of sessions there is a plan, with it none"
    return (
        (f"{told} can be: a session is too short, or something must stay as it is over night",)
        if (trade.impossible)
        else (f"{told} was found",)
    )


def _never(work: WorkList) -> Iterator[str]:
    """Holds that ask for a state that cannot be had."""
    for hold in work.holds.values():
        for demand in hold.demands:
            feature = work.features[demand.feature]
            toggle = feature.toggle(on=demand.on)
            if feature.start != demand.on and (toggle is None or toggle.dislike_min is None):
                state = "on" if feature.start else "off"
                yield (
                    f"`{hold.title}` can never be met: `{feature.name}` is {state} and there is no way to change that,"
                    " and the work does not fit into one session"
                )
