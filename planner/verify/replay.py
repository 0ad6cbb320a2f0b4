"""Replaying steps on the features of a work list, each over its own stretch of time, and saying what is not allowed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from planner.model.plan import Step
from planner.model.work import Demand, Feature, Task, Toggle, WorkList


def state_word(*, on: bool) -> str:
    """Give the word for a state of a feature."""
    return "on" if on else "off"


def step_words(step: Step) -> str:
    """Name a step by its id."""
    if step.on is None:
        return f"task `{step.ref}`"
    return f"`{step.ref}` {state_word(on=step.on)}"


def toggle_of(work: WorkList, step: Step) -> Toggle | None:
    """Find the toggle a step stands for; None for a task, an unknown feature or a change it cannot make."""
    feature = work.features.get(step.ref)
    if feature is None or step.on is None:
        return None
    return feature.turn_on if step.on else feature.turn_off


def piece_of(work: WorkList, step: Step) -> Task | Toggle | None:
    """Find the task or toggle a step stands for; None when the work list has none."""
    if step.on is None:
        return work.tasks.get(step.ref)
    return toggle_of(work, step)


def effort_min(work: WorkList, steps: Sequence[Step]) -> int:
    """Sum of minutes x hands over the toggles among ``steps`` [hand-min]; unknown steps count nothing."""
    found = (toggle_of(work, step) for step in steps)
    return sum(toggle.minutes * toggle.hands for toggle in found if toggle is not None)


def dislike_min(work: WorkList, steps: Sequence[Step]) -> int:
    """Sum of what the owner would rather work than make these toggles [hand-min]; banned ones count nothing."""
    found = (toggle_of(work, step) for step in steps)
    return sum(toggle.dislike_min or 0 for toggle in found if toggle is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A step from its first begin to its last end, on any axis of time; ``number`` is what sentences call it."""

    number: int
    step: Step
    begin: int
    end: int


def over_before(first: Stretch, second: Stretch) -> bool:
    """Whether ``first`` is over when ``second`` begins; of two that take no time at one moment the number decides."""
    if first.end != second.begin:
        return first.end < second.begin
    takes_time = first.end > first.begin or second.end > second.begin
    return takes_time or first.number < second.number


@dataclass(slots=True)
class _Replay:
    """All stretches, by what they are about. ``noun`` is "step" or "slot"."""

    work: WorkList
    noun: str
    stretches: Sequence[Stretch]
    changes: dict[str, list[Stretch]] = field(default_factory=dict)
    """Feature -> its changes, by number."""
    done: dict[str, Stretch] = field(default_factory=dict)
    """Task -> the first time it is done."""
    holders: dict[str, list[Stretch]] = field(default_factory=dict)
    """Feature -> what demands that it never change again."""

    def __post_init__(self) -> None:
        for stretch in self.stretches:
            if stretch.step.on is None:
                self.done.setdefault(stretch.step.ref, stretch)
            else:
                self.changes.setdefault(stretch.step.ref, []).append(stretch)
            piece = piece_of(self.work, stretch.step)
            for demand in () if piece is None else piece.demands:
                if demand.last:
                    self.holders.setdefault(demand.feature, []).append(stretch)

    def others(self, feature_id: str, but: Stretch) -> list[Stretch]:
        """Changes of a feature other than ``but``."""
        return [change for change in self.changes.get(feature_id, ()) if change is not but]

    def state_before(self, feature: Feature, stretch: Stretch) -> bool:
        """State a feature was left in by the changes that are over when ``stretch`` begins."""
        earlier = [change for change in self.others(feature.id, stretch) if over_before(change, stretch)]
        return feature.start if not earlier else bool(earlier[-1].step.on)

    def meanwhile(self, feature_id: str, stretch: Stretch) -> Stretch | None:
        """Find a change of a feature that is neither over before a stretch nor begun after it."""
        for change in self.others(feature_id, stretch):
            if not over_before(change, stretch) and not over_before(stretch, change):
                return change
        return None

    def unmet(self, demands: Sequence[Demand], stretch: Stretch) -> Iterator[str]:
        """One clause for each demand that does not hold all through a stretch."""
        for demand in demands:
            feature = self.work.features.get(demand.feature)
            if feature is None:
                yield f"it demands the unknown feature `{demand.feature}`"
                continue
            wanted = state_word(on=demand.on)
            change = self.meanwhile(demand.feature, stretch)
            if change is not None:
                yield f"`{demand.feature}` must be {wanted} and {self.noun} {change.number} changes it meanwhile"
            elif self.state_before(feature, stretch) != demand.on:
                yield f"`{demand.feature}` must be {wanted} and is {state_word(on=not demand.on)}"

    def not_done(self, tasks: Sequence[str], stretch: Stretch) -> Iterator[str]:
        """One clause for each task that should be over when a stretch begins."""
        for task in tasks:
            if task not in self.work.tasks:
                yield f"it waits for the unknown task `{task}`"
            elif task not in self.done or not over_before(self.done[task], stretch):
                yield f"task `{task}` must be done first and is not"

    def open_gates(self, stretch: Stretch) -> Iterator[str]:
        """One clause for each checkpoint that still blocks a task when it begins."""
        for gate_id, gate in sorted(self.work.checkpoints.items()):
            if stretch.step.ref not in gate.blocked:
                continue
            if gate.each_time:
                yield from self._never_made(gate_id, stretch)
                continue
            signers = [task.id for task in self.work.tasks.values() if task.checkpoint == gate_id]
            if not signers:
                yield f"checkpoint `{gate_id}` blocks it and no task signs that checkpoint"
            for signer in signers:
                if signer not in self.done or not over_before(self.done[signer], stretch):
                    yield f"checkpoint `{gate_id}` blocks it and its task `{signer}` is not done"

    def _never_made(self, gate_id: str, stretch: Stretch) -> Iterator[str]:
        made = [change for changes in self.changes.values() for change in changes]
        for change in made:
            toggle = toggle_of(self.work, change.step)
            if toggle is not None and gate_id in toggle.checks and over_before(change, stretch):
                return
        yield f"checkpoint `{gate_id}` blocks it and no {self.noun} before makes that check"

    def faults(self, stretch: Stretch) -> Iterator[str]:
        """Say why a step may not be done when it is: a clause a reason."""
        if stretch.step.on is None:
            return self._task_faults(stretch)
        return self._change_faults(stretch)

    def _task_faults(self, stretch: Stretch) -> Iterator[str]:
        task = self.work.tasks.get(stretch.step.ref)
        if task is None:
            yield "there is no such task"
            return
        if self.done[task.id] is not stretch:
            yield f"it was done already at {self.noun} {self.done[task.id].number}"
        yield from self.unmet(task.demands, stretch)
        yield from self.not_done([entry.task for entry in task.after], stretch)
        yield from self.open_gates(stretch)

    def _change_faults(self, stretch: Stretch) -> Iterator[str]:
        feature = self.work.features.get(stretch.step.ref)
        on = bool(stretch.step.on)
        if feature is None:
            yield "there is no such feature"
            return
        if self.state_before(feature, stretch) == on:
            yield f"it is {state_word(on=on)} already"
        other = self.meanwhile(feature.id, stretch)
        if other is not None and other.number < stretch.number:
            yield f"it overlaps {self.noun} {other.number}, {step_words(other.step)}"
        yield from self._held(stretch)
        toggle = feature.turn_on if on else feature.turn_off
        if toggle is None:
            yield f"it can never be turned {state_word(on=on)}"
            return
        if toggle.dislike_min is None:
            yield f"the owner says that it is never to be turned {state_word(on=on)}"
        yield from self.unmet(toggle.demands, stretch)
        yield from self._no_way(toggle, stretch)
        yield from self.not_done(toggle.after, stretch)
        for check in toggle.checks:
            if check not in self.work.checkpoints:
                yield f"its check `{check}` is not among the checkpoints"

    def _held(self, stretch: Stretch) -> Iterator[str]:
        for holder in self.holders.get(stretch.step.ref, ()):
            if holder is not stretch and over_before(holder, stretch):
                yield f"it may not change again after {self.noun} {holder.number} (`{holder.step.ref}`)"
                return

    def _no_way(self, toggle: Toggle, stretch: Stretch) -> Iterator[str]:
        shut: list[str] = []
        for way in toggle.ways:
            clauses = (*self.unmet(way, stretch), *self._changed_after(way, stretch))
            if not clauses:
                return
            shut.append(" and ".join(clauses))
        if shut:
            yield f"no way is open: {'; or '.join(shut)}"

    def _changed_after(self, way: Sequence[Demand], stretch: Stretch) -> Iterator[str]:
        """One clause for each feature that a way asks to be left for good and that changes later."""
        for demand in way:
            later = [c for c in self.others(demand.feature, stretch) if demand.last and over_before(stretch, c)]
            if later:
                yield f"`{demand.feature}` may not change again and does at {self.noun} {later[0].number}"

    def undone(self) -> Iterator[str]:
        """One sentence for each task not done and each goal not met at the end."""
        for task_id in sorted(self.work.tasks):
            if task_id not in self.done:
                yield f"task `{task_id}` is never done"
        for feature_id, feature in sorted(self.work.features.items()):
            changes = self.changes.get(feature_id)
            state = bool(changes[-1].step.on) if changes else feature.start
            if feature.goal is not None and state != feature.goal:
                wanted, found = state_word(on=feature.goal), state_word(on=not feature.goal)
                yield f"at the end `{feature_id}` must be {wanted} and is {found}"


def replay_stretches(work: WorkList, stretches: Sequence[Stretch], *, noun: str) -> tuple[str, ...]:
    """Every rule of the work list that steps done over these stretches of time break.

    A change of a feature takes all its stretch: the feature is in neither state until it is over. What a step
    demands must hold from its begin to its end.

    Parameters
    ----------
    work : WorkList
        The features, tasks and checkpoints.
    stretches : Sequence[Stretch]
        The steps, by number; the numbers follow the begins.
    noun : str
        What a step is called in the sentences.

    Returns
    -------
    tuple[str, ...]
        One sentence a broken rule, naming the number of the step and the thing; empty when sound.
        A broken step is taken as done, so that one fault does not hide or feign the ones after it.
    """
    run = _Replay(work=work, noun=noun, stretches=stretches)
    said = [f"{noun} {s.number}, {step_words(s.step)}: {clause}" for s in stretches for clause in run.faults(s)]
    return (*said, *run.undone())


def replay(work: WorkList, steps: Sequence[Step]) -> tuple[str, ...]:
    """Every rule of the work list that ``steps``, done one after the other, break; numbered from 1."""
    stretches = [Stretch(number=n, step=step, begin=n, end=n + 1) for n, step in enumerate(steps, start=1)]
    return replay_stretches(work, stretches, noun="step")
