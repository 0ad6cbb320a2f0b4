"""States that keep people safe are left late: never in a session before one that has room for it.

What is expected is worked out by hand, or asked of each plan by counting the free minutes of its sessions anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from session_cases import random_case
from test_pack import SATURDAY, SUNDAY, catalog, job, on, starts
from test_sessions_scheduled import at, made
from worklists import feature, task, toggle, work_list

from planner.model.job import Session
from planner.model.plan import Plan, Slot
from planner.model.work import Feature, Toggle, WorkList
from planner.order import scheduled
from planner.order.calendar import calendar_of
from planner.order.pack import Packer, Rank
from planner.order.schedule_late import left_late
from planner.order.schedule_net import Place, fits
from planner.order.schedule_plan import Load, load_of
from planner.order.strip_solve import least_strip
from planner.verify import check_plan

MONDAY = date(2026, 12, 7)


def dead(minutes: int, *, late: bool = True) -> Feature:
    """A battery that is off while something is worked at: entered in ten minutes."""
    leave = replace(toggle("dead", False, minutes), late=late)
    return feature("dead", start=False, goal=False, on=toggle("dead", True), off=leave)


def three_days(work: WorkList, hands: int = 1) -> Plan:
    days = (on(day, 9, 11, hands=hands) for day in (SATURDAY, SUNDAY, MONDAY))
    return made(work, job(*days, setup_min=0))


def wiring(*more: int, leave_min: int = 10, late: bool = True) -> WorkList:
    """Wires laid with the battery off, other work, then a run that wants it on."""
    tasks = [task("wire", 30, demands=["dead"])]
    tasks += [task(f"t{i}", minutes, after=["wire"]) for i, minutes in enumerate(more)]
    tasks.append(task("run", 30, demands=["not dead"], after=[t.id for t in tasks]))
    return work_list([dead(leave_min, late=late)], tasks)


def order_of(plan: Plan) -> list[str]:
    return [s.step.ref for s in plan.slots]


def off_at(plan: Plan) -> Slot:
    return next(s for s in plan.slots if s.step.ref == "dead" and s.step.on is False)


def test_it_stands_just_before_what_wants_it() -> None:
    for leave_min in (0, 10):
        told = order_of(three_days(wiring(20, 20, leave_min=leave_min)))
        assert told[-2:] == ["dead", "run"]
        assert told[:2] == ["dead", "wire"]


def test_it_goes_to_the_day_of_what_wants_it_when_there_is_room() -> None:
    # 40 min of the first day are gone; 80 and 60 do not both fit in the rest, the run follows on the second day.
    plan = three_days(wiring(80, 60))
    assert off_at(plan).start == at(6, 10)
    assert starts(plan)["run"] == at(6, 10, 10)


def packed_early() -> tuple[Load, list[Place]]:
    """Three days whose first two are full: 10 + 60 + 10 + 40 and 10 + 80 + 30 min, the state left at once."""
    work = work_list(
        [dead(10)],
        [
            task("wire", 60, demands=["dead"]),
            task("first", 40, after=["wire"]),
            task("small", 10, after=["wire"]),
            task("big", 80, after=["first"]),
            task("run", 30, demands=["not dead"], after=["big", "small"]),
        ],
    )
    days = job(*(on(day, 9, 11) for day in (SATURDAY, SUNDAY, MONDAY)), setup_min=0)
    load = load_of(work, least_strip(work), calendar_of(days, catalog(0), SATURDAY))
    asked = ["dead", "wire", "dead", "first", "small", "big", "run"]
    named = [node.ref for node in load.thread.nodes]
    last = {ref: i for i, ref in enumerate(asked)}
    rank: Rank = [(asked.index(r) if r == "dead" and n == named.index(r) else last[r],) for n, r in enumerate(named)]
    packer = Packer(net=load.net, rank=rank)
    assert packer.run()
    return load, packer.places


def test_what_lies_between_comes_forward_to_make_room() -> None:
    load, places = packed_early()

    def days(found: Sequence[Place]) -> dict[str, int]:
        return {load.pieces[p.step].title: p.bay for p in found}

    before, after = days(places), days(left_late(load, places))
    assert (before["Take off the dead"], before["small"]) == (0, 1)
    # Ten minutes for ten: nothing else has another day.
    assert after == before | {"Take off the dead": 1, "small": 0}
    assert fits(load.net, left_late(load, places))


def test_no_room_leaves_it_where_it_is() -> None:
    # The second day holds 90 + 30 min and nothing can come forward into the ten minutes of the first.
    work = wiring(70, 90)
    plan = three_days(work)
    assert plan.finish is not None
    assert plan.finish.date() == SUNDAY
    assert off_at(plan).start == at(5, 10, 50)


def test_one_that_keeps_nobody_safe_is_left_at_once() -> None:
    assert order_of(three_days(wiring(20, 20, late=False)))[:3] == ["dead", "wire", "dead"]


def test_with_a_helper_it_still_comes_last() -> None:
    plan = three_days(wiring(50, 20, 20, leave_min=0), hands=2)
    assert off_at(plan).start == starts(plan)["run"]


def passing(work: WorkList, *, late: bool) -> WorkList:
    """The same work with every feature a passing state, left late or not."""

    def told(one: Feature) -> Feature:
        leave = one.turn_off and replace(one.turn_off, late=late)
        return replace(one, start=False, goal=False, turn_off=leave)

    return replace(work, features={i: told(f) for i, f in work.features.items()})


def could_be_later(work: WorkList, plan: Plan, sessions: Sequence[Session]) -> list[str]:
    """Late toggles that a later session, empty from its last step on, could have had; each moved by itself."""
    found = []
    for slot in plan.slots:
        piece = work.features[slot.step.ref] if slot.step.on is not None else None
        leave = None if piece is None or slot.step.on else piece.turn_off
        if not isinstance(leave, Toggle) or not leave.late:
            continue
        after = [s for s in plan.slots if s.start >= slot.end and s is not slot]
        wanted = [s for s in after if _needs(work, s, slot.step.ref)]
        first = min((s.start for s in wanted), default=datetime.max)  # noqa: DTZ901 - wall clock
        for number in sorted({s.session for s in after} - {slot.session}):
            ends = max(s.end for s in plan.slots if s.session == number)
            begins = min(s.start for s in plan.slots if s.session == number)
            room = min(datetime.combine(sessions[number].day, sessions[number].end), first) - ends
            if begins > slot.end and room >= timedelta(minutes=leave.minutes):
                found.append(f"{slot.step.ref} could be left in session {number}")
    return found


def _needs(work: WorkList, slot: Slot, ref: str) -> bool:
    """Whether a step wants a state over, changes it, or has it in one of its ways."""
    step = slot.step
    if step.on is None:
        return any(d.feature == ref for d in work.tasks[step.ref].demands)
    known = work.features[step.ref].toggle(on=step.on)
    ways = () if known is None else (known.demands, *known.ways)
    return step.ref == ref or any(d.feature == ref for way in ways for d in way)


@pytest.mark.parametrize("first", [0, 200])
def test_random_plans_stay_sound_as_good_and_late(first: int) -> None:
    seen = 0
    for seed in range(first, first + 40):
        work, sessions, _ = random_case(seed)
        what = job(*sessions, setup_min=0)
        plain = scheduled(passing(work, late=False), what, catalog(0), today=SATURDAY)
        late = passing(work, late=True)
        plan = scheduled(late, what, catalog(0), today=SATURDAY)
        assert bool(plan.slots) == bool(plain.slots)
        if plan.finish is None or plain.finish is None:
            continue
        assert check_plan(late, plan, what, catalog(0), SATURDAY) == ()
        assert plan.finish.date() == plain.finish.date()
        assert plan.strip.cost == plain.strip.cost
        assert len({s.session for s in plan.slots}) <= len({s.session for s in plain.slots})
        if not work.holds:
            assert could_be_later(late, plan, sessions) == [], seed
            seen += sum(s.step.on is False for s in plan.slots)
    assert seen > 0
