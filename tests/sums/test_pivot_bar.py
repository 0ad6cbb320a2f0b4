"""`knockon lever --write` takes the pivot's bar along, unless another pedal turns on it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import catalog, catalog_at_hand, run
from cli.test_lever_write import JOB, VEHICLE, whole

from planner.model.vehicle import Vehicle
from planner.shelf import load_vehicle, projects_folder

BAR = "solids: [{box: [8, 120, 60]}, {cylinder: {across: 16, length: 110, along: y}, at: [65, 0, -50]}]   # bar\n"


@pytest.fixture(autouse=True)
def _catalog() -> Iterator[None]:
    with catalog_at_hand():
        yield


def loaded(project: Path) -> Vehicle:
    vehicle, _ = load_vehicle(project, catalog())
    assert vehicle is not None
    return vehicle


def test_the_bar_goes_with_the_pivot(tmp_path: Path) -> None:
    text = whole().replace("solids: [{box: [8, 120, 60]}]\n", BAR)
    (tmp_path / "vehicle.yaml").write_text(text, encoding="utf-8")
    before = loaded(tmp_path)
    ended = run("lever", tmp_path, "--free", "pivot-z=580..592", "--want", "ratio=4..6", "--write")
    assert ended.code == 0, ended.err
    after = loaded(tmp_path)
    gone = [
        b - a for a, b in zip(before.components["pedal"].pose.at_mm, after.components["pedal"].pose.at_mm, strict=True)
    ]
    assert gone[2] <= -8
    old, new = (v.components["box"].solids[1].pose.at_mm for v in (before, after))
    assert [b - a for a, b in zip(old, new, strict=True)] == pytest.approx(gone, abs=0.11)
    assert "# bar" in (tmp_path / "vehicle.yaml").read_text(encoding="utf-8")
    assert "not written" not in ended.err


def test_a_bar_written_elsewhere_is_told(tmp_path: Path) -> None:
    (tmp_path / "vehicle.yaml").write_text(VEHICLE.replace("solids: [{box: [8, 120, 60]}]\n", BAR), encoding="utf-8")
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "hang.yaml").write_text(JOB, encoding="utf-8")
    ended = run("lever", tmp_path, "hang", "--free", "pivot-z=580..592", "--want", "ratio=4..6", "--write")
    assert ended.code == 0, ended.err
    assert "the bar in `box` stays: it is written in another file" in ended.err


@pytest.mark.slow
def test_a_bar_that_two_pedals_share_stays_and_is_told(tmp_path: Path) -> None:
    car = tmp_path / "car"
    shutil.copytree(projects_folder() / "trials-car", car)
    options = ("--part", "push-rod-clutch", "--free", "pivot-z=652..660", "--want", "ratio=2..9", "--write")
    ended = run("lever", car, "hung-pedals", *options)
    assert ended.code == 0, ended.err
    assert "the bar in `pedal-box` stays: hung-brake-pedal turns on it too" in ended.err
