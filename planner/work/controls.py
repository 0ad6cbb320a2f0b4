"""Trial fits with the controls in place that a part serves: what its rods join, and what it is told to touch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.model.runs import RunSort
from planner.model.work import Demand
from planner.work.bodies import Ground
from planner.work.in_place import in_place_before
from planner.work.tasks import TaskBook

_CONTROL_RUNS = frozenset({RunSort.ROD, RunSort.SHAFT})
"""Links that lie in a straight line between what they join: where one end stands says where the other may."""


def try_with_controls(ground: Ground, book: TaskBook) -> None:
    """Let every trial fit of a part demand what the rods and shafts at it, or at what it carries, join.

    Left out is what can only be fitted after the trial.
    """
    for subject, trials in book.trial_fits.items():
        others = [b for other in _joined(ground, subject) if (b := ground.final(other)) is not None]
        for trial in trials:
            known = book.tasks[trial]
            told = {d.feature for d in known.demands}
            there = [b for b in others if b not in told and trial not in in_place_before(ground, book, (), [b])[0]]
            more = tuple(Demand(feature=b, on=True) for b in sorted(dict.fromkeys(there)))
            book.tasks[trial] = replace(known, demands=known.demands + more)


def _joined(ground: Ground, subject: str) -> Iterator[str]:
    parts = ground.knockons.after
    if subject not in parts:
        return
    carried = {subject} | ground.standing_on(subject)
    yield from (t for t in parts[subject].touches if t in parts and t not in carried)
    for link in ground.knockons.links_after.values():
        ends = {e.component for e in link.ends}
        if ground.catalog.link_kinds[link.kind].run in _CONTROL_RUNS and ends & carried:
            yield from sorted(ends - carried)
