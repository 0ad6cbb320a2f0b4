"""Things in a row moved apart just as much as they need: labels over narrow bars, boxes in a layer."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

Pool = tuple[float, float]
"""Sum of what its members want, and how many they are."""


def spread(
    wanted: Sequence[float], widths: Sequence[float], gap: float, low: float = -1e9, high: float = 1e9
) -> list[float]:
    """Middles that keep their sequence, do not overlap, and lie nearest to the wanted ones in least squares.

    With the room that all before it take subtracted, the middles only have to rise: least squares under that is found
    by pooling neighbours that do not (Ayer and others, "An empirical distribution function for sampling with
    incomplete information", 1955). When there is less room than they need the last ones lie beyond ``high``.

    Examples
    --------
    >>> spread([5.0, 5.0], [4.0, 4.0], 1.0)
    [2.5, 7.5]
    """
    if not wanted:
        return []
    steps = [(a + b) / 2 + gap for a, b in pairwise(widths)]
    offsets = list(accumulate(steps, initial=0.0))
    pools: list[Pool] = []
    for want, offset in zip(wanted, offsets, strict=True):
        pool = (want - offset, 1.0)
        while pools and pools[-1][0] / pools[-1][1] > pool[0] / pool[1]:
            last = pools.pop()
            pool = (last[0] + pool[0], last[1] + pool[1])
        pools.append(pool)
    risen = [total / count for total, count in pools for _ in range(int(count))]
    least = low + widths[0] / 2
    most = max(high - widths[-1] / 2 - offsets[-1], least)
    return [min(max(r, least), most) + offset for r, offset in zip(risen, offsets, strict=True)]
