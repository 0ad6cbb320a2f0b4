"""Pipes, hoses, cables and wires are laid when the holes near them are made and the heat there is over."""

from __future__ import annotations

from planner.model.catalog import Work
from planner.work.bodies import Ground
from planner.work.in_place import in_place_before
from planner.work.tasks import TaskBook


def lay_after_holes(ground: Ground, book: TaskBook) -> None:
    """Let what is newly laid near holes or heat wait for them, from the step on in which it is first laid.

    Left out are holes that are made, or come after something that is done, with it in its place.
    """
    for name, near in sorted(ground.knockons.laid_near.items()):
        steps = dict.fromkeys((*book.holing.get(name, ()), *book.hot.get(name, ())))
        for body in sorted(near & ground.handled.keys()):
            for step in steps:
                _lay_after(ground, book, body, step)


def _lay_after(ground: Ground, book: TaskBook, body: str, step: str) -> None:
    subject = ground.handled[body].subject
    laying = _from_laying(book, subject)
    first, there = in_place_before(ground, book, [step])
    if body in there or first & {*laying}:
        return
    for task in laying:
        book.wait(task, [step])
    if step not in book.fit_after[body]:
        book.fit_after[body].append(step)


def _from_laying(book: TaskBook, subject: str) -> list[str]:
    """The steps of a link from its first trial on: what is measured and cut before lies at the bench."""
    steps = book.of_subject.get(subject, [])
    tried = (n for n, t in enumerate(steps) if book.tasks[t].work is Work.TRIAL_FIT)
    return steps[next(tried, len(steps)) :]
