"""When each activity can start at the earliest, what must follow it, and before when nothing can be finished.

Two arguments give everything here. *Paths*: what an activity waits for, the windows it may start in and the amounts
that are free at all. *Energy*: a set of activities needs duration x amount of a resource, and up to any time only so
much of it has been on offer; blocks taken, and times outside all windows of those that use it, offer nothing.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, replace

from planner.order.project import Project
from planner.order.rcpsp_ready import Ready, base_levels
from planner.order.sgs import alone

MOST_THRESHOLDS = 60
"""Heads, and tails, that the energy bound tries; more would cost their product."""
MOST_SUMS = 100_000
"""Amounts in a span up to which the sums of whole activities are worked out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What is known without search, by activity as numbered in the Ready.

    ``heads``: earliest starts; ``tails``: least time from an end to the finish of everything; ``finish``: nothing is
    finished before it.
    """

    heads: list[int]
    tails: list[int]
    finish: int

    def at_least(self, finish: int) -> Bounds:
        """The same, with a better bound of the finish."""
        return replace(self, finish=max(self.finish, finish))


def bounds_of(project: Project, r: Ready) -> Bounds:
    """Bounds without search; a head beyond the horizon says that there is no schedule."""
    plain = [Offer.of(project, n) for n in range(len(project.capacity))]
    single = [[a.duration * a.uses[n] for a in (project.activities[k] for k in r.origin)] for n in range(len(plain))]
    apart = [n for n in range(len(plain)) if len(_spans(project, n)) > 1]
    offers = [*plain, *(plain[n].by_whole(project, n) for n in apart)]
    energy = [*single, *(single[n] for n in apart)]
    heads = _heads(r, offers, energy)
    tails = _tails(r, project.capacity, single)
    paths = max((h + d + t for h, d, t in zip(heads, r.durations, tails, strict=True)), default=0)
    sets = max(
        (_least_finish(o, e, heads, tails, r.horizon + 1) for o, e in zip(offers, energy, strict=True)), default=0
    )
    return Bounds(heads=heads, tails=tails, finish=max(paths, sets))


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """How much of one resource is on offer.

    ``rates[k]`` from ``times[k]`` on; ``sums[k]`` up to ``times[k]``. Where only whole activities are counted,
    ``floors[k]`` is the sum before the span that ``times[k]`` lies in.
    """

    times: list[int]
    rates: list[int]
    sums: list[int]
    floors: list[int] | None = None

    @staticmethod
    def of(project: Project, resource: int) -> Offer:
        """What is free of a resource whenever some activity that uses it may be in progress."""
        spans = _spans(project, resource)
        base, levels = base_levels(project)
        cuts = sorted({0, *base, *(t for span in spans for t in span)})
        rates, sums, level, inside = [], [0], 0, 0
        for t in cuts:
            while level + 1 < len(base) and base[level + 1] <= t:
                level += 1
            while inside < len(spans) and spans[inside][1] <= t:
                inside += 1
            is_open = inside < len(spans) and spans[inside][0] <= t
            rates.append(levels[level][resource] if is_open else 0)
        for k in range(1, len(cuts)):
            sums.append(sums[-1] + rates[k - 1] * (cuts[k] - cuts[k - 1]))
        return Offer(times=cuts, rates=rates, sums=sums)

    def by_whole(self, project: Project, resource: int) -> Offer:
        """The same with no more in a span apart from others than whole activities can fill.

        What starts in a span ends in it, so the amounts used there are a sum of whole ones.
        """
        needs = [a.duration * a.uses[resource] for a in project.activities]
        spans = _spans(project, resource)
        most = min(max((self._between(*span) for span in spans), default=0), sum(needs))
        if most > MOST_SUMS:
            return self
        reached = 1
        for need in needs:
            reached |= (reached << need) & ((2 << most) - 1)
        times, rates, sums, floors = [0], [0], [0], [0]
        for begin, end in spans:
            whole = (reached & ((2 << min(self._between(begin, end), most)) - 1)).bit_length() - 1
            full = self.reaches(self.up_to(begin) + whole, end) if whole else begin
            inner = [t for t in self.times[bisect_right(self.times, begin) :] if t < full] if whole else []
            base = sums[-1]
            for t in [begin, *inner]:
                times.append(t)
                rates.append(self.rates[bisect_right(self.times, t) - 1] if whole else 0)
                sums.append(base + self._between(begin, t))
                floors.append(base)
            times += [full, end]
            rates += [0, 0]
            sums += [base + whole] * 2
            floors += [base, base + whole]
        return Offer(times=times, rates=rates, sums=sums, floors=floors)

    def _between(self, begin: int, end: int) -> int:
        return self.up_to(end) - self.up_to(begin)

    def up_to(self, time: int) -> int:
        """The amount on offer before a time."""
        k = max(bisect_left(self.times, time) - 1, 0)
        return self.sums[k] + self.rates[k] * max(time - self.times[k], 0)

    def gone_by(self, time: int) -> int:
        """The amount that nothing can use which starts at a time or later."""
        if self.floors is None:
            return self.up_to(time)
        return self.floors[max(bisect_left(self.times, time) - 1, 0)]

    def reaches(self, amount: int, never: int) -> int:
        """The first time up to which the amount has been on offer; ``never`` if it is not."""
        k = max(bisect_left(self.sums, amount) - 1, 0)
        missing = amount - self.sums[k]
        if missing <= 0:
            return self.times[k]
        return self.times[k] - (-missing // self.rates[k]) if self.rates[k] else never


def _spans(project: Project, resource: int) -> list[tuple[int, int]]:
    """The times at which something that uses the resource may be in progress, rising and apart."""
    users = [a for a in project.activities if a.duration and a.uses[resource]]
    if any(a.windows is None for a in users):
        return [(0, project.horizon)]
    return _joined((max(b, 0), e + a.duration) for a in users for b, e in a.windows or ())


def _joined(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """The union of spans, rising and apart."""
    joined: list[tuple[int, int]] = []
    for begin, end in sorted(spans):
        if joined and begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((begin, end))
    return joined


def _heads(r: Ready, offers: list[Offer], energy: list[list[int]]) -> list[int]:
    heads: list[int] = []
    ancestors: list[int] = []
    for k, arcs in enumerate(r.before):
        start, mine = 0, 0
        for i, lag in arcs:
            start = max(start, heads[i] + r.durations[i] + lag)
            mine |= ancestors[i] | 1 << i
        for offer, need in zip(offers, energy, strict=True):
            members = [i for i in range(k) if mine >> i & 1 and need[i]]
            if members:
                total = sum(need[i] for i in members) + offer.gone_by(min(heads[i] for i in members))
                start = max(start, offer.reaches(total, r.horizon + 1))
        ancestors.append(mine)
        heads.append(alone(r, k, start))
    return heads


def _tails(r: Ready, capacity: tuple[int, ...], energy: list[list[int]]) -> list[int]:
    n = len(r)
    tails = [0] * n
    descendants = [0] * n
    for k in reversed(range(n)):
        tail, mine = 0, 0
        for j, lag in r.after[k]:
            tail = max(tail, lag + r.durations[j] + tails[j])
            mine |= descendants[j] | 1 << j
        for most, need in zip(capacity, energy, strict=True):
            members = [j for j in range(k + 1, n) if mine >> j & 1 and need[j]]
            if members and most:
                total = sum(need[j] for j in members)
                tail = max(tail, -(-total // most) + min(tails[j] for j in members))
        tails[k], descendants[k] = tail, mine
    return tails


def _least_finish(offer: Offer, need: list[int], heads: list[int], tails: list[int], never: int) -> int:
    """No finish before the amounts of all that start after some time and are followed by some time were on offer."""
    users = sorted((k for k, e in enumerate(need) if e), key=lambda k: -heads[k])
    most = 0
    for tail in _few({tails[k] for k in users}):
        total = 0
        for k in users:
            if tails[k] >= tail:
                total += need[k]
                most = max(most, tail + offer.reaches(offer.gone_by(heads[k]) + total, never))
    return most


def _few(values: set[int]) -> list[int]:
    ranked = sorted(values)
    step = -(-len(ranked) // MOST_THRESHOLDS) or 1
    return ranked[::step]
