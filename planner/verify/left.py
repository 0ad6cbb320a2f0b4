"""Does a plan for what is left do nothing twice, and leave out nothing that is open? Asked of the log's own lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from planner.model.log import DoneLine, Entry, FailedLine, SignedLine, SkippedLine, UndoLine, Verdict
from planner.model.plan import Plan, Step
from planner.model.steps import step_of_key
from planner.model.work import Task, WorkList
from planner.verify.refilled import refilling_faults
from planner.verify.unended import looked_over, rewatch_faults, unended_faults


def check_left(work: WorkList, plan: Plan, entries: Sequence[Entry], today: date | None = None) -> tuple[str, ...]:
    """Every way in which a plan for what is left does not fit its log.

    Parameters
    ----------
    work : WorkList
        The whole work list, done work included.
    plan : Plan
        What is to be done from now on.
    entries : sequence of Entry
        The whole log, undone lines among them.
    today : date, optional
        The day that is planned from: what should have ended on an earlier one is looked at first.

    Returns
    -------
    tuple[str, ...]
        One plain sentence a violation; empty when the plan fits. A plan that tells its trouble passes.
    """
    if not plan.slots and (plan.trouble or plan.strip.trouble):
        return ()
    lines = that_count(entries)
    return (
        *unended_faults(work, plan, lines, today),
        *rewatch_faults(work, plan, lines),
        *_states(work, plan, lines),
        *_tasks(work, plan, lines),
        *_checks(work, plan, lines),
        *_righted(work, plan, lines),
        *refilling_faults(work, plan, lines),
    )


def that_count(entries: Sequence[Entry]) -> list[Entry]:
    """Lines without those undone: whether a line counts is told by the undoing lines after it, latest first."""
    dead: dict[int, bool] = {}
    for entry in sorted(entries, key=lambda e: -e.n):
        if isinstance(entry, UndoLine) and not dead.get(entry.n, False):
            dead[entry.cancels] = True
    return [e for e in entries if not dead.get(e.n, False) and not isinstance(e, UndoLine)]


def _states_left(work: WorkList, lines: Sequence[Entry]) -> dict[str, bool]:
    """How the log left every feature."""
    now = {f.id: f.start for f in work.features.values()}
    for line in lines:
        step = step_of_key(line.key) if isinstance(line, DoneLine) else None
        pinned = "" if step is None or step.ref in now else step.ref.removesuffix(":joined")
        if step is not None and step.on is not None and step.ref in now:
            now[step.ref] = step.on
        elif step is not None and step.on is not None and pinned in now:
            # What joined it has no pin of its own any more: undone there, it is off.
            now[pinned] = step.on
        elif step is not None and looked_over(step.ref) in now:
            now[looked_over(step.ref)] = False
    return now


def _states(work: WorkList, plan: Plan, lines: Sequence[Entry]) -> Iterator[str]:
    """Every feature goes on from where the log left it, and ends where the job wants it."""
    now = _states_left(work, lines)
    for slot in plan.slots:
        if looked_over(slot.step.ref) in now:
            now[looked_over(slot.step.ref)] = False
        if slot.step.on is not None and slot.step.ref in now:
            if now[slot.step.ref] is slot.step.on:
                yield f"`{slot.step.ref}` is to be turned {'on' if slot.step.on else 'off'} and is so already"
            now[slot.step.ref] = slot.step.on
    for feature in work.features.values():
        if feature.goal is not None and now[feature.id] is not feature.goal:
            yield f"`{feature.id}` does not end as the job wants it"


def _tasks(work: WorkList, plan: Plan, lines: Sequence[Entry]) -> Iterator[str]:
    """Every task is done once more than it was taken back."""
    planned = {s.step.ref for s in plan.slots if s.step.on is None}
    for task in work.tasks.values():
        last = [i for i, line in enumerate(lines) if _about(line) == task.id]
        taken_back = [i for i, line in enumerate(lines) if _takes_back(line, task.id)]
        stands = bool(last) and (not taken_back or max(taken_back) < max(last))
        if not stands and task.id not in planned:
            yield f"task `{task.id}` is not done and not in the plan"
        whole = [line for i, line in enumerate(lines) if i in last and getattr(line, "key", "") == task.id]
        if stands and whole and task.id in planned and not _is_test(work, task.id):
            yield f"task `{task.id}` is done and in the plan again"


def _checks(work: WorkList, plan: Plan, lines: Sequence[Entry]) -> Iterator[str]:
    """Every checkpoint is signed after the last change of what it rests on, or is still to be made."""
    planned = {s.step.ref: i for i, s in enumerate(plan.slots) if s.step.on is None}
    # One that is made with several steps, as the fire watch with each weld, is made again with the step that failed.
    again = {work.tasks[i].checkpoint for i in planned if i in work.tasks}
    touched = _touched(work, lines)
    for task in work.tasks.values():
        early = _counted_on(work, task, lines) & planned.keys() if _is_test(work, task.id) else set()
        if early and task.id not in planned:
            yield f"test `{task.id}` comes after `{min(early)}`, which is still to be done, and is not made again"
        if task.checkpoint is None:
            continue
        rests = {d.feature for d in task.demands if d.last}
        changed = [i for i, s in enumerate(plan.slots) if s.step.on is not None and s.step.ref in rests]
        made = planned.get(task.id)
        if made is not None:
            if changed and max(changed) > made:
                yield f"checkpoint `{task.checkpoint}` is made before `{plan.slots[max(changed)].step.ref}` is changed"
            continue
        last = next((e for e in reversed(lines) if isinstance(e, SignedLine) and e.checkpoint == task.checkpoint), None)
        if last is None or last.verdict is Verdict.FAILED:
            if task.checkpoint not in again:
                yield f"checkpoint `{task.checkpoint}` is open and not in the plan"
            continue
        later = {f for e in lines if e.n > last.n for f in touched.get(e.n, ())}
        if changed or later & rests:
            yield f"checkpoint `{task.checkpoint}` rests on what is changed after it and is not made again"


def _counted_on(work: WorkList, task: Task, lines: Sequence[Entry]) -> set[str]:
    """What a test is made again after: all that it comes after, but answers on paper, which ask nothing of the vehicle.

    Of a check last said not to apply only the work told of in its own `after`, which makes what it would look at.
    """
    said = [e for e in lines if isinstance(e, SignedLine) and e.checkpoint == task.checkpoint]
    if task.work.value != "testing" or not said or said[-1].verdict is not Verdict.NOT_APPLICABLE:
        return {i for i in waited_for(work, task.id) if not _says_only(work, work.tasks[i])}
    own = {entry.task for entry in task.after} & work.tasks.keys()
    return {i for i in own if work.tasks[i].work.value != "testing" and not i.startswith("put-right.")}


def _righted(work: WorkList, plan: Plan, lines: Sequence[Entry]) -> Iterator[str]:
    """What a failure takes back is tested once that is put right; work done again comes before its trial."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    for i, slot in enumerate(plan.slots):
        if slot.step.on is None:
            first.setdefault(slot.step.ref, i)
            last[slot.step.ref] = i
    told = [e for e in lines if isinstance(e, FailedLine | SignedLine)]
    for ref in sorted(first.keys() & work.tasks.keys()):
        about = [e for e in told if step_of_key(e.key) == Step(ref=ref)]
        if not about or (isinstance(about[-1], SignedLine) and about[-1].verdict is not Verdict.FAILED):
            continue
        again = {*about[-1].redo} & first.keys() & work.tasks.keys()
        mends = [m for m in last if m.startswith(f"put-right.{ref}.") and m.removeprefix(f"put-right.{ref}.").isdigit()]
        for test in sorted(r for r in again if _is_test(work, r) and mends and first[r] < max(last[m] for m in mends)):
            yield f"test `{test}` is made before what failed in `{ref}` is put right"
        for other in sorted(r for r in again if not _is_test(work, r) and ref not in waited_for(work, r)):
            if other != ref and last[other] > first[ref]:
                yield f"`{ref}` is tried before `{other}` is done again"


def _says_only(work: WorkList, task: Task) -> bool:
    """Whether a check looks at an answer alone: nothing is asked of the vehicle, nor by what it comes after."""
    if task.checkpoint is None:
        return False
    both = (task, *(work.tasks[a.task] for a in task.after if a.task in work.tasks))
    return not any(t.demands for t in both) and {t.work.value for t in both[1:]} <= {"planning"}


def _touched(work: WorkList, lines: Sequence[Entry]) -> dict[int, set[str]]:
    """By number of a line: what it changed, and what it can only have been done in after a change nobody wrote down."""
    now = {f.id: f.start for f in work.features.values()}
    said: set[str] = set()
    found: dict[int, set[str]] = {}
    for line in lines:
        if not isinstance(line, DoneLine):
            continue
        step = step_of_key(line.key)
        found[line.n] = {step.ref}
        if line.key not in said or step.on is None:
            found[line.n] |= {f for f, wanted in _asked_of(work, line.key, now) if now.get(f, wanted) is not wanted}
        said.add(line.key)
        if step.on is not None:
            now[step.ref] = step.on
    return found


def _asked_of(work: WorkList, key: str, now: dict[str, bool]) -> Iterator[tuple[str, bool]]:
    """States that a step is done in; of its ways each, unless one of them was open."""
    step = step_of_key(key)
    if step.on is None:
        task = work.tasks.get(step.ref)
        if task is not None and not _is_test(work, step.ref):
            yield from ((d.feature, d.on) for d in task.demands)
        return
    known = work.features.get(step.ref)
    toggle = None if known is None else (known.turn_on if step.on else known.turn_off)
    if toggle is None:
        return
    yield from ((d.feature, d.on) for d in toggle.demands)
    if all(any(now.get(d.feature, d.on) is not d.on for d in way) for way in toggle.ways):
        yield from ((d.feature, d.on) for way in toggle.ways for d in way)


def waited_for(work: WorkList, task: str) -> set[str]:
    """Every task that one comes after."""
    found: set[str] = set()
    waiting = [task]
    while waiting:
        for entry in work.tasks[waiting.pop()].after:
            if entry.task in work.tasks and entry.task not in found:
                found.add(entry.task)
                waiting.append(entry.task)
    return found


def _about(line: Entry) -> str | None:
    """The task a line says is done or needless."""
    if isinstance(line, SignedLine) and line.verdict is Verdict.FAILED:
        return None
    if not isinstance(line, DoneLine | SkippedLine | SignedLine):
        return None
    step = step_of_key(line.key)
    return step.ref if step.on is None else None


def _takes_back(line: Entry, task: str) -> bool:
    """Whether a line says by itself that a task has to be done again."""
    if isinstance(line, FailedLine) or (isinstance(line, SignedLine) and line.verdict is Verdict.FAILED):
        return task in line.redo or step_of_key(line.key).ref == task
    return False


def _is_test(work: WorkList, task: str) -> bool:
    known = work.tasks[task]
    return known.checkpoint is not None or any(d.last for d in known.demands) or known.work.value == "testing"
