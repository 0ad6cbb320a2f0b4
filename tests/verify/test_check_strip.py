"""A sound strip passes; each kind of sabotage is told by name."""

from dataclasses import replace

import pytest
from yard import STEPS, checkpoint, strip, work_list

from planner.model.effects import Proof
from planner.model.plan import Step, Strip
from planner.model.work import After, Demand, WorkList
from planner.verify import check_strip

WORK = work_list()


def told(*steps: Step, work: WorkList = WORK, cost: int = 75) -> tuple[str, ...]:
    return check_strip(work, strip(steps, cost))


def test_a_sound_strip_passes() -> None:
    assert check_strip(WORK, strip()) == ()


def test_two_steps_swapped() -> None:
    cowl, tank, *rest = STEPS
    assert told(tank, cowl, *rest) == (
        "step 1, `tank` off: no way is open: `cowl` must be off and is on; or `stands` must be on and is off",
    )


def test_the_other_way_will_do() -> None:
    cowl, tank, *rest = STEPS
    assert told(Step(ref="stands", on=True), tank, cowl, *rest, cost=85) == (
        "at the end `stands` must be off and is on",
    )


def test_a_removal_left_out() -> None:
    without_tank = (STEPS[0], *STEPS[2:])
    assert told(*without_tank, cost=60) == (
        "step 2, task `cut-slot`: `tank` must be off and is on",
        "step 3, task `paint-edge`: `tank` must be off and is on",
        "step 4, task `fit-bracket`: `tank` must be off and is on",
        "step 5, `tank` on: it is on already",
    )


def test_a_part_fitted_too_early() -> None:
    early = (*STEPS[:4], STEPS[5], STEPS[4], *STEPS[6:])
    assert told(*early) == (
        "step 5, `tank` on: task `fit-bracket` must be done first and is not",
        "step 6, task `fit-bracket`: `tank` must be off and is on",
    )


def test_a_toggle_whose_own_demand_fails() -> None:
    early = (*STEPS[:5], STEPS[7], STEPS[5], STEPS[6], STEPS[8])
    assert told(*early) == ("step 7, `tank` on: `cowl` must be off and is on",)


def test_a_task_left_out() -> None:
    assert told(*STEPS[:3], *STEPS[4:]) == (
        "step 4, task `fit-bracket`: task `paint-edge` must be done first and is not",
        "task `paint-edge` is never done",
    )


def test_a_task_done_twice() -> None:
    assert told(*STEPS[:4], STEPS[2], *STEPS[4:]) == ("step 5, task `cut-slot`: it was done already at step 3",)


def test_a_task_before_the_one_it_follows() -> None:
    swapped = (*STEPS[:2], STEPS[3], STEPS[2], *STEPS[4:])
    assert told(*swapped) == ("step 3, task `paint-edge`: task `cut-slot` must be done first and is not",)


def test_a_road_test_before_its_checkpoint_is_signed() -> None:
    early = (*STEPS[:6], STEPS[7], STEPS[8], STEPS[6])
    assert told(*early) == (
        "step 8, task `road-test`: checkpoint `tank-tight` blocks it and its task `sign-tank` is not done",
    )


def test_a_checkpoint_nobody_signs() -> None:
    work = replace(WORK, checkpoints={**WORK.checkpoints, "lamps": checkpoint("lamps", "road-test")})
    assert told(*STEPS, work=work) == (
        "step 9, task `road-test`: checkpoint `lamps` blocks it and no task signs that checkpoint",
    )


def test_a_part_undone_after_its_sign_off() -> None:
    again = (*STEPS[:7], Step(ref="tank", on=False), Step(ref="tank", on=True), *STEPS[7:])
    assert told(*again, cost=130) == (
        "step 8, `tank` off: it may not change again after step 7 (`sign-tank`)",
        "step 9, `tank` on: it may not change again after step 7 (`sign-tank`)",
    )


def test_a_goal_not_met() -> None:
    # The road test demands the cowl, so it goes too.
    work = replace(WORK, tasks={key: value for key, value in WORK.tasks.items() if key != "road-test"})
    assert told(*STEPS[:7], work=work, cost=65) == ("at the end `cowl` must be on and is off",)


def test_either_state_will_do_without_a_goal() -> None:
    features = {**WORK.features, "cowl": replace(WORK.features["cowl"], goal=None)}
    tasks = {key: value for key, value in WORK.tasks.items() if key != "road-test"}
    assert told(*STEPS[:7], work=replace(WORK, features=features, tasks=tasks), cost=65) == ()


def test_a_change_that_cannot_be_made() -> None:
    back = (Step(ref="stands", on=True), Step(ref="stands", on=False), *STEPS)
    assert told(*back, cost=85) == ("step 2, `stands` off: it can never be turned off",)


def test_a_change_to_the_state_it_is_in() -> None:
    twice = (STEPS[0], STEPS[0], *STEPS[1:])
    assert told(*twice, cost=85) == ("step 2, `cowl` off: it is off already",)


def test_unknown_names() -> None:
    assert told(*STEPS, Step(ref="polish"), Step(ref="bonnet", on=False)) == (
        "step 10, task `polish`: there is no such task",
        "step 11, `bonnet` off: there is no such feature",
    )
    cut = replace(WORK.tasks["cut-slot"], demands=(Demand(feature="bonnet", on=True),))
    assert told(*STEPS, work=replace(WORK, tasks={**WORK.tasks, "cut-slot": cut})) == (
        "step 3, task `cut-slot`: it demands the unknown feature `bonnet`",
    )


def test_a_way_that_asks_to_be_left_for_good() -> None:
    """The tank may come out past the cowl only if the cowl stays off; it is fitted again at step 8."""
    tank = WORK.features["tank"]
    assert tank.turn_off is not None
    way = (Demand(feature="cowl", on=False, last=True),)
    tank = replace(tank, turn_off=replace(tank.turn_off, ways=(way,)))
    assert told(*STEPS, work=replace(WORK, features={**WORK.features, "tank": tank})) == (
        "step 2, `tank` off: no way is open: `cowl` may not change again and does at step 8",
    )


def test_unknown_tasks_waited_for() -> None:
    cut = replace(WORK.tasks["cut-slot"], after=(After(task="mark-out"),))
    assert told(*STEPS, work=replace(WORK, tasks={**WORK.tasks, "cut-slot": cut})) == (
        "step 3, task `cut-slot`: it waits for the unknown task `mark-out`",
    )


def test_a_check_made_each_time_blocks_until_it_is_made_once() -> None:
    """Rocking the car is checked as it goes on stands, and the cut waits for it; it never goes on stands."""
    stands = WORK.features["stands"]
    assert stands.turn_on is not None
    checked = replace(stands, goal=None, turn_on=replace(stands.turn_on, checks=("rocked",)))
    gates = {**WORK.checkpoints, "rocked": checkpoint("rocked", "cut-slot", each_time=True)}
    work = replace(WORK, features={**WORK.features, "stands": checked}, checkpoints=gates)
    assert told(*STEPS, work=work) == (
        "step 3, task `cut-slot`: checkpoint `rocked` blocks it and no step before makes that check",
    )
    assert told(Step(ref="stands", on=True), *STEPS, work=work, cost=85) == ()
    late = (*STEPS[:3], Step(ref="stands", on=True), *STEPS[3:])
    assert told(*late, work=work, cost=85) != ()


@pytest.mark.parametrize(
    ("answer", "sentence"),
    [
        (strip(cost=74), "the cost is told as 74 hand-minutes and the steps add up to 75"),
        (replace(strip(), bound=76), "the bound of 76 hand-minutes is above the cost of 75"),
        (replace(strip(), bound=70), "it is called proved least at 75 hand-minutes with a bound of 70"),
        (replace(strip(), proof=Proof.NONE), "the strip has steps and says that there is no answer"),
        (
            Strip(proof=Proof.NONE, steps=(), cost=0, bound=0),
            "there is no order of work and no reason is told",
        ),
    ],
)
def test_figures(answer: Strip, sentence: str) -> None:
    assert check_strip(WORK, answer) == (sentence,)


def test_no_order_told_in_words_has_nothing_to_check() -> None:
    answer = Strip(proof=Proof.NONE, steps=(), cost=0, bound=0, trouble=("the tank cannot come out",))
    assert check_strip(WORK, answer) == ()
