"""Every order of the steps that the planner's own step rules allow, for small work lists in which nothing is undone."""

from __future__ import annotations

from collections.abc import Iterator

from planner.model.plan import Step
from planner.model.work import WorkList
from planner.order.strip_bounds import Node
from planner.order.strip_repair import Walk
from planner.order.thread import Thread


def all_orders(work: WorkList) -> Iterator[tuple[Step, ...]]:
    """All sequences of tasks and first toggles that end with everything done and in its place."""
    steps = [Step(ref=t) for t in work.tasks] + [Step(ref=p, on=not f.start) for p, f in work.features.items()]

    def further(done: tuple[Step, ...]) -> Iterator[tuple[Step, ...]]:
        walk = Walk(work)
        assert all(walk.play(s) for s in done)
        if walk.ended():
            yield done
            return
        mark = walk.mark()
        for step in steps:
            if step not in done and walk.play(step):
                walk.back_to(mark)
                yield from further((*done, step))

    return further(())


def orders_left_free(thread: Thread) -> int:
    """How many orders of its nodes keep a thread."""

    def count(left: frozenset[Node]) -> int:
        if not left:
            return 1
        return sum(count(left - {n}) for n in left if not left & thread.before[n].keys())

    return count(frozenset(thread.nodes))


def shape(thread: Thread) -> frozenset[tuple[Node, frozenset[Node]]]:
    """What a thread keeps in order, whatever sequence it was found in."""
    return frozenset((n, frozenset(earlier)) for n, earlier in thread.before.items())
