"""What is found out about many pieces or legs at once against the same asked one at a time; skins against hulls."""

from __future__ import annotations

import numpy as np
import pytest
from crowded_bay import bay
from space_cases import vec

from planner.model.shapes import Box, Pose
from planner.space import Body, Crowd, gap, solid_body
from planner.space.packed import Pack
from planner.space.pieces import Bar, Hull, Piece, find_ways, hull_piece, segment_piece
from planner.space.route_fence import Ease, Fence, Guard
from planner.space.separation import separation
from planner.space.surfaces import Skin

PARTS = 120


def bodies() -> list[Body]:
    return bay(PARTS, seed=3).bodies


def shown(piece: Piece) -> Skin:
    """Skin of what shows a piece, its corners and faces those of the hull library's own hull of the same points."""
    mesh = piece.solid.to_mesh64()
    corners = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    a, b, c = (corners[np.asarray(mesh.tri_verts, dtype=np.int64)[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    normals = normals[np.linalg.norm(normals, axis=1) > 1e-6]
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    none = np.zeros((0, 2), dtype=np.int64)
    return Skin(normals, (corners @ normals.T).max(axis=0), corners, none, np.zeros((0, 3)))


def some_pieces() -> list[Piece]:
    rng = np.random.default_rng(11)
    found: list[Piece] = []
    for _ in range(12):
        axis = rng.normal(size=3)
        ends = rng.uniform(-60.0, 60.0, (2, 3))
        turned = solid_body(
            (Box(size_mm=vec(rng.uniform(5.0, 90.0, 3))),), Pose(turn_deg=vec(rng.uniform(-180, 180, 3)))
        )
        found += [
            Bar(axis / np.linalg.norm(axis), float(rng.uniform(2.0, 40.0)), float(rng.uniform(1.0, 60.0))),
            segment_piece(ends[0], ends[1], float(rng.uniform(1.0, 20.0)))[0],
            hull_piece(rng.uniform(-50.0, 50.0, (14, 3)))[0],
            hull_piece(rng.uniform(-50.0, 50.0, (9, 3)), 3.0)[0],
            turned.pieces[0],
        ]
    along = np.array([0.0, 0.0, 30.0])
    return [*found, segment_piece(along, -along, 5.0)[0], segment_piece(along, along, 5.0)[0]]


def test_skins_are_the_hulls_they_stand_for() -> None:
    """Independent method: the hull library's hull of the same points, its triangles' planes and its corners."""
    for piece in some_pieces():
        skin, true = piece.skin, shown(piece)
        assert (true.corners_mm @ skin.normals.T - skin.offsets_mm).max() < 1e-6
        assert (skin.corners_mm @ true.normals.T - true.offsets_mm).max() < 1e-6
        # each true corner is among the skin's, each true face too
        away = np.linalg.norm(true.corners_mm[:, None] - skin.corners_mm[None], axis=2)
        assert away.min(axis=1).max() < 1e-6
        assert (true.normals @ skin.normals.T).max(axis=1).min() > 1.0 - 1e-9


def test_edges_of_skins_make_up_the_surface() -> None:
    """A closed convex surface: every edge lies in two faces, and V - E + F = 2 (Euler)."""
    for piece in some_pieces():
        skin = piece.skin
        middles = skin.corners_mm[skin.ends[:, 0]] + skin.ways_mm / 2.0
        assert (np.abs(middles @ skin.normals.T - skin.offsets_mm) < 1e-6).sum(axis=1).min() >= 2
        used = len(np.unique(np.round(skin.corners_mm[np.unique(skin.ends)], 6), axis=0))
        assert used - len(skin.ends) + len(skin.normals) == 2


def test_faces_and_edges_of_many_hulls_are_those_of_each() -> None:
    rng = np.random.default_rng(5)
    clouds = [rng.uniform(-50.0, 50.0, (int(n), 3)) for n in rng.integers(5, 30, 25)]
    one_by_one = [hull_piece(cloud)[0] for cloud in clouds]
    at_once = [hull_piece(cloud)[0] for cloud in clouds]
    find_ways(piece for piece in at_once if isinstance(piece, Hull))
    for one, other in zip(one_by_one, at_once, strict=True):
        assert isinstance(other, Hull)
        assert "_ways" in vars(other)
        np.testing.assert_allclose(one.faces, other.faces, atol=1e-12)
        np.testing.assert_allclose(one.edges, other.edges, atol=1e-12)


def test_what_is_inside_a_piece_is_inside() -> None:
    for piece in some_pieces():
        ways = np.random.default_rng(2).normal(size=(200, 3))
        ways /= np.linalg.norm(ways, axis=1)[:, None]
        low, high = piece.span(ways)
        inner_low, inner_high = piece.inside.span(ways)
        assert (inner_high <= high + piece.ball_mm + 1e-9).all()
        assert (inner_low >= low - piece.ball_mm - 1e-9).all()
        assert piece.inside.ball_mm == 0.0


@pytest.mark.parametrize("finely", [True, False])
def test_packed_pieces_reach_as_far_as_each_by_itself(finely: bool) -> None:
    rng = np.random.default_rng(12)
    pieces = [*some_pieces(), *(piece for body in bodies() for piece in body.pieces)]
    pack = Pack(pieces, finely=finely)
    rows = rng.integers(0, len(pieces), 700)
    ways = rng.normal(size=(700, 5, 3))
    ways /= np.linalg.norm(ways, axis=2)[:, :, None]
    low, high = pack.spans(rows, ways)
    tips = pack.farthest(rows, ways[:, 0])
    least, most = pack.extents(ways[0])
    for k, row in enumerate(rows.tolist()):
        piece = pieces[row]
        assert np.abs(np.stack(piece.span(ways[k])) - np.stack([low[k], high[k]])).max() < 1e-9
        assert tips[k] @ ways[k, 0] == pytest.approx(high[k, 0], abs=1e-9)
        whole = np.stack(piece.span(ways[0])) + np.array([[-piece.ball_mm], [piece.ball_mm]])
        assert np.abs(whole - np.stack([least[row], most[row]])).max() < 1e-9
    mirrored = [piece for piece in pieces if isinstance(piece, Hull) and piece.mirrored]
    assert 20 < len(mirrored) < len(pieces)
    for piece in mirrored:
        half = len(piece.points_mm) // 2
        across = np.abs(piece.points_mm[:half, None] + piece.points_mm[None, half:]).max(axis=2)
        assert across.min(axis=1).max() < 1e-9


def test_depths_lie_between_their_bounds() -> None:
    """Reference: the exact separation of every pair of pieces, one at a time."""
    crowd = Crowd({str(k): body for k, body in enumerate(bodies())})
    rng = np.random.default_rng(8)
    first = rng.integers(0, len(crowd.pieces), 4000)
    touching = [(int(a), int(b)) for a in first for b in _touching(crowd, int(a))][:600]
    pairs = np.array(touching)
    least, most = crowd.allowed_between(pairs[:, 0], pairs[:, 1])
    exact = 0
    for (a, b), low, high in zip(touching, least, most, strict=True):
        other = int(crowd.owner[b])
        theirs = range(int(crowd.starts[other]), int(crowd.starts[other] + crowd.sizes[other]))
        depth = max([0.0, *(-separation(crowd.pieces[a], crowd.pieces[k], crowd.places[k] - crowd.places[a]).mm
                            for k in theirs)])  # fmt: skip
        assert low - 1e-4 <= depth <= high + 1e-4
        assert crowd.allowed_exactly(a, other) == pytest.approx(depth, abs=1e-4)
        assert crowd.allowed_mm(np.array([a]), np.array([b]))[0] == pytest.approx(depth, abs=1e-4)
        exact += high - low < 1e-9
    assert len(touching) == 600
    assert 100 < exact < 600


def _touching(crowd: Crowd, piece: int) -> list[int]:
    low, high = crowd.piece_lows[piece], crowd.piece_highs[piece]
    near = np.all((low < crowd.piece_highs) & (crowd.piece_lows < high), axis=1) & (crowd.owner != crowd.owner[piece])
    return [int(k) for k in np.flatnonzero(near)]


def test_many_legs_proved_at_once_are_each_as_clear_as_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(4)
    several = bodies()
    guards = [
        Guard(
            id=str(k),
            body=body,
            keep_mm=6.0,
            eased=(Ease(at_mm=body.lo_mm, reach_mm=20.0, keep_mm=-np.inf),) if k % 3 == 0 else (),
        )
        for k, body in enumerate(several)
    ]
    low, high = (vec(np.array([getattr(b, end) for b in several]).mean(axis=0)) for end in ("lo_mm", "hi_mm"))
    low, high = vec(np.array(low) - 150.0), vec(np.array(high) + 150.0)
    fence, alone = (Fence(guards, 8.0, low, high) for _ in range(2))
    starts = rng.uniform(low, high, (400, 3))
    legs = [(vec(a), vec(a + rng.normal(size=3) * 40.0)) for a in starts]
    reference = [alone.clear(*leg) for leg in legs]
    fence.prove_all(legs)
    # from here on nothing is measured: all of it is known
    monkeypatch.setattr(Fence, "_breaks", None)
    answers = [fence.clear(*leg) for leg in legs]
    assert answers == reference
    assert 20 < sum(answers) < 380


def test_the_place_of_a_gap_is_found_when_it_is_asked_for() -> None:
    one, other = (solid_body((Box(size_mm=(20.0, 20.0, 20.0)),), Pose(at_mm=(x, 0.0, 0.0))) for x in (0.0, 15.0))
    found = gap(one, other)
    # both reach over y and z from -10 to 10, over x from 5 to 10
    assert found.at_mm == pytest.approx((7.5, 0.0, 0.0), abs=0.01)
    assert found.mm == pytest.approx(-5.0, abs=1e-6)
    assert found == gap(one, other)
