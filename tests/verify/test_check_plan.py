"""A sound plan passes; each kind of sabotage is told by name."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, time, timedelta

import pytest
from yard import STEPS, TODAY, catalog, job, moved, plan, slot, work_list

from planner.model.job import Job, Session
from planner.model.plan import Plan
from planner.model.work import Buy, WorkList
from planner.verify import check_plan

WORK = work_list()


def told(answer: Plan, *, work: WorkList = WORK, owner: Job | None = None, today: date = TODAY) -> tuple[str, ...]:
    return check_plan(work, answer, owner or job(), catalog(), today)


def test_a_sound_plan_passes() -> None:
    assert told(plan()) == ()


def test_a_plan_that_tells_its_trouble_has_nothing_to_check() -> None:
    answer = replace(plan(), slots=(), finish=None, work_min=0, trouble=("the cut is longer than any session",))
    assert told(answer) == ()
    assert told(replace(answer, trouble=())) != ()


def test_two_steps_swapped() -> None:
    cut, paint = plan().slots[2:4]
    answer = replace(
        plan(),
        slots=(
            *plan().slots[:2],
            slot(paint.step, 0, "9:35", 20),
            slot(cut.step, 0, "9:55", 40),
            *plan().slots[4:],
        ),
    )
    assert told(answer) == ("slot 3, task `paint-edge`: task `cut-slot` must be done first and is not",)


def test_a_removal_left_out() -> None:
    answer = replace(plan(), slots=plan().slots[1:], work_min=180)
    said = told(answer)
    assert said[0].startswith("slot 1, `tank` off: no way is open")
    assert "`cowl` off stands 0 times in the slots and 1 times in the strip" in said


def test_a_slot_outside_its_session() -> None:
    assert told(moved(plan(), 0, minutes=-5)) == (
        "slot 1, `cowl` off: it starts at 05 Dec 09:05, before its session is ready at 05 Dec 09:10",
    )
    late = moved(plan(), 8, minutes=100)
    assert told(replace(late, finish=late.slots[8].end)) == (
        "slot 9, task `road-test`: it ends at 19 Dec 12:15, after its session ends at 19 Dec 12:00",
    )
    lost = replace(plan(), slots=(*plan().slots[:8], replace(plan().slots[8], session=3)))
    assert told(lost) == ("slot 9, task `road-test`: there is no session 3",)


def test_a_hand_too_few() -> None:
    alone = replace(plan().sessions[2], hands=1)
    answer = replace(plan(), sessions=(*plan().sessions[:2], alone))
    assert told(answer) == (
        "session 2 on 2026-12-19 from 09:00 to 12:00 with 1 hands is no work time of the job",
        "slot 6, `tank` on: it takes 2 hands and session 2 has 1",
    )
    dated = replace(job(), sessions=(*job().sessions, alone))
    assert told(answer, owner=dated) == ("slot 6, `tank` on: it takes 2 hands and session 2 has 1",)


def test_a_step_begun_before_the_one_it_follows_is_over() -> None:
    assert told(moved(plan(), 3, minutes=-1)) == (
        "slot 4, task `paint-edge`: task `cut-slot` must be done first and is not",
    )


def test_a_slot_of_the_wrong_length() -> None:
    slots = plan().slots
    short = replace(slots[3], end=slots[3].end - timedelta(minutes=1))
    assert told(replace(plan(), slots=(*slots[:3], short, *slots[4:]))) == (
        "slot 4, task `paint-edge`: it lasts 19 min and should last 20 min",
    )


def test_a_cure_cut_short() -> None:
    work = replace(WORK, buys={"bracket": replace(WORK.buys["bracket"], lead_days=0)})
    early = [slot(STEPS[i], 0, clock, n) for i, clock, n in ((4, "10:35", 30), (5, "11:05", 20))]
    answer = replace(
        plan(),
        slots=(*plan().slots[:4], *early, *plan().slots[6:]),
        arrives={"bracket": date(2026, 12, 5)},
        order_by={"bracket": date(2026, 12, 5)},
    )
    assert told(answer, work=work) == (
        (
            "slot 5, task `fit-bracket`: it starts at 05 Dec 10:35 and `paint-edge` "
            "asks for 720 min of waiting, until 05 Dec 22:35"
        ),
    )


def test_a_part_touched_while_it_cures() -> None:
    """The bracket's glue asks that the tank be left off for an hour; it is fitted 0 min after."""
    glued = replace(WORK.tasks["fit-bracket"], keep_min=60)
    work = replace(WORK, tasks={**WORK.tasks, "fit-bracket": glued})
    assert told(plan(), work=work) == (
        "slot 6, `tank` on: it starts at 19 Dec 09:40 and `fit-bracket` asks that it be left alone until 19 Dec 10:40",
    )
    cut = replace(WORK.tasks["cut-slot"], keep_min=60 * 24 * 13)
    assert told(plan(), work=replace(WORK, tasks={**WORK.tasks, "cut-slot": cut})) == ()


def test_a_part_used_before_it_arrives() -> None:
    answer = plan()
    sunday = slot(STEPS[4], 1, "14:10", 30)
    answer = replace(
        answer,
        slots=(*answer.slots[:4], sunday, *answer.slots[5:]),
        order_by={"bracket": date(2026, 12, 4)},
    )
    assert told(answer) == ("slot 5, task `fit-bracket`: it uses `bracket`, which arrives on 2026-12-14",)


def test_ordered_on_the_day_of_asking_when_the_job_has_begun() -> None:
    assert told(plan(), today=date(2026, 12, 6)) == (
        "slot 1, `cowl` off: it is on 2026-12-05, before the first day 2026-12-06",
        "slot 2, `tank` off: it is on 2026-12-05, before the first day 2026-12-06",
        "slot 3, task `cut-slot`: it is on 2026-12-05, before the first day 2026-12-06",
        "slot 4, task `paint-edge`: it is on 2026-12-05, before the first day 2026-12-06",
        "`bracket` is here 2026-12-15 and the plan says 2026-12-14",
    )


def test_sessions_that_are_not_the_jobs() -> None:
    off = replace(job(), days_off=(date(2026, 12, 19),))
    assert told(plan(), owner=off) == ("session 2 on 2026-12-19 from 09:00 to 12:00 is on a day off",)
    made_up = Session(day=date(2026, 12, 20), start=time(9), end=time(12), hands=2)
    assert told(replace(plan(), sessions=(*plan().sessions, made_up))) == (
        "session 3 on 2026-12-20 from 09:00 to 12:00 with 2 hands is no work time of the job",
    )


def test_a_road_test_before_its_checkpoint() -> None:
    head = plan().slots[:6]
    tail = [slot(STEPS[i], 2, clock, n) for i, clock, n in ((7, "10:00", 10), (8, "10:10", 20), (6, "10:30", 5))]
    assert told(replace(plan(), slots=(*head, *tail))) == (
        "slot 8, task `road-test`: checkpoint `tank-tight` blocks it and its task `sign-tank` is not done",
    )


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (
            lambda p: replace(p, finish=p.slots[7].end),
            "the plan says it finishes at 2026-12-19 10:15:00 and its last slot ends at 2026-12-19 10:35:00",
        ),
        (
            lambda p: replace(p, work_min=191),
            "the plan says 191 hand-minutes of work and its slots add up to 190",
        ),
        (
            lambda p: replace(p, order_by={"bracket": date(2026, 12, 11)}),
            "`bracket` must be ordered by 2026-12-10 and the plan says 2026-12-11",
        ),
        (lambda p: replace(p, order_by={}), "`bracket` has no date in order_by"),
        (lambda p: replace(p, arrives={}), "`bracket` has no date in arrives"),
        (
            lambda p: replace(p, arrives={**p.arrives, "paint": date(2026, 12, 5)}),
            "`paint` has a date and is not on the buying list",
        ),
        (lambda p: replace(p, why=("so",)), "there are 9 slots and 1 reasons"),
        (
            lambda p: replace(p, slots=(p.slots[1], p.slots[0], *p.slots[2:])),
            "the slots are not listed in the order of time",
        ),
    ],
)
def test_wrong_figures(spoil: Callable[[Plan], Plan], sentence: str) -> None:
    assert told(spoil(plan())) == (sentence,)


def test_an_order_day_for_what_nothing_uses() -> None:
    spare = Buy(id="spare", what="spare", price=1, lead_days=2, for_part="")
    work = replace(WORK, buys={**WORK.buys, "spare": spare})
    answer = replace(plan(), arrives={**plan().arrives, "spare": date(2026, 12, 7)})
    assert told(answer, work=work) == ()
    needless = replace(answer, order_by={**answer.order_by, "spare": date(2026, 12, 7)})
    assert told(needless, work=work) == ("`spare` has a date in order_by and no slot uses it",)


def test_a_purchase_that_is_not_on_the_list() -> None:
    work = replace(WORK, buys={"paint": Buy(id="paint", what="paint", price=1, lead_days=0, for_part="")})
    answer = replace(plan(), arrives={"paint": date(2026, 12, 5)}, order_by={})
    assert told(answer, work=work) == (
        "slot 5, task `fit-bracket`: it uses `bracket`, which is not on the buying list",
    )
