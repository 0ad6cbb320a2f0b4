"""The checker on what a log tells and a work list does not know: silence is told, each kind of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from yard import checkpoint

from planner.log import fold
from planner.model.log import DoneLine, Entry, SignedLine, Verdict
from planner.model.plan import NOTHING_LEFT
from planner.model.standing import Agreed
from planner.model.words import ROAD_TEST, Work
from planner.model.work import After, Feature, Task, WorkList
from planner.verify import check_bygone
from planner.work import bygone_of

AT = datetime(2026, 5, 2, 9, 0)  # noqa: DTZ001  # wall-clock time of one workshop
ROAD = Task(id=ROAD_TEST, title="road", work=Work.TESTING, minutes=5)
DRILL = Task(id="drill", title="drill", work=Work.DRILLING, minutes=5, effect="hole")
CHECK = Task(id="check.firm", title="firm", work=Work.TESTING, minutes=5, checkpoint="firm")
LIFTED = Feature(id="state:lifted", name="lifted", start=False, goal=False, turn_on=None, turn_off=None)
FIRM = checkpoint("firm")
TODAY = WorkList(features={}, tasks={ROAD_TEST: ROAD}, checkpoints={}, buys={})
THEN = WorkList(
    features={LIFTED.id: LIFTED},
    tasks={ROAD_TEST: ROAD, "drill": DRILL, CHECK.id: CHECK},
    checkpoints={"firm": FIRM},
    buys={},
)


def agreed() -> Agreed:
    return Agreed(
        made=date(2026, 5, 1),
        project="",
        job="",
        option=None,
        inputs={},
        pace={},
        homes={},
        work=THEN,
        plan=NOTHING_LEFT,
        keys=("drill",),
        named={"drill": 1, CHECK.id: 2, "state:lifted:on#1": 3, "state:lifted:off#1": 4},
    )


def done(n: int, key: str) -> Entry:
    return DoneLine(n=n, at=AT, key=key, guess_min=5, work="planning")


def failed(n: int) -> Entry:
    return SignedLine(n=n, at=AT, checkpoint="firm", key=CHECK.id, verdict=Verdict.FAILED, limit="firm", by="AB")


def looked_over(*notes: str, before: bool = True) -> WorkList:
    look = Task(id="look-over.1", title="look", work=Work.PLANNING, minutes=5, notes=notes)
    road = replace(ROAD, after=(After(task=look.id),)) if before else ROAD
    return replace(TODAY, tasks={ROAD_TEST: road, look.id: look})


def told(work: WorkList, *lines: Entry, updated: bool = True) -> tuple[str, ...]:
    return check_bygone(agreed(), work, lines, updated=updated)


def test_a_hole_drilled_by_an_earlier_plan_is_looked_at_before_the_road() -> None:
    (silent,) = told(TODAY, done(2, "drill"))
    assert silent == "`drill` was done (line 2), is no step any more, and nobody is told to look at it"
    (late,) = told(looked_over("line 2, Sat 2 May 2026: drill", before=False), done(2, "drill"))
    assert late == "`drill` was done (line 2), is no step any more, and `road-test` does not wait for a look at it"
    (other,) = told(looked_over("line 21, Sat 2 May 2026: drill"), done(2, "drill"))
    assert other == silent
    assert told(looked_over("line 2, Sat 2 May 2026: drill"), done(2, "drill")) == ()


def test_a_state_that_was_entered_is_left_again() -> None:
    (silent,) = told(TODAY, done(2, "state:lifted:on#1"))
    assert silent == "`state:lifted` was left on, and the plan does not end it"
    assert told(TODAY, done(2, "state:lifted:on#1"), done(3, "state:lifted:off#1")) == ()
    assert told(replace(TODAY, features={LIFTED.id: LIFTED}), done(2, "state:lifted:on#1")) == ()


def test_a_check_that_failed_stays_one() -> None:
    lost = "checkpoint `firm` failed (line 2) and is none any more"
    assert lost in told(looked_over("line 2, Sat 2 May 2026: firm"), failed(2))
    carried = replace(TODAY, tasks={ROAD_TEST: ROAD, CHECK.id: CHECK}, checkpoints={"firm": FIRM})
    assert told(carried, failed(2)) == ()


def test_of_the_same_program_only_what_no_plan_knew_is_asked_for() -> None:
    assert told(TODAY, done(2, "drill"), updated=False) == ()
    (strange,) = told(TODAY, done(2, "drill-anew"), updated=False)
    assert strange.startswith("`drill-anew` was done (line 2)")


def test_a_look_that_is_the_first_part_of_its_hole_now_is_looked_at_there() -> None:
    """Asked for once: with the hole where that is open, and not again where it is drilled."""
    look = Task(id="tank.look", title="look", work=Work.MEASURING, minutes=10, effect="hole")
    hole = replace(DRILL, id="tank.3", after=(After(task=look.id),))
    before = replace(agreed(), work=replace(THEN, tasks={**THEN.tasks, look.id: look, hole.id: hole}))
    there = replace(TODAY, tasks={ROAD_TEST: ROAD, hole.id: replace(hole, after=())})
    lines = (done(2, look.id),)
    standing = fold(lines, before.basis)
    assert check_bygone(before, there, lines, updated=True) == ()
    assert bygone_of(there, before, standing) == ()
    # The hole is no step any more either, or nothing waited for the look: then somebody looks it over.
    for old, today in ((before, TODAY), (replace(before, work=replace(THEN, tasks={look.id: look})), there)):
        (silent,) = check_bygone(old, today, lines, updated=True)
        assert silent.startswith("`tank.look` was done (line 2), is no step any more")
        assert [b.ref for b in bygone_of(today, old, standing)] == ["tank.look"]
