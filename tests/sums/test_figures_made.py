"""Figures of made things (pedals, linkages, brackets): each arrives in its unit, each wrong one is a finding."""

from __future__ import annotations

from pathlib import Path

import pytest
from sums.test_figures_read import BLOCKS, DIMENSION, MORE, block, read

from planner.files.schema_pedals import ArmFile, BoltsFile, PinFile, SheetFile, WeldFile
from planner.model.figures import Figure
from planner.model.sums import Verdict
from planner.sums.bracket_lines import blank_of
from planner.sums.sheet import sums_of

PEDAL_KEYS = {
    "length": (
        ("arm", "hole"),
        ("pivot", "across"),
        ("pivot", "long"),
        ("bolts", "thread"),
        ("bolts", "edge"),
        ("sheet", "thick"),
        ("sheet", "doubler"),
        ("sheet", "washer"),
        ("sheet", "edge"),
        ("weld", "leg"),
        ("weld", "long"),
    ),
    "pressure": (
        ("arm", "yields"),
        ("pivot", "yields"),
        ("pivot", "bush"),
        ("sheet", "tensile"),
        ("weld", "electrode"),
    ),
}


def test_the_pedals_keys_tried_are_all_that_carry_a_dimension() -> None:
    plain = {"bar", "size", "sides", "on", "grade", "along", "at", "round"}
    tried = {k for keys in PEDAL_KEYS.values() for _, k in keys}
    for file in (ArmFile, PinFile, BoltsFile, SheetFile, WeldFile):
        assert set(file.model_fields) <= tried | plain


@pytest.mark.parametrize(
    ("name", "key", "value"),
    [(n, key, value) for what, keys in PEDAL_KEYS.items() for n, key in keys for value in DIMENSION[what]],
)
def test_a_wrong_dimension_of_a_pedal_is_a_finding(tmp_path: Path, name: str, key: str, value: str) -> None:
    vehicle, findings = read(tmp_path, block(name, **{key: value}))
    assert vehicle is None
    assert {f.code for f in findings} == {"wrong-unit"}
    assert key in findings[0].message


@pytest.mark.parametrize("value", ["8 mm", "8 bar", "8 kg", "8 l"])
def test_a_push_is_a_force(tmp_path: Path, value: str) -> None:
    vehicle, findings = read(tmp_path, MORE.format(block="").replace("1400 N +/- 100", value))
    assert vehicle is None
    assert [f.code for f in findings] == ["wrong-unit"]


@pytest.mark.parametrize("name", BLOCKS)
def test_every_block_of_a_pedal_arrives(tmp_path: Path, name: str) -> None:
    vehicle, findings = read(tmp_path, block(name))
    assert findings == ()
    assert vehicle is not None
    assert vehicle.figures is not None
    pedal = vehicle.figures.pedals["brake-pedal"]
    assert (pedal.panic_n, pedal.factor) == (Figure(1400.0, 100.0), 2.0)
    assert vehicle.figures.shoe is not None
    assert vehicle.figures.shoe.width_mm == Figure(102.0)
    found = getattr(pedal, name)
    assert found is not None
    if name == "arm":
        assert found.across_mm == (Figure(10.0), Figure(30.0, 1.0))
        assert found.yield_mpa == Figure(275.0, 10.0)
    if name == "pivot":
        assert (found.across_mm, found.sides) == (Figure(15.875), 1)
    if name == "bolts":
        assert found.at_mm == ((0.0, 1.0, 2.0), (0.0, 3.0, 4.0))
    if name == "sheet":
        assert found.thick_mm.value == pytest.approx(1.2192)


@pytest.mark.parametrize(
    ("name", "changed", "code"),
    [
        ("arm", {"bar": "flot"}, "unknown-choice"),
        ("arm", {"size": "[10]"}, "absurd-figure"),
        ("arm", {"hole": "31"}, "absurd-figure"),
        ("arm", {"bar": "tube", "size": "[20, 10]", "hole": ""}, "absurd-figure"),
        ("arm", {"yields": "0"}, "absurd-figure"),
        ("arm", {"yields": "275 MPa +/- 300"}, "absurd-doubt"),
        ("pivot", {"sides": "3"}, "out-of-range"),
        ("bolts", {"grade": "'9.9'"}, "unknown-choice"),
        ("bolts", {"thread": "7"}, "unknown-choice"),
        ("bolts", {"along": "w"}, "unknown-choice"),
        ("weld", {"round": "30"}, "absurd-figure"),
        ("weld", {"long": ""}, "absurd-figure"),
        ("sheet", {"thick": "-1"}, "negative-size"),
    ],
)
def test_what_a_pedal_cannot_be_is_refused(tmp_path: Path, name: str, changed: dict[str, str], code: str) -> None:
    vehicle, findings = read(tmp_path, block(name, **changed))
    assert vehicle is None
    assert code in {f.code for f in findings}, findings


LINKAGE = """\
figures:
  linkages:
    throttle:
      push: foot.pad
      travel: 30 deg
      turns: {about: [0, 0, 10], axis: [0, 3, 0]}
      stages:
        - {by: rod, turns: {about: [1, 2, 3], axis: z}}
        - {by: cable, outer: [wall.hole, carburettor]}
      full: -78 deg
      pull: 18
"""


def test_a_linkage_arrives(tmp_path: Path) -> None:
    vehicle, findings = read(tmp_path, LINKAGE)
    assert findings == ()
    assert vehicle is not None
    assert vehicle.figures is not None
    found = vehicle.figures.linkages["throttle"]
    assert (found.part, found.port, found.travel_deg, found.full_deg) == ("foot", "pad", 30.0, Figure(78.0))
    assert found.turns is not None
    assert found.turns.axis == (0.0, 1.0, 0.0)
    assert found.stages[1].outer == (("wall", "hole"), ("carburettor", ""))


@pytest.mark.parametrize(
    ("was", "now", "code"),
    [
        ("full: -78 deg", "full: 8 mm", "wrong-unit"),
        ("travel: 30 deg", "travel: 8 bar", "wrong-unit"),
        ("pull: 18", "pull: 8 kg", "wrong-unit"),
        ("full: -78 deg", "full: 0", "absurd-figure"),
        ("travel: 30 deg", "travel: 200 deg", "absurd-figure"),
        ("axis: z", "axis: q", "unknown-choice"),
        ("pull: 18", "pull: -18", "negative-size"),
    ],
)
def test_what_a_linkage_cannot_be_is_refused(tmp_path: Path, was: str, now: str, code: str) -> None:
    vehicle, findings = read(tmp_path, LINKAGE.replace(was, now))
    assert vehicle is None
    assert [f.code for f in findings] == [code]


BRACKET = """\
figures:
  brackets:
    stop-plate:
      legs: [76, 115]
      widths: [40]
      bends: [90 deg]
      radius: 0.9
      thick: 2.3 +/- 0.1
      neutral: 1/3
"""


def test_a_bracket_arrives_and_is_unfolded(tmp_path: Path) -> None:
    """Sharma, Production Engineering, 2.10: 187.22 mm flat."""
    vehicle, findings = read(tmp_path, BRACKET)
    assert findings == ()
    assert vehicle is not None
    assert vehicle.figures is not None
    lines = {x.id: x for x in sums_of({}, {}, vehicle.figures)}
    assert lines["stop-plate.flat"].value == pytest.approx(187.22, abs=0.02)
    assert "74.1 mm (90 deg)" in lines["stop-plate.flat"].note
    assert lines["stop-plate.mass"].value == pytest.approx(187.22 * 40 * 2.3 * 7.85e-6, rel=1e-3)
    assert lines["stop-plate.radius"].verdict is Verdict.FAILS
    cut = blank_of(vehicle.figures.brackets["stop-plate"])
    assert max(x for x, _ in cut.outline_mm) == pytest.approx(lines["stop-plate.flat"].value)


@pytest.mark.parametrize(
    ("was", "now", "code"),
    [
        ("radius: 0.9", "radius: 8 bar", "wrong-unit"),
        ("thick: 2.3 +/- 0.1", "thick: 8 kg", "wrong-unit"),
        ("bends: [90 deg]", "bends: [90 mm]", "wrong-unit"),
        ("legs: [76, 115]", "legs: [76 ml, 115]", "wrong-unit"),
        ("widths: [40]", "widths: [40 bar]", "wrong-unit"),
        ("neutral: 1/3", "neutral: 0.4 mm", "wrong-unit"),
        ("neutral: 1/3", "neutral: 1.4", "absurd-figure"),
        ("bends: [90 deg]", "bends: [90 deg, 90 deg]", "absurd-figure"),
        ("bends: [90 deg]", "bends: [180 deg]", "absurd-figure"),
        ("widths: [40]", "widths: [40, 30, 20]", "absurd-figure"),
    ],
)
def test_what_a_bracket_cannot_be_is_refused(tmp_path: Path, was: str, now: str, code: str) -> None:
    vehicle, findings = read(tmp_path, BRACKET.replace(was, now))
    assert vehicle is None
    assert {f.code for f in findings} == {code}


def test_a_leg_too_short_for_its_bend_is_told(tmp_path: Path) -> None:
    vehicle, _ = read(tmp_path, BRACKET.replace("[76, 115]", "[2, 115]"))
    assert vehicle is not None
    lines = {x.id: x for x in sums_of({}, {}, vehicle.figures)}
    assert lines["stop-plate.flat"].verdict is Verdict.UNKNOWN
    assert "too short" in lines["stop-plate.flat"].note
