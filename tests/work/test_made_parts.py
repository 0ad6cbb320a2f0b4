"""Parts that are made or bought: the trade's order, and what their fitting waits for."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import space
from workshop import CUBE, bracket, demands, first_of, part, scuttle, shelf, worked

from planner.knockon import template_for
from planner.model.catalog import Demanded, Template, When, Work
from planner.model.job import Add, Job, Purchase, TakeOff
from planner.model.vehicle import Freedom
from planner.model.work import After, Demand
from planner.verify import check_steps

MADE = Add(component=bracket())


def template(when: When, kind: str) -> Template:
    found = template_for(shelf(), when, kind, shelf().kinds[kind].group)
    assert found is not None
    return found


def test_tasks_stand_in_the_trades_order() -> None:
    work, _ = worked(scuttle(), MADE)
    steps = template(When.MADE, "bracket").steps
    ids = [f"bracket.{n}" for n in range(1, len(steps) + 1)]
    assert [work.tasks[i].work for i in ids] == [s.work for s in steps]
    for earlier, later, step in zip(ids, ids[1:], steps, strict=False):
        assert After(task=earlier, lag_min=step.lag_min) in work.tasks[later].after
    order = [s.work for s in steps]
    assert order.index(Work.MARKING) < order.index(Work.DRILLING) < order.index(Work.BENDING)
    assert order.index(Work.TRIAL_FIT) < order.index(Work.FINISHING)


def test_fit_waits_for_the_making_up_to_the_trial_fit() -> None:
    work, _ = worked(scuttle(), MADE)
    steps = template(When.MADE, "bracket").steps
    trial = next(n for n, s in enumerate(steps, start=1) if Demanded.FITTED in s.demands)
    fit = work.features["bracket"].turn_on
    assert fit is not None
    assert set(fit.after) == {f"bracket.{n}" for n in range(1, trial)}
    assert demands(work.tasks[f"bracket.{trial}"], "bracket") is not None
    for n in range(trial + 1, len(steps) + 1):
        found = demands(work.tasks[f"bracket.{n}"], "bracket")
        if Demanded.OFF in steps[n - 1].demands:
            assert found is not None
            assert not found.on


def test_paint_keeps_the_part_off_while_it_cures() -> None:
    work, _ = worked(scuttle(), MADE)
    [paint] = [t for i, t in work.tasks.items() if i.startswith("bracket.") and t.work is Work.FINISHING]
    cure = next(s.lag_min for s in template(When.MADE, "bracket").steps if s.work is Work.FINISHING)
    assert paint.keep_min == cure > 0
    found = demands(paint, "bracket")
    assert found is not None
    assert not found.on


def test_making_time_is_the_parts_own() -> None:
    work, _ = worked(scuttle(), MADE)
    steps = template(When.MADE, "bracket").steps
    total = sum(s.minutes for s in steps if not s.seat)
    for n, step in enumerate(steps, start=1):
        # Drilling the bulkhead for it is no part of making it.
        exact = step.minutes if step.seat else step.minutes * 90 / total
        assert exact <= work.tasks[f"bracket.{n}"].minutes < exact + 1


@pytest.mark.parametrize("factor", [0.5, 1.5, 2.0])
def test_pace_scales_minutes(factor: float) -> None:
    plain, _ = worked(scuttle(), MADE)
    paced, _ = worked(scuttle(), MADE, pace={"drilling": factor, "removing": factor})
    for i, task in plain.tasks.items():
        if task.work is not Work.DRILLING:
            assert paced.tasks[i].minutes == task.minutes
    steps = template(When.MADE, "bracket").steps
    share = 90 / sum(s.minutes for s in steps if not s.seat)
    drilled = [n for n, s in enumerate(steps, start=1) if s.work is Work.DRILLING]
    assert len(drilled) == 2
    for n in drilled:
        exact = steps[n - 1].minutes * (1.0 if steps[n - 1].seat else share) * factor
        assert exact - 1e-9 <= paced.tasks[f"bracket.{n}"].minutes < exact + 1


def test_pace_scales_toggles() -> None:
    v = scuttle()
    horn = v.components["horn"]
    plain, _ = worked(v, TakeOff(part="horn"))
    paced, _ = worked(v, TakeOff(part="horn"), pace={"removing": 3.0})
    off, slow = plain.features["horn"].turn_off, paced.features["horn"].turn_off
    on, same = plain.features["horn"].turn_on, paced.features["horn"].turn_on
    assert off is not None
    assert slow is not None
    assert on is not None
    assert same is not None
    assert (off.minutes, off.hands) == (horn.off_min, horn.hands)
    assert slow.minutes == 3 * horn.off_min
    assert on.minutes == same.minutes == horn.on_min


def test_limits_are_in_place_at_the_trial_fit() -> None:
    """The horn, 20 mm below the new part, comes off for it or not: at the trial fit it is there."""
    near = Add(component=bracket(at=(60, 0, 370)))
    work, knockons = worked(scuttle(), near, TakeOff(part="horn"))
    assert "horn" in knockons.limits["bracket"]
    [trial] = [t for i, t in work.tasks.items() if i.startswith("bracket.") and t.work is Work.TRIAL_FIT]
    found = demands(trial, "horn")
    assert found is not None
    assert found.on


def test_bought_part_is_on_the_list_and_its_fitting_waits_for_it() -> None:
    new = part("brake-reservoir", "reservoir", (60, 700, 700), price=31.0, lead_days=9)
    paint = Purchase(id="paint", what="a tin of paint", lead_days=2, for_part="reservoir")
    loose = Purchase(id="rags", what="rags")
    work, _ = worked(scuttle(), Add(component=new), purchases=(paint, loose))
    buy = work.buys["buy:reservoir"]
    assert (buy.price, buy.lead_days, buy.for_part) == (31.0, 9, "reservoir")
    assert work.buys["paint"].lead_days == 2
    fit = work.features["reservoir"].turn_on
    assert fit is not None
    assert set(fit.purchases) == {"buy:reservoir", "paint"}
    unpack = work.tasks["reservoir.1"]
    assert set(unpack.purchases) == {"buy:reservoir", "paint"}
    waiting = {b for t in work.tasks.values() for b in t.purchases}
    waiting |= {b for f in work.features.values() if f.turn_on for b in f.turn_on.purchases}
    assert "rags" in work.buys
    assert "rags" not in waiting


def test_made_part_without_price_needs_no_purchase() -> None:
    work, _ = worked(scuttle(), MADE)
    assert work.buys == {}
    work, _ = worked(scuttle(), Add(component=bracket(price=4.0)))
    assert work.buys["buy:bracket"].what == "material for bracket"


def test_road_test_comes_after_all_work_and_holds_every_goal() -> None:
    work, _ = worked(scuttle(), MADE)
    road = work.tasks["road-test"]
    earlier = first_of(work, "road-test")
    assert set(work.tasks) - earlier - {"road-test"} <= {i for i in work.tasks if i.startswith("check.")}
    for feature in work.features.values():
        if feature.goal is not None:
            found = demands(road, feature.id)
            assert found is not None, feature.id
            assert (found.on, found.last) == (feature.goal, True)


def test_new_home_demands_its_place_empty() -> None:
    """The bracket takes the horn's place, the horn the free shelf: the horn is out of the old home first."""
    v = scuttle()
    horn = replace(v.components["horn"], freedom=Freedom.MOVES)
    shelf_space = space("shelf", (60, 800, 250), CUBE, on="bulkhead", takes=("horn",))
    v = replace(v, components={**v.components, "horn": horn}, spaces={"shelf": shelf_space})
    work, knockons = worked(v, Add(component=bracket(at=(60, 40, 250))))
    assert set(knockons.homes) == {"horn"}
    fit = work.features["bracket"].turn_on
    again = work.features["horn@new"].turn_on
    assert fit is not None
    assert again is not None
    assert Demand(feature="horn", on=False) in fit.demands
    assert Demand(feature="horn", on=False) in again.demands
    assert (work.features["horn"].goal, work.features["horn@new"].goal) == (False, True)
    assert work.features["horn"].turn_on is None


def test_a_mock_up_in_card_does_not_wait_for_the_metal() -> None:
    """Card is at hand; what shapes the metal waits for it (common practice, no published source)."""
    sheet = Purchase(id="sheet", what="steel sheet", lead_days=5, lead_told=True, for_part="bracket")
    work, found = worked(scuttle(), MADE, purchases=(sheet,))
    steps = [t for i, t in work.tasks.items() if i.startswith("bracket.")]
    assert [t.work for t in steps if "sheet" not in t.purchases][:1] == [Work.MOCK_UP]
    assert all("sheet" in t.purchases for t in steps if t.work in {Work.MARKING, Work.CUTTING, Work.WELDING})
    bare = {i: replace(t, purchases=()) for i, t in work.tasks.items()}
    job = Job(id="job", name="job", changes=(MADE,), purchases=(sheet,))
    assert not [t for t in check_steps(scuttle(), found, work, shelf(), job=job) if "`sheet`" in t]
    told = check_steps(scuttle(), found, replace(work, tasks=bare), shelf(), job=job)
    assert any("may be done before `sheet` is here" in t for t in told)
