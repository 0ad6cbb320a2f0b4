"""What a dated plan keeps to: the calendar, hands, pieces, waits; and what it tells.

Expected times are worked out by hand from the rules, beside each case.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time

from test_pack import EVERY_SATURDAY, SATURDAY, SUNDAY, broken_rules, catalog, job, on, starts
from worklists import feature, task, toggle, work_list

from planner.model.effects import Proof
from planner.model.job import Job, Repeating
from planner.model.plan import Plan
from planner.model.work import After, Buy, WorkList
from planner.order import scheduled
from planner.order.halt import Halt
from planner.verify import check_plan


def made(work: WorkList, what: Job, **more: object) -> Plan:
    """Plan with no setting up but the job's own, and see that both checkers agree."""
    plan = scheduled(work, what, catalog(0), today=SATURDAY, **more)  # type: ignore[arg-type]
    assert check_plan(work, plan, what, catalog(0), SATURDAY) == ()
    return plan


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 12, day, hour, minute)  # noqa: DTZ001 - wall clock


def test_setting_up_and_putting_away_are_kept_free() -> None:
    work = work_list([], [task("cut", 90)])
    what = job(on(SATURDAY, 9, 11), on(SUNDAY, 9, 12), setup_min=20, tidy_min=15)
    # Saturday: 09:20 to 10:45 is 85 min. Sunday: from 09:20 on.
    assert starts(made(work, what))["cut"] == at(6, 9, 20)
    assert starts(made(work, replace(what, tidy_min=10)))["cut"] == at(5, 9, 20)


def test_the_job_says_its_own_setting_up() -> None:
    work = work_list([], [task("cut", 30)])
    assert starts(scheduled(work, job(on(SATURDAY, 9, 11)), catalog(15), today=SATURDAY))["cut"] == at(5, 9, 15)
    own = job(on(SATURDAY, 9, 11), setup_min=0)
    assert starts(scheduled(work, own, catalog(15), today=SATURDAY))["cut"] == at(5, 9)


def test_two_pairs_of_hands_do_two_things_at_once() -> None:
    work = work_list([], [task("wire", 60), task("paint", 60)])
    two = made(work, job(on(SATURDAY, 9, 12, hands=2), setup_min=0))
    assert two.finish == at(5, 10)
    assert made(work, job(on(SATURDAY, 9, 12), setup_min=0)).finish == at(5, 11)


def test_a_toggle_and_what_demands_its_feature_never_overlap() -> None:
    seat = feature("seat", on_min=30, off_min=30)
    work = work_list([seat], [task("cut", 30, demands=["not seat"]), task("sit", 30, demands=["seat"])])
    plan = made(work, job(on(SATURDAY, 9, 13, hands=3), setup_min=0))
    # In a row whatever the hands: off, cut, on; the sitting before or after.
    assert plan.finish == at(5, 11)
    assert broken_rules(work, plan, 0) == []


def test_a_split_task_fills_sessions_up() -> None:
    work = work_list([], [replace(task("sand", 320), splits=True)])
    plan = made(work, job(on(SATURDAY, 9, 11), on(SUNDAY, 9, 10), on(date(2026, 12, 7), 9, 12), setup_min=0))
    # 120 + 60 + 140 min: it takes all three.
    assert [(s.start, s.end, s.part, s.parts) for s in plan.slots] == [
        (at(5, 9), at(5, 11), 1, 3),
        (at(6, 9), at(6, 10), 2, 3),
        (at(7, 9), at(7, 11, 20), 3, 3),
    ]
    assert plan.why[1] == "goes on from step 1"
    assert plan.work_min == 320


def test_what_a_split_task_demands_holds_from_its_first_piece_to_its_last() -> None:
    seat = feature("seat")
    tasks = [
        replace(task("sand", 100, demands=["not seat"]), splits=True),
        task("sit", 20, demands=["seat"]),
    ]
    work = work_list([seat], tasks)
    plan = made(work, job(on(SATURDAY, 9, 10), on(SUNDAY, 9, 10), on(date(2026, 12, 7), 9, 10), setup_min=0))
    steps = [(s.step.ref, s.step.on) for s in plan.slots]
    between = steps[steps.index(("sand", None)) : len(steps) - steps[::-1].index(("sand", None))]
    assert set(between) == {("sand", None)}


def test_no_piece_is_shorter_than_a_quarter_of_an_hour_but_the_last() -> None:
    work = work_list([], [task("cut", 50), replace(task("sand", 80, after=["cut"]), splits=True)])
    plan = made(work, job(on(SATURDAY, 9, 10), on(SUNDAY, 9, 11), setup_min=0))
    # Both do not fit into Sunday's 120 min, and the ten left on Saturday are too short for a piece.
    assert [s.start for s in plan.slots if s.step.ref == "sand"] == [at(6, 9)]


def test_states_that_must_cure_stay_over_night() -> None:
    seat = feature("seat")
    glue = replace(task("glue", 30, demands=["not seat"]), keep_min=12 * 60)
    plan = made(work_list([seat], [glue]), job(on(SATURDAY, 9, 12), on(SUNDAY, 9, 12), setup_min=0))
    # Glued by 09:40 on Saturday: the seat goes on at 21:40 at the earliest, so on Sunday.
    assert plan.finish == at(6, 9, 10)


def test_somebody_stays_by_what_may_smoulder_before_the_session_is_over() -> None:
    """By hand: an hour of welding ends by 11:30 of a session until 12:00, other work goes on beside the wait."""
    weld = replace(task("weld", 60), stay_min=30)
    what = job(on(SATURDAY, 9, 12), on(SUNDAY, 9, 12), setup_min=0)
    last = made(work_list([], [task("mark", 90), replace(weld, after=(After(task="mark"),)), task("sort", 30)]), what)
    ends = {s.step.ref: s.end for s in last.slots}
    assert (ends["weld"], ends["sort"]) == (at(5, 11, 30), at(5, 12))
    # A minute more before it, and it does not fit into the first day.
    over = made(work_list([], [task("mark", 91), replace(weld, after=(After(task="mark"),))]), what)
    assert over.finish == at(6, 10)


def test_each_part_of_what_is_stayed_by_leaves_its_time() -> None:
    weld = replace(task("weld", 200), splits=True, stay_min=30)
    plan = made(work_list([], [weld]), job(on(SATURDAY, 9, 12), on(SUNDAY, 9, 12), setup_min=0))
    assert [(s.start, s.end) for s in plan.slots] == [(at(5, 9), at(5, 11, 30)), (at(6, 9), at(6, 9, 50))]


def test_what_leaves_too_little_of_any_session_says_so() -> None:
    weld = replace(task("weld", 100), stay_min=30)
    plan = made(work_list([], [weld]), job(on(SATURDAY, 9, 11), setup_min=0))
    assert any("takes 100 min and 30 min of staying by it" in line for line in plan.trouble)


def test_finish_comes_first_then_sessions() -> None:
    # On Saturday 120 + 60 min, on Sunday 180: three hours of work on Saturday alone beat one session on Sunday.
    work = work_list([], [task(f"t{i}", 60) for i in range(3)])
    plan = made(work, job(on(SATURDAY, 9, 11), on(SATURDAY, 13, 14), on(SUNDAY, 9, 12), setup_min=0))
    assert plan.finish is not None
    assert plan.finish.date() == SATURDAY
    assert plan.proof is Proof.PROVED
    assert plan.earliest == SATURDAY
    # With the parcel on Sunday all of it fits Sunday: one session, not two.
    late = Buy(id="kit", what="kit", price=1, lead_days=1, for_part="")
    tasks = [task("t0", 60, purchases=["kit"]), task("t1", 60), task("t2", 60)]
    waits = made(
        work_list([], tasks, buys=[late]),
        job(on(SATURDAY, 9, 11), on(SUNDAY, 9, 12), setup_min=0),
    )
    assert {s.session for s in waits.slots} == {1}


def test_of_equal_plans_the_one_nearest_to_the_last_is_taken() -> None:
    tasks = [task(f"t{i}", 60) for i in range(4)]
    what = job(on(SATURDAY, 9, 11), on(SUNDAY, 9, 11), setup_min=0)
    first = made(work_list([], tasks), what)
    assert made(work_list([], tasks), what, last=first).slots == first.slots
    # The tasks listed the other way round give another plan by themselves, but not against the last one.
    turned = work_list([], tasks[::-1])
    day = {s.step: s.start.date() for s in first.slots}
    again = made(turned, what, last=first)
    assert {s.step: s.start.date() for s in again.slots} == day
    assert {s.step: s.start.date() for s in made(turned, what).slots} != day


def test_a_date_that_cannot_be_met_says_why() -> None:
    kit = Buy(id="kit", what="rear cylinder", price=1, lead_days=9, for_part="")
    work = work_list([], [task("fit", 30, purchases=["kit"])], buys=[kit])
    plan = made(work, job(weekly=(EVERY_SATURDAY,), finish_by=date(2026, 12, 12)))
    assert plan.notes == (
        "the date to meet, Sat 12 Dec 2026, is not met: `rear cylinder` is here on Mon 14 Dec 2026 only",
    )
    busy = work_list([], [task(f"t{i}", 200) for i in range(3)])
    plan = made(busy, job(weekly=(EVERY_SATURDAY,), finish_by=date(2026, 12, 12)))
    assert plan.notes == (
        "the date to meet, Sat 12 Dec 2026, is not met: no plan finishes before Sat 19 Dec 2026, whatever the effort",
    )
    assert plan.earliest == date(2026, 12, 19)


def test_a_halt_keeps_the_best_and_says_so() -> None:
    halt = Halt()
    halt.ask()
    work = work_list([feature("seat")], [task(f"t{i}", 60, demands=["not seat"]) for i in range(6)])
    plan = scheduled(work, job(weekly=(EVERY_SATURDAY,)), catalog(0), today=SATURDAY, halt=halt)
    assert plan.slots or plan.trouble
    if plan.slots:
        assert plan.notes[0].startswith("stopped")


def test_trouble_is_told_in_the_smallest_cause() -> None:
    assert scheduled(work_list([], [task("a")]), job(), catalog(), today=SATURDAY).trouble == (
        "there is no work session from the first day on: give the job sessions, dated or every week",
    )
    weekly = job(weekly=(EVERY_SATURDAY,))
    assert scheduled(work_list([], [task("a", 5, hands=2)]), weekly, catalog(), today=SATURDAY).trouble == (
        "`a` needs 2 pairs of hands and no session has more than 1: give a session `hands: 2`",
    )
    assert scheduled(work_list([], [task("a", 500)]), weekly, catalog(), today=SATURDAY).trouble == (
        "`a` takes 500 min, longer than any session leaves (at most 225 min after 15 min of setting up)",
    )
    tidy = replace(weekly, tidy_min=10)
    assert (
        "at most 215 min after 15 min of setting up and 10 min of putting away"
        in (scheduled(work_list([], [task("a", 500)]), tidy, catalog(), today=SATURDAY).trouble[0])
    )
    split = work_list([], [replace(task("a", 500), splits=True)])
    assert scheduled(split, weekly, catalog(), today=SATURDAY).trouble == ()


def test_a_lack_of_late_helpers_is_told_whether_or_not_anything_is_held() -> None:
    """The helper comes on the first day only, and what needs two comes after a cure of two days."""
    helper = on(SATURDAY, 9, 12, hands=2)
    work = work_list([], [task("glue", 30), task("lift", 30, hands=2, after=[("glue", 2 * 24 * 60)])])
    plan = scheduled(work, job(helper, weekly=(EVERY_SATURDAY,)), catalog(0), today=SATURDAY)
    assert plan.trouble[0].startswith("one step, `lift`, does not fit")
    assert "without 2 pairs of hands, for `lift` first" in plan.trouble[0]
    assert "has so many (on 2026-12-05): give later ones `hands: 2`" in plan.trouble[0]


def test_a_weekend_with_a_helper_is_used_for_both() -> None:
    sunday = Repeating(weekday=6, start=time(9), end=time(12), hands=2)
    pump = feature("pump", off=toggle("pump", False, 60, hands=2), on=toggle("pump", True, 60, hands=2))
    work = work_list([pump], [task("seal", 60, demands=["not pump"]), task("wire", 180)])
    plan = made(work, job(weekly=(EVERY_SATURDAY, sunday), setup_min=0))
    # Saturday 240 min for the wiring, Sunday 180 for off, seal, on: done on Sunday.
    assert plan.finish == at(6, 12)


def test_same_input_same_plan() -> None:
    work = work_list([feature("seat")], [task(f"t{i}", 50, demands=["not seat"]) for i in range(7)])
    what = job(weekly=(EVERY_SATURDAY,))
    assert repr(made(work, what)) == repr(made(work, what))
