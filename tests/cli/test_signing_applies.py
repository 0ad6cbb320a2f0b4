"""A check that looks at what is there is never said not to apply."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import pytest

from planner.cli.ending import Stop
from planner.cli.logbook import LogBook
from planner.cli.signing import see_nothing_welded, welded_again
from planner.model.words import Work
from planner.model.work import After, Task

LOOK = "check.weld-look.slot"


def book(work: Work, *finished: str) -> LogBook:
    weld = Task(id="slot.8", title="Weld the doubler in", work=work, minutes=50)
    look = Task(id=LOOK, title="Look", work=Work.TESTING, minutes=5, checkpoint="look", after=(After(task=weld.id),))
    agreed = SimpleNamespace(work=SimpleNamespace(tasks={t.id: t for t in (weld, look)}), named={"slot.8": 8, LOOK: 9})
    return cast("LogBook", SimpleNamespace(plan=lambda: agreed, standing=SimpleNamespace(finished={*finished})))


def test_the_look_at_a_weld_applies_once_it_is_welded() -> None:
    with pytest.raises(Stop, match="Weld looked at: `Weld the doubler in` is done, so it applies"):
        see_nothing_welded(book(Work.WELDING, "slot.8"), LOOK, "Weld looked at")


@pytest.mark.parametrize("there", [book(Work.WELDING), book(Work.DRILLING, "slot.8")])
def test_without_a_weld_it_may_be_said_not_to(there: LogBook) -> None:
    see_nothing_welded(there, LOOK, "Weld looked at")


def test_a_bench_weld_that_does_not_pass_its_look_is_welded_again() -> None:
    """What was tested since, as a tank under pressure, rests on it and is tested again with it."""
    assert welded_again(book(Work.WELDING, "slot.8"), LOOK) == ("slot.8",)
    assert welded_again(book(Work.WELDING), LOOK) == ()
    assert welded_again(book(Work.DRILLING, "slot.8"), LOOK) == ()
