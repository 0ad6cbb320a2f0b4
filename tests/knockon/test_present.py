"""Faults planted in a vehicle as it stands are found, with the right number; sound neighbours are not blamed."""

from __future__ import annotations

import pytest
from garage import link, part, vehicle, wall

from planner.knockon import Fault, present_faults
from planner.model.effects import CauseKind
from planner.model.shapes import Direction, Slide
from planner.model.vehicle import Component, Keeps, Link, Relation, Room, RoomNeed

CUBE = (100.0, 100.0, 100.0)
ONE = part("one", (60, 0, 500), CUBE)


def faults(*parts: Component, links: tuple[Link, ...] = (), relations: tuple[Relation, ...] = ()) -> list[Fault]:
    return list(present_faults(vehicle([wall(), *parts], links=links, relations=relations)))


def room(need: RoomNeed = RoomNeed.ALWAYS, side: Direction = Direction.RIGHT) -> Room:
    return Room(name="cap off", needed=need, side=side, depth_mm=80.0)


def test_sound_neighbours_have_no_fault() -> None:
    assert faults(ONE, part("two", (60, 100, 500), CUBE)) == []


def test_overlap() -> None:
    [fault] = faults(ONE, part("two", (60, 88, 500), CUBE))
    assert (fault.kind, {fault.part, fault.other}) == (CauseKind.CLASH, {"one", "two"})
    assert fault.mm == pytest.approx(12.0, abs=0.01)
    assert "12 mm" in fault.text


def test_meant_to_touch_is_no_overlap() -> None:
    """What goes through what, as the vehicle stands, is the owner's own word."""
    assert faults(ONE, part("two", (60, 88, 500), CUBE, touches=("one",))) == []
    assert faults(ONE, part("two", (60, 88, 500), CUBE, on="one")) == []


def test_keep_clear() -> None:
    [fault] = faults(ONE, part("two", (60, 107, 500), CUBE, keep_clear_mm=10.0))
    assert fault.kind is CauseKind.KEEP_CLEAR
    assert fault.mm == pytest.approx(3.0, abs=0.01)
    assert "7 mm" in fault.text
    assert "10 mm" in fault.text
    assert faults(ONE, part("two", (60, 110, 500), CUBE, keep_clear_mm=10.0)) == []


def test_swept_room_counts() -> None:
    sliding = part("two", (60, 130, 500), CUBE, motion=Slide(along=(0, 1, 0), from_mm=-40, to_mm=0))
    [fault] = faults(ONE, sliding)
    assert fault.kind is CauseKind.CLASH
    assert fault.mm == pytest.approx(10.0, abs=0.6)


def test_room_that_must_always_be_free() -> None:
    owner = part("owner", (60, -200, 500), CUBE, rooms=(room(),))
    [fault] = faults(owner, part("two", (60, -50, 500), CUBE))
    assert fault.kind is CauseKind.ROOM_LOST
    assert fault.mm == pytest.approx(30.0, abs=0.01)
    assert faults(owner, part("two", (60, -20, 500), CUBE)) == []
    only_off = part("owner", (60, -200, 500), CUBE, rooms=(room(RoomNeed.TAKING_OFF),))
    assert faults(only_off, part("two", (60, -50, 500), CUBE)) == []


@pytest.mark.parametrize(
    ("keeps", "by_mm", "missed_mm"),
    [
        (Keeps.ABOVE, 60.0, 10.0),
        (Keeps.ABOVE, 50.0, None),
        (Keeps.WITHIN, 90.0, 10.0),
        (Keeps.WITHIN, 100.0, None),
        (Keeps.APART, 120.0, 20.0),
        (Keeps.APART, 100.0, None),
        (Keeps.OFF_GROUND, 910.0, 10.0),
        (Keeps.OFF_GROUND, 900.0, None),
    ],
)
def test_relation(keeps: Keeps, by_mm: float, missed_mm: float | None) -> None:
    """The high part's underside is at 600, the low part's top at 550, 100 mm beside it; the ground at -300."""
    high = part("high", (60, 200, 650), CUBE)
    of = None if keeps is Keeps.OFF_GROUND else "one"
    relation = Relation(id="r", part="high", keeps=keeps, of=of, by_mm=by_mm)
    if keeps in {Keeps.WITHIN, Keeps.APART}:
        high = part("high", (60, 200, 500), CUBE)
    found = faults(ONE, high, relations=(relation,))
    if missed_mm is None:
        assert found == []
        return
    [fault] = found
    assert (fault.kind, fault.part, fault.other) == (CauseKind.RELATION, "high", "r")
    assert fault.mm == pytest.approx(missed_mm, abs=0.01)
    assert f"{missed_mm:g} mm" in fault.text


def test_below() -> None:
    low = part("low", (60, 200, 300), CUBE)
    relation = Relation(id="r", part="low", keeps=Keeps.BELOW, of="one", by_mm=130.0)
    [fault] = faults(ONE, low, relations=(relation,))
    assert fault.mm == pytest.approx(30.0, abs=0.01)


def test_link_through_a_part() -> None:
    ends = (part("a", (60, -300, 500), CUBE), part("b", (60, 300, 500), CUBE))
    [fault] = faults(ONE, *ends, links=(link("pipe", "a", "b"),))
    assert (fault.kind, fault.part, fault.other) == (CauseKind.CLASH, "pipe", "one")
    assert faults(ONE, *ends, links=(link("pipe", "a", "b", passes=("one",)),)) == []


def test_two_stiff_links_through_each_other() -> None:
    ends = [part(i, (60, y, z), (100, 40, 40)) for i, y, z in (("a", -300, 500), ("b", 300, 500))]
    ends += [part(i, (60, y, z), (100, 40, 40)) for i, y, z in (("c", 0, 300), ("d", 0, 700))]
    stiff = (link("k1", "a", "b", rigid=True), link("k2", "c", "d", rigid=True))
    [fault] = faults(*ends, links=stiff)
    assert (fault.kind, fault.part, fault.other) == (CauseKind.CLASH, "k1", "k2")
    assert fault.mm == pytest.approx(8.0, abs=0.1)
    assert faults(*ends, links=(stiff[0], link("k2", "c", "d"))) == []
