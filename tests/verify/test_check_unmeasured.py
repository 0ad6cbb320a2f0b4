"""The checker asks for the step that measures a new part of guessed size, by its own code, and misses it once gone.

Where the size is a guess is worked out by hand: 34 mm is a third of the bracket's 100, 2 mm is a fiftieth.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop import bracket, link, scuttle, shelf, worked

from planner.model.effects import Knockons
from planner.model.job import Add, AddLink
from planner.model.words import Work
from planner.model.work import WorkList
from planner.verify import check_gates


def planned(doubt_mm: float) -> tuple[WorkList, Knockons]:
    plain = bracket(ports_mm={"out": (0, 60, 0)})
    part = replace(plain, solids=tuple(replace(s, doubt_mm=doubt_mm) for s in plain.solids))
    pipe = AddLink(link=link("brake-pipe", "pipe", "union.in", "bracket.out", system="front"))
    return worked(scuttle(), Add(component=part), pipe)


def faults(work: WorkList, knockons: Knockons) -> list[str]:
    return [told for told in check_gates(scuttle(), knockons, work, shelf()) if "not measured" in told]


@pytest.mark.parametrize("doubt_mm", [34.0, 2.0])
def test_the_work_as_it_is_made_is_sound(doubt_mm: float) -> None:
    assert not faults(*planned(doubt_mm))


def test_without_the_step_each_step_that_shapes_it_is_told() -> None:
    work, knockons = planned(34.0)
    tasks = {
        i: replace(t, after=tuple(a for a in t.after if a.task != "bracket.size"))
        for i, t in work.tasks.items()
        if i != "bracket.size"
    }
    told = faults(replace(work, tasks=tasks), knockons)
    drilled = [i for i, t in tasks.items() if t.work in {Work.DRILLING, Work.BENDING, Work.CUTTING}]
    assert {i.split(".")[0] for i in drilled} >= {"bracket", "pipe"}
    assert all(any(f"`{i}`" in line for line in told) for i in drilled if i.split(".")[0] in {"bracket", "pipe"})


def test_a_step_that_only_waits_for_it_no_more_is_told() -> None:
    work, knockons = planned(34.0)
    freed = next(i for i, t in work.tasks.items() if t.work is Work.DRILLING and i.startswith("bracket."))
    tasks = {**work.tasks, freed: replace(work.tasks[freed], after=())}
    assert faults(replace(work, tasks=tasks), knockons) == [
        f"`{freed}` is done with the size of `bracket` not measured, and that is a guess"
    ]
