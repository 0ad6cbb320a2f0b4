"""A look that a later program asks for strips nothing that was painted or built in before anybody asked for it."""

from __future__ import annotations

from dataclasses import replace

from workshop import bracket, scuttle, shelf, worked

from planner.model.job import Add, Mending, OwnTask, TakeOff
from planner.model.standing import Standing
from planner.model.words import Deed
from planner.model.work import WorkList
from planner.work import with_covered

LOOK = "check.weld-look.bracket"


def without(work: WorkList, task: str) -> WorkList:
    """As an earlier program made it: it knew of no such look."""
    return replace(work, tasks={i: t for i, t in work.tasks.items() if i != task})


def made() -> tuple[WorkList, Standing]:
    work, _ = worked(scuttle(), Add(component=bracket()))
    return work, Standing(finished=frozenset(i for i in work.tasks if i.startswith("bracket.")))


def test_what_is_painted_already_is_looked_at_as_it_is() -> None:
    work, painted = made()
    eased = with_covered(work, without(work, LOOK), painted, shelf())
    assert work.tasks[LOOK].demands
    assert not eased.tasks[LOOK].demands
    assert any("before this look was asked for" in note for note in eased.tasks[LOOK].notes)
    # And so it stays in the plans after that.
    assert with_covered(work, eased, painted, shelf()).tasks[LOOK] == eased.tasks[LOOK]


def test_what_can_still_be_looked_at_bare_is() -> None:
    work, painted = made()
    before = without(work, LOOK)
    unpainted = replace(painted, finished=painted.finished - {"bracket.11"})
    assert with_covered(work, before, unpainted, shelf()) == work
    # It was asked for, and is to be made again: the part was welded again.
    assert with_covered(work, work, painted, shelf()) == work
    assert with_covered(work, None, painted, shelf()) == work
    assert with_covered(work, before, replace(painted, finished=painted.finished | {LOOK}), shelf()) == work


def test_what_was_put_back_over_a_weld_stays_on() -> None:
    own = OwnTask(id="found-7", title="Weld", minutes=60, mending=Mending(does=(Deed.WELD,), on="bulkhead"))
    work, _ = worked(scuttle(), TakeOff(part="horn"), tasks=(own,))
    look = "check.weld-look.found-7"
    away = {d.feature for d in work.tasks[look].demands if not d.on}
    assert {"master", "filter"} <= away
    done = Standing(finished=frozenset({"found-7"}), states=dict.fromkeys(away, False))
    assert with_covered(work, without(work, look), done, shelf()).tasks[look] == work.tasks[look]
    back = replace(done, states={**done.states, "master": True})
    assert not with_covered(work, without(work, look), back, shelf()).tasks[look].demands
