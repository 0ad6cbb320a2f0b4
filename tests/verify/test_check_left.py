"""A plan for what is left, against logs in which something was written that cannot be the whole truth."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from yard import checkpoint

from planner.model.log import DoneLine, Entry, SignedLine, UndoLine, Verdict
from planner.model.plan import NOTHING_LEFT, Slot, Step
from planner.model.words import Work
from planner.model.work import Demand, Feature, Task, Toggle, WorkList
from planner.verify import check_left

AT = datetime(2026, 5, 2, 9, 0)  # noqa: DTZ001  # wall-clock time of one workshop


def _feature(name: str, *, start: bool, demands: tuple[Demand, ...] = ()) -> Feature:
    on, off = (
        Toggle(feature=name, on=on, title=name, work=Work.PLANNING, minutes=5, hands=1, demands=demands)
        for on in (True, False)
    )
    return Feature(id=name, name=name, start=start, goal=True, turn_on=on, turn_off=off)


def _work() -> WorkList:
    """A pipe that goes on while its circuit is open, and a check that rests on the circuit alone."""
    opened = (Demand(feature="circuit", on=False),)
    test = Task(
        id="check.firm",
        title="firm",
        work=Work.TESTING,
        minutes=5,
        checkpoint="firm",
        demands=(Demand(feature="circuit", on=True, last=True),),
    )
    return WorkList(
        features={"circuit": _feature("circuit", start=True), "pipe": _feature("pipe", start=False, demands=opened)},
        tasks={"check.firm": test},
        checkpoints={"firm": checkpoint("firm")},
        buys={},
    )


def _lines() -> list[Entry]:
    keys = ("circuit:off#1", "pipe:on#1", "circuit:on#1")
    done = [DoneLine(n=n, at=AT, key=k, guess_min=5, work="planning") for n, k in enumerate(keys, start=1)]
    signed = SignedLine(
        n=4, at=AT, checkpoint="firm", key="check.firm", verdict=Verdict.PASSED, limit="firm", text="firm", by="AB"
    )
    return [*done, signed]


def test_a_log_written_in_order_leaves_nothing() -> None:
    assert check_left(_work(), NOTHING_LEFT, _lines()) == ()


def test_a_pipe_written_again_with_its_circuit_closed_asks_for_the_check_of_the_circuit() -> None:
    lines = _lines()
    again = [*lines, UndoLine(n=5, cancels=2), replace(lines[1], n=6)]
    (told,) = check_left(_work(), NOTHING_LEFT, again)
    assert told == "checkpoint `firm` rests on what is changed after it and is not made again"


def test_a_check_made_with_two_steps_is_made_again_with_the_one_that_failed() -> None:
    """A fire watch is signed with each weld: one that failed is in the plan with its own weld, and with that alone."""
    weld = replace(_work().tasks["check.firm"], id="first", demands=())
    work = replace(_work(), features={}, tasks={"first": weld, "second": replace(weld, id="second")})
    passed = SignedLine(n=1, at=AT, checkpoint="firm", key="first", verdict=Verdict.PASSED, limit="firm", by="AB")
    failed = replace(passed, n=2, key="second", verdict=Verdict.FAILED)
    slot = Slot(step=Step(ref="second"), session=0, start=AT, end=AT)
    assert check_left(work, replace(NOTHING_LEFT, slots=(slot,)), [passed, failed]) == ()
    told = check_left(work, NOTHING_LEFT, [passed, failed])
    assert "checkpoint `firm` is open and not in the plan" in told
    assert "task `second` is not done and not in the plan" in told
