"""Heat or a drill at what held fuel: it comes off for it, whoever does it is named first, or the line is refused."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import catalog_at_hand, run
from worked_once import worked_once

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
  fuel-tank:
    kind: fuel-tank
    at: [500, 0, 120]
    solids: [{box: [250, 300, 200]}]
    mounted_on: rail
    systems: [fuel]
  filter:
    kind: fuel-filter
    at: [0, 0, 60]
    solids: [{box: [60, 60, 60]}]
    mounted_on: rail
    freedom: stays
    systems: [fuel]
  tap:
    kind: fuel-filter
    at: [640, 0, 120]
    solids: [{box: [20, 20, 20]}]
    mounted_on: fuel-tank
    rides: true
    systems: [fuel]
  horn:
    kind: horn
    at: [1050, 0, 60]
    solids: [{box: [60, 60, 60]}]
    mounted_on: rail
"""
JOB = """\
knockon: 1
name: Horn off
start: 2027-01-09
changes:
  - {do: take-off, part: horn}
sessions:
  - {every: saturday, from: "09:00", to: "13:00", hands: 2}
"""
AT = ("--at", "2027-01-09T09:30")


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "2000")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("agreed") / "car"
    (folder / "jobs").mkdir(parents=True)
    (folder / "vehicle.yaml").write_text(VEHICLE)
    (folder / "jobs" / "horn.yaml").write_text(JOB)
    with catalog_at_hand():
        ended = run("plan", folder, "horn", "--quick", "--from", "2027-01-04", "--short", "--agree")
    assert ended.code == 0, ended.err + ended.out
    return folder


@pytest.fixture
def agreed(agreed_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed_once, tmp_path / "car"))


@pytest.mark.parametrize("does", ["braze,grind", "drill"])
def test_a_tank_comes_off_before_heat_or_a_drill_comes_to_it(agreed: Path, does: str) -> None:
    """29 CFR 1910.252(a)(3)(i): no welding on used containers before no flammable vapour is left in them."""
    ended = run("record", "found", "The seam", "--on", "fuel-tank", "--does", does, "--in", agreed, *AT)
    assert ended.code == 0, ended.err
    assert "fuel-tank comes off for it: what held fuel explodes" in ended.out
    ended = run("replan", agreed, *AT, "--agree", "--limit", "2")
    assert ended.code == 0, ended.out + ended.err
    steps = json.loads(run("next", agreed, "-n", "200", "--json").out)["steps"]
    place = {s["title"]: n for n, s in enumerate(steps)}
    assert place["Take fuel tank off"] < place["The seam"] < place["Put fuel tank back"]
    assert any(s["title"].startswith("Drain the fuel tank") for s in steps[: place["Take fuel tank off"]])
    assert "explodes" in steps[place["The seam"]]["cautions"][0]
    if "braze" in does:
        named = next(n for n, s in enumerate(steps) if "specialist-named" in s["checkpoints"])
        papers = next(n for n, s in enumerate(steps) if "specialist-papers" in s["checkpoints"])
        assert named < place["The seam"] < papers


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--on", "filter"), "`filter` never comes off"),
        (("--on", "tap"), "`tap` comes off with `fuel-tank`"),
        (("--on", "fuel-tank", "--fitted", "fuel-tank"), "`fuel-tank` comes off for it"),
    ],
)
def test_heat_at_what_held_fuel_and_cannot_be_off_is_refused(agreed: Path, words: tuple[str, ...], told: str) -> None:
    log = agreed / "jobs" / "horn.log.jsonl"
    before = log.read_bytes()
    ended = run("record", "found", "The seam", *words, "--does", "weld", "--in", agreed, *AT)
    assert ended.code == 2
    assert told in ended.err
    assert log.read_bytes() == before
    assert run("record", "found", "Dust", "--does", "plain", *words[:2], "--in", agreed, *AT).code == 0
