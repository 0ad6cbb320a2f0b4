"""Many pairs at once: the same verdicts as one at a time, and no near pair lost by the columns."""

from __future__ import annotations

import numpy as np
import pytest
from crowded_bay import bay
from space_cases import KINDS, random_pose, random_solid, vec

from planner.model.shapes import Box, Outline, Pose, Tube, Turn
from planner.space import (
    Body,
    are_closer,
    close_pairs,
    closer_than,
    gap,
    merged,
    near_pairs,
    shifted,
    solid_body,
    swept_body,
)
from planner.space import approach as approach_module
from planner.space import close as close_module
from planner.space import parting as parting_module
from planner.space.broad import near_rows

LIMITS = (0.0, 10.0, -0.05, -1.0, 2.5, 0.01, -12.0, 35.0)


def random_body(rng: np.random.Generator, number: int) -> Body:
    """One of every kind in turn, every fifth of two or three solids, every 25th a sweep."""
    kind = KINDS[number % 4]
    pose = random_pose(rng, 60.0)
    if number % 25 == 24:
        swing = Turn(about_mm=(0.0, 0.0, 30.0), axis=(0.0, 1.0, 0.0), from_deg=-4.0, to_deg=9.0)
        return swept_body([random_solid(rng, kind)], pose, swing)
    if number % 5 == 4:
        return solid_body([random_solid(rng, KINDS[(number + k) % 4]) for k in range(2 + number % 2)], pose)
    return solid_body([random_solid(rng, kind)], pose)


def _same_verdicts(seed: int, count: int) -> tuple[int, int]:
    """Compare ``count`` pairs, and return how many were close and how many not."""
    rng = np.random.default_rng(seed)
    bodies = [random_body(rng, k) for k in range(400)]
    rows = rng.integers(0, len(bodies), (count, 2))
    pairs = [(bodies[i], shifted(bodies[j], vec(rng.uniform(-90.0, 90.0, 3)))) for i, j in rows.tolist()]
    limits = [LIMITS[k % len(LIMITS)] for k in range(count)]
    # and every eighth just at its own gap, a tenth of a millimetre to either side of it
    for k in range(0, count, 8):
        limits[k] = gap(*pairs[k]).mm + (0.1 if k % 16 else -0.1)
    expected = [closer_than(a, b, mm) for (a, b), mm in zip(pairs, limits, strict=True)]
    found = are_closer(pairs, limits)
    wrong = [k for k in range(count) if found[k] != expected[k]]
    assert wrong == []
    return sum(found), count - sum(found)


def test_the_same_verdicts_as_one_pair_at_a_time() -> None:
    close, clear = _same_verdicts(61, 2000)
    assert min(close, clear) > 500


@pytest.mark.slow
def test_twenty_thousand_same_verdicts() -> None:
    close, clear = _same_verdicts(62, 20000)
    assert min(close, clear) > 5000


def test_close_pairs_of_a_crowded_vehicle_with_margins_of_their_own() -> None:
    crowd = bay(300, seed=7)
    bodies, margins = crowd.bodies, crowd.margins_mm
    expected = [
        (i, j)
        for i in range(300)
        for j in range(i + 1, 300)
        if closer_than(bodies[i], bodies[j], max(margins[i], margins[j]))
    ]
    assert close_pairs(bodies, margins) == expected
    assert len(expected) > 200
    for margin in (10.0, 0.0, -0.5):
        near = near_pairs(bodies, margin)
        assert close_pairs(bodies, margin) == [p for p in near if closer_than(bodies[p[0]], bodies[p[1]], margin)]


def test_nearly_all_pairs_are_settled_without_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    true = close_module.separation

    def counted(*pair: object) -> object:
        asked.append(pair)
        return true(*pair)

    monkeypatch.setattr(close_module, "separation", counted)
    crowd = bay(600, seed=8)
    assert len(close_pairs(crowd.bodies, 10.0)) > 500
    assert len(asked) < 10


@pytest.mark.parametrize("module", [approach_module, parting_module])
def test_what_the_batch_leaves_open_is_settled_exactly(monkeypatch: pytest.MonkeyPatch, module: object) -> None:
    def nothing(_pack: object, asked: close_module.Question) -> np.ndarray:
        return np.full(len(asked.a), approach_module.OPEN)

    expected = close_pairs(bay(80, seed=9).bodies, 5.0)
    monkeypatch.setattr(close_module, "nearer" if module is approach_module else "deeper", nothing)
    assert close_pairs(bay(80, seed=9).bodies, 5.0) == expected


def test_odd_calls() -> None:
    cube = solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose())
    assert close_pairs([], 5.0) == []
    assert close_pairs([cube], 5.0) == []
    assert are_closer([], 5.0) == []
    assert close_pairs([cube, cube], 0.0) == [(0, 1)]
    assert are_closer([(cube, cube)], -9.9) == [True]
    assert are_closer([(cube, cube)], -10.0) == [False]
    with pytest.raises(ValueError, match="broadcast"):
        close_pairs([cube, cube, cube], [1.0, 2.0])


def test_at_its_limit_a_pair_is_not_closer() -> None:
    # faces exactly 10 mm apart, boxes, rods and a hollow corner: 10 is kept, 10.02 is not
    angle = Outline(points_mm=((0, 0), (60, 0), (60, 10), (10, 10), (10, 60), (0, 60)), thick_mm=8.0, along="z")
    cube = Box(size_mm=(20.0, 20.0, 8.0))
    rod = Tube(across_mm=8.0, through_mm=((0.0, 0.0, -20.0), (0.0, 0.0, 20.0)))
    cases = [
        (solid_body([cube], Pose()), solid_body([cube], Pose(at_mm=(30.0, 4.0, 2.0)))),
        (solid_body([angle], Pose()), solid_body([cube], Pose(at_mm=(30.0, 35.0, 0.0)))),
        (solid_body([rod], Pose()), solid_body([rod], Pose(at_mm=(18.0, 0.0, 3.0)))),
        (solid_body([rod], Pose()), solid_body([cube], Pose(at_mm=(24.0, 0.0, 3.0)))),
        (solid_body([angle], Pose()), solid_body([rod], Pose(at_mm=(24.0, 30.0, 0.0)))),
    ]
    for turn in ((0.0, 0.0, 0.0), (20.0, -35.0, 70.0)):
        posed = [tuple(_turned(body, turn) for body in pair) for pair in cases] if any(turn) else cases
        pairs = [(a, b) for a, b in posed]
        assert are_closer(pairs, 10.0) == [False] * len(cases)
        assert are_closer(pairs, 10.03) == [True] * len(cases)


def _turned(body: Body, turn: tuple[float, float, float]) -> Body:
    """The body as a swing of no angle leaves it, its corners turned about zero."""
    from planner.space.body import body_of  # noqa: PLC0415 - only this test builds pieces by hand
    from planner.space.frames import rotation  # noqa: PLC0415
    from planner.space.pieces import hull_piece  # noqa: PLC0415

    matrix = rotation(turn)
    return body_of([
        hull_piece((piece.points_mm + place) @ matrix.T, piece.ball_mm)
        for piece, place in zip(body.pieces, body.places, strict=True)
    ])  # fmt: skip


@pytest.mark.parametrize("count", [0, 1, 2, 150, 201, 900])
@pytest.mark.parametrize("shape", ["cloud", "row", "stack", "one giant", "far apart", "lattice"])
def test_near_rows_are_those_of_the_plain_double_loop(count: int, shape: str) -> None:
    rng = np.random.default_rng(count)
    low = rng.uniform(0.0, 900.0, (count, 3))
    size = rng.uniform(5.0, 120.0, (count, 3))
    if shape == "row":
        low[:, 1:] = 0.0
    if shape == "stack":
        low[:, :2] *= 0.01
    if shape == "one giant" and count:
        low[0], size[0] = -500.0, 3000.0
    if shape == "far apart" and count > 1:
        low[1], low[0] = 1e6, -1e6
    if shape == "lattice":  # boxes that touch exactly
        low, size = np.round(low / 100.0) * 100.0, np.full((count, 3), 100.0)
    for margins in (np.zeros(count), np.full(count, 25.0), np.full(count, -8.0), rng.choice([0.0, 10.0, 60.0], count)):
        high = low + size
        margin = np.maximum(margins[:, None], margins[None, :])
        near = np.ones((count, count), dtype=bool)
        for axis in range(3):
            near &= low[:, None, axis] <= high[None, :, axis] + margin
            near &= low[None, :, axis] <= high[:, None, axis] + margin
        first, second = np.nonzero(np.triu(near, 1))
        found = near_rows(low, high, margins)
        assert np.array_equal(found[0], first)
        assert np.array_equal(found[1], second)


def test_merged_bodies_count_as_one() -> None:
    cube = solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose())
    row = merged([shifted(cube, (40.0 * k, 0.0, 0.0)) for k in range(20)])
    beside = shifted(cube, (400.0, 18.0, 0.0))
    assert close_pairs([row, beside], 8.0) == []
    assert close_pairs([row, beside], 8.1) == [(0, 1)]
