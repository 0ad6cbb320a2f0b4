"""Conditions: every one that something needs, and what these need in turn."""

from __future__ import annotations

import pytest
from workshop import hole, part, scuttle, shelf, worked

from planner.model.catalog import When
from planner.model.job import Add, OwnTask, TakeOff
from planner.model.work import Demand, WorkList


def conditions(work: WorkList) -> set[str]:
    return {f.removeprefix("state:") for f in work.features if f.startswith("state:")}


def needed_by(condition: str) -> set[str]:
    found = {condition}
    for n in shelf().conditions[condition].needs:
        found |= needed_by(n)
    return found


def assert_closed(work: WorkList) -> None:
    for condition in conditions(work):
        assert needed_by(condition) <= conditions(work)
        known = shelf().conditions[condition]
        feature = work.features[f"state:{condition}"]
        assert (feature.start, feature.goal) == (False, False)
        assert feature.turn_on is not None
        assert feature.turn_off is not None
        for need in known.needs:
            demand = Demand(feature=f"state:{need}", on=True)
            assert demand in feature.turn_on.demands
            assert demand in feature.turn_off.demands
            below = work.features[f"state:{need}"].turn_off
            assert below is not None
            assert Demand(feature=f"state:{condition}", on=False) in below.demands
    named = [d.feature for t in work.tasks.values() for d in t.demands]
    toggles = [t for f in work.features.values() for t in (f.turn_on, f.turn_off) if t is not None]
    named += [d.feature for t in toggles for d in (*t.demands, *(d for way in t.ways for d in way))]
    assert set(named) <= set(work.features)


@pytest.mark.parametrize(
    "condition", sorted(["on-stands", "wheels-off-front", "charging-unplugged", "fuel-pipe-capped"])
)
def test_own_task_brings_its_conditions_and_theirs(condition: str) -> None:
    task = OwnTask(id="look", title="Look", minutes=5, conditions=(condition,))
    work, _ = worked(scuttle(), tasks=(task,))
    assert needed_by(condition) <= conditions(work)
    assert Demand(feature=f"state:{condition}", on=True) in work.tasks["look"].demands
    assert_closed(work)


def test_hot_work_brings_all_of_its_own() -> None:
    work, _ = worked(scuttle(), hole(welded=True))
    for condition in shelf().hot_conditions:
        assert needed_by(condition) <= conditions(work)
    assert_closed(work)


def test_parts_need_theirs() -> None:
    v = scuttle()
    work, _ = worked(v, TakeOff(part="master"))
    off = work.features["master"].turn_off
    assert off is not None
    assert v.components["master"].needs == ("engine-cold",)
    assert Demand(feature="state:engine-cold", on=True) in off.demands
    assert_closed(work)


def test_none_that_nobody_needs() -> None:
    """A wooden task needs none, but the checks of any job may."""
    work, _ = worked(scuttle(), tasks=(OwnTask(id="look", title="Look", minutes=5),))
    assert "gearbox-supported" not in conditions(work)
    assert "fire-watch-ready" not in conditions(work)


def test_checks_on_entering_are_made_each_time() -> None:
    task = OwnTask(id="look", title="Look", minutes=5, conditions=("on-stands",))
    work, _ = worked(scuttle(), tasks=(task,))
    enter = work.features["state:on-stands"].turn_on
    assert enter is not None
    rules = {
        r.id
        for r in shelf().rules.values()
        for t in r.triggers
        if t.when is When.ENTERED and (not t.of or "on-stands" in t.of)
    }
    assert rules
    assert set(enter.checks) == rules
    for rule in rules:
        assert work.checkpoints[rule].each_time
    extra = sum(shelf().rules[r].minutes for r in rules)
    assert enter.minutes == shelf().conditions["on-stands"].enter_min + extra


def test_new_part_without_needs() -> None:
    work, _ = worked(scuttle(), Add(component=part("horn", "horn-2", (60, 800, 800))))
    assert_closed(work)


def test_what_is_left_has_its_own_cautions_where_those_of_entering_it_are_over() -> None:
    """A cold engine that is to be run scalds nobody and has not to be waited for; stands are as dangerous both ways."""
    task = OwnTask(id="look", title="Look", minutes=5, conditions=("engine-cold", "on-stands"))
    work, _ = worked(scuttle(), tasks=(task,))
    cold, stands = (work.features[f"state:{c}"] for c in ("engine-cold", "on-stands"))
    assert cold.turn_on is not None
    assert cold.turn_off is not None
    assert stands.turn_on is not None
    assert stands.turn_off is not None
    assert any("scalds" in c for c in cold.turn_on.cautions)
    assert cold.turn_off.cautions
    assert not set(cold.turn_on.cautions) & set(cold.turn_off.cautions)
    assert any("fan" in c for c in cold.turn_off.cautions)
    assert stands.turn_on.cautions == stands.turn_off.cautions
