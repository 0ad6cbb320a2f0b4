"""What carries is bolted before it bears: holes in all that a part rests on, made before a support is let go on it."""

from __future__ import annotations

from dataclasses import replace

from planner.model.catalog import Condition
from planner.work.bodies import Ground
from planner.work.tasks import TaskBook


def bolt_before_bearing(ground: Ground, book: TaskBook) -> None:
    """Let what rests on a new carrier, as a gearbox mounting does, wait until that is drilled for.

    What is done to it up to the drilling wants nothing on it that waits for that.
    """
    for subject in sorted(book.holing):
        drilled = [t for t in book.holing[subject] if t in book.of_subject.get(subject, [])]
        if not drilled or subject not in ground.knockons.after:
            continue
        for condition in ground.catalog.conditions.values():
            resting = _resting(ground, subject, condition) if condition.bears else []
            if resting:
                _tie(book, subject, drilled, resting)


def _resting(ground: Ground, carrier: str, condition: Condition) -> list[str]:
    """Bodies through which a new carrier bears what a condition holds up: fitted on it in this job, for good."""
    parts, sorts = ground.knockons.after, {*condition.whole_parts}
    carried = sorted(ground.standing_on(carrier))
    found = [ground.final(i) for i in carried if {parts[i].kind, parts[i].group} & sorts]
    return [b for b in found if b is not None and not ground.handled[b].start]


def _tie(book: TaskBook, carrier: str, drilled: list[str], resting: list[str]) -> None:
    for body in resting:
        book.fit_after[body] += (t for t in drilled if t not in book.fit_after[body])
    for step in book.of_subject[carrier]:
        known = book.tasks[step]
        kept = tuple(d for d in known.demands if not (d.on and d.feature in resting))
        book.tasks[step] = replace(known, demands=kept)
        if step == drilled[-1]:
            break
