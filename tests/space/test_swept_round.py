"""Sweeps with a closed form: a disc and a ball that swing about an axis; and ten thousand places no sweep may miss.

A disc of radius r whose axis is parallel to that of the swing, at R from it, passes through all places within r of
an arc of radius R (seen along the axis), over its own thickness. A ball passes through all places within r of that
arc: a piece of a torus with a ball at either end. So the distance of any place from either is known.
"""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import numpy.typing as npt
import pytest
from space_cases import KINDS, random_pose, vec
from space_referee import turn_matrix
from test_sweep import Motion, dot

from planner.model.shapes import Cylinder, Pose, Solid, Tube, Turn
from planner.space import Body, gap, swept_body
from planner.space.minnorm import nearest_points
from planner.space.pieces import Bar, Hull, segment_piece

Array = npt.NDArray[np.float64]

EXCESS_MM = 0.5  # the most a sweep may stand out
INSIDE_MM = 1e-6
EXACT_MM = 0.01

SWINGS = [  # reach R, radius r, thickness, from, to
    (180.0, 25.0, 12.0, 0.0, 40.0),
    (90.0, 40.0, 60.0, -30.0, 75.0),
    (300.0, 8.0, 5.0, 10.0, 14.0),
    (45.0, 30.0, 20.0, -100.0, 100.0),
]


def beside_arc(place: Array, reach: float, ends: tuple[float, float]) -> float:
    """Distance (2-D) of a place from the arc of radius ``reach`` between two angles [deg] from the x axis."""
    angle = math.degrees(math.atan2(place[1], place[0]))
    low, high = ends
    middle = (low + high) / 2.0
    off = (angle - middle + 180.0) % 360.0 - 180.0
    if abs(off) <= (high - low) / 2.0:
        return abs(math.hypot(place[0], place[1]) - reach)
    tips = [np.array([reach * math.cos(math.radians(t)), reach * math.sin(math.radians(t))]) for t in ends]
    return min(float(np.linalg.norm(place[:2] - tip)) for tip in tips)


def outside(kind: str, place: Array, swing: tuple[float, float, float, float, float]) -> float:
    """How far [mm] a place lies outside what truly is passed through, the swing being about z; below zero inside."""
    reach, radius, thick, low, high = swing
    flat = beside_arc(place, reach, (low, high))
    if kind == "ball":
        return math.hypot(flat, place[2]) - radius
    beyond = (flat - radius, abs(place[2]) - thick / 2.0)
    if max(beyond) <= 0.0:
        return max(beyond)
    return math.hypot(max(beyond[0], 0.0), max(beyond[1], 0.0))


def swinging(kind: str, swing: tuple[float, float, float, float, float], pose: Pose = Pose()) -> Body:  # noqa: B008 - a frozen value
    reach, radius, thick, low, high = swing
    at = Pose(at_mm=(reach, 0.0, 0.0))
    solid: Solid = Cylinder(across_mm=2.0 * radius, length_mm=thick, along="z", pose=at)
    if kind == "ball":
        solid = Tube(across_mm=2.0 * radius, through_mm=((reach, 0.0, 0.0),))
    return swept_body([solid], pose, Turn(about_mm=(0.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), from_deg=low, to_deg=high))


@pytest.mark.parametrize("swing", SWINGS)
@pytest.mark.parametrize("kind", ["disc", "ball"])
def test_distances_from_a_swept_disc_and_ball(kind: str, swing: tuple[float, float, float, float, float]) -> None:
    rng = np.random.default_rng(81)
    pose = random_pose(rng, 400.0)
    body = swinging(kind, swing, pose)
    turn, shift = turn_matrix(pose.turn_deg), np.array(pose.at_mm)
    reach, radius, thick, _, _ = swing
    far = reach + radius + 60.0
    for _ in range(80):
        place = rng.uniform(-far, far, 3) * (1.0, 1.0, (thick + radius) / far)
        expected = outside(kind, place, swing)
        found = gap(body, dot(turn @ place + shift)).mm
        if expected > 0.0:
            assert expected - EXCESS_MM - EXACT_MM <= found <= expected + EXACT_MM
        else:
            assert found <= EXACT_MM


@pytest.mark.parametrize("swing", [SWINGS[0], SWINGS[2]])
def test_volume_of_a_swept_disc(swing: tuple[float, float, float, float, float]) -> None:
    # seen along the axis: the strip 2 r wide along the arc, and a half disc at either end
    reach, radius, thick, low, high = swing

    def volume(grown: float) -> float:
        strip = 2.0 * reach * (radius + grown) * math.radians(high - low)
        return (strip + math.pi * (radius + grown) ** 2) * (thick + 2.0 * grown)

    body = swinging("disc", swing)
    pieces = [piece.solid.translate(tuple(at)) for piece, at in zip(body.pieces, body.places, strict=True)]
    found = manifold3d.Manifold.batch_boolean(pieces, manifold3d.OpType.Add).volume()
    assert volume(0.0) * (1.0 - 1e-9) <= found <= volume(EXCESS_MM)


def holds(body: Body, places: Array) -> npt.NDArray[np.bool_]:
    """Which places (n, 3) lie in one of a body's pieces or within a millionth of a millimetre of it."""
    held = np.zeros(len(places), dtype=bool)
    for piece, at in zip(body.pieces, body.places, strict=True):
        left = np.flatnonzero(~held)
        own = places[left] - at
        if isinstance(piece, Bar):
            along = own @ piece.axis
            across = np.linalg.norm(own - along[:, None] * piece.axis, axis=1)
            inside = (np.abs(along) <= piece.half_mm + INSIDE_MM) & (across <= piece.radius_mm + INSIDE_MM)
        elif piece.ball_mm > 0.0:
            inside = np.array([_near_core(piece, place) for place in own], dtype=bool)
        else:
            assert piece.triangles is not None
            a, b, c = (piece.points_mm[piece.triangles[:, k]] for k in range(3))
            normals = np.cross(b - a, c - a)
            length = np.linalg.norm(normals, axis=1)
            normals = normals[length > 1e-9] / length[length > 1e-9, None]
            inside = np.all(own @ normals.T <= (piece.points_mm @ normals.T).max(axis=0) + INSIDE_MM, axis=1)
        held[left[inside]] = True
    return held


def _near_core(piece: Hull, place: Array) -> bool:
    """Whether some point of the core is within the ball's radius of a place; the point found is the proof."""
    low, high = piece.box_mm
    if np.any(place < low - INSIDE_MM) or np.any(place > high + INSIDE_MM):
        return False
    speck = segment_piece(place, place, 0.0)[0]
    one, other = nearest_points(piece, speck, place)
    return float(np.linalg.norm(other - one)) <= piece.ball_mm + INSIDE_MM


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("slides", [False, True])
def test_no_sweep_misses_any_of_ten_thousand_places(kind: str, slides: bool) -> None:
    # 8 x 25 motions x 50 places: ends, edges and insides of the part, at the ends and anywhere between
    rng = np.random.default_rng(82)
    for _ in range(25):
        motion = Motion(rng, kind, slides=slides)
        body = swept_body([motion.solid], motion.pose, motion.motion)
        points = motion.shape.probes(50, rng)
        times = np.where(
            np.arange(50) % 5 < 2,
            (motion.start, motion.end)[int(rng.integers(2))],
            rng.uniform(motion.start, motion.end, 50),
        )
        carried = np.array([motion.carry(point, when) for point, when in zip(points, times, strict=True)])
        assert holds(body, carried).all()
        assert not holds(body, carried + vec(np.array(body.hi_mm) - body.lo_mm)).any()  # the probe itself can fail
