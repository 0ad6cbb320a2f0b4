"""Ways out of assemblies small enough to take apart by looking, and of two products from the literature."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import box, catalog, job, part, vehicle, wall

from planner.knockon import find_knockons, part_facts, ways_told
from planner.knockon.access import access_for
from planner.knockon.scene import standing_scene
from planner.knockon.strip_choice import cheapest_off
from planner.knockon.way_words import going_in, going_out
from planner.model.effects import Access, CauseKind, EffectKind, Way
from planner.model.job import Add, TakeOff
from planner.model.legs import Leg, StatedWay
from planner.model.shapes import Box, Cylinder, Direction, Pose, Vec
from planner.model.vehicle import Component, Freedom

STAYS = Freedom.STAYS
FORWARDS, REARWARDS, UP, DOWN = Direction.FORWARDS, Direction.REARWARDS, Direction.UP, Direction.DOWN


def loose(name: str, *solids: Box | Cylinder, **more: object) -> Component:
    return part(name, (0, 0, 0), (1, 1, 1), **{"on": None, "solids": solids, **more})  # type: ignore[arg-type]


def accesses(parts: list[Component], *wanted: str) -> dict[str, Access]:
    return access_for(standing_scene(vehicle(parts)), wanted or [p.id for p in parts if p.freedom is not STAYS])


def sets(access: Access) -> set[frozenset[str]]:
    return {way.blockers for way in access.ways}


def mm(length: float) -> str:
    return f"{length:g} mm"


def under_a_shelf() -> list[Component]:
    """A block 100 deep whose rear 40 stand under a shelf, between two sides, on a floor; a panel 500 before it."""
    return [
        loose("block", box((100, 100, 100))),
        loose("shelf", box((40, 400, 10), (30, 0, 55)), freedom=STAYS),
        loose("back", box((10, 400, 400), (55, 0, 0)), freedom=STAYS),
        loose("floor", box((2000, 400, 10), (0, 0, -55)), freedom=STAYS),
        loose("sides", box((2000, 10, 100), (0, -55, 0)), box((2000, 10, 100), (0, 55, 0)), freedom=STAYS),
        loose("panel", box((10, 400, 300), (-150, 0, 100)), freedom=STAYS),
    ]


def test_forwards_first_and_then_up() -> None:
    [way] = accesses(under_a_shelf())["block"].ways
    assert way == Way(direction=UP, blockers=frozenset(), first=(Leg(direction=FORWARDS, mm=40.0),))
    assert going_out(way, mm) == "40 mm forwards, then up"
    assert going_in(way, mm) == "down, then 40 mm rearwards"
    shut = {w.direction: w.blockers for w in accesses(under_a_shelf())["block"].shut}
    assert shut == {
        UP: {"shelf"},
        FORWARDS: {"panel"},
        REARWARDS: {"back"},
        Direction.LEFT: {"sides"},
        Direction.RIGHT: {"sides"},
        DOWN: {"floor"},
    }


def test_the_first_move_clears_all_that_never_comes_off() -> None:
    higher = loose("higher", box((60, 400, 10), (20, 0, 95)), freedom=STAYS)  # over its rear 60
    [way] = accesses([*under_a_shelf(), higher])["block"].ways
    assert going_out(way, mm) == "60 mm forwards, then up"
    lamp = loose("lamp", box((20, 400, 10), (0, 0, 95)))  # over its rear 60 too, but comes off: no need to
    [way] = accesses([*under_a_shelf(), lamp])["block"].ways
    assert (going_out(way, mm), way.blockers) == ("60 mm forwards, then up", frozenset())


def test_a_shelf_that_comes_off_leaves_the_choice() -> None:
    parts = [replace(p, freedom=Freedom.COMES_OFF) if p.id == "shelf" else p for p in under_a_shelf()]
    lid = loose("lid", box((60, 100, 10), (-60, 0, 95)))
    found = accesses([*parts, lid])["block"]
    # straight up it meets shelf and lid (-90..-30); 40 forwards it is clear of the shelf and still under the lid
    assert sets(found) == {frozenset({"lid"})}
    far_lid = loose("lid", box((60, 100, 10), (-100, 0, 95)))
    assert sets(accesses([*parts, far_lid])["block"]) == {frozenset({"shelf"}), frozenset({"lid"})}


def test_the_first_move_is_told_with_the_knock_on() -> None:
    lid = part("lid", (-100, 0, 95), (60, 100, 10), on=None)
    parts = [*under_a_shelf(), lid]
    found = find_knockons(vehicle(parts), job(TakeOff(part="block")), catalog())
    effect = next(e for e in found.effects if (e.kind, e.subject) == (EffectKind.OFF_AND_BACK, "lid"))
    [cause] = [c for c in effect.causes if c.kind is CauseKind.IN_THE_WAY]
    assert cause.text == "it is in the way of getting block out, 40 mm forwards, then up"
    rest = [p for p in parts if p.id != "block"]
    found = find_knockons(vehicle(rest), job(Add(component=parts[0])), catalog())
    effect = next(e for e in found.effects if (e.kind, e.subject) == (EffectKind.OFF_AND_BACK, "lid"))
    assert "getting block in, down, then 40 mm rearwards" in next(c.text for c in effect.causes)


def test_a_hook_in_a_slot_is_lifted_and_drawn() -> None:
    hook = loose("hook", box((60, 10, 10), (-30, 0, 0)), box((10, 10, 30), (5, 0, -10)))
    # a plate with an opening 12 wide, from 5 below the stem to 26 above its middle; a wall 20 behind it
    plate = loose(
        "plate",
        box((6, 94, 200), (-5, -53, 0)),
        box((6, 94, 200), (-5, 53, 0)),
        box((6, 12, 95), (-5, 0, -52.5)),
        box((6, 12, 74), (-5, 0, 63)),
        freedom=STAYS,
    )
    behind = loose("behind", box((10, 300, 300), (35, 0, 0)), freedom=STAYS)
    [way] = accesses([hook, plate, behind])["hook"].ways
    assert going_out(way, mm) == "20 mm up, then forwards"


def crate() -> list[Component]:
    faces = [(axis, sign) for axis in range(3) for sign in (-1, 1)]
    solids = []
    for axis, sign in faces:
        size, at = [200.0, 200.0, 200.0], [0.0, 0.0, 0.0]
        size[axis], at[axis] = 10.0, sign * 95.0
        solids.append(box((size[0], size[1], size[2]), (at[0], at[1], at[2])))
    return [loose("thing", box((60, 60, 60))), loose("crate", *solids, freedom=STAYS)]


def test_a_part_with_no_way_is_a_question() -> None:
    found = accesses(crate())["thing"]
    assert found.ways == ()
    assert {w.direction for w in found.shut} == set(Direction)
    told = find_knockons(vehicle(crate()), job(TakeOff(part="thing")), catalog())
    [question] = [e for e in told.effects if e.kind is EffectKind.MEASURED]
    assert question.text == "a way out for thing is to be found by hand"
    assert "up by crate" in question.causes[0].text
    assert "one or two straight legs" in question.causes[0].text


def test_what_the_owner_says_holds_against_what_never_comes_off() -> None:
    stated = (StatedWay(direction=UP, first=(Leg(direction=FORWARDS, mm=20.0),)), StatedWay(direction=FORWARDS))
    parts = [replace(p, way_out=stated) if p.id == "block" else p for p in under_a_shelf()]
    lamp = loose("lamp", box((20, 20, 20), (-80, 0, 90)))
    block = accesses([*parts, lamp])["block"]
    # 20 forwards leave it half under the shelf, and a panel stands before it: its owner knows better. Lifted from
    # there it spans -70..30 and passes the lamp at -90..-70; straight forwards passes below it
    assert block.shut == ()
    assert sets(block) == {frozenset()}
    wide = loose("lamp", box((60, 20, 20), (-80, 0, 90)))
    # a lamp at -110..-50 stands over it
    assert {(w.first, w.blockers) for w in accesses([*parts, wide], "block")["block"].ways} == {((), frozenset())}
    only = [replace(p, way_out=stated[:1]) if p.id == "block" else p for p in parts]
    [way] = accesses([*only, wide])["block"].ways
    assert way == Way(direction=UP, first=stated[0].first, blockers=frozenset({"lamp"}), stated=True)


def test_ways_are_told_side_by_side() -> None:
    parts = [replace(p, freedom=Freedom.COMES_OFF) if p.id == "shelf" else p for p in under_a_shelf()]
    far_lid = loose("lid", box((60, 100, 10), (-100, 0, 95)))
    facts = part_facts(vehicle([*parts, far_lid]), "block", catalog())
    assert ways_told(facts.ways, lambda i: i, mm) == ["40 mm forwards, then up: after lid", "up: after shelf"]
    assert [(f.id, f.because) for f in facts.off_first] in (
        [("lid", "in the way of block, 40 mm forwards, then up")],
        [("shelf", "in the way of block, up")],
    )


# L. S. Homem de Mello and A. C. Sanderson, "AND/OR Graph Representation of Assembly Plans", IEEE Transactions on
# Robotics and Automation 6(2), 1990: a product of four parts, described from memory. The receptacle is a tube, closed
# at one end by the screwed cap and at the other by the handle; the stick lies inside.


def tube(inner: float, outer: float, length: float, x: float) -> list[Box]:
    thick, middle = (outer - inner) / 2.0, (outer + inner) / 4.0
    return [box((length, outer, thick), (x, 0.0, s * middle)) for s in (-1, 1)] + [
        box((length, thick, inner), (x, s * middle, 0.0)) for s in (-1, 1)
    ]


def stick_product() -> list[Component]:
    return [
        loose("cap", box((5, 50, 50), (-52.5, 0, 0)), *tube(40, 50, 15, -42.5)),
        loose("stick", Cylinder(across_mm=24, length_mm=90, along="x")),
        loose("receptacle", *tube(30, 40, 100, 0)),
        loose("handle", box((60, 50, 50), (80, 0, 0)), *tube(40, 50, 15, 42.5)),
    ]


def test_the_stick_comes_out_after_the_cap_or_after_the_handle() -> None:
    found = accesses(stick_product())
    assert sets(found["stick"]) == {frozenset({"cap"}), frozenset({"handle"})}
    assert {(w.direction, *w.blockers) for w in found["stick"].ways} == {(FORWARDS, "cap"), (REARWARDS, "handle")}
    assert sets(found["cap"]) == sets(found["handle"]) == {frozenset()}
    assert found["cap"].ways[0].direction is FORWARDS
    assert found["handle"].ways[0].direction is REARWARDS
    # the tube slides off the stick once one end is open
    assert sets(found["receptacle"]) == {frozenset({"cap"}), frozenset({"handle"})}


@pytest.mark.parametrize(("dear", "off"), [("cap", "handle"), ("handle", "cap")])
def test_the_cheaper_end_is_opened(dear: str, off: str) -> None:
    parts = [replace(p, off_min=60) if p.id == dear else p for p in stick_product()]
    items = standing_scene(vehicle(parts))
    bodies, ways = cheapest_off(["stick"], access_for(items, ["stick"]), items)
    assert bodies == {"stick", off}
    assert ways["stick"].blockers == {off}


# D. G. Ullman, "The Mechanical Design Process", the ballpoint pen: of the two precedences printed there, that the cap
# is put on after the head is in the body follows from the shapes. That the head is on the tube before the ink is
# filled in does not: ink runs out of an open tube, which no shape says.


def test_the_refill_of_a_pen_comes_out_after_the_cap() -> None:
    pen = [
        loose("cap", box((5, 14, 14), (-97.5, 0, 0)), *tube(10, 14, 45, -72.5)),
        loose("body", *tube(6, 10, 130, 5)),
        loose("head", Cylinder(across_mm=5, length_mm=30, along="x", pose=Pose(at_mm=(-75, 0, 0)))),
        loose("button", box((20, 10, 10), (80, 0, 0)), box((10, 4, 4), (65, 0, 0))),
    ]
    found = accesses(pen, "head")
    assert frozenset({"cap"}) in sets(found["head"])
    assert not any(not blockers for blockers in sets(found["head"]))


AT: Vec = (60, 0, 500)


def test_an_inch_vehicle_counts_first_moves_in_sixteenths() -> None:
    inches = replace(vehicle([*under_a_shelf()]), units="inch")
    [way] = part_facts(inches, "block", catalog()).ways
    assert way.first[0].mm == pytest.approx(26 / 16 * 25.4)  # 40 mm is 1.575 in: the next sixteenth is 1 5/8 in


def test_a_rider_comes_off_with_what_carries_it() -> None:
    parts = [wall(), part("tray", AT, (100, 100, 10)), part("badge", (60, 0, 510), (10, 10, 10), on="tray", rides=True)]
    facts = part_facts(vehicle(parts), "badge", catalog())
    assert (facts.comes_with, facts.stays) == ("tray", False)
    assert part_facts(vehicle(parts), "tray", catalog()).riders == ("badge",)
    assert part_facts(vehicle(parts), "wall", catalog()).stays
