"""What is worked on, or stands in its place, before something else, through any number of others."""

from __future__ import annotations

from collections.abc import Iterable

from planner.work.bodies import Ground
from planner.work.tasks import TaskBook
from planner.work.waits import all_before, graph_of


def in_place_before(
    ground: Ground, book: TaskBook, tasks: Iterable[str], bodies: Iterable[str] = ()
) -> tuple[set[str], set[str]]:
    """Tasks, and bodies in the homes they end in, without which these tasks cannot be done and these bodies not fitted.

    They are among them. What is fitted is fitted on its host, and after what its first fitting waits for.
    """
    graph = graph_of(book.tasks.values())
    first, there, size = {*tasks}, {*bodies}, -1
    while size != len(first) + len(there):
        size = len(first) + len(there)
        first |= all_before(graph, first)
        wanted = [d.feature for t in first if t in book.tasks for d in book.tasks[t].demands if d.on]
        there |= {b for b in wanted if b in ground.handled}
        hosts = (ground.handled[b].hosts[1] for b in there)
        there |= {b for h in {*hosts} if h in ground.knockons.after and (b := ground.final(str(h))) is not None}
        first |= {t for b in there for t in book.fit_after.get(b, ())}
    return first, there
