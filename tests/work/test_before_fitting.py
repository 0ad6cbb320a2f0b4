"""What is done to a part before it is fitted for good, and with which tools (common practice, no published source)."""

from __future__ import annotations

import pytest
from workshop import demands, first_of, part, scuttle, shelf, worked

from planner.model.catalog import When, Work
from planner.model.job import Add, Move, Purchase
from planner.model.shapes import Pose
from planner.model.vehicle import Freedom

FLUID = Purchase(id="fluid", what="brake fluid 1 l", lead_days=5, lead_told=True, for_part="second")


@pytest.mark.parametrize("kind", ["brake-master-cylinder", "tandem-master-cylinder"])
def test_a_new_master_cylinder_is_bled_in_a_vice_after_its_trial_fit_and_not_while_the_circuit_is_filled(
    kind: str,
) -> None:
    cylinder = part(kind, "second", (60, 700, 300), systems=("front",), freedom=Freedom.MOVES)
    work, _ = worked(scuttle(), Add(component=cylinder), purchases=(FLUID,))
    [bled] = [t for i, t in work.tasks.items() if i.startswith("second.") and t.work is Work.FILLING]
    [tried] = [i for i, t in work.tasks.items() if i.startswith("second.") and t.work is Work.TRIAL_FIT]
    wanted = demands(bled, "second@new") or demands(bled, "second")
    assert wanted is not None
    assert (wanted.on, tried in first_of(work, bled.id)) == (False, True)
    assert "fluid" in bled.purchases
    assert any("paint" in c for c in bled.cautions)


def test_filling_says_nothing_of_a_bench() -> None:
    told = " ".join(shelf().system_kinds["hydraulic-brake"].steps)
    assert "bench" not in told
    assert "ran dry, or was not bled before it was fitted" in told


def test_a_step_at_which_no_hole_is_made_asks_for_no_punch() -> None:
    """The radiator is never drilled: the horn is held by what is there."""
    steps = [s for t in shelf().templates.values() if t.trigger.when is When.MOVED for s in t.steps if s.undrilled]
    assert len(steps) == 8
    for step in steps:
        assert "centre punch" in step.tools
        assert "spanners" in step.undrilled_tools
        assert not {"centre punch", "marker"} & set(step.undrilled_tools)


def test_the_tools_of_such_a_step_are_those_it_is_done_with() -> None:
    v = scuttle()
    v.components["radiator"] = part("radiator", "radiator", (-600, 0, 500), (50, 400, 400), on=None)
    work, _ = worked(v, Move(part="horn", to=Pose(at_mm=(-525.0, 0.0, 500.0)), onto="radiator"))
    [offered] = [t for i, t in work.tasks.items() if i.startswith("horn.") and "no hole is drilled" in t.title]
    assert offered.tools == ("spanners",)
