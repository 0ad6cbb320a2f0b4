"""Rounded lines against closed forms: arcs, tangents and their lengths."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from planner.model.shapes import Vec
from planner.space.bends import DEVIATION_MM, fillet


def from_line(point: np.ndarray, line: tuple[Vec, ...]) -> float:
    """Distance of a place from a polyline, by the foot of the perpendicular on each side."""
    best = math.inf
    for a, b in pairwise(np.array(line)):
        t = min(1.0, max(0.0, float((point - a) @ (b - a)) / float((b - a) @ (b - a))))
        best = min(best, float(np.linalg.norm(a + t * (b - a) - point)))
    return best


def test_a_quarter_bend_by_hand() -> None:
    # 100 + 100 less 2 x 40 of tangent, plus a quarter of the circle
    found = fillet([(0, 0, 0), (100, 0, 0), (100, 100, 0)], 40.0)
    assert found.length_mm == pytest.approx(200.0 - 80.0 + 40.0 * math.pi / 2.0, abs=1e-9)
    (bend,) = found.bends
    assert (bend.at_mm, bend.radius_mm) == ((100, 0, 0), 40.0)
    assert bend.angle_deg == pytest.approx(90.0, abs=1e-9)
    assert found.short_legs == ()
    assert (found.points_mm[0], found.points_mm[-1]) == ((0, 0, 0), (100, 100, 0))


@pytest.mark.parametrize("radius", [6.0, 40.0, 300.0])
@pytest.mark.parametrize("turn", [1.0, 17.0, 90.0, 155.0])
def test_the_points_stray_by_no_more_than_said(radius: float, turn: float) -> None:
    # the bend begins at the origin, runs along x and turns towards y about the centre (0, radius)
    angle = math.radians(turn)
    back = radius * math.tan(angle / 2.0)
    corner = (back, 0.0, 0.0)
    ahead = (back + 2.0 * back * math.cos(angle), 2.0 * back * math.sin(angle), 0.0)
    found = fillet([(-back, 0.0, 0.0), corner, ahead], radius)
    assert found.length_mm == pytest.approx(2.0 * back + radius * angle, abs=1e-9)
    for a in np.linspace(0.0, angle, 400):
        on_arc = np.array([radius * math.sin(a), radius - radius * math.cos(a), 0.0])
        assert from_line(on_arc, found.points_mm) <= DEVIATION_MM + 1e-9
    for p, q in pairwise(np.array(found.points_mm)):
        for share in np.linspace(0.0, 1.0, 60):
            x, y, z = p + share * (q - p)
            bearing = math.atan2(x, radius - y)
            assert z == 0.0
            if bearing <= 0.0 and y < radius:
                assert abs(y) <= 1e-9
            elif 0.0 < bearing < angle:
                assert abs(math.hypot(x, radius - y) - radius) <= DEVIATION_MM + 1e-9


def test_as_few_points_as_the_deviation_allows() -> None:
    # 90 degrees at 40 mm: leads of acos(40 / 40.05) and sides of 2 acos(39.95 / 40.05) each, 10.4 of them
    lead, side = math.acos(40.0 / 40.05), 2.0 * math.acos(39.95 / 40.05)
    sides = math.ceil((math.pi / 2.0 - 2.0 * lead) / side)
    found = fillet([(0, 0, 0), (100, 0, 0), (100, 100, 0)], 40.0)
    assert len(found.points_mm) == 2 + sides + 1
    assert len(found.points_mm) < len(fillet([(0, 0, 0), (100, 0, 0), (100, 100, 0)], 40.0, within_mm=0.01).points_mm)


def test_a_short_leg_shrinks_the_bends_at_its_ends() -> None:
    # two square bends of 40 on a leg of 60 ask for 80: each gets 30
    line: list[Vec] = [(0, 0, 0), (100, 0, 0), (100, 60, 0), (200, 60, 0)]
    found = fillet(line, 40.0)
    assert [(leg.leg, round(leg.needs_mm, 9), leg.has_mm) for leg in found.short_legs] == [(1, 80.0, 60.0)]
    assert [bend.radius_mm for bend in found.bends] == pytest.approx([30.0, 30.0])
    assert found.length_mm == pytest.approx(260.0 - 4.0 * 30.0 + 30.0 * math.pi, abs=1e-9)


def test_only_the_bends_of_a_short_leg_shrink() -> None:
    found = fillet([(0, 0, 0), (20, 0, 0), (20, 200, 0), (220, 200, 0)], 40.0)
    assert [leg.leg for leg in found.short_legs] == [0]
    assert [bend.radius_mm for bend in found.bends] == pytest.approx([20.0, 40.0])


def test_a_fold_stays_sharp() -> None:
    found = fillet([(0, 0, 0), (100, 0, 0), (10, 0, 0), (10, 80, 0)], 20.0)
    assert found.bends[0].radius_mm == 0.0
    assert found.bends[1].radius_mm == pytest.approx(20.0)
    assert [(leg.leg, leg.needs_mm) for leg in found.short_legs] == [(0, math.inf), (1, math.inf)]
    assert found.length_mm == pytest.approx(100.0 + 90.0 + 80.0 - 40.0 + 10.0 * math.pi)


def test_lines_without_a_bend() -> None:
    straight = fillet([(0, 0, 0), (50, 0, 0), (100, 0, 0)], 40.0)
    assert (straight.length_mm, straight.bends, straight.short_legs) == (100.0, (), ())
    sharp = fillet([(0, 0, 0), (50, 0, 0), (50, 50, 0)], 0.0)
    assert sharp.points_mm == ((0, 0, 0), (50, 0, 0), (50, 50, 0))
    assert [bend.radius_mm for bend in sharp.bends] == [0.0]
    assert fillet([(1, 2, 3)], 10.0).points_mm == ((1, 2, 3),)
    with pytest.raises(ValueError, match="at least one point"):
        fillet([], 10.0)


def test_repeated_points_count_once_and_legs_keep_their_numbers() -> None:
    found = fillet([(0, 0, 0), (0, 0, 0), (30, 0, 0), (30, 0, 0), (30, 100, 0)], 40.0)
    assert [(leg.leg, round(leg.needs_mm, 9)) for leg in found.short_legs] == [(1, 40.0)]
    assert [bend.radius_mm for bend in found.bends] == pytest.approx([30.0])


def test_bends_anywhere_in_space() -> None:
    rng = np.random.default_rng(7)
    for _ in range(50):
        line = [tuple(float(v) for v in p) for p in rng.uniform(-200.0, 200.0, (6, 3))]
        found = fillet(line, float(rng.uniform(5.0, 80.0)))  # type: ignore[arg-type]
        # the polyline's own length is the developed one but for its deviation on either side of each arc
        own = sum(math.dist(a, b) for a, b in pairwise(found.points_mm))
        assert own == pytest.approx(found.length_mm, rel=4e-3)
        straight = sum(math.dist(a, b) for a, b in pairwise(line))
        assert found.length_mm < straight
