"""Which size decides what, on vehicles small enough to be worked out by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import pytest
from garage import catalog, job, link, mover, part, space, vehicle, wall

from planner.knockon import Measured, find_knockons, weigh_sizes
from planner.model.effects import Proof
from planner.model.job import Add, Job
from planner.model.shapes import Box
from planner.model.sizes import TapeSize
from planner.model.vehicle import Component, Keeps, Link, Relation, Vehicle

CUBE = (100.0, 100.0, 100.0)
MOVE_MIN = 10 + 20 + 9
"""A moved ``thing``: off, on, and the catalog's steps."""


@dataclass
class Sheet:
    """A vehicle and a job whose parts' places along y, and whose widths, may be written otherwise."""

    vehicle: Vehicle
    job: Job
    sizes: tuple[TapeSize, ...]

    def part(self, name: str, value: float) -> Component:
        part_id, key, _ = name.split(".")
        part = self.vehicle.components[part_id]
        if key == "at":
            x, _, z = part.pose.at_mm
            return replace(part, pose=replace(part.pose, at_mm=(x, value, z)))
        [solid] = part.solids
        assert isinstance(solid, Box)
        return replace(part, solids=(replace(solid, size_mm=(solid.size_mm[0], value, solid.size_mm[2])),))

    def filled(self, values: Mapping[str, float | str]) -> tuple[Vehicle | None, Job | None, tuple[object, ...]]:
        parts = dict(self.vehicle.components)
        for name, value in values.items():
            part = self.part(name, float(value))
            parts[part.id] = part
        return replace(self.vehicle, components=parts), self.job, ()


def size(name: str, mm: float, doubt_mm: float) -> TapeSize:
    return TapeSize(name=name, part=name.partition(".")[0], mm=mm, doubt_mm=doubt_mm, said=True)


def doubtful(part: Component, place_mm: float, size_mm: float = 0.0) -> Component:
    [solid] = part.solids
    return replace(part, position_doubts_mm=(0.0, place_mm, 0.0), solids=(replace(solid, doubt_mm=size_mm),))


NEW = Add(component=part("new", (60, 0, 500), CUBE))
ROOM = space("left", (60, -500, 500), (100, 300, 100))


def sheet(gap_mm: float, place_mm: float, size_mm: float = 0.0, **more: object) -> Sheet:
    """A tank that keeps 5 mm, ``gap_mm`` left of the part the job adds; a box of no interest stands far off."""
    tank = doubtful(mover("tank", (60, -100 - gap_mm, 500), CUBE, keep_clear_mm=5.0), place_mm, size_mm)
    far = doubtful(part("far", (60, 800, 500), CUBE), 9.0)
    sizes = [size("tank.at.y", -100 - gap_mm, place_mm), size("tank.box.y", 100, size_mm), size("far.at.y", 800, 9.0)]
    facts: dict[str, object] = {"spaces": [ROOM]}
    car = vehicle([wall(), tank, far], **{**facts, **more})  # type: ignore[arg-type]
    return Sheet(car, job(NEW), tuple(s for s in sizes if s.doubt_mm))


def weigh(it: Sheet) -> Measured:
    return weigh_sizes(it, catalog())


def test_a_move_that_the_tape_may_spare() -> None:
    """4 mm, 5 wanted, sure to 3: by the file the tank moves; 3 mm farther off it stays."""
    found = weigh(sheet(4.0, 3.0))
    [weighed] = found.weighed
    assert weighed.size.name == "tank.at.y"
    assert found.cost_min is not None
    assert found.cost_min >= MOVE_MIN
    assert (weighed.low.mm, weighed.low.more_min) == (-107.0, -found.cost_min)
    assert [text.split(" moves")[0] for text in weighed.low.lost] == ["tank"]
    assert weighed.high.same
    assert weighed.stake_min == found.cost_min
    assert weighed.to_mm == pytest.approx(1.0, abs=0.06)
    assert weighed.decides[0].startswith("whether tank has to move at all")
    assert weighed.words == "middle of tank right of the zero plane of y (left of it is minus)"
    assert (found.idle, found.left, found.together) == (1, 0, ())


def test_a_move_that_the_tape_may_bring() -> None:
    """7 mm, 5 wanted, sure to 3: by the file the tank stays; 3 mm nearer it has to move."""
    found = weigh(sheet(7.0, 3.0))
    [weighed] = found.weighed
    assert found.cost_min == 0
    assert weighed.low.same
    assert weighed.high.more_min is not None
    assert weighed.high.more_min >= MOVE_MIN
    assert [text.split(" moves")[0] for text in weighed.high.gained] == ["tank"]
    assert weighed.to_mm == pytest.approx(2.0, abs=0.06)
    assert weighed.decides == ("the gap between new and tank is 7 mm, 5 mm to be kept",)


def test_a_size_that_decides_nothing() -> None:
    """9 mm, 5 wanted, sure to 3: nothing hangs on it."""
    found = weigh(sheet(9.0, 3.0))
    assert (found.weighed, found.idle, found.together) == ((), 2, ())


def test_a_size_whose_other_end_is_the_end_of_the_job() -> None:
    """With nowhere to go, 3 mm nearer the tank stands in the way for good."""
    found = weigh(sheet(7.0, 3.0, spaces=[]))
    [weighed] = found.weighed
    assert (weighed.stake_min, weighed.high.more_min, weighed.low.more_min) == (None, None, 0)
    assert "5 mm is to be kept" in weighed.high.trouble[0]


def test_the_margin_is_shared_among_the_sizes_of_the_pair() -> None:
    """A width counts by half: 2 mm of margin over 1 + 1/2 is 1.33 mm for each; the width alone turns nothing over."""
    found = weigh(sheet(7.0, 3.0, 2.0))
    [weighed] = found.weighed
    assert weighed.size.name == "tank.at.y"
    assert weighed.to_mm == pytest.approx(2.0 / 1.5, abs=0.05)


def test_what_only_several_sizes_turn_over_is_told_apart() -> None:
    """2 mm of margin; place sure to 1.5, width to 2 (a face to 1): neither alone, both together."""
    found = weigh(sheet(7.0, 1.5, 2.0))
    assert found.weighed == ()
    assert found.together == ("the gap between new and tank is 7 mm, 5 mm to be kept",)
    assert found.idle == 3


def test_a_relation_of_a_moved_part() -> None:
    """The tank, pushed out to 1100 mm from ``far`` (sure to 9 mm), must stay within 1104 mm of it."""
    reach = Relation(id="reach", part="tank", keeps=Keeps.WITHIN, of="far", by_mm=1104.0)
    found = weigh(sheet(-20.0, 0.0, relations=[reach]))
    [weighed] = found.weighed
    assert weighed.size.name == "far.at.y"
    assert (weighed.low.same, weighed.high.more_min) == (True, None)
    assert weighed.to_mm == pytest.approx(4.0, abs=0.1)
    assert any("as `reach` has it" in text for text in weighed.decides)


def hosed() -> Sheet:
    """The tank is pushed left; its hose to ``far``, over the top of the new part, can take 4 mm more than that."""
    hose: Link = link("hose", "tank.top", "far.top", slack_mm=200.0)
    it = sheet(-20.0, 9.0, links=[hose])
    above = {i: replace(c, ports_mm={"top": (0.0, 0.0, 90.0)}) for i, c in it.vehicle.components.items()}
    it = replace(it, vehicle=replace(it.vehicle, components=above))
    home = find_knockons(it.vehicle, it.job, catalog()).homes["tank"].at_mm[1]
    shift = it.vehicle.components["tank"].pose.at_mm[1] - home
    tight = replace(hose, slack_mm=shift + 4.0)
    return replace(it, vehicle=replace(it.vehicle, links={"hose": tight}))


def test_a_link_that_may_not_reach() -> None:
    """4 mm to spare; with the tank's old place 9 mm more to the right its new one is 9 mm farther off: made anew."""
    found = weigh(hosed())
    [weighed] = [w for w in found.weighed if w.size.name == "tank.at.y"]
    assert any(text.startswith("whether hose reaches") for text in weighed.decides)
    assert any(text.startswith("hose is made anew") for text in weighed.high.gained)
    assert weighed.to_mm == pytest.approx(4.0, abs=0.1)


def test_most_leaves_the_rest_out_and_says_so() -> None:
    it = sheet(7.0, 3.0)
    second = doubtful(mover("second", (60, 107, 500), CUBE, keep_clear_mm=5.0), 3.0)
    car = replace(it.vehicle, components={**it.vehicle.components, "second": second})
    both = Sheet(car, it.job, (*it.sizes, size("second.at.y", 107, 3.0)))
    assert len(weigh_sizes(both, catalog()).weighed) == 2
    found = weigh_sizes(both, catalog(), most=1)
    assert (len(found.weighed), found.left) == (1, 1)


def test_the_greatest_stake_comes_first() -> None:
    it = sheet(7.0, 3.0)
    heavy = doubtful(mover("heavy", (60, 107, 500), CUBE, keep_clear_mm=5.0, off_min=90), 3.0)
    car = replace(it.vehicle, components={**it.vehicle.components, "heavy": heavy})
    both = Sheet(car, it.job, (*it.sizes, size("heavy.at.y", 107, 3.0)))
    assert [w.size.part for w in weigh_sizes(both, catalog()).weighed] == ["heavy", "tank"]


def test_no_answer_is_told() -> None:
    it = sheet(-20.0, 3.0, spaces=[])
    assert find_knockons(it.vehicle, it.job, catalog()).proof is Proof.NONE
    found = weigh(it)
    assert found.cost_min is None
    assert found.trouble
