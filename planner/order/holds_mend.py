"""A schedule that breaks holds, mended: what a hold asks for is put right before the session ends, and undone after.

Works on a good schedule of the least strip-down found without the holds. Of each session that asks, the last steps
are put off until there is time to put things right. The result is a sequence of steps with a few toggles more; the
search then schedules it anew, with the holds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.model.plan import Step
from planner.model.work import WorkList
from planner.order.calendar import Calendar
from planner.order.holds_walk import Ground, copied, ground_of
from planner.order.strip_repair import Walk, without_needless


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """A step with the bay it ends in and its end [min]."""

    step: Step
    bay: int
    end: int


def mended(
    work: WorkList, calendar: Calendar, ready: Mapping[str, int], timed: Sequence[Timed]
) -> tuple[Step, ...] | None:
    """Mend a schedule of a prepared work list, given in the order of its starts; None where this simple way fails."""
    ground = ground_of(work, calendar, ready, [t.step for t in timed])
    walk, todo = Walk(work), list(timed)
    first, last = (f(t.bay for t in timed) for f in (min, max))
    for bay in range(first, last):
        asked = ground.asks(bay)
        if not asked:
            continue
        due = [t for t in todo if t.bay <= bay]
        cut = next((i for i in range(len(due), -1, -1) if _put_right(ground, walk, due[:i], bay) is not None), None)
        if cut is None:
            return None
        walk = _put_right(ground, walk, due[:cut], bay) or walk
        todo = [*due[cut:], *(t for t in todo if t.bay > bay)]
    if not _played(walk, todo) or not walk.finish():
        return None
    asked_for = frozenset((d.feature, d.on) for hold in work.holds.values() for d in hold.demands)
    return without_needless(work, walk.steps, asked_for)


def _put_right(ground: Ground, walk: Walk, due: Sequence[Timed], bay: int) -> Walk | None:
    """Do some steps and put right what is asked at the end of a bay, if there is time for it."""
    trial = copied(walk)
    if not _played(trial, due):
        return None
    made = len(trial.steps)
    if not trial.fetch(ground.asks(bay), ()):
        return None
    needed = sum(ground.work.piece(s).minutes for s in trial.steps[made:])
    opens, closes = ground.calendar.bays[bay].opens, ground.calendar.bays[bay].closes
    end = max([opens, *(t.end for t in due if t.bay == bay)])
    return trial if end + needed <= closes else None


def _played(walk: Walk, timed: Sequence[Timed]) -> bool:
    """Do steps in their order, with what has to be fetched for them again."""
    return all(walk.do(t.step.ref) if t.step.on is None else walk.change(t.step.ref, (), to=t.step.on) for t in timed)
