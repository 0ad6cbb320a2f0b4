"""The shoes of one wheel are set once, with its whole brake in place, before bleeding (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from workshop import part, scuttle, shelf, worked

from planner.model.effects import Knockons
from planner.model.job import Move, TakeOff
from planner.model.shapes import Pose
from planner.model.vehicle import Freedom, Vehicle
from planner.model.work import WorkList
from planner.verify import check_gates

SET = "wheel-cylinder.set1"


@cache
def braked(touches: tuple[str, ...] = ("drum",)) -> Vehicle:
    """The wheel cylinder touches a drum of no circuit; another drum is far from both."""
    v = scuttle()
    drums = [
        part("brake-drum", "drum", (60, 700, 500), freedom=Freedom.COMES_OFF),
        part("brake-drum", "far-drum", (60, -900, 500), freedom=Freedom.COMES_OFF),
    ]
    cylinder = replace(v.components["wheel-cylinder"], touches=touches)
    return replace(v, components={**v.components, cylinder.id: cylinder, **{d.id: d for d in drums}})


@cache
def whole() -> tuple[WorkList, Knockons]:
    return worked(braked(), *(TakeOff(part=p) for p in ("wheel-cylinder", "drum", "far-drum")))


def settings(work: WorkList) -> set[str]:
    return {i for i in work.tasks if ".set" in i}


def faults(work: WorkList) -> list[str]:
    return [f for f in check_gates(braked(), whole()[1], work, shelf()) if "set" in f]


def test_cylinder_and_drum_of_a_wheel_are_set_once_and_another_wheel_by_itself() -> None:
    work, _ = whole()
    assert settings(work) == {SET, "far-drum.set1"}
    task = work.tasks[SET]
    assert "wheel cylinder and drum" in task.title
    assert {d.feature for d in task.demands if d.on and d.last} >= {"wheel-cylinder", "drum"}
    assert faults(work) == []


def test_the_circuit_is_bled_after_it_even_where_only_the_drum_was_off() -> None:
    """The drum is in no circuit; the master cylinder, which is, comes off and has it bled."""
    work, knockons = worked(braked(), TakeOff(part="drum"), TakeOff(part="master"))
    assert settings(work) == {"drum.set1"}
    close = work.features["circuit:front"].turn_on
    assert close is not None
    assert "drum.set1" in close.after
    assert [f for f in check_gates(braked(), knockons, work, shelf()) if "set" in f] == []


def test_what_does_not_touch_is_set_by_itself() -> None:
    work, _ = worked(braked(()), TakeOff(part="wheel-cylinder"), TakeOff(part="drum"))
    assert settings(work) == {SET, "drum.set1"}


def spoiled() -> list[tuple[WorkList, str]]:
    work = whole()[0]
    task, circuit = work.tasks[SET], work.features["circuit:front"]
    assert circuit.turn_on is not None
    early = replace(circuit.turn_on, after=tuple(t for t in circuit.turn_on.after if t != SET))
    twice = replace(task, id="drum.set1")
    away = replace(task, demands=tuple(d for d in task.demands if d.feature != "drum"))
    return [
        (replace(work, tasks={**work.tasks, twice.id: twice}), "set the same"),
        (replace(work, tasks={**work.tasks, SET: away}), f"`{SET}` may be done with `drum` away"),
        (
            replace(work, features={**work.features, circuit.id: replace(circuit, turn_on=early)}),
            "may be filled before",
        ),
    ]


@pytest.mark.parametrize("case", range(3))
def test_the_checker_sees_each_way_of_doing_it_wrong(case: int) -> None:
    work, told = spoiled()[case]
    assert [f for f in faults(work) if told in f]


def test_a_battery_tray_has_no_wires_to_be_labelled_and_a_fuse_box_has() -> None:
    """Its other steps keep their numbers: a log that knows them is not to be misread."""
    v = scuttle()
    moved = {kind: part(kind, kind, (60, y, 700)) for kind, y in (("battery-tray", 300), ("fuse-box", 600))}
    v = replace(v, components={**v.components, **moved})
    work, _ = worked(
        v, *(Move(part=p, to=Pose(at_mm=(60, y, 900))) for p, y in (("battery-tray", 300), ("fuse-box", 600)))
    )
    labels = {i for i, t in work.tasks.items() if t.title.startswith("Label and photograph")}
    assert labels == {"fuse-box.1"}
    assert "battery-tray.2" in work.tasks
