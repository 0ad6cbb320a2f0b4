"""A job's own tasks: how long they take, what they wait for, what is done again when they fail."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import networkx as nx

from planner.files import KeyPath
from planner.files.job_values import THREE
from planner.files.schema_job import TaskFile
from planner.finding.words import quoted
from planner.model.job import OwnTask
from planner.model.words import GATES
from planner.shelf.bench import Bench
from planner.shelf.fill_component import PARTS_AND_LINKS
from planner.shelf.sheets import Named

_CHANGED = ("part", "link", "change", "system", "condition")


def fill_tasks(files: Named[TaskFile], bench: Bench, coming: frozenset[str] = frozenset()) -> tuple[OwnTask, ...]:
    """Fill in the owner's own tasks; ``coming`` are the parts that the job adds, puts in place of others or enlarges.

    ``bench.known`` has two more sorts here: "task" and "change" (parts, links and cuts of the job's changes).
    """
    tasks = tuple(_task(file, path, bench, coming) for path, file in files)
    _check_order([(path, task) for (path, _), task in zip(files, tasks, strict=True)], bench)
    return tasks


def _task(file: TaskFile, path: KeyPath, bench: Bench, coming: frozenset[str]) -> OwnTask:
    name = str(path[-1])
    if any(name in bench.known[sort] for sort in _CHANGED) or name in bench.gone or name in GATES:
        hint = "a task may not have the id of a part, link, cut, system or condition, nor of a gate such as `road-test`"
        bench.faults.error("double-id", path, f"the id {quoted(name)} is in use already", hint, key=True)
    if min(file.takes) < 1:
        bench.faults.error("absurd-time", (*path, "takes"), "a task takes at least a minute", "say how long it takes")
    times = [bench.minutes((*path, "takes"), minutes, 0) for minutes in file.takes]
    off = _off((*path, "off"), file.off, bench)
    fitted = _fitted((*path, "fitted"), file.fitted, bench)
    back = _back((*path, "back"), file.back, bench, coming)
    for both in sorted({*off, *back} & {*fitted}):
        here = (*path, "fitted", file.fitted.index(both))
        bench.faults.error("off-and-fitted", here, f"{quoted(both)} cannot be off and fitted at once", "keep one")
    if file.redo and not file.again:
        message = f"{quoted(name)} says what is done again, and not how likely that is"
        bench.faults.error("redo-for-nothing", (*path, "redo"), message, "add `again: 30 %`", key=True)
    return OwnTask(
        id=name,
        title=file.title,
        minutes=times[len(times) // 2],
        hands=file.hands,
        after=_after((*path, "after"), file.after, bench),
        before=bench.check_ids((*path, "before"), file.before, "task", "change", "link"),
        off=off,
        fitted=fitted,
        back=back,
        conditions=bench.check_ids((*path, "conditions"), file.conditions, "condition"),
        lag_min=bench.minutes((*path, "lag"), file.lag, 0),
        tools=tuple(file.tools),
        low_min=times[0] if len(times) == THREE else None,
        high_min=times[-1] if len(times) == THREE else None,
        splits=file.splits,
        alone=file.alone,
        again=file.again,
        redo=bench.check_ids((*path, "redo"), file.redo, "task", "change"),
    )


def _after(path: KeyPath, names: Sequence[str], bench: Bench) -> tuple[str, ...]:
    """What a task comes after: own tasks, changes, and the gates every plan ends with."""
    fine = (n for i, n in enumerate(names) if n in GATES or bench.check_id((*path, i), n, "task", "change"))
    return tuple(dict.fromkeys(fine))


def _off(path: KeyPath, names: Sequence[str], bench: Bench) -> tuple[str, ...]:
    """Parts off for a task; one that this job takes away is off for good once the task comes after it."""
    known = {n for sort in PARTS_AND_LINKS for n in bench.known[sort]}
    for position, name in enumerate(names):
        if name in bench.gone and name not in known:
            hint = f"say `after: [{name}]`: the task is then done once it is off for good"
            bench.faults.error("part-gone", (*path, position), f"{quoted(name)} goes in this job", hint)
    kept = [(i, n) for i, n in enumerate(names) if n in known or n not in bench.gone]
    return tuple(dict.fromkeys(n for i, n in kept if bench.check_id((*path, i), n, *PARTS_AND_LINKS)))


def _back(path: KeyPath, names: Sequence[str], bench: Bench, coming: frozenset[str]) -> tuple[str, ...]:
    """Parts that come to the vehicle, or back to it, and are not fitted yet."""
    known = [(i, n) for i, n in enumerate(names) if bench.check_id((*path, i), n, "part")]
    for position, name in known:
        if name not in coming:
            message = f"{quoted(name)} comes back from nobody: this job neither adds it nor makes it larger"
            hint = f"say `off: [{name}]` for what is done to it on the bench"
            bench.faults.error("never-back", (*path, position), message, hint)
    return tuple(dict.fromkeys(n for _, n in known if n in coming))


def _fitted(path: KeyPath, names: Sequence[str], bench: Bench) -> tuple[str, ...]:
    """Parts in place for a task: one that goes in this job may be a jig for it as long as it is there."""
    fine = (n for i, n in enumerate(names) if n in bench.gone or bench.check_id((*path, i), n, *PARTS_AND_LINKS))
    return tuple(dict.fromkeys(fine))


def _check_order(tasks: Sequence[tuple[KeyPath, OwnTask]], bench: Bench) -> None:
    """Report each ring of tasks that wait for each other, through the job's changes too, and what is redone early."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    own = {task.id: path for path, task in tasks}
    graph.add_nodes_from(own)
    for _, task in tasks:
        graph.add_edges_from((first, task.id) for first in task.after)
        graph.add_edges_from((task.id, then) for then in task.before)
    ringed: set[str] = set()
    for ring in sorted(nx.strongly_connected_components(graph), key=sorted):
        first = next((name for name in own if name in ring), None)
        if first is None or (len(ring) == 1 and not graph.has_edge(first, first)):
            continue
        ringed |= ring
        words = ", ".join(quoted(name) for name in sorted(ring))
        message = f"tasks wait for each other in a ring: {words}"
        bench.faults.error("task-ring", own[first], message, "let one of them go first", key=True)
    late = {then for gate in GATES if gate in graph for then in nx.descendants(graph, gate)}
    for path, task in tasks:
        if task.id not in ringed:
            _check_redo(path, task, nx.ancestors(graph, task.id), bench)
        if task.id in late:
            _check_late(path, task, own, bench)


def _check_late(path: KeyPath, task: OwnTask, own: Mapping[str, KeyPath], bench: Bench) -> None:
    """Report what a task after a gate may not ask for: the vehicle stays as it was proved."""
    gone = [name for name in task.fitted if name in bench.gone]
    work = [name for name in task.before if name not in own]
    for key, names in (
        ("off", task.off),
        ("back", task.back),
        ("conditions", task.conditions),
        ("fitted", gone),
        ("redo", task.redo),
        ("before", work),
    ):
        if names:
            message = f"{quoted(task.id)} comes after the first start, and asks for {quoted(names[0])} under `{key}`"
            hint = "what comes after a gate takes nothing off, enters no condition and is waited for by no other work"
            bench.faults.error("after-gate", (*path, key), message, hint, key=True)


def _check_redo(path: KeyPath, task: OwnTask, earlier: set[str], bench: Bench) -> None:
    """Report what is to be done again and does not come before the trial."""
    for position, name in enumerate(task.redo):
        if name not in earlier:
            message = f"{quoted(name)} is done again with {quoted(task.id)}, and nothing says that it comes first"
            bench.faults.error("redo-not-before", (*path, "redo", position), message, "name it under `after` too")
