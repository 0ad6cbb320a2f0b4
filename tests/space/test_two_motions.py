"""Sweeps of motions in a row: lock to lock within bump to droop, crossing axes, full turns."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest
from space_referee import Shape, turn_matrix

from planner.model.shapes import Box, Cylinder, Motion, Moves, Pose, Slide, Solid, Tube, Turn, Vec, steps_of
from planner.model.vehicle import Component, Freedom
from planner.space import Body, component_body, swept_body
from planner.space.pieces import Bar, Hull
from planner.space.sweep import MOST_PIECES, sweep_excess_mm

Array = npt.NDArray[np.float64]
NEAR_MM = 1e-6


def turned(axis: Array, angle: float) -> Array:
    x, y, z = axis / np.linalg.norm(axis)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * cross + (1.0 - math.cos(angle)) * cross @ cross


def carried(points: Array, pose: Pose, motion: Motion, where: list[float]) -> Array:
    """Points (n, 3) in vehicle axes after the inner motion, then the outer ones; all axes are those as drawn."""
    outer, at = turn_matrix(pose.turn_deg), np.array(pose.at_mm)
    for step, value in zip(steps_of(motion), where, strict=True):
        if isinstance(step, Slide):
            way = np.array(step.along)
            points = points + outer @ (way / np.linalg.norm(way)) * value
        else:
            about = outer @ np.array(step.about_mm) + at
            points = about + (points - about) @ turned(outer @ np.array(step.axis), math.radians(value)).T
    return points


def ends(step: Turn | Slide) -> tuple[float, float]:
    return (step.from_mm, step.to_mm) if isinstance(step, Slide) else (step.from_deg, step.to_deg)


def outside_mm(body: Body, points: Array) -> Array:
    """How far (n,) points are outside the nearest piece, by its faces; infinite for points beyond all their boxes."""
    best = np.full(len(points), np.inf)
    for piece, place, low, high in zip(body.pieces, body.places, body.lows, body.highs, strict=True):
        rows = np.flatnonzero((best > 0.0) & np.all((points >= low - 0.01) & (points <= high + 0.01), axis=1))
        if len(rows):
            best[rows] = np.minimum(best[rows], _beyond(piece, points[rows] - place))
    return best


def _beyond(piece: Hull | Bar, own: Array) -> Array:
    if isinstance(piece, Bar):
        along = own @ piece.axis
        across = np.linalg.norm(own - along[:, None] * piece.axis, axis=1)
        return np.maximum(across - piece.radius_mm, np.abs(along) - piece.half_mm)
    if piece.triangles is None:
        a, b = piece.points_mm[0], piece.points_mm[-1]
        t = np.clip((own - a) @ (b - a) / max(float((b - a) @ (b - a)), 1e-12), 0.0, 1.0)
        return np.linalg.norm(own - a - t[:, None] * (b - a), axis=1) - piece.ball_mm
    a, b, c = (piece.points_mm[piece.triangles[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    sizes = np.linalg.norm(normals, axis=1)
    sound = sizes > 1e-9
    normals = normals[sound] / sizes[sound, None]
    return (own @ normals.T - (normals * a[sound]).sum(axis=1)).max(axis=1) - piece.ball_mm


KINGPIN = Turn(about_mm=(0.0, 60.0, 0.0), axis=(0.1, 0.2, 1.0), from_deg=-32.0, to_deg=32.0)
WISHBONE = Turn(about_mm=(0.0, -320.0, 20.0), axis=(1.0, 0.0, 0.05), from_deg=-9.0, to_deg=14.0)
BUMP = Slide(along=(0.0, 0.0, 1.0), from_mm=-50.0, to_mm=70.0)
POSE = Pose(at_mm=(100.0, 600.0, 250.0), turn_deg=(0.0, 3.0, 2.0))

CASES: dict[str, tuple[Solid, Motion]] = {
    "steering arm, then wishbone": (
        Box(size_mm=(120.0, 20.0, 16.0), pose=Pose(at_mm=(60.0, 40.0, 0.0))),
        Moves(steps=(KINGPIN, WISHBONE)),
    ),
    "wheel, then bump": (Cylinder(across_mm=160.0, length_mm=40.0, along="y"), Moves(steps=(KINGPIN, BUMP))),
    "bar, slide then turn": (
        Tube(across_mm=12.0, through_mm=((0.0, 0.0, 0.0), (90.0, 30.0, 10.0))),
        Moves(steps=(BUMP, KINGPIN)),
    ),
    "crossing axes": (
        Box(size_mm=(70.0, 12.0, 30.0)),
        Moves(steps=(
            Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), from_deg=-40.0, to_deg=25.0),
            Turn(about_mm=(0.0, 0.0, 0.0), axis=(1.0, 0.0, 0.0), from_deg=-20.0, to_deg=50.0),
        )),
    ),
    "three in a row": (
        Box(size_mm=(30.0, 10.0, 10.0)),
        Moves(steps=(Slide(along=(1.0, 0.0, 0.0), from_mm=0.0, to_mm=15.0), KINGPIN, BUMP)),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_ten_thousand_places_of_moved_poses_are_inside(name: str) -> None:
    solid, motion = CASES[name]
    rng = np.random.default_rng(21)
    body = swept_body([solid], POSE, motion)
    skin = Shape(solid, POSE).probes(100, rng)
    places = []
    for k in range(100):
        # a quarter of the poses at the very ends of the travels
        where = [float(rng.choice(ends(step)) if k % 4 == 0 else rng.uniform(*ends(step))) for step in steps_of(motion)]
        places.append(carried(skin, POSE, motion, where))
    assert outside_mm(body, np.vstack(places)).max() <= NEAR_MM


def least_mm(place: Array, shape: Shape, motion: Motion) -> float:
    """Distance of a place from the nearest pose: a grid over all travels, then ever finer about the best of it."""
    steps = steps_of(motion)
    spans = [ends(step) for step in steps]

    def distance(where: list[float]) -> float:
        back = place[None, :]
        for step, value in reversed(list(zip(steps, where, strict=True))):
            back = carried(back, POSE, step, [-value])
        return float(np.linalg.norm(back[0] - shape.nearest(back[0])))

    best, at = math.inf, [0.0 for _ in steps]
    for where in np.stack(np.meshgrid(*[np.linspace(*span, 9) for span in spans]), axis=-1).reshape(-1, len(steps)):
        found = distance(list(where))
        best, at = (found, list(where)) if found < best else (best, at)
    return _finer(distance, spans, best, at)


def _finer(
    distance: Callable[[list[float]], float], spans: list[tuple[float, float]], best: float, at: list[float]
) -> float:
    size = [(high - low) / 8.0 for low, high in spans]
    for _ in range(45):
        moved = False
        for k, (low, high) in enumerate(spans):
            for sign in (-1.0, 1.0):
                tried = [*at]
                tried[k] = min(high, max(low, at[k] + sign * size[k]))
                found = distance(tried)
                if found < best - 1e-12:
                    best, at, moved = found, tried, True
        if not moved:
            size = [s * 0.6 for s in size]
    return best


@pytest.mark.parametrize("name", ["steering arm, then wishbone", "bar, slide then turn"])
def test_two_motions_stand_out_by_a_millimetre_at_most(name: str) -> None:
    solid, motion = CASES[name]
    said = sweep_excess_mm([solid], POSE, motion)
    assert said == 0.5 * len(steps_of(motion))
    found = stood_out(solid, motion)
    assert max(found) <= said
    assert name.startswith("bar") or max(found) > 0.02  # the corners do stand out: the measure sees it


def test_what_would_be_too_many_pieces_is_coarser_and_says_so() -> None:
    solid, motion = CASES["crossing axes"]
    said = sweep_excess_mm([solid], POSE, motion)
    body = swept_body([solid], POSE, motion)
    assert len(body.pieces) <= MOST_PIECES
    assert said == 2.0
    found = stood_out(solid, motion)
    assert 0.05 < max(found) <= said


def stood_out(solid: Solid, motion: Motion) -> list[float]:
    """Distances from the true sweep of places far out on its pieces."""
    rng = np.random.default_rng(22)
    body = swept_body([solid], POSE, motion)
    shape = Shape(solid, POSE)
    found = []
    for _ in range(60):
        k = int(rng.integers(len(body.pieces)))
        way = rng.normal(size=3)
        way /= np.linalg.norm(way)
        piece = body.pieces[k]
        found.append(least_mm(piece.farthest(way) + way * piece.ball_mm + body.places[k], shape, motion))
    return found


def test_the_inner_motion_comes_first() -> None:
    # a stud 100 ahead: turned by 90 about z it points along y; then slid along x it is at (50, 100)
    stud = Box(size_mm=(4.0, 4.0, 4.0), pose=Pose(at_mm=(100.0, 0.0, 0.0)))
    turn = Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), from_deg=0.0, to_deg=90.0)
    slide = Slide(along=(1.0, 0.0, 0.0), from_mm=0.0, to_mm=50.0)
    first = swept_body([stud], Pose(), Moves(steps=(turn, slide)))
    other = swept_body([stud], Pose(), Moves(steps=(slide, turn)))
    # turned first it never gets beyond y = 100; slid first it reaches a radius of 150
    assert first.hi_mm[1] == pytest.approx(102.0, abs=1.0)
    assert other.hi_mm[1] == pytest.approx(152.0, abs=1.0)
    assert first.hi_mm[0] == pytest.approx(152.0, abs=1.0)


def test_a_full_turn_is_a_ring() -> None:
    stud = Cylinder(across_mm=10.0, length_mm=20.0, along="z", pose=Pose(at_mm=(60.0, 0.0, 0.0)))
    motion = Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), from_deg=0.0, to_deg=360.0)
    body = swept_body([stud], Pose(), motion)
    rng = np.random.default_rng(23)
    points = rng.uniform((-70.0, -70.0, -12.0), (70.0, 70.0, 12.0), (40_000, 3))
    radius = np.hypot(points[:, 0], points[:, 1])
    true = np.maximum(np.abs(radius - 60.0) - 5.0, np.abs(points[:, 2]) - 10.0)
    found = outside_mm(body, points)
    assert not np.any((true <= 0.0) & (found > NEAR_MM))
    assert not np.any((found <= 0.0) & (true > 0.5))
    # the true ring holds pi (65^2 - 55^2) x 20
    share = float((found <= 0.0).mean()) * 140.0 * 140.0 * 24.0
    assert share == pytest.approx(math.pi * (65.0**2 - 55.0**2) * 20.0, rel=0.1)


def test_what_lies_on_the_axis_sweeps_nothing_more() -> None:
    boss = Cylinder(across_mm=30.0, length_mm=40.0, along="z")
    spin = Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), from_deg=0.0, to_deg=360.0)
    still = swept_body([boss], POSE, spin)
    assert len(still.pieces) == 1
    lifted = swept_body([boss], POSE, Moves(steps=(spin, Slide(along=(0.0, 0.0, 1.0), from_mm=0.0, to_mm=25.0))))
    [piece] = lifted.pieces
    assert isinstance(piece, Bar)
    assert (piece.half_mm, piece.radius_mm) == (pytest.approx(32.5), 15.0)
    needle = Tube(across_mm=2.0, through_mm=((0.0, 0.0, -20.0), (0.0, 0.0, 20.0)))
    assert len(swept_body([needle], POSE, spin).pieces) == 1


def test_a_part_belongs_to_where_it_is_drawn() -> None:
    def body(*steps: Turn | Slide) -> Body:
        box: Vec = (10.0, 10.0, 10.0)
        return component_body(Component(id="a", kind="k", name="a", group="g", pose=Pose(), solids=(Box(size_mm=box),),
                                        freedom=Freedom.MOVES, motion=Moves(steps=steps)))  # fmt: skip

    up = Slide(along=(0.0, 0.0, 1.0), from_mm=0.0, to_mm=30.0)
    away = Slide(along=(1.0, 0.0, 0.0), from_mm=40.0, to_mm=60.0)
    assert len(body(up, Slide(along=(1.0, 0.0, 0.0), from_mm=0.0, to_mm=60.0)).pieces) == 1
    assert len(body(up, away).pieces) == 2
    assert body(up, away).lo_mm[0] == pytest.approx(-5.0)
