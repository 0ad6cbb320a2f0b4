"""Flush contacts and random pairs, against an independent method; and a library that lies."""

from __future__ import annotations

from pathlib import Path

import fcl
import numpy as np
import pytest
from space_cases import KINDS, flush_pair, random_pose, random_solid
from space_referee import Shape, true_gap

import planner.space
from planner.model.shapes import Box, Outline, Pose, Solid, Tube
from planner.space import closer_than, gap, merged, shifted, solid_body
from planner.space import separation as separation_module
from planner.space.minnorm import nearest_points

EXACT_MM = 0.01  # the precision promised
PLAIN = [(a, b) for a in KINDS for b in KINDS]
PAIRS = [(a, b) for a in (*KINDS, "compound") for b in (*KINDS, "compound")]


def _flush_errors(seed: int, count: int) -> list[tuple[int, tuple[str, str], float]]:
    rng = np.random.default_rng(seed)
    wrong = []
    for k in range(count):
        (first, pose_a), (second, pose_b) = flush_pair(rng, PLAIN[k % 16], square=bool(k // 16 % 2))
        a, b = solid_body([first], pose_a), solid_body([second], pose_b)
        mm = gap(a, b).mm
        if abs(mm) > EXACT_MM or closer_than(a, b, 0.0):
            wrong.append((k, PLAIN[k % 16], mm))
    return wrong


def test_flush_contacts_are_neither_clash_nor_gap() -> None:
    assert _flush_errors(11, 1000) == []


@pytest.mark.slow
def test_many_flush_contacts_are_neither_clash_nor_gap() -> None:
    assert _flush_errors(12, 8000) == []


def test_bars_rim_to_rim_touch_exactly() -> None:
    # the one pair that needs a climb: two rims that meet at a slant
    rng = np.random.default_rng(13)
    for _ in range(400):
        (first, pose_a), (second, pose_b) = flush_pair(rng, ("cylinder", "cylinder"), square=False)
        assert abs(gap(solid_body([first], pose_a), solid_body([second], pose_b)).mm) < 1e-3


def _bodies(rng: np.random.Generator, number: int) -> tuple[list[Solid], list[Solid], tuple[Pose, Pose]]:
    """Solids of one or two parts in turn of all pairs of kinds: apart, near, overlapping, inside."""
    kinds = PAIRS[number % len(PAIRS)]
    sides = []
    for kind in kinds:
        if kind == "compound":
            sides.append([random_solid(rng, KINDS[int(rng.integers(4))], 120.0) for _ in range(2)])
        else:
            sides.append([random_solid(rng, kind, (200.0, 200.0, 60.0)[number // len(PAIRS) % 3])])
    spread = (20.0, 60.0, 150.0, 5.0)[number // len(PAIRS) % 4]
    return sides[0], sides[1], (random_pose(rng, 10.0), random_pose(rng, spread))


def _check_random(seed: int, count: int) -> tuple[int, int, list[object]]:
    """Compare with the referee; return how many overlapped, how many were proved from both sides, and those wrong."""
    rng = np.random.default_rng(seed)
    overlapping = proved = 0
    wrong: list[object] = []
    for k in range(count):
        first, second, poses = _bodies(rng, k)
        answer = gap(solid_body(first, poses[0]), solid_body(second, poses[1]))
        mm = answer.mm
        found = [true_gap(Shape(a, poses[0]), Shape(b, poses[1]), rng, answer.normal) for a in first for b in second]
        expected, sure = min(found)
        overlapping += expected < 0.0
        proved += sure
        if abs(mm - expected) > EXACT_MM:
            wrong.append((k, PAIRS[k % len(PAIRS)], mm, expected, sure))
    return overlapping, proved, wrong


def test_random_pairs_against_the_referee() -> None:
    overlapping, proved, wrong = _check_random(21, 200)
    assert wrong == []
    assert min(overlapping, proved) > 40


@pytest.mark.slow
@pytest.mark.parametrize("part", range(10))
def test_twenty_thousand_random_pairs_against_the_referee(part: int) -> None:
    overlapping, proved, wrong = _check_random(2200 + part, 2000)
    assert wrong == []
    assert min(overlapping, proved) > 400


@pytest.mark.parametrize("lie", [-1.0, 0.0, 37.5])
def test_a_wrong_answer_of_the_collision_library_does_no_harm(monkeypatch: pytest.MonkeyPatch, lie: float) -> None:
    def lying(_one: object, _other: object, _request: object, answer: fcl.DistanceResult) -> float:
        answer.nearest_points = [np.array([1.0, 2.0, 3.0]), np.array([1.0, 2.0, 3.0 + abs(lie)])]
        return lie

    monkeypatch.setattr(separation_module.fcl, "distance", lying)
    rng = np.random.default_rng(31)
    for k in range(48):
        first, second = (random_solid(rng, kind) for kind in PLAIN[k % 16])
        pose_a, pose_b = random_pose(rng, 10.0), random_pose(rng, 120.0)
        answer = gap(solid_body([first], pose_a), solid_body([second], pose_b))
        mm = answer.mm
        expected, _ = true_gap(Shape(first, pose_a), Shape(second, pose_b), rng, answer.normal)
        assert mm == pytest.approx(expected, abs=EXACT_MM), (k, PLAIN[k % 16])


def test_the_collision_library_is_never_asked_for_contacts() -> None:
    for file in Path(planner.space.__file__).parent.glob("*.py"):
        text = file.read_text(encoding="utf-8")
        assert "fcl.collide" not in text
        assert "enable_signed_distance=True" not in text


def test_the_collision_library_itself_gets_flush_contacts_wrong() -> None:
    # The reason for all the care: were this to fail one day, the guard would still be right, only less needed.
    request = fcl.DistanceRequest(enable_nearest_points=True, enable_signed_distance=True)
    rng = np.random.default_rng(3)
    worst = 0.0
    for _ in range(1500):
        size_a, size_b = np.round(rng.uniform(5.0, 300.0, (2, 3)), 1)
        axis = int(rng.integers(3))
        at = np.round(rng.uniform(-0.4, 0.4, 3) * (size_a + size_b), 1)
        at[axis] = (size_a[axis] + size_b[axis]) / 2.0
        one = fcl.CollisionObject(fcl.Box(*size_a), fcl.Transform())
        other = fcl.CollisionObject(fcl.Box(*size_b), fcl.Transform(at))
        worst = max(worst, abs(fcl.distance(one, other, request, fcl.DistanceResult())))
        a = solid_body([Box(size_mm=tuple(size_a))], Pose())
        b = solid_body([Box(size_mm=tuple(size_b))], Pose(at_mm=tuple(at)))
        assert gap(a, b).mm == pytest.approx(0.0, abs=1e-9)
    assert worst > 1.0


def test_slow_nearest_points_by_hand() -> None:
    a = solid_body([Box(size_mm=(20.0, 20.0, 20.0))], Pose())
    b = solid_body([Box(size_mm=(20.0, 20.0, 20.0))], Pose(at_mm=(50.0, 60.0, 0.0)))
    near_a, near_b = nearest_points(a.pieces[0], b.pieces[0], b.places[0])
    assert near_a[:2] == pytest.approx((10.0, 10.0), abs=1e-4)
    assert near_b[:2] == pytest.approx((40.0, 50.0), abs=1e-4)


def test_gap_of_bodies_is_that_of_their_nearest_pieces() -> None:
    cube = Box(size_mm=(10.0, 10.0, 10.0))
    row = merged(solid_body([cube], Pose(at_mm=(40.0 * k, 0.0, 0.0))) for k in range(20))
    other = merged(solid_body([cube], Pose(at_mm=(40.0 * k + 400.0, 25.0 + k, 0.0))) for k in range(5))
    assert gap(row, other).mm == pytest.approx(15.0, abs=EXACT_MM)
    assert gap(row, other).at_mm == pytest.approx((400.0, 12.5, 0.0), abs=0.02)
    assert closer_than(row, other, 15.5)
    assert not closer_than(row, other, 15.0)
    # two pieces overlap, by 2 and by 6: the deeper one counts
    deep = merged([solid_body([cube], Pose(at_mm=(8.0, 0.0, 0.0))), solid_body([cube], Pose(at_mm=(84.0, 0.0, 0.0)))])
    assert gap(row, deep).mm == pytest.approx(-6.0, abs=EXACT_MM)


def test_a_hollow_corner_is_hollow() -> None:
    angle = Outline(
        points_mm=((0.0, 0.0), (100.0, 0.0), (100.0, 10.0), (10.0, 10.0), (10.0, 100.0), (0.0, 100.0)),
        thick_mm=8.0,
        along="z",
    )
    body = solid_body([angle], Pose())
    inside = solid_body([Box(size_mm=(20.0, 20.0, 8.0))], Pose(at_mm=(50.0, 50.0, 0.0)))
    assert gap(body, inside).mm == pytest.approx(30.0, abs=EXACT_MM)  # 40 - 10 to either leg
    assert gap(body, shifted(inside, (-30.0, -30.0, 0.0))).mm == pytest.approx(0.0, abs=EXACT_MM)
    assert gap(body, shifted(inside, (-31.0, 0.0, 0.0))).mm == pytest.approx(-1.0, abs=EXACT_MM)


def test_shifting_is_exact_and_shares_the_pieces() -> None:
    rod = solid_body([Tube(across_mm=8.0, through_mm=((0, 0, 0), (50, 0, 0), (50, 60, 0)))], Pose())
    moved = shifted(shifted(rod, (1000.0, -20.0, 7.0)), (-1000.0, 20.0, -7.0))
    assert moved.pieces is rod.pieces
    assert moved.lo_mm == pytest.approx(rod.lo_mm, abs=1e-9)
    cube = solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose(at_mm=(0.0, 30.0, 0.0)))
    assert gap(shifted(rod, (0.0, 5.0, 0.0)), cube).mm == pytest.approx(gap(rod, cube).mm - 5.0, abs=EXACT_MM)
