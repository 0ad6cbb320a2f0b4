"""Bent tubes against the true torus and cylinder they stand for, and what link runs make of their radius."""

from __future__ import annotations

import math

import numpy as np
import pytest

from planner.model.shapes import Pose, Tube, Vec
from planner.model.vehicle import End, Link
from planner.space import Body, fillet, gap, link_body, solid_body
from planner.space.pieces import Hull

DEVIATION_MM = 0.05
BEND, ACROSS, LEG = 40.0, 25.0, 100.0
ELBOW = Tube(across_mm=ACROSS, through_mm=((0, 0, 0), (LEG, 0, 0), (LEG, LEG, 0)), bend_mm=BEND)


def dot(place: np.ndarray) -> Body:
    at: Vec = (float(place[0]), float(place[1]), float(place[2]))
    return solid_body([Tube(across_mm=1e-6, through_mm=(at, at))], Pose())


def true_gap(p: np.ndarray) -> float:
    """Distance from the true elbow: two straight legs and a quarter of a torus about (60, 40)."""
    x, y, z = p
    straight = [
        math.dist(p, (min(max(x, 0.0), LEG - BEND), 0.0, 0.0)),
        math.dist(p, (LEG, min(max(y, BEND), LEG), 0.0)),
    ]
    u, v = x - (LEG - BEND), y - BEND
    if u >= 0.0 and v <= 0.0:
        straight.append(math.hypot(math.hypot(u, v) - BEND, z))
    return min(straight) - ACROSS / 2.0


def test_distances_from_the_true_elbow() -> None:
    body = solid_body([ELBOW], Pose())
    rng = np.random.default_rng(3)
    met = 0
    for p in rng.uniform((-40.0, -40.0, -40.0), (140.0, 140.0, 40.0), (600, 3)):
        expected = true_gap(p)
        if expected <= 0.1:
            continue
        met += 1
        assert gap(body, dot(p)).mm == pytest.approx(expected, abs=DEVIATION_MM + 1e-4)
    assert met > 300


def centre_line_mm(body: Body, points: np.ndarray) -> np.ndarray:
    """Distance (n,) of places from the cores of a body of round-ended bars, by hand."""
    best = np.full(len(points), np.inf)
    for piece, place in zip(body.pieces, body.places, strict=True):
        assert isinstance(piece, Hull)
        a, b = piece.points_mm[0] + place, piece.points_mm[-1] + place
        t = np.clip((points - a) @ (b - a) / float((b - a) @ (b - a)), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(points - a - t[:, None] * (b - a), axis=1))
    return best


def test_volume_of_a_bend() -> None:
    # Pappus: a bend of angle a holds area x radius x a; the straights area x length; a ball of the two round ends
    body = solid_body([ELBOW], Pose())
    rng = np.random.default_rng(4)
    low, high = np.array(body.lo_mm), np.array(body.hi_mm)
    points = rng.uniform(low, high, (400_000, 3))
    share = float((centre_line_mm(body, points) <= ACROSS / 2.0).mean())
    area = math.pi * (ACROSS / 2.0) ** 2
    length = 2.0 * (LEG - BEND) + BEND * math.pi / 2.0
    true_mm3 = area * length + 4.0 / 3.0 * math.pi * (ACROSS / 2.0) ** 3
    assert share * float(np.prod(high - low)) == pytest.approx(true_mm3, rel=0.01)
    sharp = area * 2.0 * LEG + 4.0 / 3.0 * math.pi * (ACROSS / 2.0) ** 3
    assert true_mm3 < 0.95 * sharp


def test_few_pieces() -> None:
    # two legs, and sides of 2 acos(39.95 / 40.05) between leads of acos(40 / 40.05) at each end of 90 degrees
    sides = math.ceil((math.pi / 2.0 - 2.0 * math.acos(40.0 / 40.05)) / (2.0 * math.acos(39.95 / 40.05)))
    assert len(solid_body([ELBOW], Pose()).pieces) == 2 + sides
    sharp = Tube(across_mm=ACROSS, through_mm=ELBOW.through_mm)
    assert len(solid_body([sharp], Pose()).pieces) == 2


def test_a_bend_cuts_the_corner() -> None:
    assert gap(solid_body([ELBOW], Pose()), dot(np.array([LEG, 0.0, 0.0]))).mm == pytest.approx(
        BEND * (math.sqrt(2.0) - 1.0) - ACROSS / 2.0, abs=DEVIATION_MM
    )


def run(bend_mm: float) -> Link:
    return Link(id="p", kind="pipe", name="pipe", group="g", ends=(End(component="a"), End(component="b")),
                via_mm=((100.0, 0.0, 0.0), (100.0, 60.0, 0.0)), across_mm=6.0, bend_radius_mm=bend_mm)  # fmt: skip


def test_a_link_is_bent_as_far_as_its_legs_allow() -> None:
    start, finish = (0.0, 0.0, 0.0), (200.0, 60.0, 0.0)
    corner = dot(np.array([100.0, 0.0, 0.0]))
    sharp = gap(link_body(run(0.0), start, finish), corner).mm
    assert sharp == pytest.approx(-3.0, abs=1e-3)
    # 40 would take 80 of the leg of 60: 30 is left, and the arc passes the corner at 30 (sqrt 2 - 1)
    bent = gap(link_body(run(40.0), start, finish), corner).mm
    assert bent == pytest.approx(30.0 * (math.sqrt(2.0) - 1.0) - 3.0, abs=DEVIATION_MM)
    assert len(fillet([start, *run(40.0).via_mm, finish], 40.0).short_legs) == 1
