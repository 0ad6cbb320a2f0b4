"""What of a work list is left, as a job stands: the same list without what is done, from the states things are in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta

import networkx as nx

from planner.log.rewatched import was_short, with_rewatched
from planner.model.catalog import Work
from planner.model.log import FailedLine, SignedLine, Verdict
from planner.model.plan import Plan
from planner.model.standing import Standing
from planner.model.steps import JOINED, mending_id, step_of_key, thing_of
from planner.model.words import FIRST_START
from planner.model.work import After, Buy, Checkpoint, Demand, Feature, Task, Toggle, WorkList
from planner.work.circuits import state_id
from planner.work.ended import with_looks, with_watches_kept
from planner.work.refilled import with_refilling
from planner.work.waits import all_after, all_before, graph_of

_STATE, _COLD = state_id(""), state_id("engine-cold")
PUT_RIGHT_MIN = 30
"""Minutes for putting right what failed, until somebody knows better (starting guess)."""


def left_of(work: WorkList, standing: Standing, first: date, again: Iterable[str] = ()) -> WorkList:
    """The work list that remains.

    Done tasks are gone, and so is every wait for them that is over; features start in the states they are in; what
    has arrived is not waited for; what failed is to be put right before it is tried again. Checkpoints stay whole.

    Parameters
    ----------
    work : WorkList
        The whole of it, as if nothing was done, with what has to be put right (see :func:`with_mending`).
    standing : Standing
    first : date
        The first day on which work may go on.
    again : iterable of str
        Tests that were made and do not count any more, because the work left disturbs what they rest on
        (see :func:`disturbed`).
    """
    gone = (standing.finished & work.tasks.keys()) - set(again)
    waits = _waits_of(work, standing, first, frozenset(gone))
    tasks = {i: _task_left(task, standing, waits) for i, task in work.tasks.items() if i not in gone}
    features = {i: _feature_left(f, standing, waits) for i, f in work.features.items()}
    over = _used(work.tasks, work.features) - _used(tasks, features)
    buys = {i: _due(b, standing, waits) for i, b in work.buys.items() if i not in over | standing.arrived}
    return replace(
        work,
        tasks=tasks,
        features=features,
        buys={**buys, **waits.found},
        checkpoints=_points_left(work, standing, gone),
    )


def _points_left(work: WorkList, standing: Standing, gone: Iterable[str]) -> dict[str, Checkpoint]:
    """All checkpoints; one that is signed and whose test stands holds nothing back any more."""
    made = {work.tasks[i].checkpoint for i in gone}
    signed = {i for i, line in standing.signed.items() if line.verdict is not Verdict.FAILED}
    return {i: replace(c, blocked=()) if i in made & signed else c for i, c in work.checkpoints.items()}


def _used(tasks: Mapping[str, Task], features: Mapping[str, Feature]) -> set[str]:
    """Purchases that some work waits for."""
    toggles = [t for f in features.values() for t in f.toggles]
    return {b for t in tasks.values() for b in t.purchases} | {b for t in toggles for b in t.purchases}


def disturbed(work: WorkList, plan: Plan, standing: Standing) -> frozenset[str]:
    """Tests that were made and that a plan for what is left would spoil, with every test made after them.

    The plan changes what they want left alone, or does work that they come after; of a check that does not apply, work
    that it hangs on itself.
    """
    made = {i for i in standing.finished if i in work.tasks}
    changed = {s.step.ref for s in plan.slots if s.step.on is not None}
    planned = {s.step.ref for s in plan.slots if s.step.on is None}
    spoiled = {i for i in made if any(d.last and d.feature in changed for d in work.tasks[i].demands)}
    built = [i for i in planned if not work.is_on_paper(i)]
    since = all_after(graph_of(work.tasks.values()), [*spoiled, *built])
    again = [work.tasks[i] for i in planned if i in work.tasks]
    waived = {i for i in made & since if standing.is_waived(work.tasks[i].checkpoint)}
    stay = {i for i in waived if not any(work.tasks[i].hangs_on(t) for t in again)}
    tests = {i for i in (made & since) - stay if work.tasks[i].is_test}
    return frozenset(spoiled | tests)


@dataclass(kw_only=True)
class _Waits:
    """Waits by the clock that began with work already done, each as something that is here on a later day."""

    work: WorkList
    first: date
    gone: frozenset[str]
    ends: Mapping[str, datetime]
    coming: frozenset[str] = frozenset()
    """Purchases that are here, or whose day is known."""
    keeping: dict[str, list[str]] = field(default_factory=dict)
    """Feature -> done tasks that want it left alone for a while."""
    found: dict[str, Buy] = field(default_factory=dict)

    def after(self, task: str, lag_min: int) -> tuple[str, ...]:
        """The wait for so long after a done task; nothing when it is over, or when nobody knows when it was done.

        What is with somebody else is waited for as long as was thought until its day is known, or it is back.
        """
        if f"buy:{thing_of(task)}" in self.coming:
            lag_min = min(lag_min, self.work.tasks[task].keep_min)
        ready = self.ends[task] + timedelta(minutes=lag_min) if task in self.ends else None
        if ready is None or ready <= datetime.combine(self.first, time.min):
            return ()
        wait = f"wait:{task}:{lag_min}"
        title = self.work.tasks[task].title
        self.found[wait] = Buy(
            id=wait,
            what=f"{lag_min} min after: {title}",
            price=0.0,
            lead_days=(ready.date() - self.first).days,
            for_part="",
            goods=False,
            from_min=ready.hour * 60 + ready.minute + bool(ready.second),
        )
        return (wait,)

    def alone(self, feature: str) -> tuple[str, ...]:
        """The waits of done tasks that want a feature left alone."""
        return tuple(w for t in self.keeping.get(feature, ()) for w in self.after(t, self.work.tasks[t].keep_min))


def _waits_of(work: WorkList, standing: Standing, first: date, gone: frozenset[str]) -> _Waits:
    ends: dict[str, datetime] = {}
    for key, line in standing.done.items():
        ref = step_of_key(key).ref
        ends[ref] = max(line.at, ends.get(ref, line.at))
    coming = standing.arrived | standing.ordered.keys()
    waits = _Waits(work=work, first=first, gone=gone, ends=ends, coming=frozenset(coming))
    for task in sorted(gone):
        for demand in work.tasks[task].demands if work.tasks[task].keep_min else ():
            waits.keeping.setdefault(demand.feature, []).append(task)
    return waits


def _task_left(task: Task, standing: Standing, waits: _Waits) -> Task:
    lags = [w for a in task.after if a.task in waits.gone and a.lag_min for w in waits.after(a.task, a.lag_min)]
    worked = sum(line.guess_min for key, line in standing.done.items() if key != task.id and _is_of(key, task.id))
    return replace(
        task,
        minutes=max(task.minutes - worked, min(task.minutes, 1)),
        after=tuple(a for a in task.after if a.task not in waits.gone),
        purchases=(*(b for b in task.purchases if b not in standing.arrived), *dict.fromkeys(lags)),
    )


def _is_of(key: str, task: str) -> bool:
    step = step_of_key(key)
    return step.on is None and step.ref == task


def _feature_left(feature: Feature, standing: Standing, waits: _Waits) -> Feature:
    return replace(
        feature,
        start=feature.id not in standing.unended and _left_as(feature, standing),
        turn_on=_toggle_left(feature.turn_on, standing, waits),
        turn_off=_toggle_left(feature.turn_off, standing, waits),
    )


def _left_as(feature: Feature, standing: Standing) -> bool:
    """The state a feature was left in; a pinned link that is undone and comes off itself now is off."""
    return standing.states.get(feature.id, standing.states.get(f"{feature.id}{JOINED}", feature.start))


def _toggle_left(toggle: Toggle | None, standing: Standing, waits: _Waits) -> Toggle | None:
    if toggle is None:
        return None
    return replace(
        toggle,
        after=tuple(t for t in toggle.after if t not in waits.gone),
        purchases=(*(b for b in toggle.purchases if b not in standing.arrived), *waits.alone(toggle.feature)),
    )


def with_mending(work: WorkList, standing: Standing) -> WorkList:
    """The whole work list with what puts right whatever failed, unless work that is reopened does just that."""
    work = with_rewatched(work, standing)
    tasks = dict(work.tasks)
    waits = graph_of(work.tasks.values()) if standing.mending else nx.DiGraph()
    for ref, line in standing.mending.items():
        if ref in work.tasks:
            tasks[ref] = replace(tasks[ref], after=(*tasks[ref].after, *_done_again_first(work, waits, ref, line)))
        if ref not in work.tasks or _mends_itself(work, waits, ref, line) or _only_short(work, ref, line):
            continue
        mend, tests = mending_id(ref, standing.failures[ref]), _tests_of_mending(work, ref, line)
        cautions = tuple(dict.fromkeys(c for t in tests for c in work.tasks[t].cautions))
        tasks[mend] = replace(
            _mend(mend, work.tasks[ref], line), demands=_mending_demands(work, waits, tests), cautions=cautions
        )
        for test in tests:
            tasks[test] = replace(tasks[test], after=(*tasks[test].after, After(task=mend)))
    refilled = with_refilling(replace(work, tasks=tasks), standing)
    return with_looks(with_watches_kept(refilled, standing), standing)


def _done_again_first(
    work: WorkList, waits: nx.DiGraph[str], failed: str, line: FailedLine | SignedLine
) -> tuple[After, ...]:
    """Work done again for a failure comes before what failed is tried anew, but for what comes after that anyway."""
    later = all_after(waits, [failed])
    again = (r for r in line.redo if r in work.tasks and not work.tasks[r].is_test)
    return tuple(After(task=r) for r in again if r != failed and r not in later)


def _tests_of_mending(work: WorkList, failed: str, line: FailedLine | SignedLine) -> list[str]:
    """What is made after a failure is put right: the test that failed, and those that it takes back."""
    again = [r for r in line.redo if r in work.tasks and work.tasks[r].is_test]
    return list(dict.fromkeys([failed, *again]))


def _mending_demands(work: WorkList, waits: nx.DiGraph[str], tests: Sequence[str]) -> tuple[Demand, ...]:
    """The states of the tests that are made after a failure is put right; where they differ, that of one taken back.

    Not one that is brought about only after one of these tests, such as a battery joined once every joint is dry.
    A state that is left only once one of them is passed is kept, or entered again: the battery is off while a joint
    is undone. What came out once the engine had run is put right with the engine cold.
    """

    def is_early(demand: Demand) -> bool:
        toggle = work.features[demand.feature].toggle(on=demand.on)
        return toggle is None or not {*toggle.after, *all_before(waits, toggle.after)} & {*tests}

    asked = {d.feature: replace(d, last=False) for t in tests for d in work.tasks[t].demands if is_early(d)}
    again = [f.id for f in work.features.values() if f.turn_off is not None and {*f.turn_off.after} & {*tests}]
    again += [_COLD] if _COLD in work.features and FIRST_START in all_before(waits, tests) else []
    kept = {i: Demand(feature=i, on=True) for i in again if i.startswith(_STATE)}
    return tuple({**asked, **kept}.values())


def _mends_itself(work: WorkList, waits: nx.DiGraph[str], failed: str, line: FailedLine | SignedLine) -> bool:
    """Whether work that is done again puts a failure right: of a trial, work on the same thing or before it.

    Another thing made anew leaves the one that did not fit as it is.
    """
    redo = {r for r in line.redo if r in work.tasks and work.tasks[r].checkpoint is None}
    if isinstance(line, SignedLine):
        return bool(redo)
    same = {r for r in redo if thing_of(r) == thing_of(failed)}
    return bool(same or redo & all_before(waits, [failed]))


def _only_short(work: WorkList, failed: str, line: FailedLine | SignedLine) -> bool:
    """Whether nothing is to be put right, but something watched for longer."""
    point = work.checkpoints.get(work.tasks[failed].checkpoint or "")
    return point is not None and isinstance(line, SignedLine) and was_short(point, line)


def _mend(mend: str, task: Task, line: FailedLine | SignedLine) -> Task:
    read = f"{line.text}, the limit is {line.limit}" if isinstance(line, SignedLine) and line.text else ""
    told = "; ".join(w for w in (line.why, read) if w)
    return Task(
        id=mend,
        title=f"Put right what failed: {task.title}",
        work=Work.PLANNING,
        minutes=PUT_RIGHT_MIN,
        hands=1,
        why=f"failed on {line.at:%a %d %b}: {told}" if told else f"failed on {line.at:%a %d %b}",
    )


def _due(buy: Buy, standing: Standing, waits: _Waits) -> Buy:
    """How many days it still takes: what is left when it is on its way, as it is from the step that orders it on."""
    ordered = standing.ordered.get(buy.id)
    sent = [waits.ends[t] for t in waits.gone if waits.work.tasks[t].orders == buy.id and t in waits.ends]
    if ordered is None and not sent:
        return buy
    due = max(sent).date() + timedelta(days=buy.lead_days) if ordered is None else ordered.due
    return replace(buy, lead_days=max(0, (due - waits.first).days))
