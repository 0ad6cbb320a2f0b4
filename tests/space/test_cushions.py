"""What is said to run into another piece for certain, and what two pieces share: against slower, independent ways."""

from __future__ import annotations

import numpy as np
import pytest
from space_cases import KINDS, random_pose, random_solid, vec

from planner.model.shapes import Turn
from planner.space import Body, closer_than, gap, gap_if_closer, shifted, solid_body, swept_body
from planner.space.cushions import Cushions
from planner.space.pieces import Piece, hull_piece
from planner.space.shared import shared_box
from planner.space.ways import Line, reaches

SWING = Turn(about_mm=(0.0, 0.0, 60.0), axis=(0.0, 1.0, 0.0), from_deg=0.0, to_deg=8.0)


def pieces_of_all_kinds(seed: int, count: int) -> list[Piece]:
    """Boxes, bars, round-ended bars and prisms, askew; clouds, grown clouds and steps of sweeps."""
    rng = np.random.default_rng(seed)
    found: list[Piece] = []
    for k in range(count):
        solid, pose = random_solid(rng, KINDS[k % 4], 120.0), random_pose(rng, 5.0)
        body = swept_body([solid], pose, SWING) if k % 5 == 4 else solid_body([solid], pose)
        found.append(body.pieces[len(body.pieces) // 2])
        if k % 7 == 6:
            found.append(hull_piece(rng.normal(size=(12, 3)) * rng.uniform(5.0, 60.0, 3), float(k % 2) * 3.0)[0])
    return found


def test_a_cushion_lies_inside_its_piece() -> None:
    """Independent method: along no direction does a rounded block reach farther than the piece it is in."""
    pieces = pieces_of_all_kinds(71, 120)
    cushions = Cushions(pieces, np.zeros((len(pieces), 3)))
    cushions.find(np.arange(len(pieces)))
    ways = np.random.default_rng(72).normal(size=(400, 3))
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    large = 0
    for k, piece in enumerate(pieces):
        blocks = np.abs(ways @ cushions.axes[k].T) @ cushions.halves_mm[k] + cushions.balls_mm[k]
        low, high = piece.span(ways)
        middle = ways @ cushions.middles_mm[k]
        assert (middle + blocks <= high + piece.ball_mm + 1e-6).all()
        assert (middle - blocks >= low - piece.ball_mm - 1e-6).all()
        large += bool((blocks > 0.5 * (high - low + 2.0 * piece.ball_mm) / 2.0).all())
    assert large > len(pieces) // 2


def test_what_runs_in_for_certain_does() -> None:
    """Reference: one pair at a time by exact distances, at the travels that Newton's method chooses."""
    rng = np.random.default_rng(73)
    pieces = pieces_of_all_kinds(74, 80)
    places = rng.uniform(-70.0, 70.0, (len(pieces), 3))
    first, second = rng.integers(0, len(pieces), (2, 1500))
    shift = rng.uniform(-20.0, 20.0, (1500, 3))
    way = np.eye(3)[rng.integers(0, 3, 1500)] * rng.choice([-1.0, 1.0], 1500)[:, None]
    start, end = rng.uniform(0.0, 40.0, 1500), rng.uniform(60.0, 300.0, 1500)
    depths = Cushions(pieces, places).run_in((first, second), (shift, way), (start, end))
    sure = np.flatnonzero((depths > 0.1) & (first != second))
    missed = 0
    for k in sure.tolist():
        a, b = int(first[k]), int(second[k])
        run = Line(pieces[a], pieces[b], places[b] - places[a] - shift[k], way[k])
        missed += reaches(run, (float(start[k]), float(end[k])), 0.01 - float(depths[k])) is None
    assert missed == 0
    assert len(sure) > 150


def test_the_box_of_what_two_pieces_share() -> None:
    """Independent method: the hull library's own intersection of the solids that show the two pieces."""
    rng = np.random.default_rng(75)
    pieces = pieces_of_all_kinds(76, 60)
    met = none = 0
    for _ in range(500):
        a, b = (pieces[int(k)] for k in rng.integers(0, len(pieces), 2))
        shift = rng.normal(size=3) * 25.0
        true = a.solid ^ b.solid.translate(tuple(shift))
        found = shared_box(a, b, shift)
        if true.volume() < 1.0:
            none += found is None
            continue
        met += 1
        box = np.array(true.bounding_box()).reshape(2, 3)
        assert found is not None
        assert found[0] == pytest.approx(box[0], abs=2e-3)
        assert found[1] == pytest.approx(box[1], abs=2e-3)
    assert met > 250
    assert none > 30


def test_a_gap_if_closer_is_the_gap_of_those_that_are() -> None:
    rng = np.random.default_rng(77)
    bodies: list[Body] = []
    for k in range(40):
        kinds = [KINDS[(k + n) % 4] for n in range(1 + k % 3)]
        solids = [random_solid(rng, kind, 90.0) for kind in kinds]
        pose = random_pose(rng, 40.0)
        bodies.append(swept_body(solids, pose, SWING) if k % 8 == 7 else solid_body(solids, pose))
    answers = []
    for k in range(600):
        a, b = (bodies[int(n)] for n in rng.integers(0, len(bodies), 2))
        b = shifted(b, vec(rng.uniform(-90.0, 90.0, 3)))
        mm = (0.0, 10.0, -3.0, 25.0)[k % 4]
        found = gap_if_closer(a, b, mm)
        assert (found is not None) == closer_than(a, b, mm)
        if found is not None:
            exact = gap(a, b)
            assert found.mm == pytest.approx(exact.mm, abs=1e-4)
            assert found.mm < mm
        answers.append(found is not None)
    assert 150 < sum(answers) < 450
