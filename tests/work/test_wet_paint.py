"""No weld and no grinder where paint is wet (common practice, no published source)."""

from __future__ import annotations

from dataclasses import replace

from workshop import bracket, demands, hole, scuttle, shelf, worked

from planner.model.catalog import Work
from planner.model.job import Add, Change, Job
from planner.model.work import Demand, WorkList
from planner.verify import check_gates
from planner.verify.sequence import forced_order
from planner.verify.wet_paint import wet_paint_faults

WET = "state:paint-wet"
CHANGES: tuple[Change, ...] = (Add(component=bracket()), hole((0, -700, 300), welded=True))
"""A bracket that is made and painted at the bench, and a hole with a doubler welded on."""


def told(work: WorkList) -> list[str]:
    job = Job(id="job", name="job", changes=CHANGES)
    return list(wet_paint_faults(work, shelf(), job, forced_order(work)))


def painted(work: WorkList) -> list[str]:
    return [i for i, t in work.tasks.items() if t.work is Work.FINISHING and t.keep_min > 0]


def welded(work: WorkList) -> list[str]:
    return [i for i, t in work.tasks.items() if t.work is Work.WELDING]


def test_paint_is_wet_in_a_state_in_which_nothing_is_welded() -> None:
    """The state is held for as long as a coat takes to dry, as `keep_min` does with all that a step rests on."""
    work, knockons = worked(scuttle(), *CHANGES)
    assert painted(work)
    assert welded(work)
    assert all(demands(work.tasks[i], WET) == Demand(feature=WET, on=True) for i in painted(work))
    assert all(demands(work.tasks[i], WET) == Demand(feature=WET, on=False) for i in welded(work))
    assert work.features[WET].goal is False
    assert told(work) == []
    assert check_gates(scuttle(), knockons, work, shelf(), job=Job(id="job", name="job", changes=CHANGES)) == ()


def test_nobody_waits_for_paint_where_nothing_sparks() -> None:
    work, _ = worked(scuttle(), hole((0, -700, 300)))
    assert painted(work)
    assert not welded(work)
    assert WET not in work.features


def test_a_weld_or_a_coat_that_does_not_heed_the_other_is_told() -> None:
    work, _ = worked(scuttle(), *CHANGES)
    for i, sentence in ((welded(work)[0], "brings sparks, and may be done where"), (painted(work)[0], "paints, and")):
        task = work.tasks[i]
        loose = replace(task, demands=tuple(d for d in task.demands if d.feature != WET))
        said = told(replace(work, tasks={**work.tasks, i: loose}))
        assert len(said) == 1
        assert said[0].startswith(f"`{i}` {sentence}")
