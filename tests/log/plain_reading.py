"""A log read the plainest way, from its definition: every question is asked anew of the whole list of lines.

Whether a task stands is worked out from moments: when it was last made, and when it was last unmade by a line that
names it, by a part changed under a test, or by something it comes after being unmade. Nothing is kept between lines.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

import networkx as nx

from planner.model.log import DoneLine, Entry, FailedLine, SignedLine, SkippedLine, UndoLine, Verdict
from planner.model.work import WorkList

_CHANGE = re.compile(r"(.*):(on|off)#\d+")


class PlainReading:
    """Answers about a log and the work list it is about."""

    def __init__(self, entries: Sequence[Entry], work: WorkList) -> None:
        self.work = work
        alive = {e.n for e in entries}
        for entry in sorted(entries, key=lambda e: e.n, reverse=True):
            if isinstance(entry, UndoLine) and entry.n in alive:
                alive.discard(entry.cancels)
        self.lines = [e for e in entries if e.n in alive and not isinstance(e, UndoLine)]
        net = nx.DiGraph()
        net.add_nodes_from(work.tasks)
        net.add_edges_from((a.task, t.id) for t in work.tasks.values() for a in t.after)
        self.before = {t: nx.ancestors(net, t) for t in work.tasks}
        self.unmade_at = cache(self._unmade_at)

    def state(self, feature: str) -> bool:
        """Whether it is on now."""
        return self._state_at(feature, len(self.lines))

    def _state_at(self, feature: str, i: int) -> bool:
        """Whether it is on after the first ``i`` lines."""
        changes = [m for e in self.lines[:i] if isinstance(e, DoneLine) and (m := _CHANGE.fullmatch(e.key))]
        own = [m[2] == "on" for m in changes if m[1] == feature]
        return own[-1] if own else self.work.features[feature].start

    def stands(self, task: str, upto: int | None = None) -> bool:
        """Whether a task is done, after the first ``upto`` lines (all of them when None)."""
        last = len(self.lines) if upto is None else upto
        made = max((i for i in range(last) if self._makes(self.lines[i], task)), default=-1)
        unmade = max((i for i in range(last) if self.unmade_at(task, i)), default=-1)
        return made > unmade

    def signed(self, check: str) -> bool:
        """Whether the last word on a checkpoint is that it passed or does not apply, and its test stands."""
        (task,) = (t.id for t in self.work.tasks.values() if t.checkpoint == check)
        own = [e for e in self.lines if isinstance(e, SignedLine) and e.checkpoint == check]
        return bool(own) and own[-1].verdict is not Verdict.FAILED and self.stands(task)

    def road(self) -> bool:
        """Whether it may go on the road."""
        return (
            all(self.signed(c) for c in self.work.checkpoints)
            and all(self.stands(t) for t in self.work.tasks)
            and all(f.goal is None or self.state(f.id) is f.goal for f in self.work.features.values())
        )

    def _makes(self, line: Entry, task: str) -> bool:
        if isinstance(line, SignedLine):
            return line.key == task and line.verdict is not Verdict.FAILED
        return isinstance(line, DoneLine | SkippedLine) and line.key == task

    def _unmade_at(self, task: str, i: int) -> bool:
        """Whether line ``i`` takes a task back."""
        line = self.lines[i]
        if self._names(line, task):
            return True
        if not self._is_test(task):
            return False
        if self._shakes(line, task, i) and self.stands(task, i):
            return True
        return any(
            self._names(line, other)
            or (self._shakes(line, other, i) and self._is_test(other) and self.stands(other, i))
            or (self._makes_now(line, other, i) and self.stands(task, i))
            for other in self._counted(task, i)
        )

    def _counted(self, task: str, i: int) -> set[str]:
        """What unmakes a test by being unmade: all before it but answers; of one that does not apply its own work."""
        known = self.work.tasks[task]
        said = [e for e in self.lines[:i] if isinstance(e, SignedLine) and e.checkpoint == known.checkpoint]
        if known.checkpoint is None or not said or said[-1].verdict is not Verdict.NOT_APPLICABLE:
            return {t for t in self.before[task] if not self._is_answer(t)}
        own = {a.task for a in known.after}
        return {t for t in own if self.work.tasks[t].work.value != "testing" and not t.startswith("put-right.")}

    def _is_answer(self, task: str) -> bool:
        """Whether it is a check that asks nothing of the vehicle: what is built is as it was, whatever it says."""
        known = self.work.tasks[task]
        asked = [self.work.tasks[a.task] for a in known.after]
        idle = [not t.demands and t.work.value == "planning" for t in asked]
        return known.checkpoint is not None and not known.demands and all(idle)

    def _makes_now(self, line: Entry, task: str, i: int) -> bool:
        """Whether a line does a task that was not done before it."""
        return not isinstance(line, SkippedLine) and self._makes(line, task) and not self._is_kept(task, i)

    def _is_kept(self, task: str, i: int) -> bool:
        """Whether a line of its own says that a task is done, and nothing has taken it back."""
        made = max((k for k in range(i) if self._done_by(self.lines[k], task)), default=-1)
        unmade = max((k for k in range(i) if self.unmade_at(task, k)), default=-1)
        return made > unmade

    def _done_by(self, line: Entry, task: str) -> bool:
        return not isinstance(line, SkippedLine) and self._makes(line, task)

    def _is_test(self, task: str) -> bool:
        known = self.work.tasks[task]
        lasting = [d for d in known.demands if d.last]
        return known.checkpoint is not None or known.work.value == "testing" or len(lasting) > 0

    def _names(self, line: Entry, task: str) -> bool:
        failed = isinstance(line, FailedLine) or (isinstance(line, SignedLine) and line.verdict is Verdict.FAILED)
        return failed and (line.key == task or task in line.redo)  # type: ignore[union-attr]

    def _shakes(self, line: Entry, task: str, i: int) -> bool:
        """Whether a line changes a part that a task wants left alone for good, or must have changed it unsaid."""
        if not isinstance(line, DoneLine):
            return False
        match = _CHANGE.fullmatch(line.key)
        touched = {match[1]} if match is not None else set()
        if not self._is_kept_key(line.key, i):
            touched |= self._must_have_been(line.key, i)
        return any(d.last and d.feature in touched for d in self.work.tasks[task].demands)

    def _is_kept_key(self, key: str, i: int) -> bool:
        """Whether an earlier line says the same and nothing has taken it back."""
        if key in self.work.tasks:
            return self._is_kept(key, i)
        return any(isinstance(e, DoneLine) and e.key == key for e in self.lines[:i])

    def _must_have_been(self, key: str, i: int) -> set[str]:
        """Parts that were not as work wants them when line ``i`` says that it was done."""
        match = _CHANGE.fullmatch(key)
        if match is None:
            if self._is_test(key):
                return set()
            return {d.feature for d in self.work.tasks[key].demands if self._state_at(d.feature, i) is not d.on}
        part = self.work.features[match[1]]
        toggle = part.turn_on if match[2] == "on" else part.turn_off
        assert toggle is not None
        wrong = {d.feature for d in toggle.demands if self._state_at(d.feature, i) is not d.on}
        lacks = [{d.feature for d in way if self._state_at(d.feature, i) is not d.on} for way in toggle.ways]
        return wrong | (set().union(*lacks) if all(lacks) else set())
