"""What the job asks for is held to by what features are about, whether or not the work list passes it on."""

from dataclasses import replace
from datetime import date

import pytest
from bonnet import JOB, OFF_SLOT, ON_SLOT, SATURDAY, SUNDAY, WAX, WAX_SLOTS, plan_of, slot, work_of
from garage import part
from yard import catalog, feature, toggle

from planner.model.catalog import Condition, Work
from planner.model.job import EndState, Replace
from planner.model.plan import Plan
from planner.model.work import Feature, WorkList
from planner.verify import check_plan

STANDS = Condition(
    id="stands", name="on stands", enter="jack up", leave="let down", enter_min=5, leave_min=5, hands=1, source="yard"
)
CATALOG = catalog(conditions={"stands": STANDS})
NIGHT = "the session on 2026-12-05 from 09:00 to 12:00: `night` of the job asks that at its end "


def told(work: WorkList, answer: Plan, **wishes: object) -> tuple[str, ...]:
    return check_plan(work, answer, replace(JOB, **wishes), CATALOG, SATURDAY)


def about(work: WorkList, subject: str, *more: Feature) -> WorkList:
    """The bonnet's feature is the present home of a part; ``more`` are other features."""
    features = {"bonnet": replace(work.features["bonnet"], subject=subject), **{f.id: f for f in more}}
    return replace(work, features=features)


WORK = about(work_of(WAX), "bonnet")
ANSWER = plan_of(WORK, OFF_SLOT, *WAX_SLOTS, ON_SLOT)


def night(**wanted: object) -> dict[str, EndState]:
    return {"night": EndState(id="night", name="covered", **wanted)}


def test_a_plan_without_wishes_passes() -> None:
    assert told(WORK, ANSWER) == ()


@pytest.mark.parametrize(
    ("wanted", "asked"),
    [
        ({}, True),
        ({"weekdays": (5,)}, True),
        ({"weekdays": (6,)}, False),
        ({"days": (SATURDAY,)}, True),
        ({"days": (SUNDAY, date(2026, 12, 12))}, False),
    ],
)
def test_a_part_that_is_to_be_in_place(wanted: dict[str, object], *, asked: bool) -> None:
    said = f"{NIGHT}`bonnet` be in place: `bonnet` be on and it is off since slot 1"
    assert told(WORK, ANSWER, at_end=night(fitted=("bonnet",), **wanted)) == ((said,) if asked else ())


def test_a_part_that_is_to_be_off() -> None:
    assert told(WORK, ANSWER, at_end=night(off=("bonnet",))) == ()
    parts = (slot("wax", 0, "9:30", 60, (1, 2)), slot("wax", 1, "9:10", 30, (2, 2)))
    free = replace(WORK, tasks={"wax": replace(WAX, demands=())})
    early = plan_of(free, OFF_SLOT, parts[0], slot("bonnet+", 0, "11:00", 30), parts[1])
    assert told(free, early, at_end=night(off=("bonnet",))) == (f"{NIGHT}`bonnet` be off and it is on since slot 3",)


def test_either_home_will_do() -> None:
    """The old bonnet is off and its successor on; a feature that only keeps account is no home."""
    new = replace(feature("new", goal=None), subject="long-bonnet")
    wish = {"at_end": night(fitted=("bonnet",))}
    lost = told(about(WORK, "bonnet", new), ANSWER, **wish)
    assert len(lost) == 1
    swap = Replace(part="bonnet", component=part("long-bonnet", (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)))
    assert told(about(WORK, "bonnet", new), ANSWER, changes=(swap,), **wish) == ()
    free = [replace(toggle("away", on=on, minutes=0), work=Work.PLANNING) for on in (True, False)]
    account = replace(feature("away", goal=None, turn_on=free[0], turn_off=free[1]), subject="bonnet")
    assert len(told(about(WORK, "bonnet", account), ANSWER, **wish)) == 1


def stands(*, start: bool) -> Feature:
    return replace(feature("on-stands", start=start, goal=start), subject="stands")


def test_a_condition_that_is_to_hold_or_not() -> None:
    raised, lowered = (about(WORK, "bonnet", stands(start=start)) for start in (True, False))
    assert told(raised, ANSWER, at_end=night(conditions=("stands",))) == ()
    assert told(lowered, ANSWER, at_end=night(without=("stands",))) == ()
    assert told(lowered, ANSWER, at_end=night(conditions=("stands",))) == (
        f"{NIGHT}`on-stands` be on and it is off from the start",
    )
    assert told(raised, ANSWER, at_end=night(without=("stands",))) == (
        f"{NIGHT}`on-stands` be off and it is on from the start",
    )
    assert told(WORK, ANSWER, at_end=night(conditions=("stands",))) == (
        f"{NIGHT}`stands` hold, and nothing ever enters it",
    )
    assert told(WORK, ANSWER, at_end=night(without=("stands",))) == ()


def test_a_price_that_the_work_list_has_lost() -> None:
    assert told(WORK, ANSWER, leave_in={"bonnet": 45}) == (
        "`bonnet` off is disliked by 45 hand-minutes and the work list has it free to be made",
    )
    assert told(WORK, ANSWER, leave_in={"bonnet": None}) == (
        "`bonnet` off is never to be made and the work list has it free to be made",
    )
    priced = about(work_of(WAX, off_dislike_min=45), "bonnet")
    answer = plan_of(priced, OFF_SLOT, *WAX_SLOTS, ON_SLOT, dislike=45)
    assert told(priced, answer, leave_in={"bonnet": 45}) == ()
    assert told(priced, answer, leave_in={"bonnet": 46}) == (
        "`bonnet` off is disliked by 46 hand-minutes and the work list has it priced at 45",
    )


def test_a_condition_is_priced_when_it_is_entered() -> None:
    enter, leave = toggle("on-stands", on=True, dislike_min=30), toggle("on-stands", on=False)
    raised = replace(feature("on-stands", start=False, goal=False, turn_on=enter, turn_off=leave), subject="stands")
    work = about(WORK, "bonnet", raised)
    assert told(work, ANSWER, leave_in={"stands": 30}) == ()
    assert told(work, ANSWER, leave_in={"stands": 20}) == (
        "`on-stands` on is disliked by 20 hand-minutes and the work list has it priced at 30",
    )
