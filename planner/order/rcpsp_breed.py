"""Better schedules by crossing good ones: a population of orders, each made into a schedule justified both ways.

A schedule pushed as far right as it can go and then left again is never longer and often shorter (Valls, Ballestin
and Quintanilla, European Journal of Operational Research 165, 2005). Orders are crossed at two points of the list
(Hartmann, Naval Research Logistics 45, 1998) or at two points in time (Debels and Vanhoucke, Operations Research 55,
2007). A child takes the place of the parent it is nearer to, so that the population stays spread out. Of two equal
finishes the better one is that which left its activities more room to move.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from random import Random

from planner.order.rcpsp_ready import Ready, mirrored
from planner.order.sgs import finish_of, generate

SEED = 11
POPULATION = 100
SWAPS = 0.02
"""Share of neighbours in a new order that are swapped."""
SPREAD = 0.6
"""How far chance changes the weights of the first orders."""
STRETCH = (0.2, 0.6)
"""Least and greatest part of the whole time between two points in time."""
PATIENCE = 10
"""So many times the population in children none of which finishes before the parent it takes the place of, and all
but the best are given up for new ones."""
PLACINGS_PER_S = 600_000
"""Placing so many activities is counted as a second."""
WINDOWS_PER_PLACING = 7
"""Looking past so many windows is counted as another activity placed."""

Rank = tuple[int, int]
"""The finish, and the less the more room to move there was."""


@dataclass(frozen=True, slots=True)
class _Member:
    rank: Rank
    starts: list[int]


@dataclass(slots=True, kw_only=True)
class Breed:
    """A population and the best schedule so far; it can be bred on at any time.

    ``starts`` are by activity as numbered in the Ready; a ``finish`` beyond the horizon is no schedule.
    """

    ready: Ready
    weights: Sequence[int]
    """The longer what must follow, the greater; the first orders put the greater first."""
    _mirror: Ready = field(init=False, repr=False)
    _opens: list[int] = field(init=False, repr=False)
    _dice: Random = field(init=False, repr=False)
    _best: _Member = field(init=False, repr=False)
    _herd: list[_Member] = field(default_factory=list, repr=False)
    _placed: int = 0
    _idle: int = 0

    def __post_init__(self) -> None:
        self._mirror = mirrored(self.ready)
        self._opens = max((opens for opens in self.ready.opens if opens is not None), key=len, default=[])
        self._dice = Random(SEED)  # noqa: S311 - a seeded search keeps no secret
        self._best = self._made(sorted(range(len(self.ready)), key=lambda k: -self.weights[k]))
        self._herd.append(self._best)

    @property
    def starts(self) -> list[int]:
        """The best schedule so far."""
        return self._best.starts

    @property
    def finish(self) -> int:
        """When it is finished."""
        return self._best.rank[0]

    def learn(self, starts: Sequence[int]) -> None:
        """Take in the order of a schedule from elsewhere; it may be wrong."""
        new = self._made(sorted(range(len(self.ready)), key=starts.__getitem__))
        self._see(new)
        if len(self._herd) < POPULATION:
            self._herd.append(new)
        else:
            self._herd[max(range(POPULATION), key=lambda k: self._herd[k].rank)] = new

    def breed(self, budget_s: float, enough: int, stop: Callable[[], bool]) -> float:
        """Go on until the finish is ``enough``, nothing better seems to come, or a stop is asked.

        Parameters
        ----------
        budget_s : float [s]
            At most about so long, counted in activities placed.

        Returns
        -------
        float [s]
            What is left of the budget.
        """
        until = self._placed + round(budget_s * PLACINGS_PER_S)
        while self._placed < until and self.finish > enough and not stop():
            if len(self._herd) < POPULATION:
                new = self._made(self._first_order())
                self._see(new)
                self._herd.append(new)
            else:
                self._cross()
            if self._idle > PATIENCE * POPULATION:
                self._herd, self._idle = [self._best], 0
                break
        return max(until - self._placed, 0) / PLACINGS_PER_S

    def _see(self, new: _Member) -> None:
        if new.rank < self._best.rank:
            self._best = new

    def _cross(self) -> None:
        """One child; it takes the place of the parent it is nearer to unless it is worse."""
        dice = self._dice
        first, second = dice.sample(range(POPULATION), 2)
        mother, father = self._herd[first].starts, self._herd[second].starts
        order = dice.choice((self._crossed, self._crossed_in_time))(mother, father)
        for at in range(len(order) - 1):
            if dice.random() < SWAPS:
                order[at], order[at + 1] = order[at + 1], order[at]
        child = self._made(order)
        self._idle += 1
        if child.starts in (mother, father):
            return
        self._see(child)
        place = first if _apart(child.starts, mother) <= _apart(child.starts, father) else second
        if child.rank[0] < self._herd[place].rank[0]:
            self._idle = 0
        if child.rank <= self._herd[place].rank:
            self._herd[place] = child

    def _made(self, order: list[int]) -> _Member:
        """The schedule of an order, justified right and left again."""
        r, n = self.ready, len(self.ready)
        starts = generate(r, admissible(r, order))
        finish = finish_of(r, starts)
        work = n * (1 + bisect_left(self._opens, finish) // WINDOWS_PER_PLACING)
        self._placed += work
        if finish > r.horizon:
            return _Member((finish, 0), starts)
        durations = r.durations
        by_end = sorted(range(n), key=lambda k: -(starts[n - 1 - k] + durations[n - 1 - k]))
        right = generate(self._mirror, by_end, r.horizon - finish)
        late = [r.horizon - s - d for s, d in zip(reversed(right), durations, strict=True)]
        starts = generate(r, sorted(range(n), key=late.__getitem__))
        self._placed += 2 * work
        shorter = finish_of(r, starts)
        room = sum(late) - sum(starts) - n * (finish - shorter)
        return _Member((shorter, -room), starts)

    def _first_order(self) -> list[int]:
        keys = [-w * (1 + SPREAD * (self._dice.random() - 0.5)) for w in self.weights]
        return sorted(range(len(keys)), key=keys.__getitem__)

    def _crossed(self, mother: list[int], father: list[int]) -> list[int]:
        """The order of one with a stretch of the list in the order of the other."""
        n = len(mother)
        order = sorted(range(n), key=mother.__getitem__)
        begin, end = sorted(self._dice.sample(range(n + 1), 2))
        head = order[:begin]
        taken = set(head)
        middle = [k for k in sorted(range(n), key=father.__getitem__) if k not in taken][: end - begin]
        taken.update(middle)
        return head + middle + [k for k in order if k not in taken]

    def _crossed_in_time(self, mother: list[int], father: list[int]) -> list[int]:
        """The order of one with what starts in a stretch of time in the order of the other."""
        finish = self.finish
        length = self._dice.uniform(*STRETCH) * finish
        begin = self._dice.uniform(-length / 2, finish - length / 2)
        end = begin + length
        head: list[int] = []
        tail: list[int] = []
        for k in sorted(range(len(mother)), key=mother.__getitem__):
            if not begin <= father[k] <= end:
                earlier = mother[k] < begin or (father[k] < begin and mother[k] <= end)
                (head if earlier else tail).append(k)
        middle = [k for k in sorted(range(len(father)), key=father.__getitem__) if begin <= father[k] <= end]
        return head + middle + tail


def _apart(one: list[int], other: list[int]) -> int:
    return sum(map(abs, map(int.__sub__, one, other)))


def admissible(r: Ready, order: Sequence[int]) -> list[int]:
    """The same order but that what comes before something it waits for is put off until it may come."""
    left = [len(arcs) for arcs in r.before]
    reached = [False] * len(left)
    out: list[int] = []
    for k in order:
        reached[k] = True
        stack = [] if left[k] else [k]
        while stack:
            i = stack.pop()
            out.append(i)
            for j, _ in r.after[i]:
                left[j] -= 1
                if not left[j] and reached[j]:
                    stack.append(j)
    return out
