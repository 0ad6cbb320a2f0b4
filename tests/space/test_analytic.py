"""Gaps worked out by hand for every pair of solid kinds: apart, flush and overlapping.

Standing solids, all about the origin: BOX half sizes 50, 30, 20; BAR radius 25, half length 100 along z; ROD radius
10 round the line x = -50..50; WEDGE the triangle (0, 0), (60, 0), (0, 60) with z = -10..10, its long side on
x + y = 60.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot, sqrt

import pytest

from planner.model.shapes import Box, Cylinder, Outline, Pose, Solid, Tube, Vec
from planner.space import closer_than, gap, solid_body

EXACT_MM = 0.01  # the precision promised

BOX = Box(size_mm=(100.0, 60.0, 40.0))
CUBE = Box(size_mm=(20.0, 20.0, 20.0))
BAR = Cylinder(across_mm=50.0, length_mm=200.0)
PIN = Cylinder(across_mm=20.0, length_mm=50.0)
ROD = Tube(across_mm=20.0, through_mm=((-50.0, 0.0, 0.0), (50.0, 0.0, 0.0)))
WEDGE = Outline(points_mm=((0.0, 0.0), (60.0, 0.0), (0.0, 60.0)), thick_mm=20.0, along="z")
RIDGE = Box(size_mm=(100.0, 10.0, 10.0), pose=Pose(turn_deg=(45.0, 0.0, 0.0)))  # tops at z = 5 sqrt 2

TILTED = (100.0 + 25.0) / sqrt(2.0)  # reach of BAR downwards when its axis leans 45 degrees

CASES = [
    # box, box
    (BOX, BOX, (150, 0, 0), (0, 0, 0), 150 - 100),
    (BOX, BOX, (150, 100, 0), (0, 0, 0), hypot(50, 40)),  # edge to edge
    (BOX, BOX, (150, 100, 90), (0, 0, 0), sqrt(50**2 + 40**2 + 50**2)),  # corner to corner
    (BOX, BOX, (100, 0, 0), (0, 0, 0), 0.0),  # flush
    (BOX, BOX, (95, 0, 0), (0, 0, 0), -5.0),
    (BOX, BOX, (92, 52, 0), (0, 0, 0), -8.0),  # 8 in x, 8 in y, 40 in z
    (BOX, CUBE, (80, 0, 0), (0, 0, 45), 30 - 10 * sqrt(2)),  # edge first
    (BOX, CUBE, (60, 0, 0), (0, 0, 45), 10 - 10 * sqrt(2)),
    (BOX, CUBE, (35, 0, 0), (0, 0, 0), -25.0),  # swallowed: out by 25 rearward, 30 up, 35 right or more
    (RIDGE, RIDGE, (0, 0, 20), (0, 0, 90), 20 - 10 * sqrt(2)),  # crossed ridges
    (RIDGE, RIDGE, (0, 0, 12), (0, 0, 90), 12 - 10 * sqrt(2)),
    # box, cylinder
    (BOX, BAR, (100, 0, 0), (0, 0, 0), 100 - 50 - 25),
    (BOX, BAR, (100, 70, 0), (0, 0, 0), hypot(50, 40) - 25),  # edge to side
    (BOX, BAR, (0, 0, 150), (0, 0, 0), 150 - 20 - 100),
    (BOX, BAR, (100, 0, 150), (0, 0, 0), hypot(25, 30)),  # rim to edge
    (BOX, BAR, (75, 0, 0), (0, 0, 0), 0.0),
    (BOX, BAR, (0, 0, 120), (0, 0, 0), 0.0),
    (BOX, BAR, (70, 0, 0), (0, 0, 0), -5.0),
    (BOX, BAR, (60, 38, 0), (0, 0, 0), hypot(10, 8) - 25),  # an edge inside the bar: straight away from its axis
    (BOX, BAR, (0, 0, 117), (0, 0, 0), -3.0),
    (BOX, BAR, (0, 140, 0), (90, 0, 0), 140 - 30 - 100),
    (BOX, BAR, (30, 0, 20 + TILTED + 4), (0, 45, 0), 4.0),  # the rim's lowest point over the top face
    (BOX, BAR, (30, 0, 20 + TILTED - 3), (0, 45, 0), -3.0),
    # cylinder, cylinder
    (BAR, BAR, (60, 0, 0), (0, 0, 0), 10.0),
    (BAR, BAR, (50, 0, 0), (0, 0, 0), 0.0),
    (BAR, BAR, (45, 0, 0), (0, 0, 0), -5.0),
    (BAR, BAR, (0, 0, 230), (0, 0, 0), 30.0),
    (BAR, BAR, (0, 0, 195), (0, 0, 0), -5.0),
    (BAR, BAR, (80, 0, 260), (0, 0, 0), hypot(30, 60)),  # rim to rim
    (BAR, BAR, (0, 60, 0), (0, 90, 0), 10.0),  # crossed
    (BAR, BAR, (0, 44, 0), (0, 90, 0), -6.0),
    (BAR, BAR, (135, 0, 0), (0, 90, 0), 135 - 100 - 25),  # end against side
    (BAR, BAR, (120, 0, 0), (0, 90, 0), -5.0),
    (BAR, PIN, (0, 0, 0), (0, 0, 0), -35.0),  # one inside the other: 25 + 10 sideways, 100 + 25 endways
    # box, capsule
    (BOX, ROD, (0, 0, 50), (0, 0, 0), 50 - 20 - 10),
    (BOX, ROD, (130, 70, 60), (0, 0, 0), sqrt(30**2 + 40**2 + 40**2) - 10),  # round end to corner
    (BOX, ROD, (0, 0, 30), (0, 0, 0), 0.0),
    (BOX, ROD, (0, 0, 25), (0, 0, 0), -5.0),
    (BOX, ROD, (0, 0, 15), (0, 0, 0), -(20 - 15 + 10)),  # its middle line inside the box
    # cylinder, capsule
    (BAR, ROD, (0, 50, 0), (0, 0, 0), 50 - 25 - 10),
    (BAR, ROD, (0, 35, 0), (0, 0, 0), 0.0),
    (BAR, ROD, (0, 30, 0), (0, 0, 0), -5.0),
    (BAR, ROD, (0, 0, 0), (0, 0, 0), -(25 + 10)),
    (BAR, ROD, (0, 0, 130), (0, 0, 0), 130 - 100 - 10),
    # capsule, capsule
    (ROD, ROD, (0, 0, 25), (0, 0, 90), 5.0),
    (ROD, ROD, (0, 0, 15), (0, 0, 90), -5.0),
    (ROD, ROD, (0, 0, 0), (0, 0, 90), -20.0),  # middle lines cross
    (ROD, ROD, (130, 0, 0), (0, 0, 0), 10.0),
    (ROD, ROD, (120, 0, 0), (0, 0, 0), 0.0),
    (ROD, ROD, (0, 12, 0), (0, 0, 0), -8.0),
    (ROD, ROD, (40, 0, 0), (0, 0, 0), -20.0),  # middle lines lie in each other: out sideways
    (ROD, ROD, (130, 40, 0), (0, 0, 0), hypot(30, 40) - 20),
    # prism with each
    (WEDGE, CUBE, (60, 60, 0), (0, 0, 0), (50 + 50 - 60) / sqrt(2)),
    (WEDGE, CUBE, (40, 40, 0), (0, 0, 0), 0.0),  # an edge on the slope
    (WEDGE, CUBE, (35, 35, 0), (0, 0, 0), -(60 - 50) / sqrt(2)),
    (WEDGE, CUBE, (20, 20, 25), (0, 0, 0), 5.0),
    (WEDGE, PIN, (60, 60, 0), (0, 0, 0), 60 / sqrt(2) - 10),
    (WEDGE, PIN, (33, 33, 0), (0, 0, 0), 6 / sqrt(2) - 10),
    (WEDGE, PIN, (20, 20, 35), (0, 0, 0), 0.0),
    (WEDGE, ROD, (60, 60, 0), (0, 90, 0), 60 / sqrt(2) - 10),
    (WEDGE, ROD, (20, 20, 30), (0, 0, 0), 10.0),
    (WEDGE, ROD, (20, 20, 17), (0, 0, 0), -3.0),
    (WEDGE, WEDGE, (80, 80, 0), (0, 0, 180), (160 - 60 - 60) / sqrt(2)),  # slope facing slope
    (WEDGE, WEDGE, (60, 60, 0), (0, 0, 180), 0.0),
    (WEDGE, WEDGE, (50, 50, 0), (0, 0, 180), -20 / sqrt(2)),
    (WEDGE, WEDGE, (5, 5, 17), (0, 0, 0), -3.0),
]


@pytest.mark.parametrize(("first", "second", "at", "turn", "expected"), CASES)
def test_gap_by_hand(first: Solid, second: Solid, at: Vec, turn: Vec, expected: float) -> None:
    a = solid_body([first], Pose())
    b = solid_body([second], Pose(at_mm=at, turn_deg=turn))
    assert gap(a, b).mm == pytest.approx(expected, abs=EXACT_MM)
    assert gap(b, a).mm == pytest.approx(expected, abs=EXACT_MM)
    assert closer_than(a, b, expected + 0.1)
    assert not closer_than(a, b, expected)


@pytest.mark.parametrize(("first", "second", "at", "turn", "expected"), CASES)
def test_gap_does_not_depend_on_where_the_pair_stands(
    first: Solid, second: Solid, at: Vec, turn: Vec, expected: float
) -> None:
    # the pair as a whole turned by 30, -50, 110 degrees and set 4 m away: built through nested poses
    whole = Pose(at_mm=(4000.0, -700.0, 350.0), turn_deg=(30.0, -50.0, 110.0))
    a = solid_body([_posed(first, Pose())], whole)
    b = solid_body([_posed(second, Pose(at_mm=at, turn_deg=turn))], whole)
    assert gap(a, b).mm == pytest.approx(expected, abs=EXACT_MM)


def _posed(solid: Solid, pose: Pose) -> Solid:
    """Return the solid at ``pose``, when its own pose is plain or (RIDGE) can be kept by hand."""
    if solid.pose == Pose():
        return replace(solid, pose=pose)
    if pose.turn_deg == (0, 0, 0):
        return replace(solid, pose=Pose(at_mm=pose.at_mm, turn_deg=solid.pose.turn_deg))
    # 45 degrees about x, then 90 about z
    return replace(solid, pose=Pose(at_mm=pose.at_mm, turn_deg=(45.0, 0.0, 90.0)))


def test_place_of_a_gap() -> None:
    a = solid_body([BOX], Pose())
    # faces 50 apart that face each other over all of 60 x 40: the middle between them
    assert gap(a, solid_body([BOX], Pose(at_mm=(150, 0, 0)))).at_mm == pytest.approx((75, 0, 0), abs=0.02)
    # shared box x 45..50, y -10..30, z -20..10
    assert gap(a, solid_body([BOX], Pose(at_mm=(95, 20, -10)))).at_mm == pytest.approx((47.5, 10, -5), abs=0.02)
    # flush: shared face x = 50, y 0..30, z -20..20
    assert gap(a, solid_body([BOX], Pose(at_mm=(100, 30, 0)))).at_mm == pytest.approx((50, 15, 0), abs=0.02)
    # round end 30, 40, 40 from the corner (50, 30, 20); middle of the gap, the ball taking 10 of 64.03
    share = (sqrt(4100) - 10) / sqrt(4100) / 2
    corner = gap(a, solid_body([ROD], Pose(at_mm=(130, 70, 60)))).at_mm
    assert corner == pytest.approx((50 + 30 * share, 30 + 40 * share, 20 + 40 * share), abs=0.02)
