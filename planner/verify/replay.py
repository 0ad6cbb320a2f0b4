"""Replaying steps on the features of a work list, one after the other, and saying what is not allowed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from planner.model.plan import Step
from planner.model.work import Demand, Task, Toggle, WorkList


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


@dataclass(slots=True)
class _Replay:
    """The state of the vehicle while the steps are replayed. ``noun`` is "step" or "slot"."""

    work: WorkList
    noun: str
    state: dict[str, bool]
    done: dict[str, int] = field(default_factory=dict)
    """Task id -> number of the step that did it first."""
    held: dict[str, tuple[int, str]] = field(default_factory=dict)
    """Feature that may not change again -> number and id of the step that asked for it."""

    def unmet(self, demands: Sequence[Demand]) -> Iterator[str]:
        """One clause for each demand that does not hold now."""
        for demand in demands:
            if demand.feature not in self.state:
                yield f"it demands the unknown feature `{demand.feature}`"
            elif self.state[demand.feature] != demand.on:
                wanted, found = state_word(on=demand.on), state_word(on=not demand.on)
                yield f"`{demand.feature}` must be {wanted} and is {found}"

    def not_done(self, tasks: Sequence[str]) -> Iterator[str]:
        """One clause for each task that should have been done by now."""
        for task in tasks:
            if task not in self.work.tasks:
                yield f"it waits for the unknown task `{task}`"
            elif task not in self.done:
                yield f"task `{task}` must be done first and is not"

    def open_gates(self, task_id: str) -> Iterator[str]:
        """One clause for each checkpoint that still blocks the task."""
        for gate_id, gate in sorted(self.work.checkpoints.items()):
            if gate.each_time or task_id not in gate.blocked:
                continue
            signers = [task.id for task in self.work.tasks.values() if task.checkpoint == gate_id]
            if not signers:
                yield f"checkpoint `{gate_id}` blocks it and no task signs that checkpoint"
            for signer in signers:
                if signer not in self.done:
                    yield f"checkpoint `{gate_id}` blocks it and its task `{signer}` is not done"

    def do(self, number: int, step: Step) -> Iterator[str]:
        """Do a step: the clauses that say why it may not be done now."""
        if step.on is None:
            return self.do_task(number, step.ref)
        return self.do_toggle(number, step.ref, on=step.on)

    def do_task(self, number: int, task_id: str) -> Iterator[str]:
        """Do a task: the clauses that say why it may not be done now."""
        task = self.work.tasks.get(task_id)
        if task is None:
            yield "there is no such task"
            return
        if task_id in self.done:
            yield f"it was done already at {self.noun} {self.done[task_id]}"
        yield from self.unmet(task.demands)
        yield from self.not_done([entry.task for entry in task.after])
        yield from self.open_gates(task_id)
        self.done.setdefault(task_id, number)
        self._hold(number, task_id, task.demands)

    def do_toggle(self, number: int, feature_id: str, *, on: bool) -> Iterator[str]:
        """Change a feature: the clauses that say why it may not be changed now."""
        feature = self.work.features.get(feature_id)
        if feature is None:
            yield "there is no such feature"
            return
        if self.state[feature_id] == on:
            yield f"it is {state_word(on=on)} already"
        if feature_id in self.held:
            earlier, ref = self.held[feature_id]
            yield f"it may not change again after {self.noun} {earlier} (`{ref}`)"
        toggle = feature.turn_on if on else feature.turn_off
        if toggle is None:
            yield f"it can never be turned {state_word(on=on)}"
        else:
            yield from self.unmet(toggle.demands)
            yield from self._no_way(toggle)
            yield from self.not_done(toggle.after)
        self.state[feature_id] = on
        if toggle is not None:
            self._hold(number, feature_id, toggle.demands)

    def _no_way(self, toggle: Toggle) -> Iterator[str]:
        if not toggle.ways:
            return
        shut = [" and ".join(self.unmet(way)) for way in toggle.ways]
        if all(shut):
            yield f"no way is open: {'; or '.join(shut)}"

    def _hold(self, number: int, ref: str, demands: Sequence[Demand]) -> None:
        for demand in demands:
            if demand.last:
                self.held.setdefault(demand.feature, (number, ref))

    def undone(self) -> Iterator[str]:
        """One sentence for each task not done and each goal not met at the end."""
        for task_id in sorted(self.work.tasks):
            if task_id not in self.done:
                yield f"task `{task_id}` is never done"
        for feature_id, feature in sorted(self.work.features.items()):
            if feature.goal is not None and self.state[feature_id] != feature.goal:
                wanted, found = state_word(on=feature.goal), state_word(on=not feature.goal)
                yield f"at the end `{feature_id}` must be {wanted} and is {found}"


def replay(work: WorkList, steps: Sequence[Step], *, noun: str = "step") -> tuple[str, ...]:
    """Every rule of the work list that ``steps``, done in this order, break.

    Parameters
    ----------
    work : WorkList
        The features, tasks and checkpoints.
    steps : Sequence[Step]
        The steps in the order they are done.
    noun : str
        What a step is called in the sentences.

    Returns
    -------
    tuple[str, ...]
        One sentence a broken rule, naming the number of the step (from 1) and the thing; empty when sound.
        A broken step is taken as done, so that one fault does not hide or feign the ones after it.
    """
    run = _Replay(work=work, noun=noun, state={key: feature.start for key, feature in work.features.items()})
    said: list[str] = []
    for number, step in enumerate(steps, start=1):
        clauses = run.do(number, step)
        said += [f"{noun} {number}, {step_words(step)}: {clause}" for clause in clauses]
    said += run.undone()
    return tuple(said)
