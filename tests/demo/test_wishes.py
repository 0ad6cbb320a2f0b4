"""What the shipped jobs say of their times, their wishes and their options, and what becomes of it."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest
from trials import TODAY, answer, catalog, job, vehicle

from planner.cli.planning import planned
from planner.model.answer import Answer
from planner.model.effects import EffectKind, Proof
from planner.model.work import Demand, Spread

OPTIONS = ("let-in", "bought")
HUNG = "hung-pedals"


@cache
def with_option(option: str) -> Answer:
    return planned(vehicle(), job("header-tank").taking(option), catalog(), today=TODAY, limit_s=30.0)


def subjects(option: str, kind: EffectKind) -> set[str]:
    return {e.subject for e in with_option(option).knockons.effects if e.kind is kind}


def test_the_tank_can_be_had_two_ways_and_one_is_taken() -> None:
    found = job("header-tank")
    assert tuple(found.options) == OPTIONS
    assert (found.take, found.option, found.changes) == ("let-in", None, ())


@pytest.mark.parametrize("option", OPTIONS)
def test_each_way_can_be_planned_and_the_checker_agrees(option: str) -> None:
    found = with_option(option)
    assert found.violations == ()
    assert found.knockons.proof is Proof.PROVED
    assert found.plan.slots


def test_one_way_stays_where_it_is_and_the_other_pushes_half_the_shelf_about() -> None:
    """Read off the drawing: the longer tank reaches over fuse box and washer bottle, the old one over neither."""
    assert subjects("let-in", EffectKind.MOVES) == set()
    assert subjects("let-in", EffectKind.GROWS) == {"header-tank"}
    assert {"fuse-box", "washer-bottle"} <= subjects("bought", EffectKind.MOVES)
    assert len(subjects("bought", EffectKind.REMADE)) > 4
    costs = {o: with_option(o).plan.strip.cost for o in OPTIONS}
    assert costs["let-in"] < costs["bought"]


def test_the_option_brings_its_own_task_and_its_own_times() -> None:
    boil = with_option("let-in").work.tasks["boil-out"]
    assert (boil.minutes, boil.spread, boil.splits) == (60, Spread(low_min=40, high_min=150), True)
    assert "boil-out" not in with_option("bought").work.tasks


def test_the_main_job_says_how_sure_it_is() -> None:
    work = answer(HUNG).work
    assert work.tasks["shoe-trial"].spread == Spread(low_min=15, high_min=60)
    assert work.tasks["blank-old-holes"].splits
    trial = work.tasks["pedal-box.7"].again
    assert trial is not None
    assert trial.chance == pytest.approx(0.4)
    assert all(t.spread is not None for t in work.tasks.values() if t.minutes)


def test_the_car_can_be_rolled_out_the_night_before_the_sweep_comes() -> None:
    """The steps up to that night, replayed for the one state that counts."""
    found = answer(HUNG)
    hold = found.work.holds["rolls"]
    assert hold.demands == (Demand(feature="state:on-stands", on=False),)
    night = date(2026, 12, 20)
    assert hold.asks(night)
    assert not hold.asks(date(2026, 12, 13))
    raised = [s.step.on for s in found.plan.slots if s.step.ref == "state:on-stands" and s.start.date() <= night]
    assert not (raised and raised[-1])


def test_what_is_disliked_is_priced_where_it_is_undone() -> None:
    features = answer(HUNG).work.features
    column, stands = features["steering-column"], features["state:on-stands"]
    assert column.turn_off is not None
    assert stands.turn_on is not None
    assert (column.turn_off.dislike_min, stands.turn_on.dislike_min) == (40, 20)


def test_pedal_box_and_column_support_are_tried_finger_tight() -> None:
    features = answer(HUNG).work.features
    assert {"pedal-box:tight", "column-support:tight"} <= set(features)
    assert not [i for i in features if i.endswith(":tight") and "cylinder" in i]
