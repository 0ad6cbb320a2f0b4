"""Steps at once, tasks in parts, states asked for at the end of a session: each rule by a small plan by hand."""

from dataclasses import replace
from datetime import date, time, timedelta

import pytest
from bonnet import (
    HORN,
    JOB,
    LAMP,
    OFF,
    OFF_SLOT,
    ON_SLOT,
    SATURDAY,
    SESSIONS,
    SUNDAY,
    WAX,
    WAX_SLOTS,
    plan_of,
    slot,
    work_of,
)
from yard import catalog, feature, task, toggle

from planner.model.effects import Proof
from planner.model.job import Job, Session
from planner.model.plan import Plan, Point
from planner.model.work import Demand, Hold, WorkList
from planner.verify import check_plan, check_strip
from planner.verify.work_time import sessions_on


def told(work: WorkList, answer: Plan, job: Job = JOB) -> tuple[str, ...]:
    return check_plan(work, answer, job, catalog(), SATURDAY)


def test_two_at_once_when_there_are_two() -> None:
    work = work_of(LAMP, HORN)
    assert told(work, plan_of(work, slot("lamp", 0, "9:10", 30), slot("horn", 0, "9:20", 40))) == ()
    sunday = plan_of(work, slot("lamp", 1, "9:10", 30), slot("horn", 1, "9:20", 40))
    assert told(work, sunday) == (
        "slot 2, task `horn`: at 06 Dec 09:20 it takes 2 hands together with slot 1 and session 1 has 1",
    )


def test_one_lets_go_as_the_other_takes_hold() -> None:
    work = work_of(LAMP, HORN)
    assert told(work, plan_of(work, slot("lamp", 1, "9:10", 30), slot("horn", 1, "9:40", 40))) == ()


def test_three_hands_are_counted_over_all_that_go_on() -> None:
    work = work_of(LAMP, HORN, task("seat", 10))
    three = plan_of(work, slot("horn", 0, "9:10", 40), slot("lamp", 0, "9:15", 30), slot("seat", 0, "9:20", 10))
    assert told(work, three) == (
        "slot 3, task `seat`: at 05 Dec 09:20 it takes 3 hands together with slot 1, 2 and session 0 has 2",
    )


def test_what_takes_no_time_takes_no_hands_from_others() -> None:
    work = work_of(LAMP, task("see", 0))
    assert told(work, plan_of(work, slot("lamp", 1, "9:10", 30), slot("see", 1, "9:20", 0))) == ()


def test_nothing_is_done_beside_what_is_done_apart_whatever_hands_there_are() -> None:
    work = work_of(replace(LAMP, apart=True), HORN)
    beside = plan_of(work, slot("lamp", 0, "9:10", 30), slot("horn", 0, "9:20", 40))
    assert told(work, beside) == ("slot 1, task `lamp`: nothing may be done beside it, and slot 2, task `horn` is",)
    assert told(work, plan_of(work, slot("lamp", 0, "9:10", 30), slot("horn", 0, "9:40", 40))) == ()


def test_a_bonnet_half_off_is_neither_on_nor_off() -> None:
    """The lamp is in reach with the bonnet off only; its removal takes from 9:10 to 9:30."""
    for on, words in ((False, "off"), (True, "on")):
        work = work_of(task("lamp", 30, demands=(Demand(feature="bonnet", on=on),)))
        answer = plan_of(work, OFF_SLOT, slot("lamp", 0, "9:29", 30), slot("bonnet+", 0, "11:00", 30))
        assert told(work, answer) == (f"slot 2, task `lamp`: `bonnet` must be {words} and slot 1 changes it meanwhile",)


def test_what_a_task_needs_holds_to_its_end() -> None:
    work = work_of(task("lamp", 30, demands=OFF))
    early = plan_of(work, OFF_SLOT, slot("lamp", 0, "9:30", 30), slot("bonnet+", 0, "9:59", 30))
    assert told(work, early) == ("slot 2, task `lamp`: `bonnet` must be off and slot 3 changes it meanwhile",)
    just = plan_of(work, OFF_SLOT, slot("lamp", 0, "9:30", 30), slot("bonnet+", 0, "10:00", 30))
    assert told(work, just) == ()


def test_off_and_on_again_at_once() -> None:
    work = work_of(LAMP)
    answer = plan_of(work, OFF_SLOT, slot("bonnet+", 0, "9:20", 30), slot("lamp", 0, "11:00", 30))
    assert told(work, answer) == (
        "slot 2, `bonnet` on: it is on already",
        "slot 2, `bonnet` on: it overlaps slot 1, `bonnet` off",
    )


def test_a_task_in_two_parts() -> None:
    work = work_of(WAX)
    assert told(work, plan_of(work, OFF_SLOT, *WAX_SLOTS, ON_SLOT)) == ()


def test_a_part_that_is_lost() -> None:
    work = work_of(WAX)
    assert told(work, plan_of(work, OFF_SLOT, WAX_SLOTS[0], ON_SLOT)) == (
        "slot 2, task `wax`: it lasts 60 min and should last 90 min",
        "slot 2, task `wax`: it is told as part 1 of 2 and is part 1 of 1",
    )


def test_parts_that_do_not_add_up() -> None:
    work = work_of(WAX)
    short = slot("wax", 1, "9:10", 29, (2, 2))
    assert told(work, plan_of(work, OFF_SLOT, WAX_SLOTS[0], short, ON_SLOT)) == (
        "slots 2, 3, task `wax`: its 2 parts last 89 min and should last 90 min",
    )


def test_one_part_a_session() -> None:
    work = work_of(WAX)
    morning = (slot("wax", 0, "9:30", 60, (1, 2)), slot("wax", 0, "11:00", 30, (2, 2)))
    assert told(work, plan_of(work, OFF_SLOT, *morning, ON_SLOT)) == (
        "slot 3, task `wax`: session 0 has a part of it already, slot 2",
    )


def test_parts_at_the_same_time_and_of_no_length() -> None:
    work = work_of(WAX)
    odd = (slot("wax", 0, "9:30", 60, (1, 3)), slot("wax", 0, "10:00", 30, (2, 3)), slot("wax", 1, "9:10", 0, (3, 3)))
    assert told(work, plan_of(work, OFF_SLOT, *odd, ON_SLOT)) == (
        "slot 3, task `wax`: session 0 has a part of it already, slot 2",
        "slot 3, task `wax`: it starts at 05 Dec 10:00, before its part in slot 2 ends",
        "slot 4, task `wax`: a part of it lasts 0 min",
    )


def test_parts_in_sessions_that_follow_at_once() -> None:
    noon = Session(day=SATURDAY, start=time(12), end=time(14), hands=1)
    work = work_of(WAX)
    parts = (WAX_SLOTS[0], replace(slot("wax", 0, "12:00", 30, (2, 2)), session=1))
    fitted = replace(slot("bonnet+", 0, "12:30", 30), session=1)
    answer = replace(plan_of(work, OFF_SLOT, *parts, fitted), sessions=(SESSIONS[0], noon))
    assert told(work, answer, replace(JOB, sessions=(noon,), setup_min=0)) == ()


def test_what_may_not_be_broken_off() -> None:
    work = work_of(replace(WAX, splits=False))
    assert told(work, plan_of(work, OFF_SLOT, *WAX_SLOTS, ON_SLOT)) == (
        "slot 3, task `wax`: it was done already at slot 2",
        "task `wax` stands 2 times in the slots and 1 times in the strip",
        "slot 2, task `wax`: it lasts 60 min and should last 90 min",
        "slot 2, task `wax`: it is told as part 1 of 2 and may not be split",
        "slot 3, task `wax`: it lasts 30 min and should last 90 min",
        "slot 3, task `wax`: it is told as part 2 of 2 and may not be split",
        "the plan says 140 hand-minutes of work and its slots add up to 230",
    )


def test_what_a_task_needs_holds_while_it_is_laid_down() -> None:
    """The bonnet goes on for the night, between the two parts of the waxing."""
    work = work_of(WAX)
    night = (slot("bonnet+", 0, "11:15", 30), slot("bonnet-", 1, "9:10", 20))
    parts = (slot("wax", 0, "9:30", 60, (1, 2)), slot("wax", 1, "9:30", 30, (2, 2)))
    slots = (OFF_SLOT, parts[0], *night, parts[1], slot("bonnet+", 1, "10:10", 30))
    assert told(work, plan_of(work, *slots)) == (
        "slot 2, task `wax`: `bonnet` must be off and slot 3 changes it meanwhile",
    )


COVERED = Hold(id="covered", title="bonnet on", demands=(Demand(feature="bonnet", on=True),))


def test_a_hold_asks_at_each_end_between_first_and_last() -> None:
    """The waxing leaves the bonnet off on Saturday night; on Sunday it goes on, and the plan is done."""
    work = work_of(WAX, holds=(COVERED,))
    broken = (
        "the session on 2026-12-05 from 09:00 to 12:00: hold `covered` asks that at its end "
        "`bonnet` be on and it is off since slot 1"
    )
    assert told(work, plan_of(work, OFF_SLOT, *WAX_SLOTS, ON_SLOT)) == (broken,)


@pytest.mark.parametrize(
    ("hold", "asked"),
    [
        (replace(COVERED, weekdays=frozenset({5})), True),
        (replace(COVERED, weekdays=frozenset({6})), False),
        (replace(COVERED, days=frozenset({SATURDAY})), True),
        (replace(COVERED, days=frozenset({SUNDAY})), False),
        (replace(COVERED, weekdays=frozenset({6}), days=frozenset({SATURDAY})), True),
    ],
)
def test_a_hold_asks_on_its_days(hold: Hold, *, asked: bool) -> None:
    work = work_of(WAX, holds=(hold,))
    assert bool(told(work, plan_of(work, OFF_SLOT, *WAX_SLOTS, ON_SLOT))) is asked


def test_a_hold_asks_of_sessions_that_are_not_worked_in() -> None:
    """The bonnet comes off on the first Saturday and goes on on the next; the Sunday between is not used."""
    work = work_of(LAMP, holds=(replace(COVERED, weekdays=frozenset({6})),))
    week = timedelta(days=7)
    late = [replace(s, start=s.start + week, end=s.end + week, session=2) for s in (slot("bonnet+", 0, "9:10", 30),)]
    answer = plan_of(work, OFF_SLOT, slot("lamp", 0, "9:30", 30), *late)
    answer = replace(answer, sessions=(*SESSIONS, replace(SESSIONS[0], day=SATURDAY + week)))
    assert told(work, answer) == (
        (
            "the session on 2026-12-06 from 09:00 to 11:00: hold `covered` asks that at its end "
            "`bonnet` be on and it is off since slot 1"
        ),
    )
    assert told(work, answer, replace(JOB, days_off=(SUNDAY,))) == (
        "session 1 on 2026-12-06 from 09:00 to 11:00 is on a day off",
    )


def test_a_hold_of_a_state_that_it_starts_without() -> None:
    work = work_of(task("wax", 90, splits=True), holds=(replace(COVERED, demands=OFF),))
    assert told(work, plan_of(work, *WAX_SLOTS)) == (
        (
            "the session on 2026-12-05 from 09:00 to 12:00: hold `covered` asks that at its end "
            "`bonnet` be off and it is on from the start"
        ),
    )


def test_a_change_that_ends_with_its_session_is_made_by_then() -> None:
    """The bonnet goes on from 11:30 to 12:00, when the session ends."""
    work = work_of(replace(WAX, demands=()), holds=(COVERED,))
    first, second = WAX_SLOTS
    on_time = plan_of(work, OFF_SLOT, slot("wax", 0, "9:30", 60, (1, 2)), slot("bonnet+", 0, "11:30", 30), second)
    assert told(work, on_time) == ()
    off_late = plan_of(work, first, slot("bonnet-", 0, "11:40", 20), second, ON_SLOT)
    assert told(work, off_late) == (
        (
            "the session on 2026-12-05 from 09:00 to 12:00: hold `covered` asks that at its end "
            "`bonnet` be on and it is off since slot 2"
        ),
    )


def test_a_plan_that_ends_with_its_session_is_not_asked() -> None:
    work = work_of(LAMP, holds=(COVERED,))
    work = replace(work, features={"bonnet": replace(work.features["bonnet"], goal=False)})
    assert told(work, plan_of(work, slot("lamp", 0, "9:10", 30), slot("bonnet-", 0, "11:40", 20))) == ()


def no_time(work: WorkList) -> WorkList:
    free = {"turn_on": toggle("bonnet", on=True, minutes=0), "turn_off": toggle("bonnet", on=False, minutes=0)}
    return replace(work, features={"bonnet": feature("bonnet", goal=None, **free)})


def test_what_takes_no_time_at_the_end_of_a_session_is_done_in_it() -> None:
    """The bonnet comes off in no time at 12:00, at the end of the session, and the lamp is for Sunday."""
    work = no_time(work_of(LAMP, HORN, holds=(COVERED,)))
    late = plan_of(work, slot("horn", 0, "9:10", 40), slot("bonnet-", 0, "12:00", 0), slot("lamp", 1, "9:10", 30))
    assert told(work, late) == (
        (
            "the session on 2026-12-05 from 09:00 to 12:00: hold `covered` asks that at its end "
            "`bonnet` be on and it is off since slot 2"
        ),
    )
    alone = plan_of(work, slot("bonnet-", 0, "12:00", 0), slot("horn", 1, "9:10", 40), slot("lamp", 1, "9:50", 30))
    assert len(told(work, alone)) == 1


def test_what_begins_as_an_earlier_session_ends_is_not_done_in_it() -> None:
    """One session ends at 12:00 and the next begins; with no setting up its first step is at 12:00."""
    work = no_time(work_of(LAMP, HORN, holds=(COVERED,)))
    noon = Session(day=SATURDAY, start=time(12), end=time(14), hands=1)
    job = replace(JOB, sessions=(noon,), setup_min=0)
    slots = (slot("horn", 0, "9:10", 40), slot("bonnet-", 0, "12:00", 0), slot("lamp", 0, "12:00", 30))
    slots = (slots[0], *(replace(s, session=1) for s in slots[1:]))
    answer = replace(plan_of(work, *slots), sessions=(SESSIONS[0], noon))
    assert told(work, answer, job) == ()


def test_a_change_going_on_as_another_session_ends() -> None:
    """Two sessions of one day overlap: as the first ends the bonnet is half off."""
    work = work_of(LAMP, holds=(COVERED,))
    longer = Session(day=SATURDAY, start=time(9), end=time(14), hands=2)
    job = replace(JOB, repeating=(), sessions=(SESSIONS[0], longer))
    slots = (slot("bonnet-", 0, "11:50", 20), slot("lamp", 0, "12:10", 30), slot("bonnet+", 0, "12:40", 30))
    answer = replace(plan_of(work, *(replace(s, session=1) for s in slots)), sessions=(SESSIONS[0], longer))
    assert told(work, answer, job)[-1] == (
        "the session on 2026-12-05 from 09:00 to 12:00: hold `covered` asks that at its end "
        "`bonnet` be on and slot 1 is changing it at 05 Dec 12:00"
    )


def test_setting_up_and_putting_away() -> None:
    """The job's own 20 min go before the catalog's 10; 30 min are kept at the end."""
    work = work_of(LAMP, HORN)
    answer = plan_of(work, slot("lamp", 0, "9:10", 30), slot("horn", 0, "11:00", 40))
    assert told(work, answer) == ()
    assert told(work, answer, replace(JOB, setup_min=20, tidy_min=30)) == (
        "slot 1, task `lamp`: it starts at 05 Dec 09:10, before its session is ready at 05 Dec 09:20",
        (
            "slot 2, task `horn`: it ends at 05 Dec 11:40, after 05 Dec 11:30, "
            "when its session has 30 min left to put away"
        ),
    )
    assert told(work, plan_of(work, slot("lamp", 0, "9:00", 30), slot("horn", 0, "10:00", 40))) == (
        "slot 1, task `lamp`: it starts at 05 Dec 09:00, before its session is ready at 05 Dec 09:10",
    )
    bare = plan_of(work, slot("lamp", 0, "9:00", 30), slot("horn", 0, "10:00", 40))
    assert told(work, bare, replace(JOB, setup_min=0)) == ()


def test_dated_sessions_send_weekly_ones_away() -> None:
    dated = Session(day=SATURDAY, start=time(11, 30), end=time(14), hands=3)
    apart = Session(day=SATURDAY, start=time(12), end=time(14), hands=3)
    assert sessions_on(replace(JOB, sessions=(dated,)), SATURDAY) == (dated,)
    assert sessions_on(replace(JOB, sessions=(apart,)), SATURDAY) == (SESSIONS[0], apart)
    assert sessions_on(replace(JOB, sessions=(apart,), days_off=(SATURDAY,)), SATURDAY) == ()
    assert sessions_on(JOB, date(2026, 12, 7)) == ()


def test_what_the_owner_dislikes_is_in_the_cost() -> None:
    """Taking the bonnet off is worth 45 hand-min to avoid: 20 + 30 of work and 45."""
    work = work_of(LAMP, off_dislike_min=45)
    slots = (OFF_SLOT, slot("lamp", 0, "9:30", 30), slot("bonnet+", 0, "10:00", 30))
    answer = plan_of(work, *slots, dislike=45)
    assert answer.strip.cost == 95
    assert told(work, answer) == ()
    assert check_strip(work, answer.strip) == ()
    silent = replace(answer, strip=replace(answer.strip, dislike=0, cost=50))
    assert told(work, silent) == (
        "the plan says 0 hand-minutes of dislike and its slots add up to 45",
        "the plan says 50 hand-minutes of strip-down and its slots add up to 95",
    )
    assert check_strip(work, silent.strip) == (
        "the dislike is told as 0 hand-minutes and the steps add up to 45",
        "the cost is told as 50 hand-minutes and the steps add up to 95",
    )


def test_what_is_never_to_be_done() -> None:
    work = work_of(LAMP, off_dislike_min=None)
    slots = (OFF_SLOT, slot("lamp", 0, "9:30", 30), slot("bonnet+", 0, "10:00", 30))
    answer = plan_of(work, *slots)
    assert told(work, answer) == ("slot 1, `bonnet` off: the owner says that it is never to be turned off",)
    assert check_strip(work, answer.strip) == (
        "step 1, `bonnet` off: the owner says that it is never to be turned off",
    )


def point(cost: int, day: date, sessions: int = 1) -> Point:
    return Point(cost=cost, finish=day, sessions=sessions, proved=True)


LATER = SUNDAY + timedelta(days=6)


@pytest.mark.parametrize(
    ("frontier", "earliest", "bound", "sentences"),
    [
        ((point(50, SATURDAY),), SATURDAY, 0, ()),
        ((point(40, LATER), point(50, SATURDAY)), SATURDAY, 40, ()),
        (
            (point(40, LATER), point(60, SATURDAY)),
            SATURDAY,
            0,
            ("the plan itself (50 hand-minutes, done on 2026-12-05) is no point of its frontier",),
        ),
        (
            (point(40, SUNDAY), point(50, SATURDAY), point(60, SATURDAY)),
            None,
            0,
            (
                (
                    "point 3 of the frontier (60 hand-minutes, done on 2026-12-05): "
                    "it finishes no sooner than point 2 on 2026-12-05"
                ),
            ),
        ),
        (
            (point(50, SATURDAY), point(40, SATURDAY - timedelta(days=1))),
            None,
            0,
            (
                (
                    "point 2 of the frontier (40 hand-minutes, done on 2026-12-04): "
                    "it takes no more work than point 1 with 50 hand-minutes"
                ),
            ),
        ),
        (
            (point(30, SUNDAY), point(50, SATURDAY)),
            SATURDAY,
            40,
            (
                (
                    "point 1 of the frontier (30 hand-minutes, done on 2026-12-06): "
                    "it takes less than 40 hand-minutes, the proved least"
                ),
            ),
        ),
        (
            (point(50, SUNDAY, 0), point(50, SATURDAY)),
            None,
            0,
            (
                "point 1 of the frontier (50 hand-minutes, done on 2026-12-06): it takes 0 sessions",
                (
                    "point 2 of the frontier (50 hand-minutes, done on 2026-12-05): "
                    "it takes no more work than point 1 with 50 hand-minutes"
                ),
            ),
        ),
        (
            (point(50, SATURDAY, 2),),
            None,
            0,
            ("the plan's own point of the frontier tells 2 sessions and its slots are in 1",),
        ),
        (
            (point(50, SATURDAY),),
            SUNDAY,
            0,
            (
                "the plan finishes on 2026-12-05 and says that none finishes before 2026-12-06",
                (
                    "point 1 of the frontier (50 hand-minutes, done on 2026-12-05): "
                    "it finishes before 2026-12-06, the earliest there is"
                ),
            ),
        ),
    ],
)
def test_the_trade_between_work_and_finish(
    frontier: tuple[Point, ...], earliest: date | None, bound: int, sentences: tuple[str, ...]
) -> None:
    work = work_of(LAMP)
    answer = plan_of(work, OFF_SLOT, slot("lamp", 0, "9:30", 30), slot("bonnet+", 0, "10:00", 30))
    strip = replace(answer.strip, bound=bound)
    assert told(work, replace(answer, strip=strip, frontier=frontier, earliest=earliest)) == sentences


def test_trouble_and_slots_do_not_go_together() -> None:
    work = work_of(LAMP)
    answer = plan_of(work, slot("lamp", 0, "9:10", 30))
    assert told(work, replace(answer, trouble=("no time",))) == ("the plan has slots and tells trouble: no time",)
    assert told(work, replace(answer, proof=Proof.NONE)) == ("the plan has slots and says that there is no answer",)
    empty = replace(answer, slots=(), trouble=("no time",))
    assert told(work, empty) == ("the plan has no slots and says that it finishes at 2026-12-05 09:40:00",)


def test_steps_that_take_no_time_follow_the_order_they_are_listed_in() -> None:
    """A toggle and a task of no minutes at one moment: only the list says which is first."""
    none = {"turn_on": toggle("bonnet", on=True, minutes=0), "turn_off": toggle("bonnet", on=False, minutes=0)}
    work = work_of(task("look", 0, demands=OFF, splits=True))
    work = replace(work, features={"bonnet": feature("bonnet", **none)})
    off, look, on = slot("bonnet-", 0, "9:30", 0), slot("look", 0, "9:30", 0), slot("bonnet+", 0, "9:30", 0)
    assert told(work, plan_of(work, off, look, on)) == ()
    assert told(work, plan_of(work, look, off, on)) == ("slot 1, task `look`: `bonnet` must be off and is on",)
