"""A part that has moved is written where it is now, and as sure as it was: whatever the doubt was written in."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shipped import catalog

from planner.files import Change, Document, parse_text
from planner.model.job import Job
from planner.model.shapes import Pose
from planner.shelf.adopting import adoption_of
from planner.shelf.built import Built
from planner.shelf.load import vehicle_from

CATALOG = catalog()


def document(text: str) -> Document:
    found, findings = parse_text(text, "vehicle.yaml")
    assert found is not None
    assert findings == ()
    return found


@pytest.mark.parametrize(
    ("units", "at", "moved", "written"),
    [
        ("mm", '["620 mm +/- 5 mm", "62 cm +/- 1", 30]', (600.0, 600.0, 40.0), ["600 mm +/- 5", "600 mm +/- 10", 40]),
        ("mm", '["62 cm \u00b1 1", "20 thou +- 5", 30]', (600.0, 0.5, 30.0), ["600 mm +/- 10", "0.5 mm +/- 0.13", 30]),
        (
            "inch",
            '["24 7/16 in +/- 1/8", "1 cm +/- 0.254", 3]',
            (254.0, 25.4, 76.2),
            ["10 in +/- 0.125", "1 in +/- 0.1", 3],
        ),
    ],
)
def test_a_new_place_is_as_sure_as_the_old_one(
    units: str, at: str, moved: tuple[float, float, float], written: list[object]
) -> None:
    """What the doubts come to is worked by hand: 1 cm is 10 mm, 5 thou 0.127 mm, 0.254 cm a tenth of an inch."""
    file = document(
        f"knockon: 1\nname: Shed\nunits: {units}\nground: 0\n"
        f"components:\n  tank: {{kind: header-tank, at: {at}, solids: [{{box: [9, 9, 9]}}]}}\n"
    )
    vehicle, findings = vehicle_from(file, CATALOG)
    assert vehicle is not None, findings
    tank = replace(vehicle.components["tank"], pose=Pose(at_mm=moved))
    job = Job(id="move", name="Move", changes=())
    adoption = adoption_of(
        file, document("knockon: 1\nname: Move\n"), vehicle, job, Built(parts={"tank": tank}, links={}, runs={})
    )
    assert adoption.edits == (Change(("components", "tank", "at"), written),)
