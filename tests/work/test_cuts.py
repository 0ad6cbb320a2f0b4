"""Holes: what is off while they are made, what hot work asks for, and what the paint waits for."""

from __future__ import annotations

from dataclasses import replace

from workshop import bracket, demands, hole, link, part, scuttle, shelf, worked

from planner.model.catalog import Work
from planner.model.job import Add
from planner.model.vehicle import Vehicle
from planner.model.work import Task, WorkList


def steps(work: WorkList, of: str, *kinds: Work) -> list[Task]:
    return [t for i, t in work.tasks.items() if i.startswith(f"{of}.") and (not kinds or t.work in kinds)]


def with_pipe_near() -> Vehicle:
    """A brake union 200 mm, a fuel filter 200 mm and a horn 100 mm from the hole at y = 700, z = 300."""
    v = scuttle()
    more = [
        part("brake-union", "near-union", (60, 970, 300), systems=("front",)),
        part("fuel-filter", "near-filter", (60, 700, 570), systems=("fuel",)),
        part("horn", "near-horn", (60, 530, 300)),
    ]
    pipe = link("brake-pipe", "near-pipe", "near-union", "wheel-cylinder", system="front", passes=("near-horn",))
    return replace(
        v,
        components={**v.components, **{c.id: c for c in more}},
        links={**v.links, pipe.id: pipe},
    )


def test_hot_work_demands_its_conditions_and_fuel_and_brakes_away() -> None:
    work, knockons = worked(with_pipe_near(), hole(welded=True))
    assert {"near-union", "near-filter"} <= knockons.hot_near["slot"]
    assert "near-pipe" in knockons.hot_near["slot"]
    assert "near-horn" not in knockons.hot_near["slot"]
    [weld] = steps(work, "slot", Work.WELDING)
    assert shelf().hot_conditions
    for condition in shelf().hot_conditions:
        found = demands(weld, f"state:{condition}")
        assert found is not None, condition
        assert found.on
        assert f"state:{condition}" in work.features
    for body in knockons.hot_near["slot"]:
        found = demands(weld, body)
        assert found is not None, body
        assert not found.on
    assert shelf().cautions["hot work"] in weld.cautions
    assert shelf().cautions["welding"] in weld.cautions


def test_fire_watch_holds_back_engine_and_road() -> None:
    work, _ = worked(with_pipe_near(), hole(welded=True))
    watch = work.checkpoints["fire-watch"]
    assert {"engine", "moving"} <= set(watch.blocks)
    signers = [t for t in work.tasks.values() if t.checkpoint == "fire-watch"]
    assert signers
    for task in signers:
        found = demands(task, "state:fire-watch-ready")
        assert found is not None
        assert found.on


def test_cold_cut_leaves_brakes_and_conditions_of_hot_work_alone() -> None:
    work, knockons = worked(with_pipe_near(), hole())
    assert knockons.hot_near["slot"] == frozenset()
    assert "state:fire-watch-ready" not in work.features
    assert not steps(work, "slot", Work.WELDING)
    assert "fire-watch" not in work.checkpoints


def test_working_room_is_clear_while_cutting() -> None:
    work, knockons = worked(with_pipe_near(), hole())
    assert knockons.cut_rooms["slot"] == frozenset({"near-horn", "near-pipe"})
    for task in steps(work, "slot", Work.MARKING, Work.DRILLING, Work.CUTTING, Work.DRESSING):
        found = demands(task, "near-horn")
        assert found is not None, task.id
        assert not found.on


def test_paint_of_the_hole_waits_for_the_trial_fit_of_what_goes_there() -> None:
    plate = Add(component=bracket(size=(10, 100, 100), at=(15, 700, 300)))
    for welded in (False, True):
        work, knockons = worked(scuttle(), hole(welded=welded), plate)
        assert "bracket" in knockons.bare["slot"]
        [paint] = steps(work, "slot", Work.FINISHING)
        [trial] = steps(work, "bracket", Work.TRIAL_FIT)
        assert trial.id in {a.task for a in paint.after}
        found = demands(paint, "bracket")
        assert found is not None
        assert not found.on
        assert paint.keep_min > 0
        fit = work.features["bracket"].turn_on
        assert fit is not None
        structural = {t.id for t in steps(work, "slot")} - {paint.id}
        assert structural <= set(fit.after)
        assert paint.id not in fit.after


def test_part_elsewhere_does_not_wait_for_the_hole() -> None:
    work, _ = worked(scuttle(), hole(), Add(component=bracket(at=(60, -800, 300))))
    [paint] = steps(work, "slot", Work.FINISHING)
    assert not [a for a in paint.after if a.task.startswith("bracket.")]
    fit = work.features["bracket"].turn_on
    assert fit is not None
    assert not [t for t in fit.after if t.startswith("slot.")]


def test_welded_hole_is_not_cut_twice() -> None:
    work, _ = worked(scuttle(), hole(welded=True))
    assert len(steps(work, "slot", Work.FINISHING)) == 1
    assert {"cut-edges.slot", "weld-look.slot", "crack-check", "bulkhead-sealed"} <= set(work.checkpoints)
