"""What is bolted to a servo shuts its front and meets its rod (common practice, no published source)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop import part, scuttle, shelf, worked

from planner.model.job import Add, Change, Remove, TakeOff
from planner.model.vehicle import Vehicle
from planner.verify import check_gates


def with_servo() -> Vehicle:
    v = scuttle()
    servo = part("brake-servo", "servo", (60, 0, 500))
    master = replace(
        v.components["master"], mounted_on="servo", pose=replace(v.components["master"].pose, at_mm=(160.0, 0.0, 500.0))
    )
    return replace(v, components=v.components | {"servo": servo, "master": master})


NEW = part("tandem-master-cylinder", "tandem", (160, 0, 500), on="servo", systems=("front",))


@pytest.mark.parametrize("changes", [(TakeOff(part="master"),), (Remove(part="master"), Add(component=NEW))])
def test_the_servo_is_proved_after_a_cylinder_came_off_it(changes: tuple[Change, ...]) -> None:
    v = with_servo()
    work, found = worked(v, *changes)
    point = work.checkpoints["servo-vacuum"]
    for words in ("vacuum is used up", "start the engine", "hose", "valve"):
        assert words in point.measure
    assert "sinks a little as the engine starts" in point.limit
    assert "first-start" in {a.task for a in work.tasks["check.servo-vacuum"].after}
    assert "the servo's own" in work.checkpoints["brake-free-play"].measure
    assert check_gates(v, found, work, shelf()) == ()
    without = {i: c for i, c in work.checkpoints.items() if i != "servo-vacuum"}
    assert any(
        "`servo-vacuum` is called for" in s for s in check_gates(v, found, replace(work, checkpoints=without), shelf())
    )


def test_without_a_servo_no_vacuum_is_proved() -> None:
    work, _ = worked(scuttle(), TakeOff(part="master"))
    assert "servo-vacuum" not in work.checkpoints


def test_a_cylinder_that_ran_dry_is_bled_by_itself_before_the_circuit() -> None:
    """Common practice, no published source: air in a dry cylinder is pumped round its circuits for an hour."""
    work, _ = worked(scuttle(), TakeOff(part="master"))
    closing = work.features["circuit:front"].turn_on
    assert closing is not None
    words = [s for s in closing.steps if "ran dry" in s]
    assert len(words) == 1
    assert closing.steps.index(words[0]) < next(
        i for i, s in enumerate(closing.steps) if s.startswith("Bleed in the order")
    )
