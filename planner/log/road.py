"""May the vehicle move, and may it go on the road: what exactly stands between."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from planner.log.words import line_words
from planner.model.log import SizeLine, Verdict
from planner.model.standing import Agreed, Standing
from planner.model.steps import step_of_key
from planner.model.words import FIRST_MOVE, ROAD_TEST
from planner.model.work import Checkpoint, Task, WorkList

BLOCKS_MOVING = "moving"
ROAD_ONLY = ("road",)
"""What a check blocks that no other use of the vehicle asks for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """One thing that stands between the vehicle and its use. ``number`` is the step to do, where there is one.

    ``road_only``: a check that nothing but the road asks for. It stands before an earlier use as well when the plan
    makes it first: no use is freed before what the plan has before it. ``unplanned``: found or damaged since the plan
    was agreed.
    """

    text: str
    number: int | None = None
    road_only: bool = False
    unplanned: bool = False

    @property
    def words(self) -> str:
        """The same with the number of the step that mends it before it."""
        return self.text if self.number is None else f"{self.number} {self.text}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Road:
    """What is still open before each use; an empty tuple means that nothing of this job stands in its way.

    ``moving``: before it moves under its own power. ``testing``: before the road test. ``road``: before it is used on
    the road. ``waived`` are the checkpoints marked as not applicable, which is told for ever.
    """

    begun: bool
    moving: tuple[Open, ...]
    testing: tuple[Open, ...]
    road: tuple[Open, ...]
    waived: tuple[str, ...]


def road_of(agreed: Agreed, standing: Standing) -> Road:
    """Say what stands between the vehicle and the road.

    Every checkpoint and every task of the job counts for the road, every part has to be where the job wants it, and
    what failed has to be put right. Nothing of a job that has not been begun stands in any way: the vehicle is as it
    was.
    """
    work = agreed.work
    gates = _Gates(agreed, standing)
    everything = set(work.tasks)
    moving = {c.id for c in work.checkpoints.values() if BLOCKS_MOVING in c.blocks}
    return Road(
        begun=bool(standing.done or standing.skipped),
        moving=(*_unplanned(agreed, standing), *gates.before(FIRST_MOVE, moving)),
        testing=(*_unplanned(agreed, standing), *gates.before(ROAD_TEST, set())),
        road=(*_unplanned(agreed, standing), *gates.open(everything, set(work.checkpoints), work)),
        waived=tuple(
            f"{work.checkpoints[i].title if i in work.checkpoints else i}: not applicable, {s.why}"
            for i, s in sorted(standing.signed.items())
            if s.verdict is Verdict.NOT_APPLICABLE
        ),
    )


def _unplanned(agreed: Agreed, standing: Standing) -> Iterator[Open]:
    """What was found, broken or measured and is in no plan yet: nobody knows what has to be proved again for it."""
    told = {f.id: line_words(f, agreed) for f in standing.found}
    told |= {b.id: f"damaged: {b.part} ({b.why})" for b in standing.broken}
    for name, words in told.items():
        if name not in agreed.work.tasks:
            yield Open(text=f"{words} (not in the agreed plan: replan)", unplanned=True)
    for line in standing.since:
        if isinstance(line, SizeLine):
            yield Open(text=f"measured: {line.size} is {line.value} (not in the agreed plan: replan)")


@dataclass(frozen=True, slots=True)
class _Gates:
    agreed: Agreed
    standing: Standing

    def before(self, gate: str, checks: set[str]) -> Iterator[Open]:
        """What is open before a gate: all it waits for, the states it demands, and some checks besides."""
        work = self.agreed.work
        task = work.tasks.get(gate)
        if task is None:
            yield from self.open(set(work.tasks), set(work.checkpoints), work)
            return
        needed = _waited_for(work, gate)
        made = {c for i in needed if (c := work.tasks[i].checkpoint) is not None}
        late = {i for i in checks if _comes_after(work, gate, i)}
        yield from self.open(needed, made | (checks - late), work, task)

    def open(self, tasks: set[str], checks: set[str], work: WorkList, gate: Task | None = None) -> Iterator[Open]:
        """What of some tasks, checks and states is open."""
        own = {work.tasks[i].checkpoint for i in tasks}
        for key in self.agreed.keys:
            ref, number = step_of_key(key).ref, self.agreed.named[key]
            if ref in tasks and ref not in self.standing.finished and key not in self.standing.done:
                yield self._step(work.tasks[ref], number=number)
        planned = {step_of_key(key).ref for key in self.agreed.keys}
        for ref in sorted(tasks - planned - self.standing.finished):
            yield self._step(work.tasks[ref], " (not in the agreed plan: replan)")
        for check in sorted(checks):
            # A check that is a step of its own is told with its step, unless it was passed over without a word.
            step_open = check in own and not self._made(check, work)
            if not step_open and not self.standing.is_passed(check):
                point = work.checkpoints[check]
                yield Open(text=self._unsigned(point), road_only=point.blocks == ROAD_ONLY)
        yield from self._states(work, gate)

    def _states(self, work: WorkList, gate: Task | None) -> Iterator[Open]:
        wanted = (
            ((f.id, f.goal) for f in work.features.values() if f.goal is not None)
            if gate is None
            else ((d.feature, d.on) for d in gate.demands)
        )
        for feature, on in wanted:
            known = work.features[feature]
            if self.standing.states.get(feature, known.start) is not on:
                yield Open(text=f"{known.name}: {'not yet' if on else 'still'}")

    def _made(self, check: str, work: WorkList) -> bool:
        makers = [t.id for t in work.tasks.values() if t.checkpoint == check]
        return all(m in self.standing.finished for m in makers)

    def _unsigned(self, point: Checkpoint) -> str:
        line = self.standing.signed.get(point.id)
        if line is None:
            return f"CHECK {point.title}: not signed"
        told = f"{line.text} ({line.why})" if line.why else line.text
        return f"CHECK {point.title}: failed, {told or 'no reason given'}; the limit is {point.limit}"

    def _step(self, task: Task, more: str = "", number: int | None = None) -> Open:
        again = self.standing.reopened.get(task.id)
        point = None if task.checkpoint is None else self.agreed.work.checkpoints.get(task.checkpoint)
        title = task.title if point is None else f"CHECK {point.title}"
        told = title if again is None else f"{title} (again: {again.why})"
        return Open(text=told + more, number=number, road_only=point is not None and point.blocks == ROAD_ONLY)


def _waited_for(work: WorkList, task: str) -> set[str]:
    """Tasks that one waits for, through any number of others."""
    found: set[str] = set()
    waiting = [task]
    while waiting:
        new = {a.task for a in work.tasks[waiting.pop()].after if a.task in work.tasks} - found
        found |= new
        waiting.extend(new)
    return found


def _comes_after(work: WorkList, gate: str, check: str) -> bool:
    """Whether a check can only be made once a gate has been passed."""
    makers: Iterable[str] = (t.id for t in work.tasks.values() if t.checkpoint == check)
    return any(gate in _waited_for(work, m) for m in makers)
