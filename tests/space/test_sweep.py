"""Sweeps: nothing of the true motion lies outside, and nothing of the sweep stands out by more than 0.5 mm."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import pytest
from space_cases import KINDS, random_pose, random_solid, vec
from space_referee import Shape, turn_matrix

from planner.model.shapes import Box, Cylinder, Pose, Slide, Tube, Turn, Vec
from planner.model.vehicle import Component, Freedom
from planner.space import Body, closer_than, component_body, gap, solid_body, swept_body

Array = npt.NDArray[np.float64]

EXCESS_MM = 0.5  # the most a sweep may stand out
TINY_MM = 1e-3


def turned(axis: Array, angle: float) -> Array:
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * cross + (1.0 - math.cos(angle)) * cross @ cross


class Motion:
    """Random motion of a random solid, and where it truly carries a point, in vehicle axes."""

    def __init__(self, rng: np.random.Generator, kind: str, *, slides: bool) -> None:
        self.solid = random_solid(rng, kind, 150.0)
        self.pose = random_pose(rng, 100.0)
        axis = rng.normal(size=3)
        axis /= np.linalg.norm(axis)
        about = rng.normal(size=3) * rng.choice([0.0, 40.0, 250.0])
        start = float(rng.uniform(-60.0, 20.0))
        end = start + float(rng.choice([6.0, 25.0, 80.0]))
        self.slides, self.start, self.end = slides, start, end
        if slides:
            self.motion = Slide(along=vec(axis), from_mm=start, to_mm=end)
        else:
            self.motion = Turn(about_mm=vec(about), axis=vec(axis), from_deg=start, to_deg=end)
        outer = turn_matrix(self.pose.turn_deg)
        self.axis, self.about = outer @ axis, outer @ about + np.array(self.pose.at_mm)
        self.shape = Shape(self.solid, self.pose)

    def carry(self, point: Array, where: float) -> Array:
        if self.slides:
            return point + self.axis * where
        return self.about + turned(self.axis, math.radians(where)) @ (point - self.about)

    def excess(self, point: Array) -> float:
        """Distance of a place from the nearest of many poses of the part."""
        best = math.inf
        for where in np.linspace(self.start, self.end, int(40 * (self.end - self.start))):
            back = self.carry(point, -where)
            best = min(best, float(np.linalg.norm(back - self.shape.nearest(back))))
            if best < EXCESS_MM * 0.9:
                return best
        return best


def dot(place: Vec | Array) -> Body:
    return solid_body([Tube(across_mm=1e-6, through_mm=(vec(place), vec(place)))], Pose())


def skin(body: Body, rng: np.random.Generator, count: int) -> Iterator[Array]:
    """Places on the surface of a body's pieces: corners, and middles of its triangles and their sides."""
    for _ in range(count):
        k = int(rng.integers(len(body.pieces)))
        piece, way = body.pieces[k], rng.normal(size=3)
        way /= np.linalg.norm(way)
        place = piece.farthest(way)
        triangles = getattr(piece, "triangles", None)
        if triangles is not None and rng.uniform() < 0.7:
            corners = piece.points_mm[triangles[int(rng.integers(len(triangles)))]]
            place = corners.mean(axis=0) if rng.uniform() < 0.5 else corners[:2].mean(axis=0)
        yield place + body.places[k] + (way * piece.ball_mm if piece.ball_mm > 0.01 else 0.0)


@pytest.mark.parametrize("slides", [False, True])
@pytest.mark.parametrize("kind", KINDS)
def test_a_sweep_never_misses(kind: str, slides: bool) -> None:
    rng = np.random.default_rng(41)
    for _ in range(3):
        motion = Motion(rng, kind, slides=slides)
        body = swept_body([motion.solid], motion.pose, motion.motion)
        for k, point in enumerate(motion.shape.probes(40, rng)):
            where = (motion.start, motion.end, rng.uniform(motion.start, motion.end))[min(k % 5, 2)]
            place = motion.carry(point, where)
            assert np.all(place >= np.array(body.lo_mm) - TINY_MM)
            assert np.all(place <= np.array(body.hi_mm) + TINY_MM)
            assert gap(body, dot(place)).mm < TINY_MM


@pytest.mark.parametrize("slides", [False, True])
@pytest.mark.parametrize("kind", KINDS)
def test_a_sweep_stands_out_by_half_a_millimetre_at_most(kind: str, slides: bool) -> None:
    rng = np.random.default_rng(42)
    for _ in range(2):
        motion = Motion(rng, kind, slides=slides)
        body = swept_body([motion.solid], motion.pose, motion.motion)
        for place in skin(body, rng, 25):
            assert motion.excess(place) <= EXCESS_MM


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_many_sweeps(kind: str) -> None:
    rng = np.random.default_rng(43)
    for _ in range(40):
        motion = Motion(rng, kind, slides=False)
        body = swept_body([motion.solid], motion.pose, motion.motion)
        for point in motion.shape.probes(60, rng):
            place = motion.carry(point, rng.uniform(motion.start, motion.end))
            assert gap(body, dot(place)).mm < TINY_MM
        for place in skin(body, rng, 40):
            assert motion.excess(place) <= EXCESS_MM


ARM = Box(size_mm=(12.0, 20.0, 300.0), pose=Pose(at_mm=(0.0, 0.0, -150.0)))
SWING = Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 1.0, 0.0), from_deg=0.0, to_deg=20.0)


def test_the_middle_of_the_arc_is_inside_where_chords_would_miss_it() -> None:
    # at 10 degrees the arm's rear lower corner stands at radius hypot(300, 6) from the pivot
    body = swept_body([ARM], Pose(), SWING)
    radius, lead = math.hypot(300.0, 6.0), math.atan2(6.0, 300.0)
    angles = np.radians(np.linspace(0.0, 20.0, 101))
    for angle in angles:
        # right-handed about y (right): down goes forward
        corner = (-radius * math.sin(angle + lead), 0.0, -radius * math.cos(angle + lead))
        assert gap(body, dot(corner)).mm < TINY_MM
    outside = (-(radius + 0.6) * math.sin(0.1), 0.0, -(radius + 0.6) * math.cos(0.1))
    assert gap(body, dot(outside)).mm > 0.0
    assert body.lo_mm[0] == pytest.approx(-radius * math.sin(math.radians(20.0) + lead), abs=EXCESS_MM)


def test_a_bar_on_the_axis_sweeps_itself() -> None:
    boss = Cylinder(across_mm=40.0, length_mm=60.0, along="y")
    body = swept_body([boss], Pose(at_mm=(900.0, -300.0, 600.0)), SWING)
    assert len(body.pieces) == 1
    assert body.hi_mm == pytest.approx((920.0, -270.0, 620.0), abs=1e-9)


def test_a_part_across_its_axis_is_cut_there() -> None:
    beam = Box(size_mm=(12.0, 20.0, 600.0))
    body = swept_body([beam], Pose(), SWING)
    assert len(body.pieces) < 30
    # 5 above and below the pivot the true sweep reaches 6 / cos 20 + 5 tan 20 = 8.2; the other part begins at 10
    beside = solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose(at_mm=(15.0, 0.0, 0.0)))
    assert not closer_than(body, beside, 0.0)


def test_sliding_by_hand() -> None:
    body = swept_body([Cylinder(across_mm=30.0, length_mm=50.0, along="x")], Pose(turn_deg=(0.0, 0.0, 90.0)),
                      Slide(along=(1.0, 0.0, 0.0), from_mm=-5.0, to_mm=40.0))  # fmt: skip
    assert body.lo_mm == pytest.approx((-15.0, -30.0, -15.0), abs=1e-9)
    assert body.hi_mm == pytest.approx((15.0, 65.0, 15.0), abs=1e-9)


def test_a_moving_part_is_its_sweep_and_its_drawn_place() -> None:
    def part(motion: Slide | None) -> Component:
        return Component(id="a", kind="k", name="a", group="g", pose=Pose(at_mm=(100.0, 0.0, 0.0)), solids=(ARM,),
                         freedom=Freedom.MOVES, motion=motion)  # fmt: skip

    still = component_body(part(None))
    assert still.lo_mm == pytest.approx((94.0, -10.0, -300.0), abs=1e-9)
    assert component_body(part(None), Pose()).lo_mm == pytest.approx((-6.0, -10.0, -300.0), abs=1e-9)
    away = component_body(part(Slide(along=(1.0, 0.0, 0.0), from_mm=50.0, to_mm=60.0)))
    assert away.lo_mm[0] == pytest.approx(94.0, abs=1e-9)
    assert away.hi_mm[0] == pytest.approx(166.0, abs=1e-9)
    assert gap(away, dot((130.0, 0.0, -100.0))).mm > 10.0
