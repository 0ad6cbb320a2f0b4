"""The largest empty boxes among boxes, against every box of an integer grid tried one by one."""

from __future__ import annotations

import math
from itertools import combinations, product
from random import Random

import pytest

from planner.space import Block, empty_boxes

SIDE = 6
WITHIN: Block = ((0.0, 0.0, 0.0), (6.0, 6.0, 6.0))


def volume(box: Block) -> float:
    return math.prod(high - low for low, high in zip(*box, strict=True))


def inside(a: Block, b: Block) -> bool:
    return all(b[0][i] <= a[0][i] and a[1][i] <= b[1][i] for i in range(3))


def apart(a: Block, b: Block) -> bool:
    return any(a[1][i] <= b[0][i] or b[1][i] <= a[0][i] for i in range(3))


def every_box() -> list[Block]:
    spans = list(combinations(range(SIDE + 1), 2))
    return [
        ((float(x[0]), float(y[0]), float(z[0])), (float(x[1]), float(y[1]), float(z[1])))
        for x, y, z in product(spans, repeat=3)
    ]


EVERY = every_box()


def maximal(blocks: list[Block], least: float, against: tuple[int, int] | None) -> set[Block]:
    """By plain trial: empty boxes that lie in no other empty box."""
    empty = [b for b in EVERY if all(apart(b, o) for o in blocks)]
    if against is not None:
        axis, side = against
        empty = [b for b in empty if b[0 if side < 0 else 1][axis] == WITHIN[0 if side < 0 else 1][axis]]
    found: list[Block] = []
    for box in sorted(empty, key=lambda b: -volume(b)):
        if not any(inside(box, f) for f in found):
            found.append(box)
    return {b for b in found if min(high - low for low, high in zip(*b, strict=True)) >= least}


def random_blocks(rng: Random) -> list[Block]:
    blocks = []
    for _ in range(rng.randint(0, 5)):
        low = [rng.randint(-1, SIDE - 1) for _ in range(3)]
        high = [v + rng.randint(1, 3) for v in low]
        blocks.append(((float(low[0]), float(low[1]), float(low[2])), (float(high[0]), float(high[1]), float(high[2]))))
    return blocks


@pytest.mark.parametrize("seed", range(25))
def test_every_maximal_empty_box_is_found_largest_first(seed: int) -> None:
    rng = Random(seed)
    blocks, least = random_blocks(rng), float(rng.choice([1, 1, 2]))
    against = rng.choice([None, None, (2, -1), (0, 1)])
    found = list(empty_boxes(WITHIN, blocks, (least, least, least), against))
    assert set(found) == maximal(blocks, least, against)
    assert len(found) == len(set(found))
    assert [volume(b) for b in found] == sorted((volume(b) for b in found), reverse=True)


def test_nothing_is_left_when_it_is_full() -> None:
    assert list(empty_boxes(WITHIN, [((-1.0, -1.0, -1.0), (9.0, 9.0, 9.0))], (0.1, 0.1, 0.1))) == []


def test_the_whole_of_it_when_it_is_empty() -> None:
    assert list(empty_boxes(WITHIN, [], (1.0, 1.0, 1.0))) == [WITHIN]


def test_blocks_that_only_touch_take_nothing() -> None:
    assert list(empty_boxes(WITHIN, [((6.0, 0.0, 0.0), (9.0, 6.0, 6.0))], (1.0, 1.0, 1.0))) == [WITHIN]
