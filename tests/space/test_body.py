"""Bodies of parts, links and rooms: boxes that are exact, places, decomposition."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
import pytest
from space_cases import KINDS, random_pose, random_solid
from space_referee import Shape

from planner.model.shapes import Box, Cylinder, Direction, Outline, Pose, Tube, Vec
from planner.model.vehicle import Component, End, Freedom, Link, Room, RoomNeed
from planner.space import (
    extent_mm,
    gap,
    link_body,
    merged,
    near_pairs,
    port_mm,
    room_body,
    shifted,
    solid_body,
)
from planner.space.outlines import convex_parts, signed_area_mm2

Array = npt.NDArray[np.float64]

TANK = Component(
    id="tank",
    kind="tank",
    name="tank",
    group="cooling",
    pose=Pose(at_mm=(500.0, -200.0, 700.0), turn_deg=(0.0, 0.0, 90.0)),
    solids=(Box(size_mm=(300.0, 100.0, 120.0)),),
    freedom=Freedom.MOVES,
    ports_mm={"out": (150.0, 0.0, -60.0)},
)


def test_the_box_of_round_solids_is_exact() -> None:
    rng = np.random.default_rng(5)
    for k in range(40):
        solid, pose = random_solid(rng, KINDS[k % 4]), random_pose(rng, 500.0)
        low, high = extent_mm([solid], pose)
        shape = Shape(solid, pose)
        assert high == pytest.approx(tuple(shape.reach(np.eye(3))), abs=1e-6)
        assert low == pytest.approx(tuple(-shape.reach(-np.eye(3))), abs=1e-6)


def test_a_leaning_cylinder_by_hand() -> None:
    # 45 degrees about y: half length and radius both count by their share, (100 + 25) / sqrt 2; y keeps the radius
    low, high = extent_mm([Cylinder(across_mm=50.0, length_mm=200.0)], Pose(turn_deg=(0.0, 45.0, 0.0)))
    reach = 125.0 / math.sqrt(2.0)
    assert high == pytest.approx((reach, 25.0, reach), abs=1e-9)
    assert low == pytest.approx((-reach, -25.0, -reach), abs=1e-9)


@pytest.mark.parametrize(("along", "size"), [("x", (200, 50, 50)), ("y", (50, 200, 50)), ("z", (50, 50, 200))])
def test_cylinders_lie_along_their_axis(along: str, size: Vec) -> None:
    low, high = extent_mm([Cylinder(across_mm=50.0, length_mm=200.0, along=along)], Pose())
    assert tuple(np.subtract(high, low)) == pytest.approx(size, abs=1e-9)


@pytest.mark.parametrize(
    ("along", "low", "high"),
    [("x", (-2, 0, 0), (2, 100, 30)), ("y", (0, -2, 0), (100, 2, 30)), ("z", (0, 0, -2), (100, 30, 2))],
)
def test_outlines_use_the_two_other_coordinates_in_order(along: str, low: Vec, high: Vec) -> None:
    plate = Outline(points_mm=((0.0, 0.0), (100.0, 0.0), (100.0, 30.0), (0.0, 30.0)), thick_mm=4.0, along=along)
    found = extent_mm([plate], Pose())
    assert found[0] == pytest.approx(low, abs=1e-9)
    assert found[1] == pytest.approx(high, abs=1e-9)


def test_ports_follow_the_part() -> None:
    assert port_mm(TANK, "") == (500.0, -200.0, 700.0)
    assert port_mm(TANK, "out") == pytest.approx((500.0, -50.0, 640.0), abs=1e-9)
    assert port_mm(TANK, "out", Pose()) == pytest.approx((150.0, 0.0, -60.0), abs=1e-9)
    with pytest.raises(KeyError):
        port_mm(TANK, "in")


def test_a_link_runs_through_its_points() -> None:
    pipe = Link(id="p", kind="pipe", name="p", group="brakes", ends=(End(component="a"), End(component="b")),
                via_mm=((100.0, 0.0, 0.0), (100.0, 80.0, 0.0)), across_mm=6.0)  # fmt: skip
    body = link_body(pipe, (0.0, 0.0, 0.0), (100.0, 80.0, 50.0))
    assert body.lo_mm == pytest.approx((-3.0, -3.0, -3.0), abs=1e-9)
    assert body.hi_mm == pytest.approx((103.0, 83.0, 53.0), abs=1e-9)
    corner = solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose(at_mm=(50.0, 40.0, 0.0)))
    assert gap(body, corner).mm == pytest.approx(40.0 - 5.0 - 3.0, abs=0.01)


def test_a_link_of_no_length_is_a_ball() -> None:
    pipe = Link(id="p", kind="pipe", name="p", group="brakes", ends=(End(component="a"), End(component="b")))
    body = link_body(pipe, (7.0, 0.0, 0.0), (7.0, 0.0, 0.0))
    assert body.hi_mm == pytest.approx((9.5, 2.5, 2.5), abs=1e-9)


@pytest.mark.parametrize(
    ("side", "low", "high"),
    [  # the tank, turned by 90 degrees, fills x 450..550, y -350..-50, z 640..760
        (Direction.UP, (450, -350, 760), (550, -50, 840)),
        (Direction.DOWN, (450, -350, 560), (550, -50, 640)),
        (Direction.FORWARDS, (370, -350, 640), (450, -50, 760)),
        (Direction.REARWARDS, (550, -350, 640), (630, -50, 760)),
        (Direction.LEFT, (450, -430, 640), (550, -350, 760)),
        (Direction.RIGHT, (450, -50, 640), (550, 30, 760)),
    ],
)
def test_a_room_beside_a_face(side: Direction, low: Vec, high: Vec) -> None:
    room = Room(name="cap off", needed=RoomNeed.ALWAYS, side=side, depth_mm=80.0)
    body = room_body(TANK, room)
    assert body.lo_mm == pytest.approx(low, abs=1e-9)
    assert body.hi_mm == pytest.approx(high, abs=1e-9)
    elsewhere = room_body(TANK, room, Pose(at_mm=(1500.0, -200.0, 700.0), turn_deg=(0.0, 0.0, 90.0)))
    assert elsewhere.lo_mm == pytest.approx((low[0] + 1000, low[1], low[2]), abs=1e-9)


def test_a_room_of_its_own_shape_turns_with_the_part() -> None:
    solid = Box(size_mm=(20.0, 40.0, 60.0), pose=Pose(at_mm=(200.0, 0.0, 0.0)))
    body = room_body(TANK, Room(name="spanner", needed=RoomNeed.TAKING_OFF, solid=solid))
    assert body.lo_mm == pytest.approx((480.0, -10.0, 670.0), abs=1e-9)
    with pytest.raises(ValueError, match="neither"):
        room_body(TANK, Room(name="none", needed=RoomNeed.ALWAYS))


def test_nothing_is_no_body() -> None:
    with pytest.raises(ValueError, match="at least one solid"):
        solid_body([], Pose())
    with pytest.raises(ValueError, match="at least one solid"):
        merged([])
    with pytest.raises(ValueError, match="enclose"):
        solid_body([Outline(points_mm=((0.0, 0.0), (10.0, 0.0), (20.0, 0.0)), thick_mm=2.0)], Pose())


def test_merging_keeps_everything() -> None:
    cube = solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose())
    both = merged([cube, shifted(cube, (90.0, 0.0, -30.0))])
    assert both.lo_mm == (-5.0, -5.0, -35.0)
    assert both.hi_mm == (95.0, 5.0, 5.0)


def _area(parts: tuple[Array, ...]) -> float:
    return sum(abs(signed_area_mm2(part)) for part in parts)


def _is_convex(part: Array) -> bool:
    side = np.roll(part, -1, axis=0) - part
    after = np.roll(side, -1, axis=0)
    return bool(np.all(side[:, 0] * after[:, 1] - side[:, 1] * after[:, 0] > -1e-9))


def test_outlines_are_cut_into_convex_parts_without_loss() -> None:
    rng = np.random.default_rng(8)
    for _ in range(60):
        count = int(rng.integers(3, 14))
        angles = np.sort(rng.uniform(0.0, 2.0 * math.pi, count))
        radii = rng.uniform(20.0, 100.0, count)
        star = np.column_stack([radii * np.cos(angles), radii * np.sin(angles)])
        area = abs(signed_area_mm2(star))
        if np.max(np.diff(np.append(angles, angles[0] + 2.0 * math.pi))) > 3.0 or area < 10.0:
            continue
        for points in (star, star[::-1]):
            parts = convex_parts(tuple((float(x), float(y)) for x, y in points))
            assert all(_is_convex(part) and signed_area_mm2(part) > 0.0 for part in parts)
            assert _area(parts) == pytest.approx(area, rel=1e-9)


def test_outlines_by_hand() -> None:
    square = ((0.0, 0.0), (50.0, 0.0), (100.0, 0.0), (100.0, 100.0), (100.0, 100.0), (0.0, 100.0))
    assert [len(part) for part in convex_parts(square)] == [4]  # straight-on and repeated points are left out
    angle = ((0.0, 0.0), (100.0, 0.0), (100.0, 10.0), (10.0, 10.0), (10.0, 100.0), (0.0, 100.0))
    assert len(convex_parts(angle)) == 2
    assert _area(convex_parts(angle)) == pytest.approx(1900.0)
    bow = ((0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0))  # crosses itself: both halves are kept
    assert _area(convex_parts(bow)) == pytest.approx(5000.0, rel=1e-4)


def test_near_pairs_are_those_of_the_plain_double_loop() -> None:
    rng = np.random.default_rng(9)
    bodies = [solid_body([random_solid(rng, KINDS[k % 4], 150.0)], random_pose(rng, 400.0)) for k in range(120)]
    for margin in (0.0, 25.0):
        expected = [
            (i, j)
            for i in range(120)
            for j in range(i + 1, 120)
            if all(
                bodies[i].lo_mm[k] <= bodies[j].hi_mm[k] + margin and bodies[j].lo_mm[k] <= bodies[i].hi_mm[k] + margin
                for k in range(3)
            )
        ]
        assert near_pairs(bodies, margin) == expected
    assert near_pairs(bodies[:1], 5.0) == []
    assert near_pairs([], 5.0) == []


def test_a_tube_of_one_point_is_a_ball() -> None:
    assert extent_mm([Tube(across_mm=10.0, through_mm=((1.0, 2.0, 3.0),))], Pose())[1] == pytest.approx((6, 7, 8))
