"""Mock-ups of controls come before metal is cut for them: a pedal that is in the wrong place is moved in card."""

from __future__ import annotations

from planner.model.catalog import Work
from planner.model.job import Cut
from planner.work.bodies import Ground
from planner.work.tasks import TaskBook
from planner.work.waits import all_before, graph_of

_CONTROLS = frozenset({"brakes", "clutch", "throttle", "steering"})


def mock_up_before_cutting(ground: Ground, book: TaskBook) -> None:
    """Let every hole that is cut in what a control is mounted on, or hangs from, wait for the mock-ups of that control.

    Left out is a mock-up that itself comes after the hole, by the owner's word.
    """
    for cut in (c for c in ground.job.changes if isinstance(c, Cut)):
        cutting = book.holing[cut.id]
        for subject, steps in list(book.of_subject.items()):
            part = ground.knockons.after.get(subject)
            if part is None or part.group not in _CONTROLS or cut.host not in _hosts(ground, subject):
                continue
            shown = [t for t in steps if book.tasks[t].work is Work.MOCK_UP]
            if not shown or all_before(graph_of(book.tasks.values()), shown) & {*book.of_subject[cut.id]}:
                continue
            for step in cutting:
                book.wait(step, shown)


def _hosts(ground: Ground, part: str) -> set[str]:
    """What a part is mounted on, through any number of others."""
    found: set[str] = set()
    host = ground.knockons.after[part].mounted_on
    while host in ground.knockons.after and host not in found:
        found.add(host)
        host = ground.knockons.after[host].mounted_on
    return found
