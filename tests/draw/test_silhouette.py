"""Silhouettes against closed forms of their areas, and the directions of the three elevations."""

import math

import pytest

from planner.model.shapes import Box, Cylinder, Mesh, Outline, Pose, Solid, Surface, Tube
from planner.space import Elevation, Polygon, near_mm, silhouette, solid_body

SIDE, PLAN, FRONT = Elevation.SIDE, Elevation.PLAN, Elevation.FRONT
ROUND = 2e-3
"""A polygon of 64 corners on the circle covers 64/2/pi*sin(2 pi/64) of it: 0.16 % too little."""


def area(rims: tuple[Polygon, ...]) -> float:
    total = 0.0
    for rim in rims:
        for (a, b), (c, d) in zip(rim, (*rim[1:], rim[0]), strict=True):
            total += (a * d - c * b) / 2.0
    return total


def shadow(view: Elevation, *solids: Solid, pose: Pose = Pose()) -> tuple[Polygon, ...]:  # noqa: B008  # frozen
    return silhouette(solid_body(solids, pose), view)


@pytest.mark.parametrize(("view", "expected"), [(SIDE, 20 * 5), (PLAN, 20 * 11), (FRONT, 11 * 5)])
def test_a_box_shows_its_sides(view: Elevation, expected: float) -> None:
    assert area(shadow(view, Box(size_mm=(20.0, 11.0, 5.0)))) == pytest.approx(expected, rel=1e-9)


def test_a_turned_box_shows_the_sum_of_its_turned_sides() -> None:
    turned = Pose(turn_deg=(0.0, 30.0, 0.0))
    rims = shadow(PLAN, Box(size_mm=(20.0, 11.0, 5.0)), pose=turned)
    wide = 20.0 * math.cos(math.radians(30.0)) + 5.0 * math.sin(math.radians(30.0))
    assert area(rims) == pytest.approx(wide * 11.0, rel=1e-9)


@pytest.mark.parametrize("along", ["x", "y", "z"])
@pytest.mark.parametrize("view", list(Elevation))
def test_a_cylinder_is_a_circle_from_its_end_and_a_rectangle_from_its_side(along: str, view: Elevation) -> None:
    end_on = {"x": FRONT, "y": SIDE, "z": PLAN}[along] is view
    expected = math.pi * 15.0**2 if end_on else 30.0 * 80.0
    # Side on, 64 corners stand on the widest place of the rim only as seen along some axes.
    assert area(shadow(view, Cylinder(across_mm=30.0, length_mm=80.0, along=along))) == pytest.approx(
        expected, rel=ROUND
    )


@pytest.mark.parametrize("view", list(Elevation))
def test_a_straight_tube_is_a_rectangle_with_round_ends(view: Elevation) -> None:
    tube = Tube(across_mm=10.0, through_mm=((0.0, 0.0, 0.0), (100.0, 0.0, 0.0)))
    ends = math.pi * 25.0
    assert area(shadow(view, tube)) == pytest.approx(ends if view is FRONT else ends + 1000.0, rel=ROUND)


def test_a_frame_of_tubes_keeps_its_hole() -> None:
    corners = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 60.0, 0.0), (0.0, 60.0, 0.0), (0.0, 0.0, 0.0))
    rims = shadow(PLAN, Tube(across_mm=10.0, through_mm=corners))
    assert len(rims) == 2
    outer = 110.0 * 70.0 - (4.0 - math.pi) * 25.0
    assert area(rims) == pytest.approx(outer - 90.0 * 50.0, rel=ROUND)


def test_an_outline_with_a_hollow_corner_is_not_filled_up() -> None:
    ell = Outline(points_mm=((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (20.0, 20.0), (20.0, 50.0), (0.0, 50.0)),
                  thick_mm=4.0, along="y")  # fmt: skip
    assert area(shadow(SIDE, ell)) == pytest.approx(60 * 20 + 20 * 30, rel=1e-6)


def test_a_bent_tube_shows_its_bend() -> None:
    corners = ((0.0, 0.0, 0.0), (300.0, 0.0, 0.0), (300.0, 200.0, 0.0))
    tube = Tube(across_mm=20.0, through_mm=corners, bend_mm=60.0)
    # Two legs less 60 mm each, a quarter of a ring from 50 to 70 mm, and two half circles of 10 mm at the ends.
    bend = math.pi / 4.0 * (70.0**2 - 50.0**2)
    assert area(shadow(PLAN, tube)) == pytest.approx((240 + 140) * 20.0 + bend + math.pi * 100.0, rel=2e-3)


def ell_mesh() -> Mesh:
    """A bar of L section, 40 mm along x: the section is 60 x 50 with 40 x 30 taken out of a corner."""
    rim = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (20.0, 20.0), (20.0, 50.0), (0.0, 50.0))
    corners = tuple((x, y, z) for x in (0.0, 40.0) for y, z in rim)
    face = ((0, 1, 2), (0, 2, 3), (0, 3, 4), (0, 4, 5))
    far = tuple((a + 6, b + 6, c + 6) for a, b, c in face)
    near = tuple((a, c, b) for a, b, c in face)
    sides = tuple(t for k in range(6) for t in ((k, (k + 1) % 6, (k + 1) % 6 + 6), (k, (k + 1) % 6 + 6, k + 6)))
    return Mesh(surface=Surface(corners_mm=corners, triangles=(*near, *far, *sides)))


@pytest.mark.parametrize(("view", "expected"), [(FRONT, 60 * 20 + 20 * 30), (SIDE, 40 * 50), (PLAN, 60 * 40)])
def test_a_mesh_shows_its_outline_with_its_hollow_corner(view: Elevation, expected: float) -> None:
    # The pieces that cover a mesh stand out of it by up to half a millimetre all round.
    found = area(shadow(view, ell_mesh()))
    assert expected * 0.999 <= found <= expected + 0.5 * 240


def test_overlapping_solids_count_once() -> None:
    first, second = Box(size_mm=(10.0, 10.0, 10.0)), Box(size_mm=(10.0, 10.0, 10.0), pose=Pose(at_mm=(5.0, 0.0, 0.0)))
    assert area(shadow(SIDE, first, second)) == pytest.approx(150.0, rel=1e-9)
    assert area(shadow(FRONT, first, second)) == pytest.approx(100.0, rel=1e-9)


def test_where_forward_left_and_up_are_on_the_paper() -> None:
    forward, left, up = (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)
    assert SIDE.flat(forward) == (1.0, 0.0)
    assert SIDE.flat(up) == (0.0, 1.0)
    assert PLAN.flat(forward) == (1.0, 0.0)
    assert PLAN.flat(left) == (0.0, 1.0)
    assert FRONT.flat(left) == (1.0, 0.0)
    assert FRONT.flat(up) == (0.0, 1.0)


@pytest.mark.parametrize("view", list(Elevation))
def test_no_view_is_a_mirror_image(view: Elevation) -> None:
    (ax, ay, az), (bx, by, bz) = view.rightward, view.upward
    assert (ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx) == view.nearward


def test_nearness_is_to_the_right_up_and_ahead() -> None:
    body = solid_body((Box(size_mm=(20.0, 12.0, 6.0)),), Pose(at_mm=(100.0, 50.0, 30.0)))
    assert [near_mm(body, v) for v in (SIDE, PLAN, FRONT)] == [56.0, 33.0, -90.0]
