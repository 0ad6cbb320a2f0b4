"""Why each step is done, in words."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import shorten

from planner.model.work import Task, WorkList
from planner.order.strip_bounds import Node
from planner.order.thread import Thread, piece_of, step_of

NAMED = 2
"""How many steps a reason names."""
LONGEST = 56
"""Letters of a title that are enough to know it by."""
LEAST = 20
"""A title cut at a comma must have this many left."""


def why_of(work: WorkList, thread: Thread, order: Sequence[Node]) -> tuple[str, ...]:
    """One text for each node of ``order``, in which a task that is split stands once a piece.

    A task gives its own reason. A toggle names, by their numbers in ``order``, the first tasks and then
    the first toggles that need the state it makes; one that nothing needs puts its feature back where it belongs.
    """
    index: dict[Node, int] = {}
    texts = []
    for i, node in enumerate(order):
        index.setdefault(node, i)
    for i, node in enumerate(order):
        piece = piece_of(node, work)
        if index[node] < i:
            texts.append(f"goes on from step {index[node] + 1}")
            continue
        if isinstance(piece, Task):
            texts.append(piece.why)
            continue
        served = sorted(thread.serves[node], key=lambda n: (n.number > 0, index[n]))
        if served:
            texts.append(f"for {_listed([(index[n] + 1, piece_of(n, work).title) for n in served])}")
        elif step_of(node, work).on == work.features[node.ref].goal:
            start = work.features[node.ref].start
            texts.append("back to where it belongs" if start == piece.on else "its place when the job is done")
        else:
            texts.append("nothing needs it")
    return tuple(texts)


def _listed(steps: list[tuple[int, str]]) -> str:
    """Name the first steps by number and title, and how many more there are."""
    named = [f"step {number} ({_short(title)})" for number, title in steps[:NAMED]]
    more = len(steps) - len(named)
    if more:
        return ", ".join(named) + f" and {more} more"
    return " and ".join(named)


def _short(title: str) -> str:
    """The title, or as much of it as is needed to know it by: up to a comma, or whole words."""
    head = title.partition(",")[0]
    if len(title) > LONGEST and len(head) >= LEAST:
        title = head
    return shorten(title, width=LONGEST, placeholder=" ...")
