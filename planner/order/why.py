"""Why each step is done, in words."""

from __future__ import annotations

from collections.abc import Sequence

from planner.model.work import Task, WorkList
from planner.order.strip_bounds import Node
from planner.order.thread import Thread, piece_of, step_of

NAMED = 2
"""How many steps a reason names."""


def why_of(work: WorkList, thread: Thread, order: Sequence[Node]) -> tuple[str, ...]:
    """One text for each node of ``order``.

    A task gives its own reason. A toggle names the first steps that need the state it makes, in the order they
    are done; one that nothing needs puts its feature back where it belongs.
    """
    index = {n: i for i, n in enumerate(order)}
    texts = []
    for node in order:
        piece = piece_of(node, work)
        if isinstance(piece, Task):
            texts.append(piece.why)
            continue
        served = sorted(thread.serves[node], key=lambda n: index[n])
        if served:
            texts.append(f"so that {_listed([piece_of(n, work).title for n in served])} can be done")
        elif step_of(node, work).on == work.features[node.ref].goal:
            start = work.features[node.ref].start
            texts.append("back to where it belongs" if start == piece.on else "its place when the job is done")
        else:
            texts.append("nothing needs it")
    return tuple(texts)


def _listed(titles: list[str]) -> str:
    """Name the first titles in backticks, and how many more there are."""
    titles = list(dict.fromkeys(titles))
    named = [f"`{t}`" for t in titles[:NAMED]]
    more = len(titles) - len(named)
    if more:
        return ", ".join(named) + f" and {more} more"
    return " and ".join(named)
