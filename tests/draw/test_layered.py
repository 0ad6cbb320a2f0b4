"""Layers, boxes moved apart and the rows they stand in: against what the definitions say, on seeded random graphs."""

import random
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.draw.layered import Arc, Box, Gaps, laid_out, layers_of
from planner.draw.spread import spread

GAPS = Gaps(beside=4.0, below=10.0)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-50, 50), st.floats(1, 20)), min_size=1, max_size=12),
    st.floats(0, 5),
    st.randoms(use_true_random=False),
)
def test_spread_keeps_apart_and_no_small_move_is_better(
    things: list[tuple[float, float]], gap: float, chance: random.Random
) -> None:
    wanted, widths = [w for w, _ in things], [s for _, s in things]
    found = spread(wanted, widths, gap)
    # Least squares under what is convex: where no feasible step near by costs less, none anywhere does.
    cost = sum((f - w) ** 2 for f, w in zip(found, wanted, strict=True))

    def may_be(at: list[float]) -> bool:
        ends = zip(pairwise(at), pairwise(widths), strict=True)
        return all(b - a >= (v + w) / 2 + gap - 1e-6 for (a, b), (v, w) in ends)

    assert may_be(found)
    for _ in range(40):
        first = chance.randrange(len(found))
        last = chance.randrange(first, len(found))
        by = chance.choice([-0.5, -0.01, 0.01, 0.5])
        other = [f + (by if first <= n <= last else 0.0) for n, f in enumerate(found)]
        if may_be(other):
            assert sum((f - w) ** 2 for f, w in zip(other, wanted, strict=True)) >= cost - 1e-6


def test_spread_stays_between_its_edges_when_there_is_room() -> None:
    found = spread([0.0, 1.0, 100.0], [10.0, 10.0, 10.0], 2.0, low=-3.0, high=40.0)
    assert found[0] - 5 >= -3.0
    assert found[-1] + 5 <= 40.0
    assert found[1] - found[0] >= 12.0


def random_graph(seed: int) -> tuple[list[Box], list[Arc]]:
    chance = random.Random(seed)
    count = chance.randrange(2, 40)
    pairs = sorted({(chance.randrange(b), b) for b in range(1, count) for _ in range(chance.randrange(3))})
    widths = [chance.uniform(5, 30) for _ in range(count)]
    layers = layers_of(widths, pairs, 80.0)
    boxes = [Box(wide=w, high=chance.uniform(4, 25), layer=n) for w, n in zip(widths, layers, strict=True)]
    arcs = [Arc(source=a, target=b, port=chance.uniform(-2, 2)) for a, b in pairs]
    return boxes, arcs


@pytest.mark.parametrize("seed", range(30))
def test_layers_go_down_and_hold_no_more_than_their_room(seed: int) -> None:
    boxes, arcs = random_graph(seed)
    assert all(boxes[a.source].layer < boxes[a.target].layer for a in arcs)
    rooms: dict[int, list[float]] = {}
    for box in boxes:
        rooms.setdefault(box.layer, []).append(box.wide)
    assert all(sum(r) <= 80.0 for r in rooms.values())
    assert sorted(rooms) == list(range(len(rooms)))


@pytest.mark.parametrize("seed", range(30))
def test_no_box_over_another_and_no_arc_over_a_box(seed: int) -> None:
    boxes, arcs = random_graph(seed)
    laid = laid_out(boxes, arcs, GAPS)
    rects = [(x - b.wide / 2, y, x + b.wide / 2, y + b.high) for (x, y), b in zip(laid.tops, boxes, strict=True)]
    for n, one in enumerate(rects):
        assert min(one[:2]) >= -1e-6
        assert one[2] <= laid.size[0] + 1e-6
        assert one[3] <= laid.size[1] + 1e-6
        for other in rects[n + 1 :]:
            apart = one[2] <= other[0] - 3.9 or other[2] <= one[0] - 3.9 or one[3] < other[1] or other[3] < one[1]
            assert apart
    for arc, curve in zip(arcs, laid.curves, strict=True):
        assert curve[0] == pytest.approx((laid.tops[arc.source][0], rects[arc.source][3]))
        assert curve[-1] == pytest.approx((laid.tops[arc.target][0] + arc.port, rects[arc.target][1]))
        for x, y in along(curve):
            inside = [r for r in rects if r[0] + 1e-6 < x < r[2] - 1e-6 and r[1] + 1e-6 < y < r[3] - 1e-6]
            assert inside == []


def along(curve: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """Points of a chain of cubic curves, after Bernstein's formula."""
    found = []
    for k in range(0, len(curve) - 1, 3):
        a, b, c, d = curve[k : k + 4]
        for n in range(21):
            t = n / 20
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            xs = sum(w * p[0] for w, p in zip(weights, (a, b, c, d), strict=True))
            ys = sum(w * p[1] for w, p in zip(weights, (a, b, c, d), strict=True))
            found.append((xs, ys))
    return found


def test_a_chain_has_no_bends_and_two_pairs_do_not_cross() -> None:
    boxes = [Box(wide=10.0, high=5.0, layer=n) for n in (0, 0, 1, 1)]
    laid = laid_out(boxes, [Arc(source=0, target=3), Arc(source=1, target=2)], GAPS)
    # Straight across is free: the second layer is turned round.
    assert laid.tops[0][0] == pytest.approx(laid.tops[3][0])
    assert laid.tops[1][0] == pytest.approx(laid.tops[2][0])


def test_an_arc_upwards_is_refused() -> None:
    with pytest.raises(ValueError, match="does not go down"):
        laid_out([Box(wide=1.0, high=1.0, layer=0)] * 2, [Arc(source=0, target=1)], GAPS)
