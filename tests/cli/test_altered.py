"""A part that goes away to be made larger and comes back another size: what is measured then is its size as it is now.

The tank is 250 mm long and is to become 290, its middle at x = 500 and a wall, which stays, with its front face at
x = 669: by hand, a tank 340 mm long ends at 670 and is 1 mm into it, one of 300 mm ends at 650 and is not.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from unittest.mock import patch

import pytest
from shed import catalog, catalog_at_hand, fine, run
from worked_once import worked_once

from planner.cli.doing import lines_for
from planner.cli.handed_over import on_its_way
from planner.cli.logbook import log_book
from planner.knockon.asked import as_it_came_back, asked_by
from planner.log import piece_of_key
from planner.model.job import Altered, Grow
from planner.model.log import OrderedLine
from planner.model.shapes import Box, Cylinder, Outline, Pose, Tube
from planner.shelf import draft_of
from planner.verify.altered import altered_faults, taped_axes

VEHICLE = """\
knockon: 1
name: Tank trial
units: mm
doubt: 2 mm
zero: {x: front axle, y: centre line, z: rails}
ground: -300
systems:
  fuel: {kind: fuel}
components:
  rail:
    kind: chassis-rail
    at: [500, 0, 0]
    solids: [{box: [1200, 60, 40]}]
  wall:
    kind: bulkhead
    at: [670, 0, 220]
    solids: [{box: [2, 600, 400]}]
    mounted_on: rail
  fuel-tank:
    kind: fuel-tank
    at: [500, 0, 120]
    solids: [{box: [250, 300, 200]}]
    mounted_on: rail
    near: {wall: 0, rail: 0}
    systems: [fuel]
"""
JOB = """\
knockon: 1
name: A bigger tank
start: 2027-01-09
changes:
  - {do: grow, part: fuel-tank, by: [40, 0, 0], price: 95, lead: 10 days}
sessions:
  - {every: saturday, from: "09:00", to: "13:00", hands: 2}
"""
NAME = "fuel-tank.box.x"
BUY = "buy:fuel-tank"
BACK = "fuel-tank.altered.box.x"
AT = ("--at", "2027-01-23T09:30")


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "2000")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand(), worked_once():
        yield


def written(folder: Path) -> Path:
    (folder / "jobs").mkdir(parents=True)
    (folder / "vehicle.yaml").write_text(VEHICLE)
    (folder / "jobs" / "bigger.yaml").write_text(JOB)
    return folder


@pytest.fixture(scope="module")
def agreed_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with catalog_at_hand():
        folder = written(tmp_path_factory.mktemp("agreed") / "car")
        fine(run("plan", folder, "bigger", "--quick", "--from", "2027-01-04", "--short", "--agree"))
    return folder


@pytest.fixture
def agreed(agreed_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed_once, tmp_path / "car"))


def measured(folder: Path, value: str, name: str = NAME) -> str:
    return fine(run("record", "size", name, value, "--in", folder, *AT))


def last_line(folder: Path) -> dict[str, object]:
    line: dict[str, object] = json.loads((folder / "jobs" / "bigger.log.jsonl").read_text().splitlines()[-1])
    return line


def test_before_it_goes_it_is_the_size_from_which_it_grows(agreed: Path) -> None:
    told = measured(agreed, "252 mm +/- 1 mm")
    assert last_line(agreed)["size"] == NAME
    assert "it was 250 mm +/- 2 mm in the file" in told
    assert "back from being altered" not in told


def test_once_it_is_back_it_is_the_size_as_altered(agreed: Path) -> None:
    fine(run("record", "arrived", "fuel-tank", "--in", agreed, *AT))
    told = measured(agreed, "300 mm +/- 1 mm")
    assert last_line(agreed)["size"] == BACK
    assert last_line(agreed)["fits"] == "holds"
    assert "fuel-tank is back from being altered: that is its size now" in told
    assert "it was 290 mm +/- 2 mm as the job makes it" in told
    assert "290" not in measured(agreed, "301 mm +/- 1 mm", BACK)


def test_what_came_back_too_large_for_its_place_is_told_and_can_be_tried_before(agreed: Path) -> None:
    asked = run("measure", agreed, "bigger", "--try", f"{BACK}=340")
    assert asked.code == 1
    assert "(as the job makes it 290 mm +/- 2 mm)" in asked.out
    assert "No answer then" in asked.out
    fine(run("record", "arrived", "fuel-tank", "--in", agreed, *AT))
    assert "No answer then" not in fine(run("measure", agreed, "bigger", "--try", f"{NAME}=300"))
    told = measured(agreed, "340 mm")
    assert last_line(agreed)["fits"] == "no place"
    assert "leaves no place" in told


def test_a_plan_for_what_is_left_and_the_vehicles_file_have_it_as_it_came_back(agreed: Path) -> None:
    fine(run("record", "arrived", "fuel-tank", "--in", agreed, *AT))
    measured(agreed, "300 mm +/- 1 mm")
    told = fine(run("replan", agreed, "bigger", "--at", "2027-01-23T09:40", "--agree"))
    assert "THIS PLAN IS WRONG" not in told
    fine(run("adopt", agreed, "bigger", "--yes", "--early", "the rest is done"))
    text = (agreed / "vehicle.yaml").read_text()
    assert "300 mm +/- 1 mm" in text
    assert "290" not in text


def test_a_measured_part_keeps_the_face_it_stands_on_in_the_plan_and_in_the_file(agreed: Path) -> None:
    """The wall, 400 high about z = 220, stands on the rail at 20: 404 high its middle is 2 mm up."""
    measured(agreed, "404 mm", "wall.box.z")
    fine(run("adopt", agreed, "bigger", "--yes", "--early", "the rest is done"))
    [wall] = [b for b in (agreed / "vehicle.yaml").read_text().split("\n  ") if "[2, 600, 404" in b]
    assert "at: [0, 0, 2]" in wall


def test_a_value_that_is_no_length_is_told_as_it_would_be_in_the_file(agreed: Path) -> None:
    fine(run("record", "arrived", "fuel-tank", "--in", agreed, *AT))
    refused = run("record", "size", NAME, "34O mm", "--in", agreed)
    assert refused.code == 2
    assert "is not a length" in refused.err


def test_the_draft_holds_it_and_every_solid_is_as_sure_as_its_least_sure_size(tmp_path: Path) -> None:
    draft = draft_of(written(tmp_path / "car"), "bigger", catalog())
    assert {n for n in draft.names if ".altered." in n} == {f"fuel-tank.altered.box.{a}" for a in "xyz"}
    assert not any(".altered." in s.name for s in draft.sizes)
    held = draft.holding({BACK: "300 mm +/- 1 mm"})
    assert (held.size(BACK).mm, held.size(BACK).doubt_mm, held.size(NAME).mm) == (300, 1, 250)
    all_of_it = {f"fuel-tank.altered.box.{a}": f"{mm} mm +/- 0.5 mm" for a, mm in (("y", 301), ("z", 199))}
    # It stands on the rail, whose top is at 20: 1 mm less high, its bottom is there still and its middle 0.5 mm lower.
    for values, size, lower, doubt in (({}, (300, 300, 200), 0.0, 2.0), (all_of_it, (300, 301, 199), -0.5, 1.0)):
        vehicle, job, _ = held.filled(values)
        assert vehicle is not None
        assert job is not None
        there = Box(size_mm=size, pose=Pose(at_mm=(0, 0, lower)), doubt_mm=doubt)
        assert asked_by(vehicle, job).base["fuel-tank"].solids == (there,)
        assert vehicle.components["fuel-tank"].solids == (Box(size_mm=(250, 300, 200), doubt_mm=2.0),)


TURNED = Pose(turn_deg=(0, 0, 30))


@pytest.mark.parametrize(
    ("solid", "size", "becomes", "axes"),
    [
        (Box(size_mm=(1, 2, 3)), "y", Box(size_mm=(1, 9, 3)), {1}),
        (Box(size_mm=(1, 2, 3), pose=TURNED), "y", Box(size_mm=(1, 9, 3), pose=TURNED), {0, 1, 2}),
        (
            Cylinder(across_mm=4, length_mm=5, along="x"),
            "across",
            Cylinder(across_mm=9, length_mm=5, along="x"),
            {1, 2},
        ),
        (Cylinder(across_mm=4, length_mm=5, along="x"), "length", Cylinder(across_mm=4, length_mm=9, along="x"), {0}),
        (
            Tube(across_mm=4, through_mm=((0, 0, 0), (9, 0, 0))),
            "across",
            Tube(across_mm=9, through_mm=((0, 0, 0), (9, 0, 0))),
            {0, 1, 2},
        ),
        (
            Outline(points_mm=((0, 0), (1, 0), (0, 1)), thick_mm=2, along="z"),
            "thick",
            Outline(points_mm=((0, 0), (1, 0), (0, 1)), thick_mm=9, along="z"),
            {2},
        ),
    ],
)
def test_each_sort_of_solid_takes_what_was_read_and_the_checker_reads_it_by_itself(
    solid: Box, size: str, becomes: Box, axes: set[int]
) -> None:
    read = Altered(solid=0, size=size, mm=9.0)
    assert as_it_came_back((solid,), (read,)) == (becomes,)
    grow = Grow(part="tank", by_mm=(0, 0, 0), altered=(read,))
    assert not list(altered_faults("tank", grow, (becomes,)))
    assert list(altered_faults("tank", grow, (solid,)))
    assert taped_axes(grow, (becomes,)) == axes


def test_a_solid_that_has_no_such_size_is_refused() -> None:
    with pytest.raises(ValueError, match="no size 'thick'"):
        as_it_came_back((Box(size_mm=(1, 2, 3)),), (Altered(solid=0, size="thick", mm=9.0),))
    grow = Grow(part="tank", by_mm=(0, 0, 0), altered=(Altered(solid=1, size="x", mm=9.0),))
    assert list(altered_faults("tank", replace(grow), (Box(size_mm=(1, 2, 3)),)))


def test_its_days_run_from_the_step_that_hands_it_over_and_not_from_the_order(agreed: Path) -> None:
    """10 days: ordered on a Saturday, they begin with the step; handed over on 2 February it is back on the 12th."""
    plan = log_book(agreed).plan()
    [key] = [k for k in plan.keys if (p := piece_of_key(plan, k)) is not None and getattr(p, "orders", "") == BUY]
    planned = next(s.end.date() for k, s in zip(plan.keys, plan.plan.slots, strict=True) if k == key)
    told = fine(run("record", "ordered", "fuel-tank", "--in", agreed, "--at", "2027-01-05T09:00"))
    assert f"its 10 days run from step {plan.named[key]}" in told
    assert last_line(agreed)["due"] == (planned + timedelta(days=10)).isoformat()
    piece = piece_of_key(plan, key)
    assert piece is not None
    for promised, due in (("", "2027-02-12"), ("2027-02-20", "2027-02-20")):
        if promised:
            fine(run("record", "ordered", "fuel-tank", "--due", promised, "--in", agreed, "--at", "2027-01-05T09:00"))
        book = replace(log_book(agreed), now=datetime(2027, 2, 2, 10, 0))  # noqa: DTZ001  # a log's wall clock
        with patch("planner.cli.doing.lacks_of", return_value=()), patch("planner.cli.doing.see_alone"):
            lines = lines_for(book, key, "")
        assert [line.due.isoformat() for line in lines if isinstance(line, OrderedLine)] == [due]
    fine(run("record", "arrived", "fuel-tank", "--in", agreed, *AT))
    assert on_its_way(replace(log_book(agreed), now=book.now), piece) == []


def test_a_decimal_comma_is_read_and_three_digits_behind_one_are_asked_about(agreed: Path) -> None:
    told = measured(agreed, "252,5 mm +/- 0,5 mm")
    assert last_line(agreed)["value"] == "252.5 mm +/- 0.5 mm"
    assert "it was 250 mm" in told
    refused = run("record", "size", NAME, "1,200", "--in", agreed)
    assert refused.code == 2
    assert "may have thousands or a decimal comma" in refused.err
    assert "252.5" in fine(run("measure", agreed, "bigger", "--try", f"{NAME}=252,5"))
