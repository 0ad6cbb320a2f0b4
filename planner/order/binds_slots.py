"""The slots of a plan as a network: what each must follow, and which pair of hands does it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from planner.model.plan import Plan, Slot
from planner.model.work import Task, Toggle, WorkList
from planner.order.strip_bounds import Node
from planner.order.thread import Thread, nodes_of, piece_of, thread_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """The slots of a plan, by their index in it, with the order they must keep.

    ``order`` lists the slots by start; ``before`` gives for each slot those it must follow with the least wait [min]
    from their end: the thread of the steps, and of a split task the part before.
    """

    slots: tuple[Slot, ...]
    order: tuple[int, ...]
    nodes: tuple[Node, ...]
    pieces: tuple[Task | Toggle, ...]
    before: tuple[dict[int, int], ...]
    thread: Thread


def row_of(work: WorkList, plan: Plan) -> Row:
    """Read what must stay in order out of a plan's own slots.

    Raises
    ------
    ValueError
        The slots, by start, are no valid sequence of steps.
    """
    order = tuple(sorted(range(len(plan.slots)), key=lambda i: (plan.slots[i].start, plan.slots[i].end)))
    firsts = [i for i in order if plan.slots[i].part == 1]
    steps = [plan.slots[i].step for i in firsts]
    thread = thread_of(work, steps)
    named = dict(zip(firsts, nodes_of(steps), strict=True))
    # Only tasks are split, and a task is done once.
    nodes = tuple(named.get(i, Node(slot.step.ref)) for i, slot in enumerate(plan.slots))
    first = {node: i for i, node in named.items()}
    last = {nodes[i]: i for i in order}
    before: list[dict[int, int]] = [{} for _ in plan.slots]
    for node, waits in thread.before.items():
        before[first[node]] = {last[m]: lag for m, lag in waits.items() if m in last}
    earlier: dict[Node, int] = {}
    for i in order:
        if plan.slots[i].part > 1:
            before[i][earlier[nodes[i]]] = 0
        earlier[nodes[i]] = i
    pieces = tuple(piece_of(n, work) for n in nodes)
    return Row(slots=plan.slots, order=order, nodes=nodes, pieces=pieces, before=tuple(before), thread=thread)


def hands_of(row: Row, most: int) -> tuple[tuple[int, ...], ...]:
    """Share out ``most`` pairs of hands, numbered from 0: each slot has the lowest that are free at its start.

    So a slot in a session with n pairs of hands is done by hands below n. What takes no time takes no hands; what is
    done with nothing beside it takes all.
    """
    until: dict[int, datetime | None] = dict.fromkeys(range(most))
    given: dict[int, tuple[int, ...]] = {}
    for i in row.order:
        slot, need = row.slots[i], most if row.pieces[i].apart else row.pieces[i].hands
        free = [h for h, end in until.items() if end is None or end <= slot.start]
        given[i] = tuple(free[:need]) if slot.end > slot.start else ()
        until.update(dict.fromkeys(given[i], slot.end))
    return tuple(given[i] for i in range(len(row.slots)))
