"""The five traps that signed distances are known to fall into, each by name."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from space_cases import KINDS, random_pose, random_solid, vec
from space_referee import Shape

import planner.space
from planner.model.shapes import Box, Cylinder, Outline, Pose, Solid, Tube
from planner.space import are_closer, closer_than, gap, merged, place_words, shifted, solid_body
from planner.space import distance as distance_module
from planner.space import separation as separation_module

Array = npt.NDArray[np.float64]

EXACT_MM = 0.01  # the precision promised
CONTACTS = ("face", "edge", "corner")
FLUSH = [(a, b, contact) for a in KINDS for b in KINDS for contact in CONTACTS]


def frame_about(way: Array, rng: np.random.Generator) -> Array:
    """A right-handed frame (3, 3), in columns, whose last axis is ``way``, turned anyhow about it."""
    first = np.cross(way, rng.normal(size=3))
    first /= np.linalg.norm(first)
    return np.column_stack([first, np.cross(way, first), way])


def pose_of(frame: Array, at: Array) -> Pose:
    """The pose that turns x, y, z into the columns of ``frame`` (R = Rz Ry Rx, solved for its angles)."""
    about_y = -math.asin(max(-1.0, min(1.0, float(frame[2, 0]))))
    about_x = math.atan2(frame[2, 1], frame[2, 2])
    about_z = math.atan2(frame[1, 0], frame[0, 0])
    return Pose(at_mm=vec(at), turn_deg=vec(np.degrees([about_x, about_y, about_z])))


def face_normal(shape: Shape, rng: np.random.Generator) -> Array:
    """A direction square to a flat side of the solid; of a tube, one square to its length."""
    solid = shape.solid
    if isinstance(solid, Tube):
        along = shape.turn @ (np.array(solid.through_mm[1]) - np.array(solid.through_mm[0]))
        return frame_about(along / np.linalg.norm(along), rng)[:, 0]
    own = np.array([0.0, 0.0, 1.0])
    if isinstance(solid, Box):
        own = np.eye(3)[int(rng.integers(3))]
    if isinstance(solid, Outline) and rng.uniform() < 0.6:
        points = np.array(solid.points_mm)
        k = int(rng.integers(len(points)))
        side = points[(k + 1) % len(points)] - points[k]
        own = np.array([side[1], -side[0], 0.0]) / math.hypot(*side)
        own *= np.sign(own[:2] @ (points[k] - points.mean(axis=0)))
    way: Array = shape.turn @ own * (1.0 if isinstance(solid, Outline) else rng.choice([-1.0, 1.0]))
    return way


def flush(
    rng: np.random.Generator, kinds: tuple[str, str], contact: str, *, square: bool
) -> tuple[tuple[Solid, Pose], ...]:
    """Two solids that share a point and no more: a face of the first carries a face, edge or corner of the second.

    ``square``: the whole stands along the vehicle's axes, otherwise anyhow.
    """
    first, second = (dataclasses.replace(random_solid(rng, kind), pose=Pose()) for kind in kinds)
    pose_a = (
        Pose(at_mm=vec(rng.uniform(-500, 500, 3)), turn_deg=vec(rng.integers(-2, 3, 3) * 90.0))
        if square
        else random_pose(rng, 500.0)
    )
    a = Shape(first, pose_a)
    way = face_normal(a, rng)
    turn = _second_frame(Shape(second), way, rng, contact)
    b = Shape(second, pose_of(turn, np.zeros(3)))
    at = a.tip(way, rng) - b.tip(-way, rng)
    return (first, pose_a), (second, pose_of(turn, at))


def _second_frame(shape: Shape, way: Array, rng: np.random.Generator, contact: str) -> Array:
    """How the second solid is turned: a face, an edge or any point of it towards the first one's face."""
    if contact == "corner":
        return frame_about(vec_of(rng), rng)
    # its own direction that is to look down, and the vehicle direction it is to get
    own = -face_normal(shape, rng)
    if contact == "edge":
        # an edge lies flush when the solid rolls about a line square to its face's normal
        lean = rng.uniform(0.2, 1.3)
        beside = frame_about(own, rng)[:, 0] if not isinstance(shape.solid, Box) else np.roll(own, 1)
        own = math.cos(lean) * own + math.sin(lean) * beside
    return frame_about(way, rng) @ frame_about(own, rng).T


def vec_of(rng: np.random.Generator) -> Array:
    way: Array = rng.normal(size=3)
    return way / np.linalg.norm(way)


def _wrong_flush(seed: int, count: int) -> list[tuple[int, tuple[str, str, str], float]]:
    rng = np.random.default_rng(seed)
    wrong, pairs = [], []
    for k in range(count):
        case = FLUSH[k % len(FLUSH)]
        (first, pose_a), (second, pose_b) = flush(rng, case[:2], case[2], square=bool(k // len(FLUSH) % 2))
        a, b = solid_body([first], pose_a), solid_body([second], pose_b)
        mm = gap(a, b).mm
        pairs.append((a, b))
        if abs(mm) > EXACT_MM or closer_than(a, b, 0.0) or not closer_than(a, b, 0.03):
            wrong.append((k, case, mm))
    assert not any(are_closer(pairs, 0.0))
    assert all(are_closer(pairs, 0.03))
    return wrong


def test_trap_1_exactly_flush_contacts() -> None:
    assert _wrong_flush(51, 1440) == []


@pytest.mark.slow
def test_trap_1_eight_thousand_exactly_flush_contacts() -> None:
    assert _wrong_flush(52, 8000) == []


def test_trap_1_is_one_for_the_library_by_itself() -> None:
    # were the guard to take the library's word, contacts would be wrong: the answer must come from support values
    source = Path(separation_module.__file__).read_text(encoding="utf-8")
    assert "_proved(" in source
    assert "enable_signed_distance=False" in source


def test_trap_2_contact_depths_of_the_library_are_never_asked_for() -> None:
    for file in Path(planner.space.__file__).parent.glob("*.py"):
        text = file.read_text(encoding="utf-8")
        for word in (
            "fcl.collide",
            "CollisionRequest",
            "ContinuousCollision",
            "penetration",
            "enable_signed_distance=True",
        ):
            assert word not in text, (file.name, word)


def test_trap_3_wholly_inside_is_an_overlap_with_its_true_depth() -> None:
    # out by the shortest way: through the nearest face, and by the own half size beyond it
    rng = np.random.default_rng(53)
    for _ in range(300):
        size = rng.uniform(60.0, 300.0, 3)
        inner = rng.uniform(1.0, 20.0, 3)
        at = rng.uniform(-0.5, 0.5, 3) * (size - inner)
        depth = float(((size + inner) / 2.0 - np.abs(at)).min())
        whole = random_pose(rng, 800.0)
        a = solid_body([Box(size_mm=vec(size))], whole)
        b = solid_body([Box(size_mm=vec(inner), pose=Pose(at_mm=vec(at)))], whole)
        for one, other in ((a, b), (b, a)):
            assert gap(one, other).mm == pytest.approx(-depth, abs=EXACT_MM)
            assert closer_than(one, other, -depth + 0.02)
            assert not closer_than(one, other, -depth)
            assert are_closer([(one, other)] * 2, [-depth + 0.02, -depth]) == [True, False]


@pytest.mark.parametrize("kind", KINDS)
def test_trap_3_a_bead_inside_every_kind_of_solid(kind: str) -> None:
    rng = np.random.default_rng(54)
    for _ in range(40):
        solid, pose = random_solid(rng, kind), random_pose(rng, 300.0)
        shape = Shape(solid, pose)
        place = (
            shape.at if kind != "prism" else shape.turn @ np.array([*np.mean(solid.points_mm, axis=0), 0.0]) + shape.at
        )
        bead = solid_body([Tube(across_mm=2.0, through_mm=(vec(place), vec(place)))], Pose())
        assert gap(solid_body([solid], pose), bead).mm < -1.0
        assert are_closer([(solid_body([solid], pose), bead)], -1.0 + 0.02) == [True]


def test_trap_4_depth_and_place_are_sensible() -> None:
    rng = np.random.default_rng(55)
    met = 0
    for k in range(400):
        solids = [random_solid(rng, KINDS[(k + n) % 4]) for n in (0, k // 4)]
        a, b = (solid_body([solid], random_pose(rng, 40.0)) for solid in solids)
        found = gap(a, b)
        if found.mm > -0.05:
            continue
        met += 1
        depth, way = -found.mm, np.array(found.normal)
        assert np.linalg.norm(way) == pytest.approx(1.0, abs=1e-6)
        assert (
            depth
            <= min(
                min(h - low for h, low in zip(one.hi_mm, other.lo_mm, strict=True)) for one, other in ((a, b), (b, a))
            )
            + EXACT_MM
        )  # no deeper than their boxes
        # just so far along its normal clears them; less far does not
        assert not closer_than(a, shifted(b, vec(way * depth)), 0.0)
        assert closer_than(a, shifted(b, vec(way * (depth - 0.03))), 0.0)
        low, high = np.maximum(a.lo_mm, b.lo_mm), np.minimum(a.hi_mm, b.hi_mm)
        assert np.all(np.array(found.at_mm) >= low - 0.5)
        assert np.all(np.array(found.at_mm) <= high + 0.5)
        assert place_words(a, found.at_mm)
    assert met > 100


def test_trap_5_many_pieces_are_not_all_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    tried = []
    true = distance_module.nearer_than

    def counted(*pair: object) -> object:
        tried.append(pair)
        return true(*pair)

    monkeypatch.setattr(distance_module, "nearer_than", counted)
    rng = np.random.default_rng(56)
    ball = [
        Tube(across_mm=6.0, through_mm=(vec(p), vec(p + rng.normal(size=3) * 4.0)))
        for p in rng.normal(size=(400, 3)) * 60.0
    ]
    a = solid_body(ball, Pose())
    b = shifted(a, (700.0, 20.0, -30.0))
    apart = gap(a, b).mm
    assert apart > 100.0
    assert len(tried) < 40  # of 160,000
    tried.clear()
    # two poles far enough apart that nothing needs a closer look
    assert not closer_than(a, b, apart - 60.0)
    assert len(tried) < 40
    assert closer_than(a, b, apart + 0.1)


def test_trap_5_the_place_of_an_overlap_is_the_middle_of_what_is_shared() -> None:
    # a bar of radius 20 and half length 50 along z whose lower end stands 4 mm in a block's top at z = 30
    block = solid_body([Box(size_mm=(200.0, 120.0, 60.0))], Pose())
    bar = solid_body([Cylinder(across_mm=40.0, length_mm=100.0)], Pose(at_mm=(50.0, -20.0, 76.0)))
    found = gap(block, bar)
    assert found.mm == pytest.approx(-4.0, abs=EXACT_MM)
    assert found.at_mm == pytest.approx((50.0, -20.0, 28.0), abs=0.05)
    both = merged([block, shifted(block, (0.0, 0.0, 500.0))])
    assert gap(both, bar).at_mm == pytest.approx((50.0, -20.0, 28.0), abs=0.05)
