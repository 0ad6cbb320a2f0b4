"""The figures of the sums as they are read: dimensions kept apart, every absurd one refused at its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.files.schema_figures import AxleFile, CoolantFile, PipeFile, ShoeFile, WeightFile
from planner.finding import Finding
from planner.model.sums import Figure
from planner.model.vehicle import Vehicle
from planner.shelf.load import load_vehicle

GOOD = (Path(__file__).parents[1] / "data" / "good" / "vehicle.yaml").read_text(encoding="utf-8")
FIGURES = """\
figures:
  weight:
    mass: 690 kg
    wheelbase: 90 in
    ahead_of_rear: 1100 +/- 20
    height: 520
    grip: 0.8
  brakes:
    front:
      system: front-brakes
      kind: drum
      bore: 1 in
      pistons: 2
      travel: 0.5 +/- 0.1
      radius: 4 1/2 in
      friction: 0.35
      tyre_radius: 310
      pipe_volume: 22 ml
      iron: 5.4 kg
      leading: [true, true]
      shoe:
        width: 44
        pivot: 92
        arm: 165
        begins: 18
        ends: 122
      hose_swell:
        volume: 0.3 ml
        at: 70 bar
  brake_pipe:
    wall: 22 swg
    strength: 320 MPa
    factor: 4
  coolant:
    fill: 9.5 l
    tank: 0.5 gallon
    mix: water
    cold: 50 degF
    hot: 98
    level: 60
  clutch:
    release: 10
"""


def read(folder: Path, figures: str) -> tuple[Vehicle | None, tuple[Finding, ...]]:
    system = next(line.split(":")[0].strip() for line in GOOD.split("systems:\n")[1].splitlines())
    text = f"{GOOD.rstrip()}\n{figures.replace('front-brakes', system)}"
    (folder / "vehicle.yaml").write_text(text, encoding="utf-8")
    return load_vehicle(folder, small_catalog())


def line_of(folder: Path, key: str) -> tuple[int, int]:
    """Line of a key below `figures`, and the column of its value."""
    lines = (folder / "vehicle.yaml").read_text(encoding="utf-8").splitlines()
    first = lines.index("figures:")
    at = next(n for n, line in enumerate(lines) if n > first and line.strip().startswith(f"{key}:"))
    return at + 1, lines[at].index(":") + 3


def test_every_figure_arrives_in_its_unit(tmp_path: Path) -> None:
    vehicle, findings = read(tmp_path, FIGURES.replace("690 kg", "1500 lb"))
    assert findings == ()
    assert vehicle is not None
    assert vehicle.figures is not None
    front = vehicle.figures.axles["front"]
    # 1 lb is 0.45359237 kg, 1 in 25.4 mm, a gallon 4.54609 l, 22 swg 0.028 in (BS 3737), 50 degF 10 degC, all exact.
    assert vehicle.figures.weight.mass_kg == Figure(1500 * 0.45359237)
    assert vehicle.figures.weight.wheelbase_mm == Figure(2286.0)
    assert vehicle.figures.weight.ahead_of_rear_mm == Figure(1100.0, 20.0)
    assert front.travel_mm == Figure(0.5, 0.1)
    assert front.swell_mm3_per_mpa is not None
    assert front.swell_mm3_per_mpa.value == pytest.approx(300 / 7)
    assert vehicle.figures.pipe is not None
    assert vehicle.figures.pipe.wall_mm.value == pytest.approx(0.7112)
    assert vehicle.figures.coolant.tank_mm3 == Figure(pytest.approx(2.273045e6))
    assert vehicle.figures.coolant.cold_c == pytest.approx(10)


DIMENSION = {
    "length": ("8 bar", "8 kg", "8 ml", "8 deg"),
    "mass": ("8 bar", "8 mm", "8 l"),
    "volume": ("8 bar", "8 mm", "8 kg"),
    "pressure": ("8 mm", "8 kg", "8 l", "8 deg"),
    "temperature": ("8 mm", "8 kg", "8 bar"),
    "angle": ("8 mm", "8 bar"),
}
KEYS = {
    "length": (
        "wheelbase",
        "ahead_of_rear",
        "height",
        "bore",
        "travel",
        "radius",
        "tyre_radius",
        "width",
        "pivot",
        "arm",
        "wall",
        "level",
        "release",
    ),
    "mass": ("mass", "iron"),
    "volume": ("pipe_volume", "volume", "fill", "tank"),
    "pressure": ("at", "strength"),
    "temperature": ("cold", "hot"),
    "angle": ("begins", "ends"),
}


def test_the_keys_tried_are_all_that_carry_a_dimension() -> None:
    plain = {"grip", "friction", "pistons", "factor", "leading", "system", "kind", "mix", "shoe", "hose_swell"}
    tried = {k for keys in KEYS.values() for k in keys}
    for block in (WeightFile, AxleFile, ShoeFile, PipeFile, CoolantFile):
        assert set(block.model_fields) <= tried | plain


@pytest.mark.parametrize(
    ("key", "value"), [(key, value) for what, keys in KEYS.items() for key in keys for value in DIMENSION[what]]
)
def test_a_wrong_dimension_is_a_finding_at_its_place(tmp_path: Path, key: str, value: str) -> None:
    lines = [f"{x.split(':')[0]}: {value}" if x.strip().startswith(f"{key}:") else x for x in FIGURES.splitlines()]
    vehicle, findings = read(tmp_path, "\n".join(lines) + "\n")
    assert vehicle is None
    places = {(f.place.line, f.place.column) for f in findings if f.code == "wrong-unit"}
    assert line_of(tmp_path, key) in places, findings


@pytest.mark.parametrize(
    ("was", "now", "code", "key"),
    [
        ("mass: 690 kg", "mass: 0", "absurd-mass", "mass"),
        ("ahead_of_rear: 1100 +/- 20", "ahead_of_rear: 2400", "absurd-figure", "ahead_of_rear"),
        ("ends: 122", "ends: 12", "absurd-figure", "ends"),
        ("hot: 98", "hot: 5", "absurd-figure", "hot"),
        ("mix: water", "mix: wine", "unknown-choice", "mix"),
        ("strength: 320 MPa", "strength: 0", "absurd-figure", "strength"),
        ("fill: 9.5 l", "fill: 9500 l", "absurd-volume", "fill"),
        ("travel: 0.5 +/- 0.1", "travel: -1", "negative-size", "travel"),
        ("height: 520", "height: 520 +/- 600", "absurd-doubt", "height"),
        ("kind: drum", "kind: dram", "unknown-choice", "kind"),
        ("system: front-brakes", "system: frond-brakes", "unknown-id", "system"),
        ("level: 60", "levle: 60", "unknown-key", "levle"),
    ],
)
def test_what_cannot_be_is_refused(tmp_path: Path, was: str, now: str, code: str, key: str) -> None:
    vehicle, findings = read(tmp_path, FIGURES.replace(was, now))
    assert vehicle is None
    told = {(f.code, f.place.line) for f in findings}
    assert (code, line_of(tmp_path, key)[0]) in told, findings


@pytest.mark.parametrize("line", ["bore: 8 bar", "stroke: 2 kg", "bore: 900", "stroke: 900", "bore: 0", "pistons: 0"])
def test_a_cylinder_no_larger_than_its_part(tmp_path: Path, line: str) -> None:
    text = GOOD.replace("  brake-pedal:\n", f"  brake-pedal:\n    {line}\n", 1)
    (tmp_path / "vehicle.yaml").write_text(text, encoding="utf-8")
    vehicle, findings = load_vehicle(tmp_path, small_catalog())
    assert vehicle is None
    assert {f.place.line for f in findings} == {text.splitlines().index(f"    {line}") + 1}
