"""The figures of the sums as they are read: dimensions kept apart, every absurd one refused at its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.files.schema_figures import AxleFile, CoolantFile, PipeFile, ShoeFile, WeightFile
from planner.finding import Finding
from planner.model.figures import Figure
from planner.model.shapes import Pose
from planner.model.sums import Verdict
from planner.model.vehicle import Component, Vehicle
from planner.shelf.fill_figures import FLARES, TUBE_THREADS
from planner.shelf.load import load_vehicle
from planner.sums.sheet import sums_of
from planner.sums.tube import FLARES as TABLED
from planner.sums.tube import THREADS_MM

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
MORE = """\
figures:
  shoe:
    width: 102
    length: 290
  pedals:
    brake-pedal:
      panic: 1400 N +/- 100
      factor: 2
      {block}
"""
BLOCKS = {
    "arm": {"bar": "flat", "size": "[10, 30 +/- 1]", "yields": "275 MPa +/- 10", "hole": "8"},
    "pivot": {"across": "5/8 in", "long": "40", "yields": "350", "bush": "40 MPa", "sides": "1"},
    "bolts": {"on": "box", "thread": "8", "grade": "'8.8'", "along": "x", "at": "[[0, 1, 2], [0, 3, 4]]", "edge": "12"},
    "sheet": {"thick": "18 swg", "doubler": "3", "tensile": "340", "washer": "17", "edge": "14"},
    "weld": {"leg": "4", "electrode": "480 MPa", "long": "80"},
}
"""Blocks of a pedal, each with every key it has but `round`, which goes with no `long`."""


def block(name: str, **changed: str) -> str:
    """Text of a pedal with one block, some of its values changed."""
    keys = {**BLOCKS[name], **changed}
    return MORE.format(block=f"{name}: {{{', '.join(f'{k}: {v}' for k, v in keys.items() if v)}}}")


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
    plain |= {"flare", "nuts", "threads", "duo", "bottle", "hose", "flow", "tanks"}
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


def test_doubt_on_what_is_no_length(tmp_path: Path) -> None:
    """Shares of doubt of the swell's quotient add up: 0.3 ml +/- 10 % at 70 bar +/- 10 %."""
    text = FIGURES.replace("friction: 0.35", "friction: 0.38 +/- 0.03").replace("320 MPa", "320 MPa +/- 20")
    text = (
        text.replace("690 kg", "690 kg +/- 15").replace("0.3 ml", "0.3 ml +/- 0.03").replace("70 bar", "70 bar +/- 7")
    )
    vehicle, findings = read(tmp_path, text)
    assert findings == ()
    assert vehicle is not None
    assert vehicle.figures is not None
    front = vehicle.figures.axles["front"]
    assert front.friction == Figure(0.38, 0.03)
    assert vehicle.figures.weight.mass_kg == Figure(690.0, 15.0)
    assert vehicle.figures.pipe is not None
    assert vehicle.figures.pipe.strength_mpa == Figure(320.0, 20.0)
    assert front.swell_mm3_per_mpa == Figure(pytest.approx(300 / 7), pytest.approx(300 / 7 * 0.2))


MORE_COOLANT = "    level: 60\n    bottle: {level: 60, hose: 20}\n    hose: 32\n    flow: 60 l\n"


@pytest.mark.parametrize(
    ("was", "now"),
    [("level: 60, hose", "level: 8 bar, hose"), ("hose: 20}", "hose: 8 kg}"), ("    hose: 32", "    hose: 8 bar")]
    + [("flow: 60 l", f"flow: {value}") for value in DIMENSION["volume"]],
)
def test_bottle_hose_and_flow_keep_their_dimensions(tmp_path: Path, was: str, now: str) -> None:
    text = FIGURES.replace("    level: 60\n", MORE_COOLANT)
    assert read(tmp_path, text)[1] == ()
    _, findings = read(tmp_path, text.replace(was, now))
    assert [f.code for f in findings] == ["wrong-unit"]


def test_bottle_and_hose_by_hand(tmp_path: Path) -> None:
    """60 l a minute through 32 mm: 1e6 mm3/s over 804.25 mm2 is 1.243 m/s; the hose ends 40 mm under the level."""
    vehicle, _ = read(tmp_path, FIGURES.replace("    level: 60\n", MORE_COOLANT))
    assert vehicle is not None
    lines = {x.id: x for x in sums_of({}, {}, vehicle.figures)}
    assert lines["coolant.hose"].value == pytest.approx(1.2434, rel=1e-3)
    assert lines["coolant.draws-back"].value == 40
    vehicle, _ = read(tmp_path, FIGURES.replace("    level: 60\n", MORE_COOLANT.replace("hose: 20", "hose: 80")))
    assert vehicle is not None
    assert {x.id: x for x in sums_of({}, {}, vehicle.figures)}["coolant.draws-back"].verdict is Verdict.FAILS


def test_a_duo_servo_drum_arrives(tmp_path: Path) -> None:
    duo = "      duo: {cylinder: 98, link: 95 +/- 1, anchor: 105}\n      iron:"
    vehicle, findings = read(tmp_path, FIGURES.replace("      iron:", duo))
    assert findings == ()
    assert vehicle is not None
    assert vehicle.figures is not None
    told = vehicle.figures.axles["front"].duo
    assert told is not None
    assert (told.cylinder_mm, told.link_mm, told.anchor_mm) == (Figure(98.0), Figure(95.0, 1.0), Figure(105.0))
    for key in ("cylinder: 98", "link: 95 +/- 1", "anchor: 105"):
        for wrong in DIMENSION["length"]:
            wronged = duo.replace(key, f"{key.split(':')[0]}: {wrong}")
            _, findings = read(tmp_path, FIGURES.replace("      iron:", wronged))
            assert [f.code for f in findings] == ["wrong-unit"]


@pytest.mark.parametrize("value", ["8 bar", "8 kg", "8 l"])
@pytest.mark.parametrize("key", ["width", "length"])
def test_a_shoes_sole_is_a_length(tmp_path: Path, key: str, value: str) -> None:
    text = f"figures:\n  shoe: {{width: 100, {key}: {value}}}\n" if key == "length" else ""
    text = text or f"figures:\n  shoe: {{width: {value}}}\n"
    _, findings = read(tmp_path, text)
    assert [f.code for f in findings] == ["wrong-unit"]


@pytest.mark.parametrize("value", ["3", "0", "0.35 mm", "0.3 +/- 0.4", "[0.3]"])
def test_friction_that_cannot_be(tmp_path: Path, value: str) -> None:
    vehicle, findings = read(tmp_path, FIGURES.replace("friction: 0.35", f"friction: {value}"))
    assert vehicle is None
    assert findings


def test_flares_the_file_takes_are_the_ones_tabled(tmp_path: Path) -> None:
    assert set(FLARES) == set(TABLED)
    assert set(TUBE_THREADS) == set(THREADS_MM) == {n for nuts in TABLED.values() for n in nuts}
    nuts = "    factor: 4\n    flare: bubble flare (ISO 4038)\n    nuts: {front: M10x1, rear: 3/8-24 UNF}\n"
    nuts += "    threads: {front: 3/8-24 UNF, rear: 3/8-24 UNF}\n"
    vehicle, findings = read(tmp_path, FIGURES.replace("    factor: 4\n", nuts))
    assert findings == ()
    assert vehicle is not None
    told = {x.id: x for x in sums_of({}, {}, vehicle.figures)}
    lines = {i: x.verdict for i, x in told.items()}
    assert lines["brake_pipe.thread-front"] is Verdict.FAILS
    assert "M10x1 starts in 3/8-24 UNF by hand" in told["brake_pipe.thread-front"].note
    assert lines["brake_pipe.thread-rear"] is Verdict.FINE
    assert lines["brake_pipe.nut-front"] is Verdict.FINE
    assert lines["brake_pipe.nut-rear"] is Verdict.FAILS
    _, findings = read(tmp_path, FIGURES.replace("    factor: 4\n", nuts.replace("front: M10x1", "front: M9x1")))
    assert [f.code for f in findings] == ["unknown-choice"]
    _, findings = read(tmp_path, FIGURES.replace("    factor: 4\n", nuts.replace("bubble", "babble")))
    assert [f.code for f in findings] == ["unknown-choice"]


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


def test_each_header_tank_has_its_own_volume_also_one_that_only_a_job_adds(tmp_path: Path) -> None:
    """The name is looked up on the vehicle as it is when the job is done; a tank that is not named is asked for."""
    text = FIGURES.replace("    level: 60\n", "    level: 60\n    tanks: {old-tank: 3 l, new-tank: 5 l +/- 0.2}\n")
    vehicle, findings = read(tmp_path, text)
    assert findings == ()
    assert vehicle is not None
    for name, litres in (("old-tank", 3.0), ("new-tank", 5.0), ("other", None)):
        tank = Component(id=name, kind="header-tank", name=name, group="cooling", solids=(), pose=Pose())
        line = {x.id: x for x in sums_of({name: tank}, {}, vehicle.figures)}[f"{name}.holds"]
        assert line.value == litres
        assert ("`other` in `tanks` of `figures.coolant`" in line.missing) == (litres is None)
    _, findings = read(tmp_path, text.replace("new-tank: 5 l", "new-tank: 5 kg"))
    assert [f.code for f in findings] == ["wrong-unit"]
