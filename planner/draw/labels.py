"""Placing the numbered labels in one row above and one below a view, so that none lies on another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from planner.draw.sheet import Clash, Label, Mark, Point

LABEL_HIGH_MM = 5.0
"""Height of a label; a label without a letter is a circle of this size, near enough."""
_PLAIN_WIDE_MM, _MARKED_WIDE_MM = 6.6, 8.4
_APART_MM = 0.6
BAND_MM = 9.0
"""Height of the row of labels beyond each edge of a view, with room for the leaders to fan out."""
_MOST_ON_ONE_EDGE = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A label that is to be placed, and the place on the paper its leader ends at."""

    subject: str
    number: int
    mark: Mark | Clash | None
    anchor: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """The two rows of labels of a view: from ``left`` to ``right`` [mm], above ``top`` and below ``bottom``."""

    left: float
    right: float
    top: float
    bottom: float

    def room_for(self, *, marked: bool) -> int:
        """How many labels the two rows hold."""
        return 2 * int((self.right - self.left + _APART_MM) / (_wide(marked=marked) + _APART_MM))


def _wide(*, marked: bool) -> float:
    return _MARKED_WIDE_MM if marked else _PLAIN_WIDE_MM


def place_labels(wanted: Sequence[Wanted], edges: Edges) -> tuple[Label, ...]:
    """Labels with their leaders, those of the upper row first, each row from left to right.

    A part in the upper half of the view gets its label above it, unless that row would hold more than its share. In
    a row the labels keep the order of their anchors as far as leaders do not cross.

    Raises
    ------
    ValueError
        When there are more labels than the rows hold.

    """
    marked = any(w.mark is not None for w in wanted)
    if len(wanted) > edges.room_for(marked=marked):
        raise ValueError(f"{len(wanted)} labels do not fit round the view")
    upper, lower = _shared_out(wanted, edges, marked=marked)
    return (
        *_row(upper, edges, edges.top - BAND_MM + LABEL_HIGH_MM / 2.0, _wide(marked=marked)),
        *_row(lower, edges, edges.bottom + BAND_MM - LABEL_HIGH_MM / 2.0, _wide(marked=marked)),
    )


def _shared_out(wanted: Sequence[Wanted], edges: Edges, *, marked: bool) -> tuple[list[Wanted], list[Wanted]]:
    by_height = sorted(wanted, key=lambda w: (w.anchor[1], w.anchor[0], w.number))
    middle = (edges.top + edges.bottom) / 2.0
    most = min(edges.room_for(marked=marked) // 2, max(1, ceil(_MOST_ON_ONE_EDGE * len(wanted))))
    above = sum(w.anchor[1] < middle for w in by_height)
    above = max(len(by_height) - most, min(above, most))
    return by_height[:above], by_height[above:]


def _row(wanted: Sequence[Wanted], edges: Edges, level: float, wide: float) -> list[Label]:
    order = sorted(wanted, key=lambda w: (w.anchor[0], w.anchor[1], w.number))
    middles = _spread([w.anchor[0] for w in order], wide + _APART_MM, edges.left + wide / 2, edges.right - wide / 2)
    order = _uncrossed(order, middles, level)
    ahead = LABEL_HIGH_MM / 2.0 if level < edges.top else -LABEL_HIGH_MM / 2.0
    return [
        Label(
            subject=w.subject,
            number=w.number,
            mark=w.mark,
            middle=(x, level),
            wide_mm=wide,
            high_mm=LABEL_HIGH_MM,
            leader=((x, level + ahead), w.anchor),
        )
        for w, x in zip(order, middles, strict=True)
    ]


def _spread(wishes: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Places in the order of the wishes, at least ``pitch`` apart, with the least sum of squared shifts.

    Taking ``k * pitch`` off the k-th wish leaves the task of fitting a rising row, which pooling of neighbours solves
    (Ayer and others, "An empirical distribution function for sampling with incomplete information", 1955).
    """
    pools: list[tuple[float, int]] = []
    for k, wish in enumerate(wishes):
        mean, count = wish - k * pitch, 1
        while pools and pools[-1][0] > mean:
            before, several = pools.pop()
            mean, count = (before * several + mean * count) / (several + count), several + count
        pools.append((mean, count))
    flat = [mean for mean, count in pools for _ in range(count)]
    last = high - (len(wishes) - 1) * pitch
    return [min(max(place, low), last) + k * pitch for k, place in enumerate(flat)]


def _uncrossed(order: list[Wanted], middles: Sequence[float], level: float) -> list[Wanted]:
    """Swap the labels of crossing leaders: each swap makes the leaders shorter in all, so that this ends."""
    swapped = True
    while swapped:
        swapped = False
        for i in range(len(order)):
            for j in range(i + 1, len(order)):
                if _cross((middles[i], level), order[i].anchor, (middles[j], level), order[j].anchor):
                    order[i], order[j] = order[j], order[i]
                    swapped = True
    return order


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the lines a-b and c-d truly cross."""
    return _turn(a, b, c) * _turn(a, b, d) < 0.0 and _turn(c, d, a) * _turn(c, d, b) < 0.0


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
