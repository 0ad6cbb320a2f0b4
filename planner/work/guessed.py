"""A new part whose size was guessed is measured before anything is marked, cut or drilled for it."""

from __future__ import annotations

from planner.model.guessed import SIZE, resting_on_guess, size_is_guessed
from planner.model.job import Cut
from planner.model.shapes import Box, Cylinder
from planner.model.vehicle import Component, Link
from planner.model.words import Work
from planner.model.work import Task
from planner.work.bodies import Ground
from planner.work.tasks import TaskBook

MEASURE_MIN = 10
"""A part in the hand and a rule beside it (starting guess)."""


def measure_guessed(ground: Ground, book: TaskBook) -> None:
    """Put a step before all work on a new part of guessed size, on its holes and on the links that end at it.

    Call it when parts, links and holes have their tasks. What is ordered or handed over to be made waits for it too:
    its size is then to be settled, as there is nothing yet to be measured.
    """
    for part in sorted(ground.knockons.after):
        found = ground.knockons.after[part]
        if part in ground.vehicle.components or not size_is_guessed(found):
            continue
        waiting = _resting_on(ground, book, found)
        if not waiting:
            continue
        name = f"{part}{SIZE}"
        book.tasks[name] = _step(found, name)
        book.of_subject[part].insert(0, name)
        if any(task in book.ordering for task in book.of_subject[part]):
            book.ordering.add(name)
        for task in waiting:
            book.wait(task, [name])


def _step(part: Component, name: str) -> Task:
    return Task(
        id=name,
        title=f"Measure {part.name} over all, or settle the sizes it is to be made to: the plan has a guess",
        work=Work.MEASURING,
        minutes=MEASURE_MIN,
        tools=("tape", "caliper"),
        why="nobody has measured it yet",
        notes=(
            f"write down each size: {'; '.join(f'knockon record size {n} VALUE' for n in _names(part))}",
            "then plan again before anything is cut for it: knockon replan",
        ),
    )


def _names(part: Component) -> tuple[str, ...]:
    """The names of its sizes as `knockon measure` has them; of several solids only in general."""
    solid = part.solids[0] if len(part.solids) == 1 else None
    if isinstance(solid, Box):
        return tuple(f"{part.id}.box.{axis}" for axis in "xyz")
    if isinstance(solid, Cylinder):
        return (f"{part.id}.cylinder.across", f"{part.id}.cylinder.length")
    return (f"{part.id}.solids.1.SIZE (`knockon measure` tells the names)",)


def _resting_on(ground: Ground, book: TaskBook, part: Component) -> list[str]:
    """Tasks on the part, on holes in it or its host, on links that end at it, and on all that follows from it."""
    cuts = [c.id for c in ground.job.changes if isinstance(c, Cut) and c.host in {part.id, part.mounted_on}]
    links = [k.id for k in ground.knockons.links_after.values() if _ends_at(k, part.id)]
    follows = sorted(resting_on_guess(ground.knockons, part.id))
    subjects = dict.fromkeys((part.id, *cuts, *links, *follows))
    return [task for subject in subjects for task in book.of_subject.get(subject, [])]


def _ends_at(link: Link, part: str) -> bool:
    return any(end.component == part for end in link.ends)
