"""`knockon check` and the gaps the catalog would have larger: one line, all of them with --every, never an error."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import VEHICLE, catalog_at_hand, run, shed_files, write_project

from planner.shelf import load_catalog, load_vehicle

PUMP = """\
  stove:
    kind: exhaust-manifold
    at: [500, -300, 250]
    solids: [{box: [100, 100, 100]}]
  filter:
    kind: fuel-filter
    at: [500, -130, 250]
    solids: [{box: [100, 100, 100]}]
links:
"""
"""70 mm between them; the manifold itself asks for 50, the catalog for 100 to fuel."""


@pytest.fixture(autouse=True)
def quick_and_plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    with catalog_at_hand():
        yield


def shed(folder: Path, near: str = "") -> Path:
    parts = PUMP.replace("kind: fuel-filter", f"kind: fuel-filter{near}")
    return write_project(folder, shed_files(vehicle=VEHICLE.replace("links:\n", parts, 1)))


def test_folded_to_one_line(tmp_path: Path) -> None:
    ended = run("check", shed(tmp_path))
    assert ended.code == 0
    assert "1 gap is smaller than the catalog advises (heat, sparks, moving parts); --every lists them" in ended.out
    assert "closer-than-advised" not in ended.out


def test_every_lists_them_with_place_reason_and_source(tmp_path: Path) -> None:
    ended = run("check", shed(tmp_path), "--every")
    assert ended.code == 0
    [line] = [text for text in ended.out.splitlines() if "closer-than-advised" in text]
    assert "vehicle.yaml:" in line
    assert "warning" in line
    assert "70 mm" in line
    assert "100 mm is advised" in line
    assert "UN Regulation 67" in line
    assert "near: {" in ended.out


def test_json_counts_them(tmp_path: Path) -> None:
    folder = shed(tmp_path)
    plain, every = (json.loads(run("check", folder, "--json", *more).out) for more in ((), ("--every",)))
    assert plain["tighter_than_advised"] == every["tighter_than_advised"] == 1
    assert [f["code"] for f in every["findings"] if f not in plain["findings"]] == ["closer-than-advised"]


def test_the_owners_word_silences_it(tmp_path: Path) -> None:
    ended = run("check", shed(tmp_path, "\n    near: {stove: 2 1/2 in}"))
    assert ended.code == 0
    assert "smaller than the catalog" not in ended.out
    vehicle, _ = load_vehicle(tmp_path, load_catalog()[0])
    assert vehicle is not None
    assert vehicle.components["filter"].near_mm == {"stove": pytest.approx(63.5)}


def test_the_owners_word_must_name_something(tmp_path: Path) -> None:
    ended = run("check", shed(tmp_path, "\n    near: {stowe: 60}"))
    assert ended.code == 1
    assert "there is no part or link `stowe` [unknown-id]" in ended.out
    assert "did you mean `stove`?" in ended.out


def test_a_relation_that_does_not_hold_is_told_with_its_place(tmp_path: Path) -> None:
    """The tank is asked to stand four metres above the radiator."""
    sunk = VEHICLE.replace("by: 40,", "by: 4000,", 1)
    assert sunk != VEHICLE
    ended = run("check", write_project(tmp_path, shed_files(vehicle=sunk)))
    assert ended.code == 1
    assert "take the relation out if it does not hold on the vehicle" in ended.out + ended.err
