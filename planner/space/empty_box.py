"""The largest empty boxes among boxes."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Sequence

from planner.model.shapes import Vec

Block = tuple[Vec, Vec]
"""Low and high corner [mm] of a box square to the axes."""

_SLIVER_MM = 1e-6
"""Boxes that share less than this on an axis touch."""


def empty_boxes(
    within: Block, blocks: Sequence[Block], least_mm: Vec, against: tuple[int, int] | None = None
) -> Iterator[Block]:
    """Largest boxes inside ``within`` that hold nothing of any block, by falling volume; none lies inside another.

    Parameters
    ----------
    within : Block
    blocks : Sequence[Block]
        What stands there, as boxes.
    least_mm : Vec [mm]
        Boxes smaller than this along x, y or z are left out.
    against : (int, int), optional
        An axis and a side (-1 low, 1 high): only boxes that reach to that face of ``within``.

    Notes
    -----
    Exact: an empty box inside a box that holds a block lies wholly on one side of the block, so the box is split into
    the six boxes beside the block; always the largest box known is looked at next, so that the first found to be
    empty is the largest there is, and so on.
    """
    found: list[Block] = []
    heap = [(-_volume(within), within)]
    seen = {within}
    while heap:
        _, box = heapq.heappop(heap)
        inside = [b for b in blocks if _overlap(box, b)]
        if not inside:
            if not any(_holds(f, box) for f in found):
                found.append(box)
                yield box
            continue
        for piece in _beside(box, min(inside, key=lambda b: (_off_middle(box, b), b)), against):
            if piece not in seen and _is_large(piece, least_mm):
                seen.add(piece)
                heapq.heappush(heap, (-_volume(piece), piece))


def _beside(box: Block, block: Block, against: tuple[int, int] | None) -> Iterator[Block]:
    """The boxes beside a block; what no longer reaches to the wanted face is left out."""
    for axis in range(3):
        if block[0][axis] > box[0][axis] and against != (axis, 1):
            yield box[0], _with(box[1], axis, block[0][axis])
        if block[1][axis] < box[1][axis] and against != (axis, -1):
            yield _with(box[0], axis, block[1][axis]), box[1]


def _is_large(box: Block, least_mm: Vec) -> bool:
    return all(high - low >= least - _SLIVER_MM for low, high, least in zip(*box, least_mm, strict=True))


def _with(corner: Vec, axis: int, value: float) -> Vec:
    x, y, z = (value if i == axis else v for i, v in enumerate(corner))
    return (x, y, z)


def _volume(box: Block) -> float:
    return math.prod(high - low for low, high in zip(*box, strict=True))


def _overlap(a: Block, b: Block) -> bool:
    return all(min(a[1][i], b[1][i]) - max(a[0][i], b[0][i]) > _SLIVER_MM for i in range(3))


def _holds(a: Block, b: Block) -> bool:
    return all(a[0][i] <= b[0][i] + _SLIVER_MM and b[1][i] <= a[1][i] + _SLIVER_MM for i in range(3))


def _off_middle(box: Block, block: Block) -> float:
    return sum(abs(box[0][i] + box[1][i] - block[0][i] - block[1][i]) for i in range(3))
