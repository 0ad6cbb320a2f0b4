"""Is all of it seen to: what a log tells and a work list does not know, after an update of the program."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.model.log import DoneLine, Entry, FailedLine, SignedLine, Verdict
from planner.model.standing import Agreed
from planner.model.steps import step_of_key
from planner.model.words import GATES
from planner.model.work import WorkList
from planner.verify.left import that_count, waited_for


def check_bygone(agreed: Agreed, work: WorkList, entries: Sequence[Entry], *, updated: bool) -> tuple[str, ...]:
    """Everything that was done, or left, by the plan agreed before and that a work list passes over in silence.

    Parameters
    ----------
    agreed : Agreed
        The plan agreed before.
    work : WorkList
        The whole work list of today.
    entries : sequence of Entry
        The whole log, undone lines among them.
    updated : bool
        Whether another program made that plan; else only what was unknown to it, or to all plans so far.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation.
    """
    lines, before = that_count(entries), {b.ref for b in agreed.bygone}
    before |= _refs_in(lines) - {step_of_key(key).ref for key in agreed.named} - agreed.work.tasks.keys()
    if updated:
        tasks = {i for i, task in agreed.work.tasks.items() if task.effect or task.checkpoint}
        before |= {*tasks, *agreed.work.features}
    return (
        *_unseen(before - _taken_in(agreed, work), work, lines),
        *_astray(before, agreed, work, lines),
        *_failed(before, agreed, work, lines),
    )


def _taken_in(agreed: Agreed, work: WorkList) -> set[str]:
    """Looks before holes, once steps of their own: each hole that one was for is still made, and begins with it now."""
    holes: dict[str, set[str]] = {i: set() for i in agreed.work.tasks if i.rpartition(".")[2] == "look"}
    for task in agreed.work.tasks.values():
        for entry in task.after:
            if entry.task in holes:
                holes[entry.task].add(task.id)
    return {look for look, made in holes.items() if made and made <= work.tasks.keys()}


def _refs_in(lines: Sequence[Entry]) -> set[str]:
    keys = (line.key for line in lines if isinstance(line, DoneLine | SignedLine | FailedLine) and line.key)
    return {step.ref for step in map(step_of_key, keys) if step.on is None}


def _unseen(refs: set[str], work: WorkList, lines: Sequence[Entry]) -> Iterator[str]:
    """A task that was done and is none any more is told in a step that the gates wait for."""
    last: dict[str, int] = {}
    for line in lines:
        step = step_of_key(line.key) if isinstance(line, DoneLine | SignedLine | FailedLine) else None
        if step is not None and step.on is None and step.ref:
            last[step.ref] = line.n
    for ref, n in last.items():
        if ref in work.tasks or ref not in refs:
            continue
        seeing = {t.id for t in work.tasks.values() if any(note.startswith(f"line {n}, ") for note in t.notes)}
        if not seeing:
            yield f"`{ref}` was done (line {n}), is no step any more, and nobody is told to look at it"
        for gate in GATES:
            if seeing and gate in work.tasks and not seeing & waited_for(work, gate):
                yield f"`{ref}` was done (line {n}), is no step any more, and `{gate}` does not wait for a look at it"


def _astray(refs: set[str], agreed: Agreed, work: WorkList, lines: Sequence[Entry]) -> Iterator[str]:
    """What was left neither as it was nor as it has to end is still something of the work list, with the same end."""
    now: dict[str, bool] = {}
    for line in lines:
        step = step_of_key(line.key) if isinstance(line, DoneLine) else None
        if step is not None and step.on is not None:
            now[step.ref] = step.on
    for feature in agreed.work.features.values():
        is_left = feature.id in refs and now.get(feature.id, feature.start) is not feature.start
        if not is_left or feature.goal is None or now[feature.id] is feature.goal:
            continue
        # A link that was undone at its pins, and is off now, ends as the link does.
        known = work.features.get(feature.id, work.features.get(feature.id.removesuffix(":joined")))
        if known is None or known.goal is not feature.goal:
            yield f"`{feature.id}` was left {'on' if now[feature.id] else 'off'}, and the plan does not end it"


def _failed(refs: set[str], agreed: Agreed, work: WorkList, lines: Sequence[Entry]) -> Iterator[str]:
    """A check that failed last is still one."""
    last = {line.checkpoint: line for line in lines if isinstance(line, SignedLine)}
    for check, line in last.items():
        made = any(t.checkpoint == check and t.id in refs for t in agreed.work.tasks.values())
        if made and line.verdict is Verdict.FAILED and check not in work.checkpoints:
            yield f"checkpoint `{check}` failed (line {line.n}) and is none any more"
