"""A true plan from any order of the tasks, by doing them one after the other and fetching what each needs.

Nothing here is optimal: it turns the answer of a relaxation into a plan, so that there is one at any time. What
a task or a toggle needs is fetched when it is needed (recursively), and put back only when something asks for
it or at the end. Then pairs of toggles that turn out to be needless are taken out while the plan stays true.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise

from planner.model.plan import Step
from planner.model.work import Demand, Toggle, WorkList

PASSES = 3
"""Fetching one demand can undo another; so often all are looked at again."""
PATIENCE = 5_000
"""States fetched at most in one walk, tries that lead nowhere among them: where many ways need each other, their number
grows without end, and a walk that does not come through is no loss but of one answer."""
NEEDLESS = 400_000
"""Steps replayed at most while looking for needless pairs (about a second)."""


class Walk:
    """A plan being walked: states, tasks done, features that may not change any more."""

    def __init__(self, work: WorkList) -> None:
        self.work = work
        self.on = {p: f.start for p, f in work.features.items()}
        self.done: set[str] = set()
        self.locked: set[str] = set()
        self.steps: list[Step] = []
        self.patience = PATIENCE

    def mark(self) -> tuple[dict[str, bool], set[str], set[str], int]:
        """Return what :meth:`back_to` needs."""
        return dict(self.on), set(self.done), set(self.locked), len(self.steps)

    def back_to(self, mark: tuple[dict[str, bool], set[str], set[str], int]) -> None:
        """Undo everything since a mark."""
        self.on, self.done, self.locked = dict(mark[0]), set(mark[1]), set(mark[2])
        del self.steps[mark[3] :]

    def hold(self, demands: Iterable[Demand]) -> bool:
        """Whether all demands hold now."""
        return all(self.on[d.feature] == d.on for d in demands)

    def do(self, task_id: str, chain: tuple[str, ...] = ()) -> bool:
        """Do a task with all it needs; False leaves things as they were."""
        if task_id in self.done:
            return True
        key = f"task {task_id}"
        if key in chain:
            return False
        mark, task, chain = self.mark(), self.work.tasks[task_id], (*chain, key)
        ready = all(self.do(a.task, chain) for a in task.after) and self.fetch(task.demands, chain)
        if ready and task_id not in self.done:
            self.done.add(task_id)
            self.locked |= {d.feature for d in task.demands if d.last}
            self.steps.append(Step(ref=task_id))
        if not ready:
            self.back_to(mark)
        return ready

    def fetch(self, demands: Sequence[Demand], chain: tuple[str, ...]) -> bool:
        """Make all demands hold at once: first what needs others of them the wrong way round."""
        for _ in range(PASSES + len(demands)):
            wanted = [d for d in demands if self.on[d.feature] != d.on]
            if not wanted:
                return True
            others = Counter(state for d in wanted for state in self.needed(d) if state != (d.feature, not d.on))
            free = [d for d in wanted if not others[d.feature, not d.on]]
            changed = [d for d in free if self.change(d.feature, chain, to=d.on)]
            if not changed and not any(self.change(d.feature, chain, to=d.on) for d in wanted):
                return False
        return self.hold(demands)

    def needed(self, demand: Demand) -> set[tuple[str, bool]]:
        """States that getting a demanded state will ask for as things stand, all the way down."""
        found: set[tuple[str, bool]] = set()
        queue = [demand]
        while queue:
            wanted = queue.pop()
            feature = self.work.features[wanted.feature]
            toggle = feature.toggle(on=wanted.on)
            for other in self.best_demands(toggle) if toggle else ():
                if (other.feature, other.on) not in found:
                    found.add((other.feature, other.on))
                    queue += [other] if self.on[other.feature] != other.on else []
        return found

    def best_demands(self, toggle: Toggle) -> tuple[Demand, ...]:
        """Demands of a toggle with those of the way that asks for the fewest changes as things stand."""
        return toggle.demands + self._by_ease(toggle)[0]

    def _by_ease(self, toggle: Toggle) -> list[tuple[Demand, ...]]:
        """Ways of a toggle, first the one that asks for the fewest changes as things stand; an empty one for none."""
        return sorted(toggle.ways, key=lambda way: sum(self.on[d.feature] != d.on for d in way)) or [()]

    def change(self, p: str, chain: tuple[str, ...], *, to: bool) -> bool:
        """Bring a feature into a state, by the way that needs the fewest changes at the moment."""
        if self.on[p] == to:
            return True
        feature = self.work.features[p]
        toggle = feature.toggle(on=to)
        key = f"feature {p}"
        self.patience -= 1
        if toggle is None or p in self.locked or key in chain or self.patience < 0:
            return False
        chain = (*chain, key)
        return any(self._by(toggle, (*toggle.demands, *way), chain) for way in self._by_ease(toggle))

    def _by(self, toggle: Toggle, demands: tuple[Demand, ...], chain: tuple[str, ...]) -> bool:
        mark = self.mark()
        if not all(self.do(t, chain) for t in toggle.after) or not self.fetch(demands, chain):
            self.back_to(mark)
            return False
        if self.on[toggle.feature] != toggle.on:
            if toggle.feature in self.locked:
                self.back_to(mark)
                return False
            self.on[toggle.feature] = toggle.on
            self.locked |= {d.feature for d in demands if d.last}
            self.steps.append(Step(ref=toggle.feature, on=toggle.on))
        return True

    def play(self, step: Step) -> bool:
        """Make one step as given; False when a rule forbids it. Of a toggle's ways the first that holds counts."""
        if step.on is None:
            task = self.work.tasks[step.ref]
            if not self.hold(task.demands) or any(a.task not in self.done for a in task.after):
                return False
            self.done.add(step.ref)
            self.locked |= {d.feature for d in task.demands if d.last}
            return True
        toggle = self.work.features[step.ref].toggle(on=step.on)
        if toggle is None or self.on[step.ref] == step.on or step.ref in self.locked:
            return False
        if not self.hold(toggle.demands) or any(t not in self.done for t in toggle.after):
            return False
        way = next((w for w in toggle.ways or ((),) if self.hold(w)), None)
        if way is None:
            return False
        self.on[step.ref] = step.on
        self.locked |= {d.feature for d in (*toggle.demands, *way) if d.last}
        return True

    def ended(self) -> bool:
        """Whether all is done and in its place."""
        goals = all(f.goal in (None, self.on[p]) for p, f in self.work.features.items())
        return goals and len(self.done) == len(self.work.tasks)

    def finish(self) -> bool:
        """Bring every feature to its goal."""
        goals = [Demand(feature=p, on=f.goal) for p, f in self.work.features.items() if f.goal is not None]
        return self.fetch(goals, ())


def repaired(work: WorkList, order: Sequence[str]) -> tuple[Step, ...] | None:
    """Find a true plan that does the tasks about in this order; None when this simple way finds none."""
    walk = Walk(work)
    left = list(order)
    for _ in range(PASSES):
        left = [t for t in left if not walk.do(t)]
        if not left:
            break
    if left or not walk.finish():
        return None
    return without_needless(work, walk.steps)


def is_plan(work: WorkList, steps: Iterable[Step]) -> bool:
    """Whether a sequence keeps every rule of a prepared work list; of a toggle's ways the first that holds counts.

    So False is no verdict where a later way would lock less.
    """
    walk = Walk(work)
    return all(walk.play(step) for step in steps) and walk.ended()


def _wanting(work: WorkList, steps: Sequence[Step]) -> dict[tuple[str, bool], list[int]]:
    """Where in a sequence a state is demanded whatever the way, rising."""
    found: dict[tuple[str, bool], list[int]] = {}
    for i, step in enumerate(steps):
        piece = work.tasks[step.ref] if step.on is None else work.features[step.ref].toggle(on=step.on)
        for demand in piece.demands if piece else ():
            found.setdefault((demand.feature, demand.on), []).append(i)
    return found


def without_needless(
    work: WorkList, steps: list[Step], asked: frozenset[tuple[str, bool]] = frozenset()
) -> tuple[Step, ...]:
    """Take out pairs of toggles that follow each other in a feature's row while the plan stays true.

    A pair that brings about a state of ``asked`` stays: it may be there for the end of a session.
    """
    budget = NEEDLESS
    again = True
    while again and budget > 0:
        again = False
        wanting = _wanting(work, steps)
        for p in sorted(work.features):
            row = [i for i, s in enumerate(steps) if s.on is not None and s.ref == p]
            for first, second in pairwise(row):
                needed = wanting.get((p, bool(steps[first].on)), ())
                if (p, bool(steps[first].on)) in asked or bisect_left(needed, second) > bisect_right(needed, first):
                    continue
                shorter = [s for i, s in enumerate(steps) if i not in (first, second)]
                budget -= len(steps)
                if is_plan(work, shorter):
                    steps, again = shorter, True
                    wanting = _wanting(work, steps)
                    break
    return tuple(steps)
