"""Ways out and free intervals on puzzles small enough to solve by looking."""

from __future__ import annotations

import numpy as np
import pytest
from space_cases import KINDS, random_pose, random_solid

from planner.model.shapes import Box, Cylinder, Direction, Outline, Pose, Solid, Tube, Vec
from planner.space import Body, blocked_by, closer_than, free_interval, gap, place_words, shifted, solid_body

CUBE = Box(size_mm=(100.0, 100.0, 100.0))


def at(solid: Solid, *place: float, turn: Vec = (0.0, 0.0, 0.0)) -> Body:
    return solid_body([solid], Pose(at_mm=place, turn_deg=turn))


def ways(body: Body, others: dict[str, Body]) -> dict[str, list[str]]:
    return {way.value: sorted(blocked_by(body, way, others)) for way in Direction}


def test_a_part_in_a_box_without_a_lid() -> None:
    wall = Box(size_mm=(10.0, 200.0, 200.0))
    others = {
        "front wall": at(wall, -60.0, 0.0, 0.0),
        "rear wall": at(wall, 55.0, 0.0, 0.0),  # flush
        "left wall": at(wall, 0.0, -70.0, 0.0, turn=(0.0, 0.0, 90.0)),
        "right wall": at(wall, 0.0, 55.0, 0.0, turn=(0.0, 0.0, 90.0)),
        "floor": at(wall, 0.0, 0.0, -55.0, turn=(0.0, 90.0, 0.0)),
    }
    assert ways(at(CUBE, 0.0, 0.0, 0.0), others) == {
        "forwards": ["front wall"],
        "rearwards": ["rear wall"],
        "left": ["left wall"],
        "right": ["right wall"],
        "up": [],
        "down": ["floor"],
    }


def test_all_that_stand_in_line_count_however_far() -> None:
    bar = Cylinder(across_mm=20.0, length_mm=400.0, along="y")
    others = {"near": at(bar, 0.0, 0.0, 100.0), "far": at(bar, 40.0, 0.0, 5000.0), "beside": at(bar, 61.0, 0.0, 100.0)}
    assert blocked_by(at(CUBE, 0.0, 0.0, 0.0), Direction.UP, others) == {"near", "far"}
    assert blocked_by(at(CUBE, 0.0, 0.0, 0.0), Direction.DOWN, others) == frozenset()


@pytest.mark.parametrize("overlap", [0.0, 0.03, 3.0])
def test_a_mounting_does_not_block_the_way_off_it(overlap: float) -> None:
    # the cube sits on a shelf, as measured overlapping it by a little
    shelf = {"shelf": at(Box(size_mm=(400.0, 400.0, 20.0)), 0.0, 0.0, -60.0 + overlap)}
    found = ways(at(CUBE, 0.0, 0.0, 0.0), shelf)
    assert found == {"forwards": [], "rearwards": [], "left": [], "right": [], "up": [], "down": ["shelf"]}


def test_what_overlaps_its_mounting_may_not_go_deeper_elsewhere() -> None:
    step = Outline(  # a shelf with a kerb 8 high at its rear
        points_mm=((-100.0, -70.0), (120.0, -70.0), (120.0, -40.0), (80.0, -40.0), (80.0, -48.0), (-100.0, -48.0)),
        thick_mm=300.0,
        along="y",
    )
    body = at(CUBE, 0.0, 0.0, 0.0)
    assert gap(body, at(step, 0.0, 0.0, 0.0)).mm == pytest.approx(-2.0, abs=0.01)
    found = ways(body, {"step": at(step, 0.0, 0.0, 0.0)})
    assert found["rearwards"] == ["step"]
    assert found["forwards"] == []
    assert found["up"] == []


def test_a_round_part_slides_along_a_face_and_through_a_hole_it_fits() -> None:
    bar = at(Cylinder(across_mm=50.0, length_mm=300.0, along="x"), 0.0, 0.0, 0.0)
    plates = {
        "under": at(Box(size_mm=(2000.0, 100.0, 10.0)), 800.0, 0.0, -30.0),  # flush below it, all the way
        "over": at(Box(size_mm=(2000.0, 100.0, 10.0)), 800.0, 0.0, 30.0),
        "edge": at(Box(size_mm=(5.0, 100.0, 20.0), pose=Pose(at_mm=(0.0, 0.0, 34.9))), 900.0, 0.0, 0.0),
    }
    assert blocked_by(bar, Direction.REARWARDS, plates) == {"edge"}  # reaches 0.1 mm into its way


def test_a_sheet_is_thin_but_in_the_way() -> None:
    sheet = {"sheet": at(Box(size_mm=(300.0, 300.0, 0.9)), 0.0, 0.0, 70.0)}
    assert blocked_by(at(CUBE, 0.0, 0.0, 0.0), Direction.UP, sheet) == {"sheet"}


def test_every_obstacle_of_a_bent_tube_is_found() -> None:
    tube = at(Tube(across_mm=10.0, through_mm=((0, 0, 0), (200, 0, 0), (200, 200, 0))), 0.0, 0.0, 0.0)
    others = {
        "first leg": at(Box(size_mm=(10.0, 10.0, 10.0)), 50.0, 0.0, 90.0),
        "second leg": at(Box(size_mm=(10.0, 10.0, 10.0)), 200.0, 150.0, 90.0),
        "in the bend": at(Box(size_mm=(150.0, 150.0, 10.0)), 100.0, 100.0, 90.0),  # 25..175: clear of both legs
    }
    assert blocked_by(tube, Direction.UP, others) == {"first leg", "second leg"}


def _slow_blocked(body: Body, direction: Direction, other: Body, step: float = 0.25) -> tuple[float, float]:
    """Walk out in small steps and look at the gap each time."""
    way = np.array(direction.vector)
    reach = sum(abs(h - low) for h, low in zip(body.hi_mm, body.lo_mm, strict=True)) + 700.0
    deepest = min(gap(shifted(body, tuple(way * t)), other).mm for t in np.arange(0.0, reach, step))
    return deepest, min(0.0, gap(body, other).mm)


def test_against_walking_out_step_by_step() -> None:
    rng = np.random.default_rng(51)
    counts = {True: 0, False: 0}
    for k in range(48):
        body = solid_body([random_solid(rng, KINDS[k % 4], 80.0)], random_pose(rng, 10.0))
        other = solid_body([random_solid(rng, KINDS[(k // 4) % 4], 80.0)], random_pose(rng, 60.0))
        way = list(Direction)[k % 6]
        deepest, now = _slow_blocked(body, way, other, step=2.0)
        found = bool(blocked_by(body, way, {"other": other}))
        counts[found] += 1
        if deepest < now - 0.1:
            assert found
        elif found:  # the walk may have stepped over a graze: look closer
            deepest, now = _slow_blocked(body, way, other, step=0.05)
            assert deepest < now - 0.04
    assert counts[True] > 4
    assert counts[False] > 4


@pytest.mark.parametrize(
    ("axis", "expected"),
    [(Direction.FORWARDS, 40.0), (Direction.REARWARDS, 160.0), (Direction.UP, 90.0), (Direction.LEFT, 100.0)],
)
def test_free_interval_by_hand(axis: Direction, expected: float) -> None:
    # the other cube stands 60 further rear and 10 lower
    a, b = at(CUBE, 0.0, 0.0, 0.0), at(CUBE, 60.0, 0.0, -10.0)
    assert free_interval(a, b, axis) == pytest.approx(expected, abs=0.01)


def test_free_interval_is_nothing_when_clear_and_jumps_gaps_too_narrow() -> None:
    a = at(CUBE, 0.0, 0.0, 0.0)
    assert free_interval(a, at(CUBE, 0.0, 100.0, 0.0), Direction.RIGHT) == 0.0
    assert free_interval(a, at(CUBE, 0.0, 300.0, 0.0), Direction.RIGHT) == 0.0
    tooth = Box(size_mm=(100.0, 20.0, 100.0))
    comb = [Box(size_mm=tooth.size_mm, pose=Pose(at_mm=(0.0, y, 0.0))) for y in (0.0, 100.0, 260.0)]
    rack = solid_body(comb, Pose())
    # right: the teeth at 0 and 100 leave 80, too little for 100; those at 100 and 260 leave 140: clear when the
    # cube's left face passes y = 110, a shift of 160
    assert free_interval(a, rack, Direction.RIGHT) == pytest.approx(160.0, abs=0.01)
    assert free_interval(a, rack, Direction.LEFT) == pytest.approx(60.0, abs=0.01)


def test_free_interval_of_round_parts_by_hand() -> None:
    # two bars of radius 25 along z, 30 apart in y: they touch when 40 apart in x
    bar = Cylinder(across_mm=50.0, length_mm=200.0)
    a, b = at(bar, 0.0, 0.0, 0.0), at(bar, 10.0, 30.0, 0.0)
    assert free_interval(a, b, Direction.REARWARDS) == pytest.approx(50.0, abs=0.01)
    assert free_interval(a, b, Direction.FORWARDS) == pytest.approx(30.0, abs=0.01)


def test_after_the_free_interval_they_just_touch() -> None:
    rng = np.random.default_rng(52)
    for k in range(40):
        a = solid_body([random_solid(rng, KINDS[k % 4])], random_pose(rng, 10.0))
        b = solid_body([random_solid(rng, KINDS[(k // 4) % 4])], random_pose(rng, 30.0))
        way = list(Direction)[k % 6]
        free = free_interval(a, b, way)
        moved = shifted(a, tuple(free * v for v in way.vector))
        assert not closer_than(moved, b, 0.0)
        if free > 0.0:
            assert gap(moved, b).mm == pytest.approx(0.0, abs=0.01)
            assert closer_than(shifted(a, tuple((free - 1.0) * v for v in way.vector)), b, 0.0) or free < 1.0


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ((0, 0, 0), "middle"),
        ((-49, 0, 0), "front face"),
        ((49, 0, 0), "rear face"),
        ((0, -29, 0), "left face"),
        ((0, 29, 0), "right face"),
        ((0, 0, 19), "upper face"),
        ((0, 0, -19), "lower face"),
        ((49, 0, -19), "lower rear edge"),
        ((0, 29, 19), "upper right edge"),
        ((-49, -29, 19), "upper left front corner"),
        ((49, 29, -19), "lower right rear corner"),
        ((-49, 29, 0), "right front edge"),
        ((-60, 0, 0), "front face"),  # just outside, as the middle of a gap is
    ],
)
def test_places_in_words(place: Vec, words: str) -> None:
    assert place_words(at(Box(size_mm=(100.0, 60.0, 40.0)), 0.0, 0.0, 0.0), place) == words


@pytest.mark.parametrize(
    ("size", "place", "words"),
    [
        ((2, 800, 500), (0, 0, 0), "middle"),  # a sheet has no front and rear
        ((2, 800, 500), (1, -390, 240), "upper left corner"),
        ((2, 800, 500), (1, 0, 240), "upper edge"),
        ((900, 8, 8), (-440, 4, 4), "front end"),
        ((900, 8, 8), (10, 4, 4), "middle"),
    ],
)
def test_thin_bodies_have_fewer_sides(size: Vec, place: Vec, words: str) -> None:
    assert place_words(at(Box(size_mm=size), 0.0, 0.0, 0.0), place) == words
