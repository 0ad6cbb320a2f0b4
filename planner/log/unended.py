"""A watch that the log shows still on when its day is over: nobody can say that it was kept to its end.

It is looked at before anything else, and counts for no new heat: for that it is set up anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime

from planner.model.plan import Step
from planner.model.standing import Agreed, Standing
from planner.model.steps import ended_by, step_of_key
from planner.model.work import Task, WorkList
from planner.units.spoken import day_words


def unended_in(
    work: WorkList, states: Mapping[str, bool], changed: Mapping[str, datetime], now: datetime | None
) -> dict[str, datetime]:
    """Since when each state has been on that ends with its session and did not, as far as days tell.

    Parameters
    ----------
    work : WorkList
    states : mapping of feature to bool
        As they were left.
    changed : mapping of feature to datetime
        When each was last changed.
    now : datetime, optional
        None: nobody asks.
    """
    on = (f for f in sorted(work.ending) if now is not None and states.get(f) and f in changed)
    return {f: changed[f] for f in on if now is not None and changed[f].date() < now.date()}


def ends_watch(key: str, feature: str) -> bool:
    """Whether a step is the look by which such a state is taken as ended: its leaving, or the step planned for it."""
    return step_of_key(key) == Step(ref=feature, on=False) or ended_by(step_of_key(key).ref) == feature


def ending_key(agreed: Agreed, standing: Standing, feature: str) -> str:
    """The open step of the plan by which a state is ended; empty where the plan has none."""
    return next((k for k in agreed.keys if k not in standing.done and ends_watch(k, feature)), "")


def heated_in(agreed: Agreed, standing: Standing, feature: str) -> Iterator[str]:
    """Keys of the hot work of that session, done or not: of what nobody signed nobody knows how far it came."""
    keys = agreed.keys
    entered = [i for i, k in enumerate(keys) if step_of_key(k) == Step(ref=feature, on=True) and k in standing.done]
    for key in keys[entered[-1] + 1 if entered else 0 :]:
        if step_of_key(key) == Step(ref=feature, on=False):
            return
        piece = agreed.work.find(step_of_key(key))
        if isinstance(piece, Task) and any(d.feature == feature and d.on for d in piece.demands):
            yield key


def unended_words(agreed: Agreed, standing: Standing) -> tuple[str, ...]:
    """What is told of each such state before anything else, without the step that sees to it."""
    return tuple(
        f"{agreed.work.features[f].name}, set up {day_words(since)}: nobody has written down that it was kept to its "
        f"end. Before anything else look at what was heated and all round it"
        for f, since in standing.unended.items()
    )
