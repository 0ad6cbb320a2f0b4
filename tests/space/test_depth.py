"""Depth of hulls with many edges: leaving out pairs of edges that cannot meet loses nothing."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from space_cases import random_pose, random_solid

from planner.model.shapes import Turn
from planner.space import depth as depth_module
from planner.space import swept_body
from planner.space.depth import best_axis
from planner.space.pieces import Hull, hull_piece

Array = npt.NDArray[np.float64]


def greatest_bound(a: Hull, b: Hull, shift: Array) -> float:
    """Signed distance of two hulls that overlap, by all normals and all crosses of edges of their triangles."""
    ways = []
    sides = []
    for hull in (a, b):
        assert hull.triangles is not None
        p, q, r = (hull.points_mm[hull.triangles[:, k]] for k in range(3))
        ways.append(np.cross(q - p, r - p))
        sides.append(np.vstack([q - p, r - q, p - r]))
    ways.append(np.cross(sides[0][:, None, :], sides[1][None, :, :]).reshape(-1, 3))
    every = np.vstack(ways)
    length = np.linalg.norm(every, axis=1)
    every = every[length > 1e-9] / length[length > 1e-9, None]
    best = -np.inf
    for part in np.array_split(np.vstack([every, -every]), 8):
        near = (part @ (b.points_mm + shift).T).min(axis=1) - (part @ a.points_mm.T).max(axis=1)
        best = max(best, float(near.max()))
    return best


def cloud(rng: np.random.Generator, count: int) -> Hull:
    piece, _ = hull_piece(rng.normal(size=(count, 3)) * rng.uniform(10.0, 60.0, 3))
    assert isinstance(piece, Hull)
    return piece


def test_depth_of_random_hulls_against_all_directions() -> None:
    rng = np.random.default_rng(91)
    for k in range(60):
        a, b = cloud(rng, 6 + k % 30), cloud(rng, 40 - k % 30)
        shift = rng.normal(size=3) * 25.0
        expected = greatest_bound(a, b, shift)
        found = best_axis(a, b, shift)[0]
        if expected <= 0.0:
            assert found == pytest.approx(expected, abs=1e-6)
        else:
            assert found <= expected + 1e-6


def test_depth_of_sweep_steps_against_all_directions(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(92)
    swing = Turn(about_mm=(0.0, 0.0, 60.0), axis=(0.0, 1.0, 0.0), from_deg=0.0, to_deg=8.0)
    pieces = [
        piece
        for kind in ("box", "prism", "cylinder")
        for piece in swept_body([random_solid(rng, kind, 80.0)], random_pose(rng, 5.0), swing).pieces[:3]
    ]
    pairs = [(a, b, rng.normal(size=3) * 15.0) for a in pieces for b in pieces]
    found = [best_axis(a, b, shift)[0] for a, b, shift in pairs]
    monkeypatch.setattr(depth_module, "_FEW_CROSSES", 10**9)
    met = 0
    for (a, b, shift), mm in zip(pairs, found, strict=True):
        expected = best_axis(a, b, shift)[0]
        met += expected <= 0.0
        assert mm == pytest.approx(expected, abs=1e-6) or (expected > 0.0 and mm <= expected)
    assert met > 30


def test_the_depth_of_a_hull_and_a_plain_box_agrees_with_the_box_as_a_hull() -> None:
    rng = np.random.default_rng(93)
    corners = np.array([[x, y, z] for x in (-30.0, 30.0) for y in (-20.0, 20.0) for z in (-8.0, 8.0)])
    plain = Hull(corners, ways=(np.eye(3), np.eye(3)))
    meshed, at = hull_piece(corners)
    assert isinstance(meshed, Hull)
    assert at == pytest.approx(np.zeros(3), abs=1e-12)
    for _ in range(40):
        other, shift = cloud(rng, 60), rng.normal(size=3) * 20.0
        assert best_axis(plain, other, shift)[0] == pytest.approx(best_axis(meshed, other, shift)[0], abs=1e-6)
