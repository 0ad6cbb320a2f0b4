"""First moves aside: the least travel, by hand and by trying every millimetre."""

from __future__ import annotations

import numpy as np
import pytest
from space_cases import KINDS, random_pose, random_solid, vec

from planner.model.shapes import Box, Cylinder, Direction, Pose, Solid, Vec
from planner.space import Body, Crowd, Detour, Passage, Wish, blocked_all, detours, solid_body

WAYS = list(Direction)
FIRST_MM, OUT_MM = 60.0, 200.0


def at(solid: Solid, *place: float, turn: Vec = (0.0, 0.0, 0.0)) -> Body:
    return solid_body([solid], Pose(at_mm=place, turn_deg=turn))


def ways_of(bodies: dict[str, Body], name: str, never: frozenset[str] = frozenset()) -> list[Detour]:
    wish = Wish(name, lambda _: FIRST_MM, lambda _: OUT_MM)
    [found] = detours(Crowd(bodies), [wish], lambda _, other: other in never)
    return found


CUBE = Box(size_mm=(100.0, 100.0, 100.0))


def test_the_least_travel_from_under_a_lip() -> None:
    bodies = {
        "a": at(CUBE, 0.0, 0.0, 0.0),
        "lip": at(Box(size_mm=(30.0, 300.0, 10.0)), 50.0, 0.0, 60.0),  # from 35 on
        "side": at(Box(size_mm=(300.0, 10.0, 300.0)), 0.0, 60.0, 0.0),
        "other side": at(Box(size_mm=(300.0, 10.0, 300.0)), 0.0, -60.0, 0.0),
        "floor": at(Box(size_mm=(300.0, 300.0, 10.0)), 0.0, 0.0, -55.0),
        "back": at(Box(size_mm=(10.0, 300.0, 300.0)), 70.0, 0.0, 0.0),
    }
    found = ways_of(bodies, "a", frozenset({"floor", "back"}))
    assert found[0] == Detour(Direction.FORWARDS, 15.0, Direction.UP, frozenset())


def test_a_round_part_clears_a_round_edge_where_the_chords_say() -> None:
    # bars of radius 25 and 20 along z, 30 apart in y: clear in x from sqrt(45^2 - 30^2) = 33.54 on
    bodies = {
        "a": at(Cylinder(across_mm=50.0, length_mm=80.0), 0.0, 0.0, 0.0),
        "post": at(Cylinder(across_mm=40.0, length_mm=80.0), 0.0, 30.0, 100.0),
    }
    wish = Wish("a", lambda d: FIRST_MM if d is Direction.FORWARDS else 1.0, lambda _: OUT_MM)
    cage = Box(size_mm=(400.0, 10.0, 400.0))
    bodies |= {
        "left": at(cage, 0.0, -60.0, 0.0),
        "right": at(cage, 0.0, 60.0, 0.0),
        "under": at(Box(size_mm=(400.0, 400.0, 10.0)), 0.0, 0.0, -70.0),
        "front": at(Box(size_mm=(10.0, 400.0, 80.0)), -90.0, 0.0, 0.0),
        "rear": at(Box(size_mm=(10.0, 400.0, 400.0)), 60.0, 0.0, 0.0),
    }
    [ways] = detours(Crowd(bodies), [wish], lambda _, other: other != "post")
    assert ways[0] == Detour(Direction.FORWARDS, 34.0, Direction.UP, frozenset())


def test_a_round_part_slides_along_a_round_one_it_touches() -> None:
    # two bars along x, one leaning on the other at 53.13 degrees: 3-4-5, the middles 50 apart
    bar = Cylinder(across_mm=50.0, length_mm=80.0, along="x")
    bodies = {
        "a": at(bar, 0.0, 0.0, 0.0),
        "rest": at(Cylinder(across_mm=50.0, length_mm=400.0, along="x"), 0.0, 30.0, -40.0),
        "over": at(Box(size_mm=(80.0, 80.0, 10.0)), 30.0, 0.0, 40.0),  # from -10 on
    }
    wish = Wish("a", lambda d: FIRST_MM if d is Direction.FORWARDS else 0.5, lambda _: OUT_MM)
    [found] = detours(Crowd(bodies), [wish], lambda _, other: other == "over")
    assert found == [Detour(Direction.FORWARDS, 50.0, Direction.UP, frozenset())]


@pytest.mark.parametrize("seed", range(12))
def test_no_way_of_two_legs_is_better_than_those_found(seed: int) -> None:
    """Every first move by whole millimetres is tried with the exact check of single legs."""
    rng = np.random.default_rng(400 + seed)
    bodies = {"a": solid_body([random_solid(rng, KINDS[seed % 4], 120.0)], random_pose(rng, 5.0))}
    for k in range(6):
        away = vec(110.0 * np.array(WAYS[k].vector) + rng.uniform(-40.0, 40.0, 3))
        solid = random_solid(rng, KINDS[int(rng.integers(4))], 160.0)
        bodies[f"b{k}"] = solid_body([solid], Pose(at_mm=away, turn_deg=random_pose(rng, 1.0).turn_deg))
    crowd = Crowd(bodies)
    found = ways_of(bodies, "a")
    turns = [(f, t) for f in WAYS for t in WAYS if not np.dot(f.vector, t.vector)]
    tried = [(first, then, float(mm)) for first, then in turns for mm in np.arange(1.0, FIRST_MM + 0.5)]
    legs = [
        p
        for first, then, mm in tried
        for p in (Passage("a", first, mm), Passage("a", then, OUT_MM, vec(mm * np.array(first.vector))))
    ]
    answers = blocked_all(crowd, legs)
    sets = {one | other for one, other in zip(answers[::2], answers[1::2], strict=True)}
    least = {s for s in sets if not any(t < s for t in sets)}
    straight = set(blocked_all(crowd, [Passage("a", way, OUT_MM) for way in WAYS]))
    new = {s for s in least if not any(t <= s for t in straight)}
    mine = {w.blockers for w in found}
    assert {s for s in new if not any(m <= s for m in mine)} == set()
    for way in found:
        legs = [Passage("a", way.first, way.first_mm),
                Passage("a", way.then, OUT_MM, vec(way.first_mm * np.array(way.first.vector)))]  # fmt: skip
        assert frozenset().union(*blocked_all(crowd, legs)) == way.blockers
        assert way.first_mm == int(way.first_mm)


def test_known_ways_and_what_never_comes_off() -> None:
    bodies = {"a": at(CUBE, 0.0, 0.0, 0.0)}
    for k, way in enumerate(WAYS):
        bodies[f"b{k}"] = at(CUBE, *(120.0 * v for v in way.vector))
    assert ways_of(bodies, "a", frozenset(bodies)) == []
    known = Wish("a", lambda _: FIRST_MM, lambda _: OUT_MM, (frozenset(),))
    assert detours(Crowd(bodies), [known, known], lambda _, __: False) == [[], []]
