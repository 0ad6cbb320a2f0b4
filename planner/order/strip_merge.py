"""Tasks that can always be done one right after the other, made one task for the strip-down search.

Two rules, applied until neither does anything, keep the least cost and every plan:

- a task whose only successor is a task that demands (at least) the same states can be put off until right before it;
- a task whose only predecessor is a task that demands (at least) the same states can be done right after that one,
  unless it asks for a state *for good* that the other does not ask for so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import networkx as nx

from planner.model.plan import Step
from planner.model.work import After, Demand, Feature, Toggle, WorkList


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """The shorter work list, and for each task left in it the tasks it stands for, in order."""

    work: WorkList
    stands_for: dict[str, tuple[str, ...]]

    def spelt_out(self, steps: Iterable[Step]) -> tuple[Step, ...]:
        """Steps of the shorter list as steps of the whole one."""
        return tuple(
            told
            for step in steps
            for told in ((step,) if step.on is not None else (Step(ref=t) for t in self.stands_for[step.ref]))
        )


class _Merger:
    """The growing merge: tasks, who comes after whom, what stands for what."""

    def __init__(self, work: WorkList) -> None:
        self.tasks = dict(work.tasks)
        self.stands_for: dict[str, tuple[str, ...]] = {t: (t,) for t in work.tasks}
        self.before = {t.id: {a.task for a in t.after} for t in work.tasks.values()}
        self.after: dict[str, set[str]] = {t: set() for t in work.tasks}
        for task, earlier in self.before.items():
            for other in earlier:
                self.after[other].add(task)
        self.gates = {t for f in work.features.values() for g in f.toggles for t in g.after}
        """Tasks that some toggle waits for."""
        self.became: dict[str, str] = {}

    def run(self) -> None:
        again = True
        while again:
            again = False
            for task in list(self.tasks):
                if task in self.tasks and (self._put_off(task) or self._draw_up(task)):
                    again = True

    def _put_off(self, task: str) -> bool:
        if task in self.gates or len(self.after[task]) != 1:
            return False
        (later,) = self.after[task]
        if not _covers(self.tasks[later].demands, self.tasks[task].demands, for_good=False):
            return False
        self.tasks[later] = replace(
            self.tasks[later], demands=_for_good(self.tasks[later].demands, self.tasks[task].demands)
        )
        self.stands_for[later] = self.stands_for[task] + self.stands_for[later]
        self._join(task, later)
        return True

    def _draw_up(self, task: str) -> bool:
        if len(self.before[task]) != 1:
            return False
        (earlier,) = self.before[task]
        if not _covers(self.tasks[earlier].demands, self.tasks[task].demands, for_good=True):
            return False
        self.stands_for[earlier] = self.stands_for[earlier] + self.stands_for[task]
        self._join(task, earlier)
        return True

    def _join(self, task: str, kept: str) -> None:
        """Let ``kept`` take over the waiting of and for ``task``."""
        for other in self.before[task] - {kept}:
            self.after[other].discard(task)
            self.after[other].add(kept)
            self.before[kept].add(other)
        for other in self.after[task] - {kept}:
            self.before[other].discard(task)
            self.before[other].add(kept)
            self.after[kept].add(other)
        self.before[kept].discard(task)
        self.after[kept].discard(task)
        if task in self.gates:
            self.gates.add(kept)
        self.became[task] = kept
        del self.tasks[task], self.before[task], self.after[task], self.stands_for[task]

    def kept(self, task: str) -> str:
        while task in self.became:
            task = self.became[task]
        return task


def merged(work: WorkList) -> Merged:
    """Merge what can be merged; nothing while tasks wait for each other in a ring, which must stay to be seen.

    Parameters
    ----------
    work : WorkList
        With its gates written as precedence.
    """
    merger = _Merger(work)
    if nx.is_directed_acyclic_graph(nx.DiGraph((o, t) for t, earlier in merger.before.items() for o in earlier)):
        merger.run()
    tasks = {
        i: replace(task, after=tuple(After(task=o) for o in sorted(merger.before[i])))
        for i, task in merger.tasks.items()
    }
    features = {i: _relinked(f, merger) for i, f in work.features.items()}
    return Merged(
        work=replace(work, tasks=tasks, features=features, checkpoints={}), stands_for=dict(merger.stands_for)
    )


def _relinked(feature: Feature, merger: _Merger) -> Feature:
    def waiting(toggle: Toggle | None) -> Toggle | None:
        if toggle is None:
            return None
        return replace(toggle, after=tuple(dict.fromkeys(merger.kept(t) for t in toggle.after)))

    return replace(feature, turn_on=waiting(feature.turn_on), turn_off=waiting(feature.turn_off))


def _covers(wide: tuple[Demand, ...], narrow: tuple[Demand, ...], *, for_good: bool) -> bool:
    """Whether every state of ``narrow`` is demanded by ``wide`` (for good where asked so, when that counts)."""
    asked = {(d.feature, d.on): d.last for d in sorted(wide, key=lambda d: d.last)}
    return all((d.feature, d.on) in asked and (not for_good or not d.last or asked[d.feature, d.on]) for d in narrow)


def _for_good(wide: tuple[Demand, ...], narrow: tuple[Demand, ...]) -> tuple[Demand, ...]:
    """Demands of ``wide``, made for good where ``narrow`` asks so."""
    good = {(d.feature, d.on) for d in narrow if d.last}
    return tuple(replace(d, last=d.last or (d.feature, d.on) in good) for d in wide)
