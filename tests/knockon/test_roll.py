"""Many pairs judged at once against one pair at a time, and homes left out against all of them kept."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from garage import catalog, job, mover, part, space, vehicle, wall
from random_vehicles import random_case

from planner.knockon import homes
from planner.knockon.asked import asked_by
from planner.knockon.budget import Budget
from planner.knockon.conflicts import PairRules, rules_for
from planner.knockon.homes import HomeSearch
from planner.knockon.link_bill import LinkBill
from planner.knockon.placed import Placed, place, placed_at
from planner.knockon.roll import Roll
from planner.model.job import Add, Job
from planner.model.shapes import Box, Cylinder, Direction, Pose, Solid
from planner.model.vehicle import Component, Freedom, Keeps, Relation, Room, RoomNeed, Vehicle


def random_solids(rng: Random) -> tuple[Solid, ...]:
    def size() -> float:
        return float(rng.randint(3, 12) * 10)

    sort = rng.choice(["box", "box", "round", "round", "slant", "two"])
    upright = Box(size_mm=(size(), size(), size()))
    match sort:
        case "round":
            return (Cylinder(across_mm=size(), length_mm=size(), along=rng.choice(["x", "y", "z"])),)
        case "slant":
            return (Box(size_mm=upright.size_mm, pose=Pose(turn_deg=(0.0, rng.choice([30.0, 90.0]), 0.0))),)
        case "two":
            return (upright, Cylinder(across_mm=40.0, length_mm=90.0, along="y", pose=Pose(at_mm=(60.0, 0.0, 20.0))))
        case _:
            return (upright,)


def random_parts(rng: Random) -> list[Component]:
    """Parts that may overlap or stand too close from the start, some of them bound to each other."""
    parts = [wall()]
    for n in range(6):
        facts: dict[str, object] = {"keep_clear_mm": rng.choice([0.0, 5.0, 20.0])}
        if rng.random() < 0.3:
            side = rng.choice(list(Direction))
            facts["rooms"] = (Room(name="use", needed=RoomNeed.ALWAYS, side=side, depth_mm=40.0),)
        if n and rng.random() < 0.3:
            facts["touches"] = (f"p{n - 1}",)
        on = rng.choice(["wall", *(p.id for p in parts[1:])])
        at = (rng.uniform(20, 200), rng.uniform(-200, 200), rng.uniform(200, 500))
        rides = rng.random() < 0.2
        parts.append(part(f"p{n}", at, (1, 1, 1), on=on, solids=random_solids(rng), rides=rides, **facts))  # type: ignore[arg-type]
    return parts


def random_rules(seed: int) -> tuple[PairRules, list[Placed], Random]:
    rng = Random(f"roll {seed}")
    parts = random_parts(rng)
    v = vehicle(parts, relations=[Relation(id="r", part="p0", keeps=Keeps.ABOVE, of="p1", by_mm=10.0)])
    new = part("new", (100.0, 0.0, 300.0), (80.0, 80.0, 80.0))
    asked = asked_by(v, job(Add(component=new)))
    return rules_for(v, asked, catalog()), [place(c) for c in asked.base.values()], rng


def moved(rng: Random, placed: Placed) -> Placed:
    x, y, z = placed.part.pose.at_mm
    by = [float(rng.choice([0, 0, 5, 10, -20, 40, -70, 100])) for _ in range(3)]
    turn = (0.0, 0.0, rng.choice([0.0, 0.0, 0.0, 90.0, 35.0]))
    return placed_at(placed, Pose(at_mm=(x + by[0], y + by[1], z + by[2]), turn_deg=turn))


@pytest.mark.parametrize("seed", range(12))
def test_many_pairs_at_once_are_judged_as_one_by_one(seed: int) -> None:
    rules, here, rng = random_rules(seed)
    roll = Roll(rules, Budget())
    pairs = []
    for _ in range(150):
        a, b = rng.sample(here, 2)
        pairs.append((moved(rng, a), moved(rng, b)))
    numbers = np.array([[roll.number(a), roll.number(b)] for a, b in pairs])
    plain, unsure = roll.plainly(numbers[:, 0], numbers[:, 1])
    expected = [rules.broken(a, b) for a, b in pairs]
    assert roll.conflicts(numbers[:, 0], numbers[:, 1]).tolist() == expected
    assert not (plain & unsure).any()
    assert all(e for e, p in zip(expected, plain.tolist(), strict=True) if p)
    assert not any(e for e, p, u in zip(expected, plain.tolist(), unsure.tolist(), strict=True) if not p and not u)
    assert 8 < sum(expected) < 140


def test_plainly_barred_places_are_barred() -> None:
    assert sum(barred_places(seed) for seed in range(8)) >= 40


def barred_places(seed: int) -> int:
    """How many of some random places of a part are plainly barred; each of them is, by the rules."""
    rules, here, rng = random_rules(seed)
    roll = Roll(rules, Budget())
    others = np.array([roll.number(p) for p in here if p.part.id != "p3"])
    mine = next(p for p in here if p.part.id == "p3")
    at = np.array([[rng.uniform(0, 250), rng.uniform(-250, 250), rng.uniform(150, 550)] for _ in range(60)])
    template = place(Component(**{**_facts(mine.part), "pose": Pose()}))
    found = roll.plainly_barred(template, at, others)
    for row, barred in zip(at, found.tolist(), strict=True):
        there = placed_at(template, Pose(at_mm=(float(row[0]), float(row[1]), float(row[2]))))
        assert not barred or any(rules.broken(there, p) for p in here if p.part.id != "p3")
    return int(found.sum())


def _facts(part_: Component) -> dict[str, object]:
    return {name: getattr(part_, name) for name in part_.__dataclass_fields__}


def search_for(v: Vehicle, j: Job) -> HomeSearch:
    asked = asked_by(v, j)
    return HomeSearch(asked, rules_for(v, asked), catalog(), j.hour_worth)


def test_homes_left_out_cost_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same least cost and the same bound when every home is kept in the model."""
    cases = [random_case(seed) for seed in range(200, 240)]
    thinned = [search_for(*case).run(60.0) for case in cases]
    offered: list[int] = []

    def all_kept(options: dict[str, tuple[object, ...]], *_: object, **__: object) -> dict[str, np.ndarray]:
        offered.append(sum(len(o) for o in options.values()))
        return {p: np.ones(len(o), dtype=bool) for p, o in options.items()}

    monkeypatch.setattr(homes, "worth_offering", all_kept)
    whole = [search_for(*case).run(60.0) for case in cases]
    assert [(a.cost, a.bound, a.proof) for a in thinned] == [(a.cost, a.bound, a.proof) for a in whole]
    assert max(offered) > 50


def test_contact_counts_what_a_part_keeps_beyond_its_space() -> None:
    """A sill 10 mm under the space counts for a part that keeps 25 mm: its home is 25 mm above it, off the grid."""
    sill = part("sill", (60.0, 0.0, 640.0), (100.0, 400.0, 80.0), freedom=Freedom.STAYS)
    lamp = part("lamp", (60.0, 0.0, 835.0), (100.0, 400.0, 60.0), freedom=Freedom.STAYS)
    cube = mover("cube", (60.0, 0.0, 300.0), (100.0, 100.0, 60.0), keep_clear_mm=25.0)
    shelf = space("shelf", (60.0, 0.0, 760.0), (100.0, 100.0, 140.0), step=100.0)
    v = vehicle([wall(), sill, lamp, cube], spaces=[shelf])
    answer = search_for(v, job(Add(component=part("new", (60.0, 0.0, 300.0), (60.0, 60.0, 60.0))))).run(60.0)
    # Between sill (680) and lamp (805) there are 125 mm: 60 mm and 25 mm on both sides leave 735 to 750.
    assert 735.0 <= answer.placed["cube"].part.pose.at_mm[2] <= 750.0


def test_bill_of_a_shift_is_that_of_the_whole() -> None:
    """Links priced part by part cost what they cost together, on answers of random vehicles."""
    compared = 0
    for seed in range(240, 290):
        search = search_for(*random_case(seed))
        answer = search.run(60.0)
        for chosen in answer.chosen.values():
            group = [p.part.id for p in chosen.bundle]
            bill = LinkBill(search.links.facts, answer.placed, group)
            whole = LinkBill(search.links.facts, answer.placed, list(answer.placed))
            put = {i: answer.placed[i] for i in group}
            assert bill.total(put) == whole.total(answer.placed), f"case {seed}"
            compared += bool(bill.total(put))
    assert compared >= 5
