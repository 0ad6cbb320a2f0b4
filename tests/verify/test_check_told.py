"""A part that is taken off without being told among the knock-ons has no checkpoints called for it."""

from dataclasses import replace

import pytest
import trials

from planner.verify import check_told


@pytest.fixture(scope="module")
def answer():  # noqa: ANN201  # the answer of a shipped job
    return trials.answer("battery-aft")


def test_a_shipped_plan_tells_all_it_handles(answer) -> None:  # noqa: ANN001
    assert check_told(trials.vehicle(), answer.knockons, answer.work, answer.plan) == ()


def test_a_part_that_is_not_told_is_found(answer) -> None:  # noqa: ANN001
    silent = replace(answer.knockons, effects=tuple(e for e in answer.knockons.effects if e.subject != "tool-box"))
    (told,) = check_told(trials.vehicle(), silent, answer.work, answer.plan)
    assert "`tool-box` is handled" in told
