"""Checks where they tell what they are made for, and work in the order that lets them (common practice, no source).

A pedal is tried with its circuit full, an edge is looked at before a doubler hides it, "no short" follows the holes,
and a cylinder is full and plugged only when no rod of it has to travel any more.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from workshop import bracket, demands, first_of, hole, link, part, scuttle, shelf, worked

from planner.model.catalog import When, Work
from planner.model.job import Add, AddLink, Change, Job, Move, OwnTask, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import Component, Freedom, Link, System, Vehicle
from planner.model.work import Demand, WorkList
from planner.verify import check_gates

UNION = Move(part="union", to=Pose(at_mm=(60.0, 300.0, 600.0)))
FULL = Demand(feature="circuit:front", on=True, last=True)


def faults(v: Vehicle, work: WorkList, *changes: Change, spoil: Callable[[WorkList], WorkList] | None = None) -> str:
    """What the independent checker says; of the work as it is: nothing."""
    _, knockons = worked(v, *changes)
    job = Job(id="job", name="job", changes=changes)
    assert check_gates(v, knockons, work, shelf(), job=job) == ()
    return "" if spoil is None else "\n".join(check_gates(v, knockons, spoil(work), shelf(), job=job))


def with_task(work: WorkList, task: str, **changes: object) -> WorkList:
    return replace(work, tasks={**work.tasks, task: replace(work.tasks[task], **changes)})  # type: ignore[arg-type]


def more_of(v: Vehicle, *parts: Component, links: tuple[Link, ...] = (), system: System | None = None) -> Vehicle:
    systems = v.systems if system is None else {**v.systems, system.id: system}
    return replace(
        v,
        components={**v.components, **{p.id: p for p in parts}},
        links={**v.links, **{k.id: k for k in links}},
        systems=systems,
    )


def barred() -> Vehicle:
    return more_of(scuttle(), part("balance-bar", "bar", (700, 700, 300), on=None, freedom=Freedom.COMES_OFF))


def test_a_balance_bar_is_tried_with_its_circuits_full() -> None:
    changes = (TakeOff(part="bar"), TakeOff(part="union"))
    work, _ = worked(barred(), *changes)
    assert demands(work.tasks["check.balance-bar-free"], FULL.feature) == FULL
    told = faults(barred(), work, *changes, spoil=lambda w: with_task(w, "check.balance-bar-free", demands=()))
    assert "`check.balance-bar-free` may be made before `circuit:front` is whole" in told


def test_one_circuit_is_not_told_from_another_where_there_is_no_other() -> None:
    work, _ = worked(scuttle(), UNION)
    assert "brake-each-circuit" not in work.checkpoints
    faults(scuttle(), work, UNION)
    rear = part("wheel-cylinder", "rear-cylinder", (60, -700, 300), systems=("rear",))
    two = more_of(scuttle(), rear, system=System(id="rear", kind="hydraulic-brake", name="rear brakes"))
    work, _ = worked(two, UNION)
    assert "brake-each-circuit" in work.checkpoints
    gone = {i: c for i, c in work.checkpoints.items() if i != "brake-each-circuit"}
    told = faults(two, work, UNION, spoil=lambda w: replace(w, checkpoints=gone))
    assert "rule `brake-each-circuit` is called for" in told


def test_the_pressure_side_of_an_electric_pump_is_tried_before_the_engine_runs() -> None:
    change = TakeOff(part="filter")
    assert "fuel-pressed" not in worked(scuttle(), change)[0].checkpoints
    pump = part("electric-fuel-pump", "pump", (500, 0, 900), systems=("fuel",))
    v = more_of(scuttle(), pump)
    work, _ = worked(v, change)
    run = work.tasks["check.fuel-pressed"]
    assert "check.fuel-leak" in first_of(work, run.id)
    assert run.id in first_of(work, "first-start")
    assert "first-start" not in first_of(work, run.id)
    assert demands(run, "state:battery-isolated") == Demand(feature="state:battery-isolated", on=False, last=True)
    gone = {i: c for i, c in work.checkpoints.items() if i != "fuel-pressed"}
    told = faults(v, work, change, spoil=lambda w: replace(w, checkpoints=gone))
    assert "rule `fuel-pressed` is called for" in told


@pytest.mark.parametrize("welded", [False, True])
def test_an_edge_is_looked_at_dressed_and_before_anything_covers_it(*, welded: bool) -> None:
    cut, stay = hole(welded=welded), Add(component=bracket())
    work, _ = worked(scuttle(), cut, stay)
    look = "check.cut-edges.slot"
    steps = [t for i, t in work.tasks.items() if i.startswith("slot.")]
    [dressed] = [t for t in steps if t.work is Work.DRESSING and "weld" not in t.title]
    covers = [t for t in steps if t.work in {Work.WELDING, Work.FINISHING}]
    assert len(covers) == 1 + welded
    assert dressed.id in first_of(work, look)
    assert all(look in first_of(work, t.id) for t in covers)
    assert demands(work.tasks[look], "bracket") == Demand(feature="bracket", on=False)

    def late(w: WorkList) -> WorkList:
        first = covers[0]
        return with_task(w, first.id, after=tuple(a for a in first.after if a.task != look))

    assert f"`{covers[0].id}` may cover what `{look}` looks at" in faults(scuttle(), work, cut, stay, spoil=late)
    told = faults(scuttle(), work, cut, stay, spoil=lambda w: with_task(w, look, demands=()))
    assert f"`{look}` may be made with `bracket` over it" in told


def test_holes_for_clips_are_looked_behind_and_no_short_is_signed_after_them() -> None:
    v = more_of(
        scuttle(),
        part("battery", "battery", (900, 700, 300), on=None, systems=("wiring",)),
        system=System(id="wiring", kind="low-voltage-wiring", name="wiring"),
    )
    work, _ = worked(v, UNION, TakeOff(part="battery"))
    clips = [i for i, t in work.tasks.items() if i.startswith("front-pipe.") and "drill for them" in t.title]
    assert clips
    assert {*clips} <= first_of(work, "check.new-holes")
    assert "check.new-holes" in first_of(work, "check.wiring-before-live")
    assert "charging-unplugged" in shelf().rules["wiring-before-live"].without


def test_a_loom_made_anew_is_labelled_before_the_old_one_comes_off() -> None:
    box = part("fuse-box", "box", (60, 700, 300), systems=("wiring",), freedom=Freedom.MOVES)
    loom = link("loom-branch", "loom", "box", "horn", system="wiring", slack_mm=0.0)
    v = more_of(scuttle(), box, links=(loom,), system=System(id="wiring", kind="low-voltage-wiring", name="wiring"))
    change = Move(part="box", to=Pose(at_mm=(60.0, 700.0, 650.0)))
    work, _ = worked(v, change)
    [label] = [i for i, t in work.tasks.items() if t.title == "Label and photograph every wire of loom"]
    # Its lengths stand where it is cut, not where the old one is labelled.
    [cut] = [t for t in work.tasks.values() if any(note.startswith("cut ") for note in t.notes)]
    assert cut.title.startswith("Lay loom out on a board, cut")
    off = work.features["loom"].turn_off
    assert off is not None
    assert label in off.after
    assert any("abel both its ends" in s for s in off.steps)

    def early(w: WorkList) -> WorkList:
        bare = replace(off, after=tuple(t for t in off.after if t != label))
        return replace(w, features={**w.features, "loom": replace(w.features["loom"], turn_off=bare)})

    assert f"`loom` may come off before `{label}`" in faults(v, work, change, spoil=early)


def pushed(*cylinders: str) -> tuple[Vehicle, tuple[Change, ...]]:
    """New cylinders on the wall, each with a rod from one pedal half a metre behind it."""
    pedal = part(
        "brake-pedal", "pedal", (700, 700, 300), on=None, ports_mm={"rod": (-50, 0, 0)}, freedom=Freedom.COMES_OFF
    )
    v = more_of(scuttle(), pedal, system=System(id="rear", kind="hydraulic-brake", name="rear brakes"))
    changes: list[Change] = []
    for n, system in enumerate(cylinders):
        new = part(
            "brake-master-cylinder",
            f"new-{system}",
            (60, 700 - 250 * n, 300),
            systems=(system,),
            ports_mm={"rod": (50, 0, 0)},
        )
        rod = link("pedal-push-rod", f"rod-{system}", "pedal.rod", f"new-{system}.rod", system=system)
        changes += [Add(component=new), AddLink(link=rod)]
    return v, tuple(changes)


def test_a_cylinder_is_full_and_plugged_only_when_its_rod_was_tried() -> None:
    v, changes = pushed("front")
    work, _ = worked(v, *changes)
    [bled] = [t for i, t in work.tasks.items() if i.startswith("new-front.") and t.work is Work.FILLING]
    [tried] = [i for i, t in work.tasks.items() if i.startswith("rod-front.") and t.work is Work.TRIAL_FIT]
    assert tried in first_of(work, bled.id)

    loose = faults(
        v,
        work,
        *changes,
        spoil=lambda w: with_task(w, bled.id, after=tuple(a for a in bled.after if a.task != tried)),
    )
    assert f"`{tried}` may be tried after `{bled.id}`" in loose


def test_circuits_that_one_pedal_works_are_filled_with_both_whole_and_as_late_as_can_be() -> None:
    v, changes = pushed("front", "rear")
    work, _ = worked(v, *changes)
    for system, other in (("front", "rear"), ("rear", "front")):
        filled = work.features[f"circuit:{system}"].turn_on
        assert filled is not None
        assert Demand(feature=f"new-{other}", on=True) in filled.demands
        assert filled.late
    alone, one = pushed("front")
    filled = worked(alone, *one)[0].features["circuit:front"].turn_on
    assert filled is not None
    assert not filled.late


def test_nothing_is_done_beside_a_fuel_part_that_comes_off() -> None:
    change = TakeOff(part="filter")
    work, _ = worked(scuttle(), change)
    off = work.features["filter"].turn_off
    assert off is not None
    assert off.apart

    def beside(w: WorkList) -> WorkList:
        loose = replace(w.features["filter"], turn_off=replace(off, apart=False))
        return replace(w, features={**w.features, "filter": loose})

    assert "`filter` may be undone or joined beside other work" in faults(scuttle(), work, change, spoil=beside)


def test_the_air_is_smelled_anew_when_a_fuel_joint_has_been_undone() -> None:
    change = TakeOff(part="filter")
    work, _ = worked(scuttle(), change)
    opened = work.features["circuit:fuel"].turn_off
    assert opened is not None
    assert opened.checks == ("fuel-safe",)
    assert work.checkpoints["fuel-safe"].each_time
    kind = shelf().system_kinds["fuel"]
    assert opened.minutes == kind.open_min + shelf().rules["fuel-safe"].minutes

    def unsigned(w: WorkList) -> WorkList:
        fuel = w.features["circuit:fuel"]
        return replace(w, features={**w.features, fuel.id: replace(fuel, turn_off=replace(opened, checks=()))})

    told = faults(scuttle(), work, change, spoil=unsigned)
    assert "`circuit:fuel` may be opened and check `fuel-safe` not signed after it" in told


def test_the_air_is_smelled_anew_after_each_fuel_part_that_comes_off() -> None:
    """The last joint undone is the last that lets vapour out: whatever sparks after it has a check before it."""
    change = TakeOff(part="filter")
    work, _ = worked(scuttle(), change)
    off = work.features["filter"].turn_off
    assert off is not None
    assert off.checks == ("fuel-safe",)

    def unsigned(w: WorkList) -> WorkList:
        loose = replace(w.features["filter"], turn_off=replace(off, checks=()))
        return replace(w, features={**w.features, "filter": loose})

    told = faults(scuttle(), work, change, spoil=unsigned)
    assert "`filter` opens `circuit:fuel` as it comes off, and check `fuel-safe` not signed after it" in told
    dry, _ = worked(scuttle(), TakeOff(part="horn"))
    assert all(not t.checks for t in dry.features["horn"].toggles)


def test_nothing_is_done_beside_a_task_that_is_to_be_alone() -> None:
    flush = OwnTask(id="flush", title="Flush it with a garden hose", minutes=60, splits=True, alone=True)
    work, knockons = worked(scuttle(), UNION, tasks=(flush,))
    assert work.tasks["flush"].apart
    job = Job(id="job", name="job", changes=(UNION,), tasks=(flush,))
    assert check_gates(scuttle(), knockons, work, shelf(), job=job) == ()
    told = check_gates(scuttle(), knockons, with_task(work, "flush", apart=False), shelf(), job=job)
    assert any("`flush` may be done beside other work" in t for t in told)


def test_every_kind_of_pipe_that_is_clipped_with_a_drill_calls_for_the_look_behind() -> None:
    drilled = {
        name
        for t in shelf().templates.values()
        if t.trigger.when is When.LINK_MADE and any("drill for them" in s.title for s in t.steps)
        for name in t.trigger.of
    }
    looked = {n for t in shelf().rules["new-holes"].triggers if t.when is When.LINK_MADE for n in t.of}
    assert drilled
    assert drilled <= looked
