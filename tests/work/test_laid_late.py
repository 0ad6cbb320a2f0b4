"""New wires, hoses and pipes are laid when the holes near them are made (common practice, no published source)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from garage import vehicle
from workshop import bracket, first_of, hole, link, part, shelf, worked

from planner.model.catalog import Work
from planner.model.effects import Knockons
from planner.model.job import Add, AddLink, Job
from planner.model.vehicle import System, Vehicle
from planner.model.work import WorkList
from planner.verify.laid import early_laid_faults
from planner.verify.sequence import forced_order

BRACKET = Add(component=bracket("bracket", (60, 700, 300)))
"""Its rear face at x 10, from y 650 to 750 and z 250 to 350."""


def wired(y_mm: float) -> tuple[Vehicle, AddLink]:
    """Two horns one above the other 50 mm before the bulkhead, and a wire straight from one down to the other."""
    parts = [
        part("bulkhead", "bulkhead", (0, 0, 500), (20, 3000, 1000), on=None),
        part("horn", "upper", (60, y_mm, 900), ports_mm={"plug": (0, 0, -50)}),
        part("horn", "lower", (60, y_mm, 80), ports_mm={"plug": (0, 0, 50)}),
    ]
    wire = link("wire", "wire", "upper.plug", "lower.plug", system="wiring")
    wiring = System(id="wiring", kind="low-voltage-wiring", name="wiring")
    return vehicle(parts, systems=[wiring]), AddLink(link=wire)


def told(v: Vehicle, knockons: Knockons, work: WorkList, job: Job) -> list[str]:
    return list(early_laid_faults(v, knockons, work, shelf(), job, forced_order(work)))


def holers(work: WorkList, subject: str) -> list[str]:
    on_it = (i for i, t in work.tasks.items() if i.startswith(f"{subject}.") and t.work is Work.DRILLING)
    return [i for i in on_it if any(d.feature == "state:battery-isolated" for d in work.tasks[i].demands)]


@pytest.mark.parametrize(("gap_mm", "waits"), [(shelf().hole_shy_mm - 1.0, True), (shelf().hole_shy_mm + 1.0, False)])
def test_a_wire_within_reach_of_a_hole_is_laid_after_it_is_drilled(gap_mm: float, *, waits: bool) -> None:
    across_mm = shelf().link_kinds["wire"].across_mm
    v, wire = wired(750.0 + gap_mm + across_mm / 2.0)
    work, knockons = worked(v, BRACKET, wire)
    job = Job(id="job", name="job", changes=(BRACKET, wire))
    drilled = holers(work, "bracket")
    laid = next(i for i, t in work.tasks.items() if i.startswith("wire.") and t.work is Work.TRIAL_FIT)
    fitted = work.features["wire"].turn_on
    assert fitted is not None
    assert len(drilled) == 1
    assert (drilled[0] in first_of(work, laid)) is waits
    assert (drilled[0] in fitted.after) is waits
    assert told(v, knockons, work, job) == []


def test_what_is_measured_and_cut_for_a_wire_waits_for_no_hole() -> None:
    v, wire = wired(800.0)
    work, _ = worked(v, BRACKET, wire)
    made = [i for i, t in work.tasks.items() if i.startswith("wire.") and t.work is not Work.TRIAL_FIT]
    assert made
    assert not any(holers(work, "bracket")[0] in first_of(work, i) for i in made)


def test_a_wire_within_reach_of_heat_is_laid_after_the_weld() -> None:
    """From the hole's edge at y 720 to the wire's middle line there are 280 mm: beyond a hand's reach, within 300."""
    v, wire = wired(1000.0)
    cut = hole(welded=True)
    work, knockons = worked(v, cut, wire)
    welds = {i for i, t in work.tasks.items() if i.startswith("slot.") and t.work is Work.WELDING}
    laid = next(i for i, t in work.tasks.items() if i.startswith("wire.") and t.work is Work.TRIAL_FIT)
    assert welds
    assert welds <= first_of(work, laid)
    assert told(v, knockons, work, Job(id="job", name="job", changes=(cut, wire))) == []


def test_a_wire_that_may_be_laid_before_the_hole_is_told() -> None:
    v, wire = wired(800.0)
    work, knockons = worked(v, BRACKET, wire)
    drilled = holers(work, "bracket")[0]
    laid = next(i for i, t in work.tasks.items() if i.startswith("wire.") and t.work is Work.TRIAL_FIT)
    trial = work.tasks[laid]
    loose = replace(trial, after=tuple(a for a in trial.after if a.task != drilled))
    spoilt = replace(work, tasks={**work.tasks, laid: loose})
    job = Job(id="job", name="job", changes=(BRACKET, wire))
    assert told(v, knockons, spoilt, job) == [f"`{drilled}` may be done when `wire` already lies beside it (`{laid}`)"]
