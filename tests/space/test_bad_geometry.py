"""Solids of no thickness, needles, specks and far places: the right answer, or a refusal that names the solid."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from space_cases import random_pose, vec
from space_referee import Shape, true_gap

from planner.model.shapes import Box, Cylinder, Outline, Pose, Slide, Solid, Tube, Turn
from planner.space import Body, are_closer, close_pairs, closer_than, gap, shifted, solid_body, swept_body
from planner.space.pieces import hull_piece

EXACT_MM = 0.01  # the precision promised

TRIANGLE = ((0.0, 0.0), (50.0, 0.0), (50.0, 40.0))
ROUND = tuple((50.0 * math.cos(k * math.pi / 100.0), 30.0 * math.sin(k * math.pi / 100.0)) for k in range(200))
THIN = {
    "sheet of no thickness": Box(size_mm=(50.0, 0.0, 20.0)),
    "line": Box(size_mm=(50.0, 0.0, 0.0)),
    "point": Box(size_mm=(0.0, 0.0, 0.0)),
    "foil": Box(size_mm=(50.0, 1e-6, 20.0)),
    "needle": Box(size_mm=(1000.0, 0.01, 0.01)),
    "speck": Box(size_mm=(0.01, 0.01, 0.01)),
    "disc of no thickness": Cylinder(across_mm=50.0, length_mm=0.0),
    "wire of no width": Cylinder(across_mm=0.0, length_mm=50.0),
    "needle bar": Cylinder(across_mm=0.01, length_mm=1000.0),
    "speck bar": Cylinder(across_mm=0.01, length_mm=0.01),
    "thin disc": Cylinder(across_mm=500.0, length_mm=0.001),
    "tube of no width": Tube(across_mm=0.0, through_mm=((0.0, 0.0, 0.0), (50.0, 0.0, 0.0))),
    "very short tube": Tube(across_mm=8.0, through_mm=((0.0, 0.0, 0.0), (1e-5, 0.0, 0.0))),
    "sliver": Outline(points_mm=((0.0, 0.0), (50.0, 0.0), (50.0, 0.001)), thick_mm=5.0),
    "flatter sliver": Outline(points_mm=((0.0, 0.0), (50.0, 0.0), (50.0, 1e-7)), thick_mm=5.0),
    "points twice": Outline(points_mm=((0.0, 0.0), (50.0, 0.0), (50.0, 0.0), (50.0, 40.0), (0.0, 0.0)), thick_mm=5.0),
    "outline of no thickness": Outline(points_mm=TRIANGLE, thick_mm=0.0),
    "hair-fine bend": Outline(
        points_mm=((0.0, 0.0), (50.0, -1e-9), (100.0, 0.0), (100.0, 40.0), (0.0, 40.0)), thick_mm=5.0
    ),
    "outline of 200 points": Outline(points_mm=ROUND, thick_mm=5.0),
}
BLOCK = Box(size_mm=(100.0, 60.0, 40.0))
PEG = Cylinder(across_mm=30.0, length_mm=90.0)
LIMB = Tube(across_mm=16.0, through_mm=((-40.0, 0.0, 0.0), (40.0, 10.0, 0.0)))


def check(a: Body, b: Body, expected: float) -> None:
    found = gap(a, b)
    assert found.mm == pytest.approx(expected, abs=EXACT_MM)
    # the place lies in both their boxes when they overlap, in the box round them anyhow
    deep = expected < -EXACT_MM
    low = np.maximum(a.lo_mm, b.lo_mm) if deep else np.minimum(a.lo_mm, b.lo_mm)
    high = np.minimum(a.hi_mm, b.hi_mm) if deep else np.maximum(a.hi_mm, b.hi_mm)
    assert np.all(np.array(found.at_mm) >= low - 0.05)
    assert np.all(np.array(found.at_mm) <= high + 0.05)
    assert closer_than(a, b, expected + 0.03)
    assert not closer_than(a, b, expected - EXACT_MM)
    assert are_closer([(a, b), (b, a)], expected + 0.03) == [True, True]
    assert are_closer([(a, b), (b, a)], expected - EXACT_MM) == [False, False]


@pytest.mark.parametrize("name", THIN)
def test_thin_and_tiny_solids_are_measured_rightly(name: str) -> None:
    rng = np.random.default_rng(71)
    for k in range(9):
        other = (BLOCK, PEG, LIMB)[k % 3]
        pose, place = random_pose(rng, 10.0), random_pose(rng, (30.0, 80.0, 300.0)[k // 3])
        a, b = solid_body([other], pose), solid_body([THIN[name]], place)
        check(a, b, true_gap(Shape(other, pose), Shape(THIN[name], place), rng, gap(a, b).normal)[0])


@pytest.mark.parametrize("name", THIN)
def test_thin_and_tiny_solids_against_each_other(name: str) -> None:
    rng = np.random.default_rng(72)
    names = list(THIN)
    other = THIN[names[(names.index(name) + 5) % len(names)]]
    for spread in (3.0, 60.0, 200.0):
        pose, place = random_pose(rng, 1.0), random_pose(rng, spread)
        a, b = solid_body([other], pose), solid_body([THIN[name]], place)
        check(a, b, true_gap(Shape(other, pose), Shape(THIN[name], place), rng, gap(a, b).normal)[0])


@pytest.mark.parametrize("far_mm", [1e5, -1e5, 1e7])
def test_far_from_zero_nothing_changes(far_mm: float) -> None:
    # faces 7 mm apart, flush, and 3 mm deep, 100 m and 10 km away
    at = (far_mm, -far_mm, far_mm)
    a = solid_body([BLOCK], Pose(at_mm=at))
    for shift, expected in ((107.0, 7.0), (100.0, 0.0), (97.0, -3.0)):
        b = shifted(solid_body([BLOCK], Pose(at_mm=at)), (shift, 10.0, -5.0))
        check(a, b, expected)
        assert close_pairs([a, b, solid_body([BLOCK], Pose())], expected + 0.05) == [(0, 1)]
    rng = np.random.default_rng(73)
    for _ in range(6):
        one, other = random_pose(rng, 10.0), random_pose(rng, 80.0)
        near = gap(solid_body([PEG], one), solid_body([LIMB], other)).mm
        moved = [shifted(solid_body([s], p), at) for s, p in ((PEG, one), (LIMB, other))]
        assert gap(moved[0], moved[1]).mm == pytest.approx(near, abs=EXACT_MM)


def test_huge_solids_beside_specks() -> None:
    hall = solid_body([Box(size_mm=(1e5, 1e5, 1e5))], Pose())
    speck = solid_body([Box(size_mm=(0.01, 0.01, 0.01))], Pose(at_mm=(5e4 + 2.0, 4e4, -3e4)))
    check(hall, speck, 2.0 - 0.005)
    check(hall, shifted(speck, (-5.0, 0.0, 0.0)), -3.0 - 0.005)
    drum = solid_body([Cylinder(across_mm=1e5, length_mm=1e5)], Pose(turn_deg=(0.0, 0.0, 30.0)))
    check(drum, shifted(speck, (3.0 - 2.0, -4e4, 0.0)), 1.0 - 0.005 + 2.0)


def test_points_that_coincide_or_nearly() -> None:
    knot = Tube(
        across_mm=8.0,
        through_mm=((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (30.0, 0.0, 0.0), (30.0, 0.0, 1e-9), (30.0, 0.0, 0.0)),
    )
    ball = Tube(across_mm=8.0, through_mm=((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)))
    block = solid_body([BLOCK], Pose(at_mm=(15.0, 0.0, 30.0)))
    check(solid_body([knot], Pose()), block, 30.0 - 20.0 - 4.0)
    check(solid_body([ball], Pose()), block, 30.0 - 20.0 - 4.0)
    for points in (np.zeros((9, 3)), np.zeros((1, 3)), np.repeat(np.eye(3), 4, axis=0), np.eye(3)[[0, 0, 1]] * 40.0):
        piece, middle = hull_piece(points)
        assert np.all(np.isfinite(middle))
        assert np.all(np.isfinite(piece.box_mm))


@pytest.mark.parametrize(
    "thin", ["sheet of no thickness", "line", "foil", "disc of no thickness", "tube of no width", "sliver"]
)
def test_nearly_flat_hulls_of_sweeps_hold_what_they_must(thin: str) -> None:
    slide = swept_body([THIN[thin]], Pose(), Slide(along=(1.0, 0.0, 0.0), from_mm=0.0, to_mm=30.0))
    swing = swept_body(
        [THIN[thin]], Pose(), Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), from_deg=0.0, to_deg=12.0)
    )
    at_rest = solid_body([THIN[thin]], Pose())
    for body in (slide, swing):
        assert np.all(np.array(body.lo_mm) <= np.array(at_rest.lo_mm) + 1e-6)
        assert np.all(np.array(body.hi_mm) >= np.array(at_rest.hi_mm) - 1e-6)
        above = solid_body([BLOCK], Pose(at_mm=(10.0, 5.0, at_rest.hi_mm[2] + 27.0)))
        assert gap(body, above).mm == pytest.approx(7.0, abs=0.5)
        assert gap(body, above).mm <= 7.0 + EXACT_MM


BAD: dict[str, tuple[Callable[[], Solid], str]] = {
    "box below zero": (lambda: Box(size_mm=(50.0, -1.0, 20.0)), "box 50 x -1 x 20 mm"),
    "box of no number": (lambda: Box(size_mm=(50.0, math.nan, 20.0)), "box 50 x nan x 20 mm"),
    "box without end": (lambda: Box(size_mm=(50.0, math.inf, 20.0)), "box 50 x inf x 20 mm"),
    "bar below zero": (lambda: Cylinder(across_mm=-3.0, length_mm=50.0), "cylinder -3 x 50 mm"),
    "bar of no number": (lambda: Cylinder(across_mm=3.0, length_mm=math.nan), "cylinder 3 x nan mm"),
    "tube below zero": (lambda: Tube(across_mm=-8.0, through_mm=((0, 0, 0), (9, 0, 0))), "tube -8 mm"),
    "tube through no point": (lambda: Tube(across_mm=8.0, through_mm=()), "tube 8 mm"),
    "tube through nowhere": (lambda: Tube(across_mm=8.0, through_mm=((math.nan, 0, 0), (9, 0, 0))), "tube 8 mm"),
    "outline below zero": (lambda: Outline(points_mm=TRIANGLE, thick_mm=-5.0), "outline -5 mm"),
    "outline of no number": (
        lambda: Outline(points_mm=((0, 0), (50, math.nan), (50, 40)), thick_mm=5.0),
        "outline 5 mm",
    ),
    "outline of two points": (lambda: Outline(points_mm=((0, 0), (50, 0)), thick_mm=5.0), "outline"),
    "outline on a line": (lambda: Outline(points_mm=((0, 0), (50, 0), (90, 0)), thick_mm=5.0), "outline"),
    "place of no number": (lambda: Box(size_mm=(5, 5, 5), pose=Pose(at_mm=(0, math.nan, 0))), "box 5 x 5 x 5 mm"),
    "turn of no number": (lambda: Box(size_mm=(5, 5, 5), pose=Pose(turn_deg=(0, math.inf, 0))), "box 5 x 5 x 5 mm"),
    "out of this world": (lambda: Box(size_mm=(5, 5, 5), pose=Pose(at_mm=(0, 1e12, 0))), "box 5 x 5 x 5 mm"),
}


@pytest.mark.parametrize("name", BAD)
def test_impossible_solids_are_refused_by_name(name: str) -> None:
    make, told = BAD[name]
    with pytest.raises(ValueError, match=told.replace("+", r"\+")):
        solid_body([make()], Pose())
    with pytest.raises(ValueError, match=told.replace("+", r"\+")):
        swept_body([make()], Pose(), Slide(along=(1.0, 0.0, 0.0), from_mm=0.0, to_mm=5.0))


def test_random_thin_pairs() -> None:
    # sizes spread over six powers of ten
    rng = np.random.default_rng(74)
    for k in range(60):
        solids = []
        for _ in range(2):
            size = vec(10.0 ** rng.uniform(-3.0, 3.0, 3))
            solids.append((Box(size_mm=size), Cylinder(across_mm=size[0], length_mm=size[1]))[int(rng.integers(2))])
        poses = random_pose(rng, 5.0), random_pose(rng, (20.0, 300.0)[k % 2])
        found = gap(*(solid_body([solid], pose) for solid, pose in zip(solids, poses, strict=True)))
        expected, _ = true_gap(Shape(solids[0], poses[0]), Shape(solids[1], poses[1]), rng, found.normal)
        assert found.mm == pytest.approx(expected, abs=EXACT_MM), (k, solids)
