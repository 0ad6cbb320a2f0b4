"""Ways out as the file writes them: directions, and polylines of straight legs, each fault at its own place."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.finding import Finding
from planner.model.legs import Leg, StatedWay
from planner.model.shapes import Direction
from planner.model.vehicle import Vehicle
from planner.shelf.load import load_vehicle

TEXT = (Path(__file__).parents[1] / "data" / "bad" / "vehicle" / "bad-way.yaml").read_text(encoding="utf-8")
LINE = 18


def loaded(folder: Path, written: str, units: str = "mm") -> tuple[Vehicle | None, tuple[Finding, ...]]:
    text = TEXT.replace("[up, [forwards, up]]", written).replace("units: mm", f"units: {units}")
    (folder / "vehicle.yaml").write_text(text, encoding="utf-8")
    return load_vehicle(folder, small_catalog())


def test_directions_and_legs_side_by_side(tmp_path: Path) -> None:
    vehicle, findings = loaded(tmp_path, "[up, [40 mm forwards, 1 1/2 in left, up], [down], up]")
    assert findings == ()
    assert vehicle is not None
    first = (Leg(direction=Direction.FORWARDS, mm=40.0), Leg(direction=Direction.LEFT, mm=38.1))
    assert vehicle.components["pedal"].way_out == (
        StatedWay(direction=Direction.UP),
        StatedWay(direction=Direction.UP, first=first),
        StatedWay(direction=Direction.DOWN),
    )


def test_a_bare_number_is_in_the_units_of_the_file(tmp_path: Path) -> None:
    vehicle, findings = loaded(tmp_path, "[[2 forwards, up]]", units="inch")
    assert not [f for f in findings if "way" in f.code or "unit" in f.code]
    del vehicle
    vehicle, _ = loaded(tmp_path, "[[40 forwards, up]]")
    assert vehicle is not None
    [way] = vehicle.components["pedal"].way_out or ()
    assert way.first == (Leg(direction=Direction.FORWARDS, mm=40.0),)


@pytest.mark.parametrize(
    ("written", "column", "code", "words"),
    [
        ("[upp]", 15, "unknown-choice", "`upp` ends in no direction"),
        ("[40 mm forwards, up]", 15, "bad-way", "how the part goes on out from there"),
        ("[up, [40 mm forwards, 30 mm up]]", 36, "bad-way", "how the part goes on out from there"),
        ("[[40 mm forwards, 10 rearwards, up]]", 32, "bad-way", "along one line"),
        ("[[forwards, up]]", 16, "bad-way", "does not say how far"),
        ("[[40 mn forwards, up]]", 16, "wrong-unit", "`mn` is not known"),
        ("[[-40 mm forwards, up]]", 16, "negative-size", "found `-40 mm`"),
        ("[[50 m forwards, up]]", 16, "absurd-size", "is beyond"),
        ("[[]]", 15, "wrong-count", "at least 1"),
        ("[{up: 3}]", 15, "wrong-type", "must be text"),
    ],
)
def test_a_bad_leg_is_told_where_it_stands(tmp_path: Path, written: str, column: int, code: str, words: str) -> None:
    vehicle, findings = loaded(tmp_path, written)
    assert vehicle is None
    [finding] = findings
    assert (finding.place.line, finding.place.column, finding.code) == (LINE, column, code)
    assert words in finding.message
