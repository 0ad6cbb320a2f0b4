"""Meshes as convex pieces: never smaller than the mesh, hardly larger, and not hollow."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
from garage import part, vehicle, wall
from triangles import Array, angle_iron, ball, block, ring_bar, surface, volume_mm3

from planner.knockon import present_faults
from planner.model.effects import CauseKind
from planner.model.shapes import Box, Mesh, Pose, Surface, Tube, Vec
from planner.space import Body, Elevation, gap, silhouette, solid_body
from planner.space.convex_cover import MOST_PIECES, POCKET_MM, convex_cover
from planner.space.pieces import Hull
from planner.space.thinning import BALL_MM, MANY

NEAR_MM = 1e-6


def body_of(places: Array, pose: Pose = Pose()) -> Body:  # noqa: B008 - a frozen value
    return solid_body([Mesh(surface=surface(places))], pose)


def dot(place: Array) -> Body:
    at: Vec = (float(place[0]), float(place[1]), float(place[2]))
    return solid_body([Tube(across_mm=1e-6, through_mm=(at, at))], Pose())


def outside_mm(body: Body, points: Array) -> Array:
    """How far (n,) points lie outside the nearest piece, by the planes of its faces alone (a bound from below)."""
    best = np.full(len(points), np.inf)
    for piece, place in zip(body.pieces, body.places, strict=True):
        assert isinstance(piece, Hull)
        assert piece.triangles is not None
        a, b, c = (piece.points_mm[piece.triangles[:, k]] for k in range(3))
        normals = np.cross(b - a, c - a)
        sizes = np.linalg.norm(normals, axis=1)
        normals, a = normals[sizes > 1e-9] / sizes[sizes > 1e-9, None], a[sizes > 1e-9]
        above = (points - place) @ normals.T - np.einsum("ij,ij->i", normals, a)
        best = np.minimum(best, above.max(axis=1) - piece.ball_mm)
    return best


def probes(places: Array, count: int, rng: np.random.Generator) -> Array:
    """Random places on the triangles of a mesh."""
    rows = rng.integers(len(places), size=count)
    u, v = rng.uniform(size=(2, count))
    flip = u + v > 1.0
    u, v = np.where(flip, 1.0 - u, u), np.where(flip, 1.0 - v, v)
    a, b, c = (places[rows, k] for k in range(3))
    return a + u[:, None] * (b - a) + v[:, None] * (c - a)


SHAPES = {
    "block": block((80.0, 50.0, 20.0)),
    "angle": angle_iron(60.0, 40.0, 4.0),
    "ring": ring_bar(50.0, 8.0, 32, 12),
    "ball": ball(40.0, 32, 16),
}


@pytest.mark.parametrize("name", SHAPES)
def test_nothing_of_the_mesh_is_outside_its_pieces(name: str) -> None:
    places = SHAPES[name]
    rng = np.random.default_rng(5)
    body = body_of(places)
    assert outside_mm(body, probes(places, 4000, rng)).max() <= NEAR_MM
    assert outside_mm(body, places.reshape(-1, 3)).max() <= NEAR_MM


def test_convex_meshes_and_angles_are_exact() -> None:
    for name, pieces in (("block", 1), ("angle", 2)):
        cover = convex_cover(surface(SHAPES[name]))
        assert (len(cover.parts), cover.excess_mm, cover.bound_mm) == (pieces, 0.0, 0.0)
    body = body_of(SHAPES["angle"])
    # in the notch, 10 from the foot and 8 from the upright
    assert gap(body, dot(np.array([12.0, 30.0, 14.0]))).mm == pytest.approx(8.0, abs=0.01)
    turned = body_of(SHAPES["angle"], Pose(at_mm=(500.0, 0.0, 100.0), turn_deg=(0.0, 0.0, 90.0)))
    assert turned.lo_mm == pytest.approx((440.0, 0.0, 100.0), abs=1e-6)
    assert turned.hi_mm == pytest.approx((500.0, 40.0, 140.0), abs=1e-6)


def test_a_ring_keeps_its_hole() -> None:
    cover = convex_cover(surface(SHAPES["ring"]))
    assert cover.excess_mm <= POCKET_MM + BALL_MM
    assert cover.excess_mm <= cover.bound_mm
    assert len(cover.parts) < MOST_PIECES
    body = body_of(SHAPES["ring"])
    # the hole is 42 in radius; a plug of 30 x 30 reaches 21.2 from the middle
    assert gap(body, solid_body([Box(size_mm=(30.0, 30.0, 30.0))], Pose())).mm > 42.0 - 21.3 - 1.0


@pytest.mark.parametrize("name", ["ring", "ball"])
def test_what_stands_out_is_no_more_than_said(name: str) -> None:
    """The referee: distance from the true torus or sphere whose inscribed polyhedron the mesh is."""
    places = SHAPES[name]
    cover = convex_cover(surface(places))
    body = body_of(places)
    rng = np.random.default_rng(6)
    skin = []
    for _ in range(3000):
        k = int(rng.integers(len(body.pieces)))
        piece, way = body.pieces[k], rng.normal(size=3)
        way /= np.linalg.norm(way)
        assert isinstance(piece, Hull)
        assert piece.triangles is not None
        weights = rng.dirichlet((1.0, 1.0, 1.0))
        spot = weights @ piece.points_mm[piece.triangles[int(rng.integers(len(piece.triangles)))]]
        skin.append((piece.farthest(way) if rng.uniform() < 0.3 else spot) + body.places[k])
    x, y, z = np.array(skin).T
    if name == "ring":
        out = np.hypot(np.hypot(x, y) - 50.0, z) - 8.0
        inscribed = 8.0 - 8.0 * math.cos(math.pi / 12) + 58.0 * (1.0 - math.cos(math.pi / 32))
    else:
        out = np.sqrt(x * x + y * y + z * z) - 40.0
        inscribed = 0.0
    assert out.max() <= cover.excess_mm + inscribed + NEAR_MM


def test_a_round_mesh_is_thinned() -> None:
    places = ball(40.0, 64, 32)
    cover = convex_cover(surface(places))
    [one] = cover.parts
    assert MANY / 2 < len(one.points_mm) < len(surface(places).corners_mm) / 3
    assert 0.0 < cover.excess_mm <= BALL_MM
    assert outside_mm(body_of(places), places.reshape(-1, 3)).max() <= NEAR_MM


def test_a_part_inside_a_mesh_overlaps_it() -> None:
    shell = body_of(block((200.0, 200.0, 200.0)))
    inner = solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose(at_mm=(20.0, 0.0, 0.0)))
    # the nearest face is 100 - 20 - 5 = 75 away, so it is 85 that clears it
    assert gap(shell, inner).mm == pytest.approx(-85.0, abs=0.01)
    angle = body_of(SHAPES["angle"])
    pin = solid_body([Box(size_mm=(1.0, 1.0, 1.0))], Pose(at_mm=(20.0, 30.0, 2.0)))
    assert gap(angle, pin).mm < -2.0


@pytest.mark.parametrize("form", ["mesh", "box"])
def test_a_part_inside_another_is_told(form: str) -> None:
    solid = (
        Mesh(surface=surface(block((200.0, 200.0, 200.0)))) if form == "mesh" else Box(size_mm=(200.0, 200.0, 200.0))
    )
    outer = part("outer", (300, 0, 500), (1.0, 1.0, 1.0), solids=(solid,))
    inner = part("inner", (300, 0, 500), (10.0, 10.0, 10.0))
    [fault] = present_faults(vehicle([wall(), outer, inner]))
    assert (fault.kind, {fault.part, fault.other}) == (CauseKind.CLASH, {"inner", "outer"})
    assert fault.mm == pytest.approx(105.0, abs=0.01)


def test_a_hollow_counts_as_full() -> None:
    hollow = np.vstack([block((100.0, 100.0, 100.0)), block((60.0, 60.0, 60.0))[:, ::-1]])
    body = body_of(hollow)
    assert len(body.pieces) == 1
    assert gap(body, solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose())).mm < -50.0


def test_bodies_apart_stay_apart() -> None:
    two = np.vstack([block((10.0, 10.0, 10.0)), block((10.0, 10.0, 10.0), (50.0, 0.0, 0.0))])
    body = body_of(two)
    assert len(body.pieces) == 2
    assert gap(body, solid_body([Box(size_mm=(10.0, 10.0, 10.0))], Pose(at_mm=(25.0, 0.0, 0.0)))).mm == pytest.approx(
        15.0
    )


@pytest.mark.parametrize("fault", ["open", "inside out", "nothing"])
def test_what_is_no_solid_is_refused(fault: str) -> None:
    places = block((10.0, 10.0, 10.0))
    shapes = {"open": places[1:], "inside out": places[:, ::-1], "nothing": np.vstack([places[:2], places[:2, ::-1]])}
    with pytest.raises(ValueError, match="closed surface"):
        body_of(shapes[fault])


def test_equal_surfaces_are_cut_once() -> None:
    one, other = surface(SHAPES["ring"]), surface(SHAPES["ring"])
    assert one is not other
    assert (one, hash(one)) == (other, hash(other))
    first = convex_cover(one)
    start = time.process_time()
    assert convex_cover(other) is first
    assert time.process_time() - start < 0.05
    assert one != Surface(corners_mm=one.corners_mm, triangles=one.triangles[1:])


def test_the_shadow_of_a_mesh() -> None:
    # from the side (y) the angle iron is its own section: 40 x 4 and 36 x 4
    rims = silhouette(body_of(SHAPES["angle"]), Elevation.SIDE)
    area = sum((a[0] * b[1] - b[0] * a[1]) / 2.0 for rim in rims for a, b in zip(rim, (*rim[1:], rim[0]), strict=True))
    assert area == pytest.approx(40.0 * 4.0 + 36.0 * 4.0, abs=0.1)
    assert volume_mm3(SHAPES["angle"]) == pytest.approx(60.0 * (160.0 + 144.0))
