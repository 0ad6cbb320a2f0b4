"""Current, heat and fuel are kept off for as long as they would hurt, on the demo's two largest jobs."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from trials import TODAY, answer, catalog

from planner.log import keys_of, lacks_of
from planner.model.log import SignedLine, Verdict
from planner.model.standing import Agreed, Standing
from planner.model.work import Demand, WorkList
from planner.verify import check_gates

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
    assert told == {"battery-isolated", "charging-unplugged", "engine-cold", "fuel-pipe-capped", "tank-drained"}
    work = answer("hung-pedals").work
    late = {f.subject for f in work.features.values() for t in (f.turn_off,) if t is not None and t.late}
    assert late == told & {f.subject for f in work.features.values()}


@pytest.mark.parametrize("name", JOBS)
def test_the_battery_is_not_joined_before_the_test_for_shorts(name: str) -> None:
    found = answer(name)
    leave = found.work.features["state:battery-isolated"].turn_off
    assert leave is not None
    assert "check.wiring-before-live" in leave.after
    steps = [s.step for s in found.plan.slots]
    tested = next(n for n, s in enumerate(steps) if s.ref == "check.wiring-before-live")
    assert all(n > tested for n, s in enumerate(steps) if s.ref == "state:battery-isolated" and s.on is False)


def test_the_checker_sees_a_battery_that_could_be_joined_before_its_test() -> None:
    found = answer("hung-pedals")
    known = found.work.features["state:battery-isolated"]
    assert known.turn_off is not None
    loose = replace(known, turn_off=replace(known.turn_off, after=()))
    work = replace(found.work, features=found.work.features | {known.id: loose})
    told = check_gates(found.vehicle, found.knockons, work, catalog(), job=found.job)
    assert [t for t in told if "may be left before `check.wiring-before-live`" in t]
    assert not [
        t for t in check_gates(found.vehicle, found.knockons, found.work, catalog(), job=found.job) if "left" in t
    ]


def test_a_test_that_failed_keeps_the_battery_off() -> None:
    found = answer("hung-pedals")
    keys = keys_of(found.plan, Standing())
    agreed = Agreed(
        made=TODAY, project="p", job="j", option=None, inputs={}, pace={}, homes={}, work=found.work, plan=found.plan,
        keys=keys, named={k: n for n, k in enumerate(keys, 1)},
    )  # fmt: skip
    join = next(k for k in keys if k.startswith("state:battery-isolated:off"))
    for verdict, held in ((None, True), (Verdict.FAILED, True), (Verdict.PASSED, False)):
        line = None if verdict is None else signed(verdict)
        standing = Standing(
            finished=frozenset() if line is None else frozenset(found.work.tasks),
            signed={} if line is None else {line.checkpoint: line},
        )
        gates = [one for one in lacks_of(agreed, standing, join) if one.gate and "short" in one.text]
        assert bool(gates) is held, verdict


def signed(verdict: Verdict) -> SignedLine:
    return SignedLine(
        n=1, at=datetime(2027, 1, 1, tzinfo=UTC), key="check.wiring-before-live", checkpoint="wiring-before-live",
        verdict=verdict, limit="", text="", value=None, by="AB", why="",
    )  # fmt: skip


@pytest.mark.parametrize("name", JOBS)
def test_nobody_works_beside_a_vehicle_that_is_lifted_runs_or_moves(name: str) -> None:
    """Common practice, no published source: lifting, lowering, a running engine and driving want everybody's eyes."""
    found = answer(name)
    lifting = [t for f in found.work.features.values() if f.subject == "on-stands" for t in f.toggles]
    gates = [found.work.tasks[g] for g in ("first-start", "first-move", "road-test")]
    assert all(piece.apart for piece in (*lifting, *gates))
    alone = [s for s in found.plan.slots if found.work.piece(s.step).apart and s.end > s.start]
    assert len(alone) >= len(gates)
    for slot in alone:
        beside = [s for s in found.plan.slots if s is not slot and s.start < slot.end and slot.start < s.end > s.start]
        assert beside == [], slot


def test_lifting_is_marked_to_be_put_off_as_long_as_can_be() -> None:
    found = answer("hung-pedals")
    lifts = [f.turn_on for f in found.work.features.values() if f.subject == "on-stands"]
    assert lifts
    assert all(t is not None and t.late for t in lifts)
