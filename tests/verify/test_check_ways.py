"""The checker of ways out: silent on sound ones, and not on any way with something left out or a leg changed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import box, catalog, job, part, vehicle
from test_ways_by_hand import under_a_shelf
from test_ways_tried import assembly

from planner.knockon import find_knockons
from planner.model.effects import Access, Knockons, Way
from planner.model.job import Job, TakeOff
from planner.model.legs import Leg, StatedWay
from planner.model.shapes import Direction
from planner.model.vehicle import Component, Vehicle
from planner.model.work import WorkList
from planner.verify import check_ways
from planner.work import work_for

Case = tuple[Vehicle, Job, Knockons, WorkList]


def case(parts: list[Component], off: str) -> Case:
    car, asked = vehicle(parts), job(TakeOff(part=off))
    found = find_knockons(car, asked, catalog())
    return car, asked, found, work_for(car, asked, found, catalog())


def with_ways(found: Case, body: str, *ways: Way) -> tuple[str, ...]:
    car, asked, knockons, work = found
    access = {**knockons.access, body: replace(knockons.access[body], ways=ways)}
    return check_ways(car, asked, replace(knockons, access=access), work)


@pytest.mark.parametrize("seed", range(30))
def test_every_blocker_left_out_is_missed(seed: int) -> None:
    _, parts, _ = assembly(seed)
    found = case(parts, "p0")
    assert check_ways(*found) == ()
    for body, access in found[2].access.items():
        for number, way in enumerate(access.ways):
            for blocker in way.blockers:
                less = replace(way, blockers=way.blockers - {blocker})
                ways = (*access.ways[:number], less, *access.ways[number + 1 :])
                told = with_ways(found, body, *ways)
                assert any(f"runs into `{blocker}`" in t for t in told), (seed, body, way)


def test_a_first_move_too_short_is_seen() -> None:
    found = case(under_a_shelf(), "block")
    assert check_ways(*found) == ()
    [way] = found[2].access["block"].ways
    assert with_ways(found, "block", replace(way, first=(Leg(direction=Direction.FORWARDS, mm=35.0),))) == (
        "`block` is to come out forwards, then up and runs into `shelf`, which the way does not name",
    )
    assert with_ways(found, "block", replace(way, first=())) != ()
    assert with_ways(found, "block", replace(way, first=(Leg(direction=Direction.LEFT, mm=40.0),))) != ()
    far = replace(way, first=(Leg(direction=Direction.FORWARDS, mm=140.0),))
    assert any("runs into `panel`" in t for t in with_ways(found, "block", far))


def test_steps_that_take_no_notice_of_the_ways_are_seen() -> None:
    lid = part("lid", (-100, 0, 95), (60, 100, 10), on=None)
    car, asked, knockons, work = case([*under_a_shelf(), lid], "block")
    assert check_ways(car, asked, knockons, work) == ()
    block = work.features["block"]
    assert block.turn_off is not None
    careless = replace(block, turn_off=replace(block.turn_off, ways=()))
    told = check_ways(car, asked, knockons, replace(work, features={**work.features, "block": careless}))
    assert told == ("`block` may be taken out or put in while something stands in every one of its ways",)


def test_the_owners_word_is_kept() -> None:
    stated = (StatedWay(direction=Direction.UP, first=(Leg(direction=Direction.FORWARDS, mm=20.0),)),)
    parts = [replace(p, way_out=stated) if p.id == "block" else p for p in under_a_shelf()]
    found = case(parts, "block")
    assert check_ways(*found) == ()
    [way] = found[2].access["block"].ways
    assert way.stated
    assert any("owner says another way" in t for t in with_ways(found, "block", replace(way, first=())))
    plain = case(under_a_shelf(), "block")
    assert any("says nothing" in t for t in with_ways(plain, "block", replace(way, stated=True)))
    # even a stated way must name what can come off
    lamp = part("lamp", (0, 0, 0), (1, 1, 1), on=None, solids=(box((60, 20, 20), (-80, 0, 90)),))
    found = case([*parts, lamp], "block")
    [way] = found[2].access["block"].ways
    assert way.blockers == {"lamp"}
    assert with_ways(found, "block", replace(way, blockers=frozenset())) != ()


def test_a_body_that_is_nowhere_is_seen() -> None:
    car, asked, knockons, work = case(under_a_shelf(), "block")
    lost = {**knockons.access, "ghost": Access(body="ghost", ways=())}
    assert check_ways(car, asked, replace(knockons, access=lost), work) == ("`ghost` has ways out and is nowhere",)
