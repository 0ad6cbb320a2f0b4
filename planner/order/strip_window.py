"""A part of a true plan as a work list of its own.

Let S be nodes of a plan with the property: whoever must stand between two of S is in S. Then the plan can be
told as P, S, Q, where Q are the successors of S and P all others. S starts in the states P leaves, and must end
in those Q begins with; whatever else does the tasks of S from the one to the other may stand in its place.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from planner.model.plan import Step
from planner.model.work import Feature, Task, Toggle, WorkList
from planner.order.strip_bounds import Node
from planner.order.strip_repair import Walk
from planner.order.thread import thread_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Web:
    """Nodes of a plan by number, with sets of nodes as bits: all that must come ``before`` and ``after`` each."""

    nodes: tuple[Node, ...]
    steps: tuple[Step, ...]
    before: tuple[int, ...]
    after: tuple[int, ...]
    serves: dict[Node, tuple[Node, ...]]

    def closed(self, chosen: int) -> int:
        """All that stands between two of the chosen, and the chosen."""
        early = late = 0
        for i in bits_of(chosen):
            early |= self.before[i]
            late |= self.after[i]
        return chosen | (early & late)

    def told(self, chosen: int) -> tuple[list[Step], list[Step], list[Step]]:
        """The plan as what comes before, what is chosen (closed), and what comes after."""
        late = 0
        for i in bits_of(chosen):
            late |= self.after[i]
        parts: tuple[list[Step], list[Step], list[Step]] = ([], [], [])
        for i, step in enumerate(self.steps):
            parts[1 if chosen >> i & 1 else 2 if late >> i & 1 else 0].append(step)
        return parts


def bits_of(chosen: int) -> Iterable[int]:
    """Numbers of the bits that are set, rising."""
    while chosen:
        low = chosen & -chosen
        yield low.bit_length() - 1
        chosen ^= low


def web_of(work: WorkList, steps: tuple[Step, ...]) -> Web:
    """Find what must stay in order in a plan."""
    thread = thread_of(work, steps)
    number = {n: i for i, n in enumerate(thread.nodes)}
    before = [0] * len(number)
    after = [0] * len(number)
    for node, i in number.items():
        for other in thread.before[node]:
            before[i] |= before[number[other]] | 1 << number[other]
    for node in reversed(thread.nodes):
        i = number[node]
        for other in thread.before[node]:
            after[number[other]] |= after[i] | 1 << i
    return Web(nodes=thread.nodes, steps=steps, before=tuple(before), after=tuple(after), serves=thread.serves)


def window_work(work: WorkList, early: Sequence[Step], middle: Sequence[Step], late: Sequence[Step]) -> WorkList | None:
    """The work list of the middle of a plan; None when the plan as told is none."""
    walk = Walk(work)
    if not all(walk.play(s) for s in early):
        return None
    start, done, locked = dict(walk.on), set(walk.done), set(walk.locked)
    if not all(walk.play(s) for s in middle):
        return None
    here = {s.ref for s in middle if s.on is None}
    asked = _asked(work, late)

    def toggled(toggle: Toggle | None, p: str) -> Toggle | None:
        if toggle is None or p in locked or not done.union(here).issuperset(toggle.after):
            return None
        return replace(toggle, after=tuple(t for t in toggle.after if t in here))

    def featured(p: str, feature: Feature) -> Feature:
        goal = walk.on[p] if feature.goal is not None or p in asked else None
        on, off = toggled(feature.turn_on, p), toggled(feature.turn_off, p)
        return replace(feature, start=start[p], goal=goal, turn_on=on, turn_off=off)

    def waiting(task: Task) -> Task:
        return replace(task, after=tuple(a for a in task.after if a.task in here))

    return replace(
        work,
        features={p: featured(p, f) for p, f in work.features.items()},
        tasks={t: waiting(task) for t, task in work.tasks.items() if t in here},
    )


def _asked(work: WorkList, steps: Iterable[Step]) -> set[str]:
    """Features that some steps change or may rely on."""
    found: set[str] = set()
    for step in steps:
        if step.on is None:
            found |= {d.feature for d in work.tasks[step.ref].demands}
            continue
        found.add(step.ref)
        toggle = work.features[step.ref].toggle(on=step.on)
        if toggle is not None:
            found |= {d.feature for d in (*toggle.demands, *(d for way in toggle.ways for d in way))}
    return found
