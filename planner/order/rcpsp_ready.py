"""A scheduling problem made ready for fast schedule generation: numbered so that nothing waits for a later one.

The amounts of all resources are packed into one whole number, each with a guard bit above it, so that one
subtraction says whether everything an activity uses is there.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.order.project import Project

FOR_EVER = 1 << 60
"""A time after all others."""

Arc = tuple[int, int]
"""An activity and the least time between it and the one the arc belongs to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """Activities ``0..n-1`` in an order in which each comes after all it waits for.

    ``origin[k]`` is the index of activity ``k`` in the project. ``opens[k]`` and ``closes[k]`` are the ends of its
    start windows, None when it may start at any time. ``times`` and ``free`` are the packed amounts free from each
    time to the next, before anything is placed; they end with ``FOR_EVER``.
    """

    durations: list[int]
    uses: list[int]
    """Packed; 0 for what takes no time."""
    before: list[list[Arc]]
    after: list[list[Arc]]
    opens: list[list[int] | None]
    closes: list[list[int] | None]
    times: list[int]
    free: list[int]
    guard: int
    horizon: int
    origin: list[int]

    def __len__(self) -> int:
        """Number of activities."""
        return len(self.durations)


def ready(project: Project) -> Ready:
    """Number, pack and check a project.

    Raises
    ------
    ValueError
        Activities wait for each other in a ring, or a number is out of its range; the message says which.
    """
    _check(project)
    order = _order(project)
    place = {a: k for k, a in enumerate(order)}
    activities = [project.activities[a] for a in order]
    before = [sorted((place[i], lag) for i, lag in a.before.items()) for a in activities]
    after: list[list[Arc]] = [[] for _ in activities]
    for k, arcs in enumerate(before):
        for i, lag in arcs:
            after[i].append((k, lag))
    shifts = _shifts(project.capacity)
    times, levels = base_levels(project)
    guard = sum(1 << (s + c.bit_length()) for s, c in zip(shifts, project.capacity, strict=True))
    return Ready(
        durations=[a.duration for a in activities],
        uses=[_packed(a.uses, shifts) if a.duration else 0 for a in activities],
        before=before,
        after=after,
        opens=[None if a.windows is None else [w[0] for w in a.windows] for a in activities],
        closes=[None if a.windows is None else [w[1] for w in a.windows] for a in activities],
        times=[*times, FOR_EVER],
        free=[*(guard + _packed(level, shifts) for level in levels), guard],
        guard=guard,
        horizon=project.horizon,
        origin=order,
    )


def mirrored(r: Ready) -> Ready:
    """The same problem with time running backwards from the horizon; activity ``k`` becomes ``n - 1 - k``."""
    n, end = len(r), r.horizon
    turned = zip(r.opens, r.closes, r.durations, strict=True)
    windows = [_turned(o, c, end - d) for o, c, d in turned]
    times, free = _backwards(r)
    return Ready(
        durations=r.durations[::-1],
        uses=r.uses[::-1],
        before=[sorted((n - 1 - j, lag) for j, lag in arcs) for arcs in reversed(r.after)],
        after=[sorted((n - 1 - i, lag) for i, lag in arcs) for arcs in reversed(r.before)],
        opens=[w[0] for w in reversed(windows)],
        closes=[w[1] for w in reversed(windows)],
        times=times,
        free=free,
        guard=r.guard,
        horizon=end,
        origin=r.origin[::-1],
    )


def base_levels(project: Project) -> tuple[list[int], list[tuple[int, ...]]]:
    """Amounts free, not below nothing, from each of a rising list of times to the next; all of it from the last on."""
    marks = {0}
    for block in project.taken:
        marks |= {max(block.begin, 0), max(block.end, 0)}
    times = sorted(marks)
    change: dict[int, list[int]] = {t: [0] * len(project.capacity) for t in times}
    for block in project.taken:
        change[max(block.begin, 0)][block.resource] -= block.amount
        change[max(block.end, 0)][block.resource] += block.amount
    level = list(project.capacity)
    levels: list[tuple[int, ...]] = []
    for t in times:
        level = [x + d for x, d in zip(level, change[t], strict=True)]
        levels.append(tuple(max(x, 0) for x in level))
    return times, levels


def _check(project: Project) -> None:
    for k, a in enumerate(project.activities):
        if a.duration < 0 or min(a.uses, default=0) < 0 or min(a.before.values(), default=0) < 0:
            raise ValueError(f"activity {k} has a number below nothing")
        if len(a.uses) != len(project.capacity):
            raise ValueError(f"activity {k} uses {len(a.uses)} resources, there are {len(project.capacity)}")
        if any(not 0 <= i < len(project.activities) for i in a.before):
            raise ValueError(f"activity {k} waits for one that is not there")
        ends = [t for window in a.windows or () for t in window]
        if ends != sorted(ends):
            raise ValueError(f"activity {k} has windows that are not apart and rising: {a.windows}")
    for t in project.taken:
        if t.amount < 0 or t.end < t.begin or not 0 <= t.resource < len(project.capacity):
            raise ValueError(f"{t} is no block of time")


def _order(project: Project) -> list[int]:
    """Activities by the number of waits before them, then by index."""
    depth: dict[int, int] = {}
    left = {k: len(a.before) for k, a in enumerate(project.activities)}
    after: dict[int, list[int]] = {k: [] for k in left}
    for k, a in enumerate(project.activities):
        for i in a.before:
            after[i].append(k)
    layer = [k for k, count in left.items() if not count]
    while layer:
        following = []
        for i in layer:
            depth[i] = 1 + max((depth[p] for p in project.activities[i].before), default=-1)
            for k in after[i]:
                left[k] -= 1
                if not left[k]:
                    following.append(k)
        layer = following
    if len(depth) < len(project.activities):
        ring = sorted(set(left) - set(depth))
        raise ValueError(f"activities wait for each other in a ring: {', '.join(map(str, ring))}")
    return sorted(depth, key=lambda k: (depth[k], k))


def _shifts(capacity: tuple[int, ...]) -> list[int]:
    shifts, at = [], 0
    for c in capacity:
        shifts.append(at)
        at += c.bit_length() + 1
    return shifts


def _packed(amounts: tuple[int, ...], shifts: list[int]) -> int:
    return sum(x << s for x, s in zip(amounts, shifts, strict=True))


def _turned(opens: list[int] | None, closes: list[int] | None, end: int) -> tuple[list[int] | None, list[int] | None]:
    if opens is None or closes is None:
        return None, None
    return [end - c for c in reversed(closes)], [end - o for o in reversed(opens)]


def _backwards(r: Ready) -> tuple[list[int], list[int]]:
    """The amounts free, seen from the horizon backwards; what lies outside of it is free."""
    spans = list(zip(r.times[:-1], r.times[1:], r.free[:-1], strict=True))
    inside = [(max(a, 0), min(b, r.horizon), f) for a, b, f in spans if a < r.horizon]
    times = [r.horizon - b for _, b, _ in reversed(inside)]
    free = [f for _, _, f in reversed(inside)]
    return [*times, r.horizon, FOR_EVER], [*free, r.free[-2], r.guard]
