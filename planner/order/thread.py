"""What must stay in order in a given sequence of steps, and the natural order that keeps it.

A sequence of steps fixes, for every demand, the stretch of the feature it falls in: after its k-th toggle and
before the next. Keeping each step within its stretches, each feature's toggles in their row and every task
after those it waits for keeps every rule of the work list, so any other sequence that does so is as good a
plan: the rest may float.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.model.plan import Step
from planner.model.work import Demand, Task, Toggle, WorkList
from planner.order.strip_bounds import Node
from planner.order.strip_problem import toggle_number, with_gates


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """Steps as nodes in the given sequence with the order they must keep.

    ``before`` gives each node's predecessors with the least wall-clock lag [min] between their end and its start
    (the wait between two tasks, or how long a task wants its states left alone);
    ``serves`` gives for each toggle the nodes that demand the state it makes, while it lasts.
    """

    nodes: tuple[Node, ...]
    before: dict[Node, dict[Node, int]]
    serves: dict[Node, tuple[Node, ...]]


def step_of(node: Node, work: WorkList) -> Step:
    """Return the plan step of a node."""
    if node.number == 0:
        return Step(ref=node.ref)
    return Step(ref=node.ref, on=work.features[node.ref].start == (node.number % 2 == 0))


def piece_of(node: Node, work: WorkList) -> Task | Toggle:
    """Return the task or toggle of a node.

    Raises
    ------
    ValueError
        The feature has no such toggle.
    """
    if node.number == 0:
        return work.tasks[node.ref]
    toggle = toggle_number(work.features[node.ref], node.number)
    if toggle is None:
        raise ValueError(f"`{node.ref}` cannot change state a {node.number}. time")
    return toggle


def nodes_of(steps: Sequence[Step]) -> tuple[Node, ...]:
    """Return the nodes of a sequence of steps; the toggles of each feature are counted from 1."""
    count: dict[str, int] = {}
    nodes = []
    for step in steps:
        if step.on is not None:
            count[step.ref] = count.get(step.ref, 0) + 1
        nodes.append(Node(step.ref, count[step.ref] if step.on is not None else 0))
    return tuple(nodes)


def thread_of(work: WorkList, steps: Sequence[Step]) -> Thread:
    """Find what must stay in order in a valid sequence of steps.

    Of a toggle's ways the first that holds where it stands is the one kept.

    Raises
    ------
    ValueError
        No way of a toggle holds, or a toggle does not exist: the sequence was not valid.
    """
    work = with_gates(work)
    nodes = nodes_of(steps)
    total: dict[str, int] = {n.ref: n.number for n in nodes if n.number}
    count: dict[str, int] = {}
    before: dict[Node, dict[Node, int]] = {n: {} for n in nodes}
    serves: dict[Node, list[Node]] = {n: [] for n in nodes if n.number}
    for node in nodes:
        piece = piece_of(node, work)
        if isinstance(piece, Task):
            for after in piece.after:
                before[node][Node(after.task)] = max(after.lag_min, before[node].get(Node(after.task), 0))
        else:
            before[node] = {Node(t): 0 for t in piece.after} | before[node]
            if node.number > 1:
                before[node][Node(node.ref, node.number - 1)] = 0
        for demand in _kept_demands(piece, work, count, total):
            if demand.feature == node.ref and node.number:
                continue
            k = count.get(demand.feature, 0)
            if k:
                before[node].setdefault(Node(demand.feature, k), 0)
                serves[Node(demand.feature, k)].append(node)
            if k < total.get(demand.feature, 0):
                following = before[Node(demand.feature, k + 1)]
                following[node] = max(following.get(node, 0), piece.keep_min if isinstance(piece, Task) else 0)
        if node.number:
            count[node.ref] = node.number
    once = {n: tuple(dict.fromkeys(by)) for n, by in serves.items()}
    return Thread(nodes=nodes, before=before, serves=once)


def _kept_demands(
    piece: Task | Toggle, work: WorkList, count: dict[str, int], total: dict[str, int]
) -> tuple[Demand, ...]:
    """Demands of a step, with those of the first way that holds at this moment."""
    if isinstance(piece, Task) or not piece.ways:
        return piece.demands
    for way in piece.ways:
        if all(_holds(d, piece.feature, work, count, total) for d in way):
            return piece.demands + way
    raise ValueError(f"no way is open for `{piece.title}` where it stands")


def _holds(demand: Demand, own: str, work: WorkList, count: dict[str, int], total: dict[str, int]) -> bool:
    """Whether a toggle of feature ``own`` may rely on a demand at this moment."""
    made = count.get(demand.feature, 0)
    if demand.last and made + (demand.feature == own) < total.get(demand.feature, 0):
        return False
    return demand.on == (work.features[demand.feature].start == (made % 2 == 0))


def natural_order(work: WorkList, thread: Thread) -> tuple[Node, ...]:
    """Give the order a person would work in, among all that keep the thread.

    Tasks are taken one at a time: the one that needs the fewest changes of state first, of those one that
    belongs to the same effect as the task before, of those the first in the work list. What it needs off, on or
    entered is done just before it, so removals come as late as they can; a toggle that ends its feature's row
    is done as soon as nothing stands in its way, so refits come as early as they can, the last off first back.
    """
    index = {n: i for i, n in enumerate(thread.nodes)}
    rank = {Node(t): i for i, t in enumerate(work.tasks)}
    # Later toggles of a feature overwrite earlier ones.
    ends = set({n.ref: n for n in thread.nodes if n.number}.values())
    needs = _ancestors(thread, index)
    left = set(thread.nodes)
    done: list[Node] = []
    effect = ""
    while left:
        tasks = [n for n in left if n.number == 0]
        free = [n for n in tasks if not any(m.number == 0 and m in left for m in needs[n])]
        if not free:
            done += sorted(left, key=lambda n: index[n])
            break
        changes = {n: [m for m in needs[n] if m in left] for n in free}
        task = min(free, key=lambda n: (len(changes[n]), work.tasks[n.ref].effect != effect, rank[n]))
        block = [*sorted(changes[task], key=lambda n: index[n]), task]
        done += block
        left -= set(block)
        effect = work.tasks[task.ref].effect
        _refit(thread, left, done, ends)
    return tuple(done)


def _ancestors(thread: Thread, index: dict[Node, int]) -> dict[Node, set[Node]]:
    """All nodes that must come before each."""
    found: dict[Node, set[Node]] = {}
    for node in sorted(thread.nodes, key=lambda n: index[n]):
        found[node] = set(thread.before[node]).union(*(found[m] for m in thread.before[node]))
    return found


def _refit(thread: Thread, left: set[Node], done: list[Node], ends: set[Node]) -> None:
    """Do the last toggles that nothing holds back any more, last off first back; one may free the next."""
    when = {n: i for i, n in enumerate(done)}
    again = True
    while again:
        ready = [n for n in left if n in ends and n.number > 1 and not any(m in left for m in thread.before[n])]
        ready.sort(key=lambda n: -when[Node(n.ref, n.number - 1)])
        done += ready
        left -= set(ready)
        again = bool(ready)
