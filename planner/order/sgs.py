"""Serial schedule generation: activities one by one, each as early as it can go beside those before it.

Every order that respects the waits gives a feasible schedule, and some order gives one of least finish (Kolisch,
European Journal of Operational Research 90, 1996: serial generation makes active schedules); start windows and
blocks taken from a resource do not change that, since they too let an activity move only to its own earlier times.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from planner.order.rcpsp_ready import Ready


def generate(r: Ready, order: Sequence[int], release: int = 0) -> list[int]:  # noqa: C901, PLR0912 - innermost loop
    """Start of each activity.

    Parameters
    ----------
    r : Ready
    order : sequence of int
        All activities, each after what it waits for.
    release : int
        Nothing starts before it.

    Returns
    -------
    list of int
        What no window is left for starts after the horizon, so a finish beyond the horizon says that this order
        leads to no schedule.
    """
    times, free = r.times[:], r.free[:]
    guard, durations, uses, after, opens = r.guard, r.durations, r.uses, r.after, r.opens
    earliest = [release] * len(durations)
    starts = [0] * len(durations)
    for j in order:
        start, length, use = earliest[j], durations[j], uses[j]
        if opens[j] is not None:
            start = _in_windows(r, j, start, times, free)
            end = start + length
            at = bisect_right(times, start) - 1
        elif use:
            at = bisect_right(times, start) - 1
            end = start + length
            look = at
            while True:
                if (free[look] - use) & guard != guard:
                    look += 1
                    while (free[look] - use) & guard != guard:
                        look += 1
                    at = look
                    start = times[look]
                    end = start + length
                look += 1
                if times[look] >= end:
                    break
        else:
            end = start + length
        starts[j] = start
        if use:
            if times[at] != start:
                at += 1
                times.insert(at, start)
                free.insert(at, free[at - 1])
            while True:
                following = times[at + 1]
                if following >= end:
                    if following != end:
                        times.insert(at + 1, end)
                        free.insert(at + 1, free[at])
                    free[at] -= use
                    break
                free[at] -= use
                at += 1
        for k, lag in after[j]:
            if end + lag > earliest[k]:  # noqa: PLR1730 - max() is slower
                earliest[k] = end + lag
    return starts


def _in_windows(r: Ready, j: int, start: int, times: list[int], free: list[int]) -> int:
    """The earliest start of an activity within its windows beside what is placed."""
    opens, closes = r.opens[j], r.closes[j]
    assert opens is not None and closes is not None  # noqa: S101, PT018
    use, length, guard = r.uses[j], r.durations[j], r.guard
    n = bisect_left(closes, start)
    while True:
        if n == len(closes):
            start = max(start, r.horizon + 1)
        elif start < opens[n]:
            start = opens[n]
        if not use:
            return start
        fits = _next_fit(times, free, guard, use, length, start)
        if n == len(closes) or fits <= closes[n]:
            return fits
        start = fits
        n = bisect_left(closes, start, n)


def _next_fit(times: list[int], free: list[int], guard: int, use: int, length: int, start: int) -> int:
    """The earliest time from ``start`` on at which the use fits for the whole length."""
    look = bisect_right(times, start) - 1
    end = start + length
    while True:
        if (free[look] - use) & guard != guard:
            look += 1
            while (free[look] - use) & guard != guard:
                look += 1
            start = times[look]
            end = start + length
        look += 1
        if times[look] >= end:
            return start


def alone(r: Ready, j: int, start: int) -> int:
    """The earliest start of one activity, from ``start`` on, when nothing else is placed."""
    if r.opens[j] is not None:
        return _in_windows(r, j, start, r.times, r.free)
    return _next_fit(r.times, r.free, r.guard, r.uses[j], r.durations[j], start) if r.uses[j] else start


def finish_of(r: Ready, starts: Sequence[int]) -> int:
    """When the last activity ends."""
    return max(map(int.__add__, starts, r.durations), default=0)
