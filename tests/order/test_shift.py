"""A plan moved on: the order agreed, each step in its session or the next with room; worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

from test_pack import SATURDAY, SUNDAY, catalog, job, on
from worklists import feature, task, work_list

from planner.model.plan import Plan, Slot
from planner.model.work import WorkList
from planner.order import pack, shifted
from planner.order.strip_solve import least_strip
from planner.verify import check_plan, check_strip

CATALOG = catalog(tidy_min=0)
THIRD = date(2026, 12, 12)
SESSIONS = (on(SATURDAY, 9, 13), on(SUNDAY, 9, 13), on(THIRD, 9, 13))


def three() -> WorkList:
    """Two hours, ninety minutes and two hours, one after the other; the last wants the lid off."""
    tasks = [task("saw", 120), task("file", 90, after=["saw"]), task("fit", 120, demands=["not lid"], after=["file"])]
    return work_list([feature("lid")], tasks)


def agreed() -> Plan:
    """Saw and file on Saturday; lid off, fit, lid on on Sunday."""
    work = three()
    plan = pack(work, least_strip(work, limit_s=2), job(*SESSIONS), CATALOG, today=SATURDAY)
    days = [(s.step.ref, s.start.date()) for s in plan.slots if s.step.ref != "lid"]
    assert days == [("saw", SATURDAY), ("file", SATURDAY), ("fit", SUNDAY)]
    return plan


def moved(work: WorkList, slots: tuple[Slot, ...], begin: time) -> list[tuple[str, date, time]]:
    """Where everything is done when Saturday goes on from a moment."""
    left = job(*SESSIONS, start=SATURDAY, from_time=begin)
    plan = shifted(work, slots, left, CATALOG, today=SATURDAY)
    assert plan is not None
    assert (*check_strip(work, plan.strip), *check_plan(work, plan, left, CATALOG, SATURDAY)) == ()
    return [(s.step.ref, s.start.date(), s.start.time()) for s in plan.slots]


def test_what_does_not_fit_any_more_goes_first_in_the_next_session() -> None:
    told = moved(three(), agreed().slots, time(10))
    # From ten on there are three hours: the file no longer fits after the saw, and it pushes nothing out of Sunday.
    assert [t for t in told if t[0] in {"saw", "file"}] == [("saw", SATURDAY, time(10)), ("file", SUNDAY, time(9))]
    assert next(t for t in told if t[0] == "fit")[1] == SUNDAY


def test_a_session_too_full_pushes_its_last_step_on() -> None:
    told = moved(three(), agreed().slots, time(12))
    # One hour is left on Saturday, so saw (120) and file (90) fill Sunday to 12:30, and fit (120) goes to the third.
    assert [t for t in told if t[0] in {"saw", "file"}] == [("saw", SUNDAY, time(9)), ("file", SUNDAY, time(11))]
    assert next(t for t in told if t[0] == "fit")[1] == THIRD


def test_nothing_is_done_earlier_than_on_the_day_agreed() -> None:
    slots = agreed().slots
    quick = replace(three(), tasks={i: replace(t, minutes=10) for i, t in three().tasks.items()})
    told = moved(quick, slots, time(9))
    assert next(t for t in told if t[0] == "fit")[1] == SUNDAY


def test_work_that_came_up_is_done_when_something_needs_it() -> None:
    work = three()
    mend = task("mend", 30, demands=["not lid"])
    fit = replace(work.tasks["fit"], after=(*work.tasks["fit"].after, *task("x", after=["mend"]).after))
    more = replace(work, tasks={**work.tasks, "mend": mend, "fit": fit})
    told = [t[0] for t in moved(more, agreed().slots, time(9))]
    assert told.index("lid") < told.index("mend") < told.index("fit") < len(told) - 1
    assert told.count("lid") == 2


def test_a_part_that_is_needed_off_once_more_is_taken_off_once_more() -> None:
    """The lid is back on and only the last step is left of the plan; then more is found under it."""
    work = work_list([feature("lid")], [task("fit", 120, demands=["not lid"]), task("found", 30, demands=["not lid"])])
    slots = tuple(s for s in agreed().slots if s.step.ref == "fit")
    told = [t[0] for t in moved(work, slots, time(9))]
    assert sorted(told) == ["fit", "found", "lid", "lid"]
    assert told[0] == told[-1] == "lid"


def test_without_room_there_is_no_such_plan() -> None:
    slots, work = agreed().slots, three()
    short = job(on(SATURDAY, 9, 10), on(SUNDAY, 9, 12))
    assert shifted(work, slots, short, CATALOG, today=SATURDAY) is None
    assert shifted(work, (), job(*SESSIONS), CATALOG, today=SATURDAY) is None


def test_a_session_lost_moves_its_steps_to_the_next_one() -> None:
    slots, work = agreed().slots, three()
    left = job(*SESSIONS[1:])
    plan = shifted(work, slots, left, CATALOG, today=SATURDAY)
    assert plan is not None
    assert check_plan(work, plan, left, CATALOG, SATURDAY) == ()
    assert {s.step.ref: s.start for s in plan.slots}["saw"] == datetime.combine(SUNDAY, time(9))
