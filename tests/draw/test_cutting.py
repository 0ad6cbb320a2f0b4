"""Outlines and runs cut to a rectangle, and corners left out, against areas and distances reckoned otherwise."""

import math
import random
from itertools import pairwise

import pytest

from planner.draw.clip import cut_outline, cut_run, leg_within
from planner.draw.thin import SLACK_MM, thinned

ELL = ((0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (2.0, 2.0), (2.0, 5.0), (0.0, 5.0))
HOLE = ((1.0, 4.0), (1.5, 4.0), (1.5, 3.0), (1.0, 3.0))


def area(rims: tuple[tuple[tuple[float, float], ...], ...]) -> float:
    return sum((a * d - c * b) / 2 for rim in rims for (a, b), (c, d) in zip(rim, (*rim[1:], rim[0]), strict=True))


@pytest.mark.parametrize(
    ("rect", "expected"),
    [
        (((-1.0, -1.0), (9.0, 9.0)), 18.0),
        (((1.0, 1.0), (9.0, 9.0)), 5.0 + 3.0),
        (((3.0, 3.0), (9.0, 9.0)), 0.0),
        (((-5.0, 1.5), (5.0, 2.5)), 2.5 + 1.0),
    ],
)
def test_an_outline_is_cut(rect: tuple[tuple[float, float], tuple[float, float]], expected: float) -> None:
    cut = cut_outline((ELL,), rect)
    assert area(cut) == pytest.approx(expected)
    assert all(rect[0][0] <= x <= rect[1][0] and rect[0][1] <= y <= rect[1][1] for rim in cut for x, y in rim)


def test_a_hole_is_cut_with_its_outline() -> None:
    assert area(cut_outline((ELL, HOLE), ((0.0, 3.5), (9.0, 9.0)))) == pytest.approx(2.0 * 1.5 - 0.5 * 0.5)


def test_a_run_is_cut_into_what_is_inside() -> None:
    run = ((-2.0, 1.0), (4.0, 1.0), (4.0, 9.0), (2.0, 9.0), (2.0, 2.0))
    assert cut_run(run, ((0.0, 0.0), (5.0, 5.0))) == (
        ((0.0, 1.0), (4.0, 1.0), (4.0, 5.0)),
        ((2.0, 5.0), (2.0, 2.0)),
    )
    assert cut_run(run, ((10.0, 10.0), (15.0, 15.0))) == ()


@pytest.mark.parametrize("seed", range(40))
def test_a_leg_within_a_box_agrees_with_trying_points(seed: int) -> None:
    draw = random.Random(seed)
    a, b = (tuple(draw.uniform(-3.0, 3.0) for _ in "xyz") for _ in "ab")
    part = leg_within(a, b, (-1.0,) * 3, (1.0,) * 3)
    shares = [n / 2000 for n in range(2001)]
    inside = [t for t in shares if all(abs(p + t * (q - p)) <= 1.0 for p, q in zip(a, b, strict=True))]
    if part is None:
        assert inside == []
    elif inside:
        assert part == pytest.approx((inside[0], inside[-1]), abs=6e-4)
    else:
        assert part[1] - part[0] < 1e-3


def off(point: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """Least distance to a finely divided stretch."""
    return min(math.dist(point, (a[0] + t / 400 * (b[0] - a[0]), a[1] + t / 400 * (b[1] - a[1]))) for t in range(401))


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("seed", range(6))
def test_left_out_corners_lie_on_the_line_that_is_drawn(seed: int, closed: bool) -> None:
    draw = random.Random(seed)
    rim = tuple(
        ((2.0 + draw.uniform(-0.02, 0.02)) * math.cos(n * math.pi / 40), 2.0 * math.sin(n * math.pi / 40))
        for n in range(80)
    )
    kept = thinned(rim, closed=closed)
    assert set(kept) <= set(rim)
    assert len(kept) < len(rim) / 1.5
    line = (*kept, kept[0]) if closed else kept
    for corner in rim:
        assert min(off(corner, a, b) for a, b in pairwise(line)) <= SLACK_MM + 0.002


def test_a_square_keeps_its_corners_and_a_point_is_still_a_line() -> None:
    square = ((0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    assert thinned(square, closed=True) == ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    assert len(thinned(((1.0, 1.0),) * 7, closed=True)) >= 2
    assert len(thinned(((1.0, 1.0),) * 7, closed=False)) >= 2
