"""Rods, cables and tie-rods are undone before what they join comes off (common practice, no published source)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest
from garage import vehicle
from test_fold import agreed_of
from workshop import link, part, scuttle, shelf, worked

from planner.log.fold import fold
from planner.model.catalog import Work
from planner.model.effects import Knockons
from planner.model.job import AddLink, Change, Job, OwnTask, Remove, Replace, Session, TakeOff
from planner.model.log import DoneLine
from planner.model.vehicle import System, Vehicle
from planner.model.work import Demand, Feature, Toggle, WorkList
from planner.order import scheduled
from planner.verify.joints import joint_faults, late_link_faults
from planner.work import left_of, strange_to

ROD = "rod:joined"


def footwell() -> Vehicle:
    """A cylinder in front of the bulkhead, a pedal and its seat behind it, a rod between; a union and a pipe."""
    parts = [
        part("bulkhead", "bulkhead", (0, 0, 500), (20, 2000, 1000), on=None),
        part("brake-master-cylinder", "master", (-60, 0, 500), systems=("front",), ports_mm={"rod": (50, 0, 0)}),
        part("brake-pedal", "pedal", (200, 0, 500), systems=("front",), ports_mm={"rod": (-50, 0, 0)}),
        part("horn", "horn", (-60, 700, 250)),
    ]
    rod = link("pedal-push-rod", "rod", "pedal.rod", "master.rod", system="front", passes=("bulkhead",))
    return vehicle(parts, links=[rod], systems=[System(id="front", kind="hydraulic-brake", name="front brakes")])


def toggles(feature: Feature) -> tuple[Toggle, Toggle]:
    assert feature.turn_on is not None
    assert feature.turn_off is not None
    return feature.turn_on, feature.turn_off


@pytest.mark.parametrize("part_off", ["master", "pedal"])
def test_the_rod_is_undone_before_either_end_comes_off_and_joined_after(part_off: str) -> None:
    work, knockons = worked(footwell(), TakeOff(part=part_off))
    undone = Demand(feature=ROD, on=False)
    on, off = toggles(work.features[part_off])
    assert undone in off.demands
    assert undone in on.demands
    join, undo = toggles(work.features[ROD])
    assert (work.features[ROD].start, work.features[ROD].goal) == (True, True)
    assert Demand(feature=part_off, on=True) in join.demands
    assert (undo.work, join.work) == (Work.REMOVING, Work.FITTING)
    assert undo.minutes > 0
    assert join.minutes > 0
    assert undo.hands == 1
    assert "split pin" in undo.title
    assert "new split pin" in join.title
    assert "rod is undone and joined again" in {e.text for e in knockons.effects}


def test_it_is_undone_from_the_part_that_is_there_and_joined_to_the_one_that_comes() -> None:
    ports = {"rod": (50, 0, 0)}
    heir = part("brake-master-cylinder", "bigger", (-60, 0, 500), systems=("front",), ports_mm=ports)
    work, _ = worked(footwell(), Replace(part="master", component=heir))
    join, undo = toggles(work.features[ROD])
    assert undo.title.startswith("Undo rod between pedal and master (bigger once that is there): ")
    assert join.title.startswith("Join rod between pedal and bigger: ")


def test_the_steps_are_in_the_plan_and_the_bleeding_waits_for_the_pin() -> None:
    v, catalog = footwell(), shelf()
    job = Job(
        id="job",
        name="job",
        changes=(TakeOff(part="master"),),
        start=date(2026, 12, 5),
        sessions=tuple(Session(day=date(2026, 12, d), start=time(9), end=time(18), hands=2) for d in (5, 6, 12, 13)),
    )
    work, _ = worked(v, TakeOff(part="master"))
    plan = scheduled(work, job, catalog, today=date(2026, 12, 1))
    steps = [(s.step.ref, s.step.on) for s in plan.slots]
    order = [steps.index(s) for s in ((ROD, False), ("master", False), ("master", True), (ROD, True))]
    assert order == sorted(order)
    assert order[-1] < steps.index(("circuit:front", True))


def test_what_is_proved_of_the_pedal_is_proved_with_the_rod_in() -> None:
    work, _ = worked(footwell(), TakeOff(part="pedal"))
    proofs = [t for t in work.tasks.values() if Demand(feature="pedal", on=True, last=True) in t.demands]
    assert proofs
    assert all(Demand(feature=ROD, on=True, last=True) in t.demands for t in proofs)


@pytest.mark.parametrize("change", [Remove(part="rod"), TakeOff(part="horn")])
def test_a_rod_that_goes_itself_or_holds_nothing_that_comes_off_has_no_such_step(change: Change) -> None:
    work, _ = worked(footwell(), change)
    assert ROD not in work.features


def test_both_ends_on_one_thing_that_comes_off_are_left_joined() -> None:
    v = footwell()
    riding = {i: replace(v.components[i], rides=True, mounted_on="box") for i in ("master", "pedal")}
    box = part("pedal-box", "box", (60, 0, 800), (60, 60, 60))
    parts = [*(c for i, c in v.components.items() if i not in riding), box, *riding.values()]
    both = vehicle(parts, links=list(v.links.values()), systems=list(v.systems.values()))
    work, _ = worked(both, TakeOff(part="box"))
    assert ROD not in work.features


def test_pipes_and_hoses_have_no_step_of_their_own() -> None:
    """Flare nuts are undone with the part, over the tray of its circuit."""
    work, _ = worked(scuttle(), TakeOff(part="union"))
    assert not [f for f in work.features if f.endswith(":joined")]


def test_every_link_that_is_pinned_says_how_and_how_long() -> None:
    """Named from memory: what hangs on a clevis pin, a nipple, a ball or a taper."""
    pinned = {i for i, k in shelf().link_kinds.items() if k.undo}
    assert {"pedal-push-rod", "clutch-rod", "handbrake-rod", "tie-rod", "drag-link"} <= pinned
    assert {"clutch-cable", "throttle-cable", "handbrake-cable"} <= pinned
    for i in pinned:
        kind = shelf().link_kinds[i]
        assert kind.join
        assert kind.undo_min > 0
        assert kind.join_min > 0


@pytest.mark.parametrize("on", [True, False])
def test_the_checker_tells_a_part_that_may_come_off_with_its_rod_on(*, on: bool) -> None:
    v = footwell()
    work, knockons = worked(v, TakeOff(part="master"))
    assert faults(v, knockons, work) == []
    known = work.features["master"]
    bare = replace(toggles(known)[0 if on else 1], demands=())
    spoilt = replace(known, turn_on=bare) if on else replace(known, turn_off=bare)
    found = faults(v, knockons, replace(work, features={**work.features, "master": spoilt}))
    assert len(found) == 1
    assert "`rod` still joined" in found[0]


def faults(v: Vehicle, knockons: Knockons, work: WorkList) -> list[str]:
    return list(joint_faults(v, knockons, work, shelf()))


def test_a_pipe_of_the_jobs_own_is_laid_after_its_part_came_off_for_the_last_time() -> None:
    """A union is undone before its cylinder comes off (common practice, no published source): so it is done up last."""
    pipe = AddLink(link=link("brake-pipe", "pipe", "master.rod", "horn.out", system="front"))
    where = footwell()
    horn = replace(where.components["horn"], ports_mm={"out": (50.0, 0.0, 0.0)})
    where = replace(where, components={**where.components, "horn": horn})
    work, knockons = worked(where, TakeOff(part="master"), pipe)
    on, off = toggles(work.features["master"])
    laid = Demand(feature="pipe", on=False)
    assert laid in off.demands
    assert laid not in on.demands
    assert list(late_link_faults(knockons, work, shelf())) == []
    loose = replace(off, demands=tuple(d for d in off.demands if d != laid))
    hasty = {**work.features, "master": replace(work.features["master"], turn_off=loose)}
    told = list(late_link_faults(knockons, replace(work, features=hasty), shelf()))
    assert told == ["`master` may come off with `pipe` laid to it"]


def test_a_rod_that_is_undone_and_then_comes_off_itself_is_off() -> None:
    """By hand: undone for its pedal; then work that was found has the rod off, and its own putting back joins it."""
    where, mending = footwell(), OwnTask(id="weld", title="Weld", minutes=30, off=("rod", "pedal"))
    before, _ = worked(where, TakeOff(part="pedal"))
    now, knockons = worked(where, TakeOff(part="pedal"), TakeOff(part="rod"), tasks=(mending,))
    assert (ROD in before.features, ROD in now.features, "rod" in now.features) == (True, False, True)
    undone = DoneLine(n=1, key=f"{ROD}:off#1", guess_min=5, work="removing")
    agreed = replace(agreed_of(before), named={undone.key: 1})
    standing = fold([undone], agreed.basis)
    assert strange_to(now, agreed, standing) == ()
    assert left_of(now, standing, date(2026, 12, 1)).features["rod"].start is False
    assert fold([undone], replace(agreed, work=now).basis).states == {"rod": False}
    # The pedal comes off with the rod off: nothing else undoes its pin.
    _, off = toggles(now.features["pedal"])
    assert Demand(feature="rod", on=False) in off.demands
    assert list(late_link_faults(knockons, now, shelf())) == []
    bare = replace(now.features["pedal"], turn_off=replace(off, demands=()))
    told = list(late_link_faults(knockons, replace(now, features={**now.features, "pedal": bare}), shelf()))
    assert told == ["`pedal` may come off with `rod` laid to it"]


def test_what_is_proved_of_a_part_is_proved_with_the_rod_back_that_came_off() -> None:
    """Its pin and split pin are in when the pedal's pivot is judged (UK MOT inspection manual 1.1.1)."""
    work, _ = worked(footwell(), TakeOff(part="pedal"), TakeOff(part="rod"))
    pivot = work.tasks["check.brake-pivot"]
    assert Demand(feature="rod", on=True, last=True) in pivot.demands
    alone, _ = worked(footwell(), TakeOff(part="pedal"), Remove(part="rod"))
    assert "rod" not in {d.feature for d in alone.tasks["check.brake-pivot"].demands}


def test_every_rod_on_a_part_is_back_when_the_part_is_proved() -> None:
    """By hand: one pedal with two push-rods to two cylinders, and both rods come off."""
    where = footwell()
    second = part("brake-master-cylinder", "second", (-60, 200, 500), systems=("front",), ports_mm={"rod": (50, 0, 0)})
    twin = link("pedal-push-rod", "twin", "pedal.rod", "second.rod", system="front", passes=("bulkhead",))
    where = replace(where, components={**where.components, "second": second}, links={**where.links, "twin": twin})
    work, _ = worked(where, TakeOff(part="pedal"), TakeOff(part="rod"), TakeOff(part="twin"))
    asked = {d.feature for d in work.tasks["check.brake-pivot"].demands if d.on and d.last}
    assert {"rod", "twin"} <= asked
