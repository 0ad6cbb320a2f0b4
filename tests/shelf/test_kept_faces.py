"""Which face of a part stays as a size of it turns out another: worked out by hand, plane by plane."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from workshop import shelf

from planner.model.catalog import Catalog
from planner.model.shapes import Box, Cylinder, Pose, Solid, Vec
from planner.model.vehicle import Component, Vehicle
from planner.shelf import draft_of, load_job, load_vehicle
from planner.shelf.kept_faces import kept_ends, kept_of, shift_per_mm

VEHICLE = """\
knockon: 1
name: Kept faces
units: mm
doubt: 2 mm
zero: {x: front axle, y: centre line, z: rails}
ground: -300
components:
  shelf:
    kind: bracket
    at: [300, 0, 500]
    solids: [{box: [200, 400, 4], at: [0, 0, -2]}]
  tank:
    kind: header-tank
    at: [300, 0, 500]
    solids: [{box: [160, 320, 200], at: [0, 0, 100 +/- 1]}]
    mounted_on: shelf
  can:
    kind: header-tank
    at: [300, 150, 540]
    solids: [{cylinder: {across: 60, length: 80, along: z}}]
    mounted_on: shelf
"""
JOB = """\
knockon: 1
name: more
changes:
  - do: add
    part: bar
    component:
      kind: bracket
      at: [400, 260, 250]
      solids: [{cylinder: {across: 48, length: 170, along: x}, at: [-85, 0, 0]}]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "jobs").mkdir()
    (tmp_path / "vehicle.yaml").write_text(VEHICLE)
    (tmp_path / "jobs" / "more.yaml").write_text(JOB)
    return tmp_path


@pytest.fixture(scope="module")
def known() -> Catalog:
    return shelf()


@pytest.mark.parametrize(
    ("size", "value", "part", "becomes"),
    [
        # 6 mm higher on a shelf that is its zero: the middle goes up by 3.
        ("tank.box.z", "206", "tank", Box(size_mm=(160, 320, 206), pose=Pose(at_mm=(0, 0, 103)), doubt_mm=2.0)),
        # Its zero is its middle along y, and nothing is beside it.
        ("tank.box.y", "330", "tank", Box(size_mm=(160, 330, 200), pose=Pose(at_mm=(0, 0, 100)), doubt_mm=2.0)),
        # Its zero is its middle, and its lower face is on the shelf: 540 - 40 = 500.
        (
            "can.cylinder.length",
            "90",
            "can",
            Cylinder(across_mm=60, length_mm=90, pose=Pose(at_mm=(0, 0, 5)), doubt_mm=2.0),
        ),
        # Measured from its rear face: 174 long it reaches 4 mm farther forwards.
        (
            "bar.cylinder.length",
            "174 +/- 0.5",
            "bar",
            Cylinder(across_mm=48, length_mm=174, along="x", pose=Pose(at_mm=(-87, 0, 0)), doubt_mm=0.5),
        ),
    ],
)
def test_a_measured_size_leaves_that_face_where_it_is(
    folder: Path, known: Catalog, size: str, value: str, part: str, becomes: Solid
) -> None:
    draft = draft_of(folder, "more", known)
    for held in (draft.filled({size: value}), draft.holding({size: value}).filled({})):
        vehicle, job, findings = held
        assert vehicle is not None, findings
        assert job is not None, findings
        parts = {**vehicle.components, **{c.component.id: c.component for c in job.changes}}  # type: ignore[union-attr]
        [solid] = parts[part].solids
        assert replace(solid, doubt_mm=becomes.doubt_mm) == becomes
    number = draft.part(size, draft.size(size).mm + 4.0)
    assert number is not None
    shift = [b - a for a, b in zip(_at(folder, known, part), number.solids[0].pose.at_mm, strict=True)]
    assert sum(map(abs, shift)) == pytest.approx(0.0 if size == "tank.box.y" else 2.0)


def test_where_a_solid_sits_stays_as_sure_as_it_was(folder: Path, known: Catalog) -> None:
    draft = draft_of(folder, "more", known)
    seats = draft.seats(draft.vehicle_file.data, {"tank.box.z": "206"})
    assert seats == {("components", "tank", "solids", 0, "at"): [0, 0, "103 mm +/- 1"]}


def _at(folder: Path, known: Catalog, part: str) -> Vec:
    vehicle, _ = load_vehicle(folder, known)
    assert isinstance(vehicle, Vehicle)
    if part in vehicle.components:
        return vehicle.components[part].solids[0].pose.at_mm
    job, _ = load_job(folder, "more", vehicle, known)
    assert job is not None
    found: Component = job.changes[0].component  # type: ignore[union-attr]
    return found.solids[0].pose.at_mm


def test_a_turned_solid_keeps_its_own_face_and_one_between_two_hosts_keeps_none() -> None:
    """A bar along its own z, turned a quarter about y, lies along x with its low end on the zero."""
    bar = Cylinder(across_mm=20, length_mm=100, pose=Pose(at_mm=(50, 0, 0), turn_deg=(0, 90, 0)))
    ends = kept_of(bar, Pose(), None)
    assert ends == (0, 0, -1)
    assert shift_per_mm(bar, "length", ends) == pytest.approx((0.5, 0.0, 0.0))
    block = Box(size_mm=(100, 100, 100))
    shelf_of = Component(
        id="host",
        kind="bracket",
        name="host",
        group="structure",
        pose=Pose(),
        solids=(Box(size_mm=(200, 200, 10), pose=Pose(at_mm=(0, 0, -55))),),
    )
    assert kept_ends((block,), Pose(), shelf_of) == (0, 0, -1)
    both = replace(shelf_of, solids=(*shelf_of.solids, Box(size_mm=(200, 200, 10), pose=Pose(at_mm=(0, 0, 55)))))
    assert kept_ends((block,), Pose(), both) == (0, 0, 0)
