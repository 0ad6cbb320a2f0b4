"""Parts that may be made anew in another shape."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import pytest
from garage import catalog, job, link, mover, part, space, vehicle, wall

from planner.knockon import find_knockons
from planner.knockon.remakes import cut_down, sizes_of, volume_mm3
from planner.model.effects import EffectKind, Knockons, Proof
from planner.model.job import Add, Job
from planner.model.shapes import Box, Direction
from planner.model.vehicle import Component, Freedom, Remake, Room, RoomNeed, Vehicle
from planner.verify import check_homes

CUBE = (150.0, 150.0, 150.0)
PORTS = {"top": (0.0, 0.0, 75.0), "side": (0.0, -75.0, -30.0), "spout": (0.0, 0.0, 95.0)}
THREE = Remake(volume_mm3=3e6, least_mm=(60.0, 60.0, 60.0))


def tank(**more: object) -> Component:
    facts: dict[str, object] = {"off_min": 5, "on_min": 5, "make_min": 90, "ports_mm": PORTS, "remake": THREE}
    return mover("tank", (85, 0, 500), CUBE, **{**facts, **more})


def odd_space(remade: Component, block_min: int) -> tuple[Vehicle, Job]:
    """A shelf too shallow for the tank as it is, with a block in the middle of it."""
    block = mover("block", (60, 300, 800), (100, 100, 100), off_min=block_min, on_min=block_min)
    shelf = space("shelf", (60, 300, 800), (100, 600, 200), takes=("tank",))
    far = space("far", (60, -700, 300), (100, 100, 100), takes=("block",))
    hose = link("hose", "tank.top", "block", remake_min=5)
    v = vehicle([wall(), remade, block], spaces=[shelf, far], links=[hose])
    return v, job(Add(component=part("bar", (85, 0, 500), (60, 100, 40))))


def made(told: Knockons) -> tuple[float, float, float]:
    [solid] = told.after["tank"].solids
    assert isinstance(solid, Box)
    return solid.size_mm


def test_made_anew_beside_the_block() -> None:
    v, j = odd_space(tank(), 100)
    told = find_knockons(v, j, catalog())
    assert told.proof is Proof.PROVED
    assert check_homes(v, j, told) == ()
    size = made(told)
    assert math.prod(size) >= 3e6
    assert "block" not in told.homes
    [effect] = [e for e in told.effects if e.subject == "tank" and e.kind is EffectKind.REMADE]
    assert "is made anew as 100 mm x 150 mm x 200 mm (3.0 l)" in effect.text
    # 10 min off and on, 90 min to make it, 7 min for the hose, which follows; a trifle for the distance.
    assert told.cost == 108
    top, side, spout = (told.after["tank"].ports_mm[p] for p in ("top", "side", "spout"))
    assert top == (0.0, 0.0, size[2] / 2)
    assert side == (0.0, -size[1] / 2, -30.0 / 75.0 * size[2] / 2)
    assert spout == (0.0, 0.0, size[2] / 2 + 20.0)


def test_without_that_freedom_there_is_no_answer() -> None:
    v, j = odd_space(tank(remake=None), 100)
    assert find_knockons(v, j, catalog()).proof is Proof.NONE


def test_part_that_only_comes_off_may_still_be_made_anew() -> None:
    v, j = odd_space(tank(freedom=Freedom.COMES_OFF), 100)
    told = find_knockons(v, j, catalog())
    assert told.proof is Proof.PROVED
    assert check_homes(v, j, told) == ()


def test_neighbour_is_moved_where_that_is_needed() -> None:
    """Nine litres only fit when the block makes room."""
    v, j = odd_space(tank(remake=replace(THREE, volume_mm3=9e6)), 2)
    told = find_knockons(v, j, catalog())
    assert told.proof is Proof.PROVED
    assert check_homes(v, j, told) == ()
    assert math.prod(made(told)) >= 9e6
    assert "block" in told.homes


def test_a_cheaper_way_than_making_it_is_taken() -> None:
    v, j = odd_space(tank(), 100)
    fits = space("fits", (85, 700, 500), CUBE, takes=("tank",))
    told = find_knockons(replace(v, spaces={**v.spaces, "fits": fits}), j, catalog())
    assert told.after["tank"].solids == tank().solids
    assert told.homes["tank"].at_mm == (85, 700, 500)


def test_keep_clear_and_working_room_are_kept_free() -> None:
    room = Room(name="cap off", needed=RoomNeed.ALWAYS, side=Direction.RIGHT, depth_mm=70.0)
    v, j = odd_space(tank(keep_clear_mm=12.0, rooms=(room,), touches=("bar",)), 100)
    told = find_knockons(v, j, catalog())
    assert told.proof is Proof.PROVED
    assert check_homes(v, j, told) == ()


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"solids": (Box(size_mm=(50.0, 50.0, 50.0)),)}, "must hold 3.00 l"),
        ({"ports_mm": {**PORTS, "top": (0.0, 0.0, 0.0)}}, "port `top`"),
        ({"solids": (Box(size_mm=(100.0, 150.0, 900.0)),)}, "sticks out"),
        ({"solids": (Box(size_mm=(2000.0, 50.0, 50.0)),)}, "60 mm is the least"),
    ],
)
def test_checker_sees_a_wrong_shape(change: dict[str, object], word: str) -> None:
    v, j = odd_space(tank(), 100)
    told = find_knockons(v, j, catalog())
    wrong = replace(told, after={**told.after, "tank": replace(told.after["tank"], **change)})  # type: ignore[arg-type]
    assert any(word in line for line in check_homes(v, j, wrong))


def test_checker_sees_a_part_that_may_not_be_made_anew() -> None:
    v, j = odd_space(tank(), 100)
    told = find_knockons(v, j, catalog())
    plain = replace(v, components={**v.components, "tank": tank(remake=None)})
    assert any("which it may not be" in line for line in check_homes(plain, j, told))


@pytest.mark.parametrize("seed", range(60))
def test_cut_down_is_no_larger_than_needed(seed: int) -> None:
    """It still holds enough, lies in what it was cut from, and no side that was cut could be 5 mm shorter."""
    rng = Random(seed)
    size = [rng.uniform(60, 600) for _ in range(3)]
    box = ((0.0, 0.0, 0.0), (size[0], size[1], size[2]))
    thick = rng.choice([0.0, 1.5])
    least = rng.choice([10.0, 60.0])
    most = volume_mm3((size[0], size[1], size[2]), thick)
    need = Remake(volume_mm3=rng.uniform(0.05, 1.0) * most, least_mm=(least, least, least), thick_mm=thick)
    against = rng.choice([None, (2, -1), (0, 1)])
    cut = cut_down(box, need, (rng.uniform(-300, 900), 0.0, 100.0), against)
    after = sizes_of(cut)
    assert volume_mm3(after, thick) >= need.volume_mm3 * (1 - 1e-9)
    assert all(box[0][i] - 1e-6 <= cut[0][i] and cut[1][i] <= box[1][i] + 1e-6 for i in range(3))
    assert all(s >= least - 1e-6 for s in after)
    if against is not None:
        axis, side = against
        assert cut[0 if side < 0 else 1][axis] == pytest.approx(box[0 if side < 0 else 1][axis])
    for i in range(3):
        if after[i] < size[i] - 1e-6 and after[i] - 5.0 >= least:
            shorter = [s - 5.0 if n == i else s for n, s in enumerate(after)]
            assert volume_mm3((shorter[0], shorter[1], shorter[2]), thick) < need.volume_mm3
