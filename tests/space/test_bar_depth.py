"""Depth of round bars in anything: against a search over all directions that knows nothing of edges and rims."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from space_cases import random_pose, random_solid, vec

from planner.model.shapes import Cylinder, Outline, Pose, Turn
from planner.space import Body, closer_than, gap, solid_body, swept_body
from planner.space.bar_depth import bar_axis
from planner.space.pieces import Bar, Hull, Piece, hull_piece
from planner.space.rims import Rims, rims_of_sides, rims_of_surface, sides_along
from planner.space.separation import PROOF_MM, separation
from planner.space.surfaces import bends_of

Array = npt.NDArray[np.float64]

SWING = Turn(about_mm=(0.0, 0.0, 60.0), axis=(0.0, 1.0, 0.0), from_deg=0.0, to_deg=8.0)
KINDS = ("box", "prism", "capsule", "cylinder", "cloud", "sweep")


def bounds(bar: Bar, other: Piece, away: Array, ways: Array) -> Array:
    """Least coordinate of the other less the greatest of the bar, from the definitions of a cylinder and a hull."""

    def reach(piece: Bar, along: Array) -> Array:
        angle = np.arccos(np.clip(np.abs(along), 0.0, 1.0))
        return piece.half_mm * np.cos(angle) + piece.radius_mm * np.sin(angle)

    low = -reach(other, ways @ other.axis) if isinstance(other, Bar) else (ways @ other.points_mm.T).min(axis=1)
    found: Array = ways @ away + low - reach(bar, ways @ bar.axis)
    return found


def searched(bar: Bar, other: Piece, away: Array, rng: np.random.Generator) -> float:
    """Greatest bound of directions anywhere, closed in on from the best dozen."""
    ways = rng.normal(size=(20000, 3))
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    values = bounds(bar, other, away, ways)
    best = -np.inf
    for k in np.argsort(-values)[:12]:
        way = ways[k]
        for spread in (3e-2, 6e-3, 1e-3, 2e-4, 4e-5):
            near = np.vstack([way, way + rng.normal(size=(400, 3)) * spread])
            near /= np.linalg.norm(near, axis=1)[:, None]
            found = bounds(bar, other, away, near)
            way = near[found.argmax()]
        best = max(best, float(found.max()))
    return best


def one_of(rng: np.random.Generator, kind: str) -> Piece:
    if kind == "cloud":
        return hull_piece(rng.normal(size=(int(rng.integers(5, 40)), 3)) * rng.uniform(5.0, 60.0, 3))[0]
    pose = random_pose(rng, 5.0)
    if kind == "sweep":
        return swept_body([random_solid(rng, str(rng.choice(["box", "prism"])), 100.0)], pose, SWING).pieces[0]
    return solid_body([random_solid(rng, kind, 120.0)], pose).pieces[0]


def depth_errors(seed: int, count: int) -> tuple[int, list[tuple[int, str, float]]]:
    """How many of so many pairs overlap, and those whose depth is no greatest bound within what is promised."""
    rng = np.random.default_rng(seed)
    overlapping, wrong = 0, []
    for k in range(count):
        kind = KINDS[k % len(KINDS)]
        bar, other = one_of(rng, "cylinder"), one_of(rng, kind)
        assert isinstance(bar, Bar)
        away = rng.normal(size=3) * rng.choice([3.0, 15.0, 30.0])
        mm, way = bar_axis(bar, other, away)
        # any bound is a true one, so the search may only fall short
        assert mm == pytest.approx(float(bounds(bar, other, away, way[None, :])[0]), abs=PROOF_MM)
        expected = searched(bar, other, away, rng)
        overlapping += expected <= 0.0
        if expected <= 0.0 and mm < expected - PROOF_MM:
            wrong.append((k, kind, mm - expected))
    return overlapping, wrong


def test_depth_of_bars_is_not_beaten_by_any_direction() -> None:
    overlapping, wrong = depth_errors(31, 42)
    assert wrong == []
    assert overlapping > 20


@pytest.mark.slow
def test_depth_of_many_bars_is_not_beaten_by_any_direction() -> None:
    overlapping, wrong = depth_errors(32, 2400)
    assert wrong == []
    assert overlapping > 1500


def test_a_bound_that_is_enough_is_a_true_one() -> None:
    rng = np.random.default_rng(33)
    early = 0
    for k in range(60):
        bar, other = one_of(rng, "cylinder"), one_of(rng, KINDS[k % len(KINDS)])
        assert isinstance(bar, Bar)
        away = rng.normal(size=3) * 15.0
        most = bar_axis(bar, other, away)[0]
        enough = most - float(rng.uniform(0.0, 5.0))
        mm, way = bar_axis(bar, other, away, enough)
        assert enough <= mm <= most + 1e-9
        assert mm == pytest.approx(float(bounds(bar, other, away, way[None, :])[0]), abs=PROOF_MM)
        early += mm < most - 1e-6
    assert early > 10


def least_errors(rims: Rims, points: Array) -> float:
    """How far the least coordinate of the points is from what a core's windows say, at several angles of each."""
    worst = 0.0
    for share in (-1.0, -0.5, 0.0, 0.7, 1.0):
        cosines, sines = np.cos(share * rims.half_rad), np.sin(share * rims.half_rad)
        ways = cosines[:, None] * rims.ways + sines[:, None] * rims.ahead
        low = (points @ ways.T).min(axis=0)
        worst = max(worst, float(np.abs(cosines * rims.low_mm + sines * rims.climb_mm + rims.flat_mm - low).max()))
    return worst


def test_windows_tell_how_far_a_core_reaches_across_its_edges() -> None:
    rng = np.random.default_rng(34)
    for k in range(40):
        piece = one_of(rng, ("cloud", "sweep", "prism")[k % 3])
        assert isinstance(piece, Hull)
        assert piece.triangles is not None
        bends = bends_of(piece.points_mm, piece.triangles)
        inside_out = bends_of(piece.points_mm, piece.triangles[:, ::-1])
        by_corners = rims_of_sides(piece.points_mm, bends.sides)
        for rims in (rims_of_surface(piece.points_mm, bends), rims_of_surface(piece.points_mm, inside_out)):
            assert least_errors(rims, piece.points_mm) < 1e-6
            # both ways find all of every arc
            assert rims.half_rad.sum() == pytest.approx(by_corners.half_rad.sum(), abs=1e-6)
        assert least_errors(by_corners, piece.points_mm) < 1e-6


def test_the_arcs_of_a_box_go_all_round() -> None:
    piece = solid_body([random_solid(np.random.default_rng(35), "box", 80.0)], Pose()).pieces[0]
    # square to each of the three ways of its edges: four quarter turns
    assert 2.0 * piece.rims.half_rad.sum() == pytest.approx(3 * 2.0 * np.pi, abs=1e-9)


def test_windows_of_a_box_are_those_of_its_corners() -> None:
    """Reference: the windows of any corners and edges."""
    rng = np.random.default_rng(38)
    for k in range(12):
        pose = random_pose(rng, 5.0) if k % 2 else Pose()
        piece = solid_body([random_solid(rng, "box", 80.0)], pose).pieces[0]
        assert isinstance(piece, Hull)
        assert piece.block is not None
        slow = rims_of_sides(piece.points_mm, sides_along(piece.points_mm, piece.edges))
        assert least_errors(piece.rims, piece.points_mm) < 1e-9
        assert piece.rims.half_rad.sum() == pytest.approx(slow.half_rad.sum(), abs=1e-9)
        # at the middle of every window, and across, the directions are each of length 1 and square to an edge
        for ways in (piece.rims.ways, piece.rims.ahead):
            assert np.linalg.norm(ways, axis=1) == pytest.approx(1.0, abs=1e-12)
            assert np.abs(ways @ piece.edges.T).min(axis=1).max() < 1e-12


def test_a_prism_listed_inside_out_is_as_deep_in_a_bar() -> None:
    """Nothing says that triangles run the same way round for every outline; the arcs of edges must not hang on it."""
    outline = Outline(points_mm=((0.0, 0.0), (60.0, 0.0), (0.0, 40.0)), thick_mm=30.0, along="y")
    prism, bar = solid_body([outline], Pose()).pieces[0], solid_body([Cylinder(across_mm=50.0, length_mm=40.0)], Pose())
    assert isinstance(prism, Hull)
    assert prism.triangles is not None
    turned = Hull(prism.points_mm, triangles=prism.triangles[:, ::-1], ways=prism.ways)
    round_one = bar.pieces[0]
    assert isinstance(round_one, Bar)
    for away in np.random.default_rng(36).normal(size=(60, 3)) * 20.0:
        assert bar_axis(round_one, turned, away)[0] == pytest.approx(bar_axis(round_one, prism, away)[0], abs=1e-9)


def test_the_gap_of_sweeps_is_that_of_their_nearest_pieces() -> None:
    """Reference: every piece of the one with every piece of the other, one at a time."""
    rng = np.random.default_rng(37)
    several: list[Body] = []
    for k in range(8):
        kinds = ("box", "cylinder", "prism", "capsule")[k % 4], "box"
        pose = Pose(at_mm=vec(rng.uniform(-60.0, 60.0, 3)), turn_deg=vec(rng.uniform(-180.0, 180.0, 3)))
        solids = [random_solid(rng, kind, 60.0) for kind in kinds]
        several.append(swept_body(solids, pose, SWING) if k % 2 else solid_body(solids, pose))
    signs = set()
    for i, a in enumerate(several):
        for b in several[i + 1 :]:
            every = (
                separation(p, q, b.places[m] - a.places[n]).mm
                for n, p in enumerate(a.pieces)
                for m, q in enumerate(b.pieces)
            )
            expected = min(every)
            assert gap(a, b).mm == pytest.approx(expected, abs=1e-4)
            assert closer_than(a, b, expected + 0.02)
            assert not closer_than(a, b, expected)
            signs.add(expected < 0.0)
    assert signs == {True, False}
