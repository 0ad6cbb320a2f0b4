"""Current, heat and fuel are kept off for as long as they would hurt, on the demo's two largest jobs."""

from __future__ import annotations

import pytest
from trials import answer, catalog

from planner.model.work import Demand, WorkList

JOBS = ("hung-pedals", "battery-aft")
LED = ("hung-pedals",)
"""Those in which a link is led elsewhere as it is."""


def set_links(work: WorkList, name: str) -> dict[str, str]:
    """Tasks that set or lead a link elsewhere, with the link."""
    links = answer(name).knockons.links_after
    return {i: subject for i in work.tasks if (subject := i.removesuffix(".adj1")) != i and subject in links}


@pytest.mark.parametrize("name", LED)
def test_a_link_is_led_elsewhere_in_the_states_it_is_taken_off_in(name: str) -> None:
    found = answer(name)
    led = set_links(found.work, name)
    assert led
    for task, subject in led.items():
        needs = found.knockons.links_after[subject].needs
        wanted = {Demand(feature=f"state:{c}", on=True) for c in needs}
        assert wanted <= set(found.work.tasks[task].demands), task
    groups = {found.knockons.links_after[s].group for s in led.values()}
    assert "electrics" in groups


@pytest.mark.parametrize("name", LED)
def test_no_wire_is_led_after_the_test_for_shorts(name: str) -> None:
    found = answer(name)
    place = {s.step.ref: n for n, s in enumerate(found.plan.slots) if s.step.on is None}
    wires = [t for t, s in set_links(found.work, name).items() if found.knockons.links_after[s].group == "electrics"]
    assert wires
    for check in ("wiring-before-live", "wiring-edges"):
        assert all(place[t] < place[f"check.{check}"] for t in wires)


@pytest.mark.parametrize("name", JOBS)
def test_the_battery_goes_on_after_all_work_on_wires_and_just_before_it_is_wanted(name: str) -> None:
    found = answer(name)
    steps = [s.step for s in found.plan.slots]
    live = max(n for n, s in enumerate(steps) if s.ref == "state:battery-isolated" and s.on is False)
    want = Demand(feature="state:battery-isolated", on=False)
    wanted = [
        n
        for n, s in enumerate(steps)
        if s.on is None and any((d.feature, d.on) == (want.feature, want.on) for d in found.work.tasks[s.ref].demands)
    ]
    # In one session with what wants it first, or in the last before that has room: never days ahead.
    sessions = sorted({s.session for s in found.plan.slots})
    apart = sessions.index(found.plan.slots[min(wanted)].session) - sessions.index(found.plan.slots[live].session)
    assert 0 <= apart <= 1


@pytest.mark.parametrize("name", [*JOBS, "header-tank"])
def test_the_engine_is_said_to_be_run_just_before_it_is(name: str) -> None:
    found = answer(name)
    steps = [s.step for s in found.plan.slots]
    said = [n for n, s in enumerate(steps) if s.ref == "state:engine-cold" and s.on is False]
    starts = next(n for n, s in enumerate(steps) if s.ref == "first-start")
    if said:
        assert found.plan.slots[said[-1]].session == found.plan.slots[starts].session
        assert starts - said[-1] == 1


def test_what_protects_is_named_by_the_catalog() -> None:
    """Common practice, no published source: current, heat and fuel hurt whoever works; stands and hoists do not."""
    told = {c.id for c in catalog().conditions.values() if c.protects}
    assert told == {"battery-isolated", "charging-unplugged", "engine-cold", "fuel-pipe-capped"}
    work = answer("hung-pedals").work
    late = {f.subject for f in work.features.values() for t in (f.turn_off,) if t is not None and t.late}
    assert late == told & {f.subject for f in work.features.values()}
