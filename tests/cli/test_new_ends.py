"""`knockon new link` with ends that cannot be, that are unlikely, or that are called by what they are."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.new_trial import piped, typed
from cli.shed import catalog, read_project, run, write_project

from planner.shelf import load_vehicle

BRAKES = """\
knockon: 1
name: brakes
units: mm
zero: {x: a, y: b, z: c}
ground: -300
systems:
  brakes: {kind: hydraulic-brake}
  fuel: {kind: fuel}
components:
  floor: {kind: chassis, at: [500, 0, 0], solids: [{box: [3000, 900, 2]}]}
  brake-pedal:
    kind: brake-pedal
    at: [600, -200, 300]
    solids: [{box: [20, 40, 300]}]
    mounted_on: floor
  stopper:
    kind: brake-master-cylinder
    name: stopper
    at: [400, -200, 300]
    solids: [{cylinder: {across: 30, length: 140, along: x}}]
    mounted_on: floor
    systems: [brakes]
  tap-union:
    kind: brake-union
    at: [100, -200, 300]
    solids: [{box: [20, 30, 30]}]
    mounted_on: floor
    systems: [brakes]
  petrol-tap:
    kind: fuel-tap
    at: [100, 200, 300]
    solids: [{box: [30, 30, 30]}]
    mounted_on: floor
    systems: [fuel]
"""


@pytest.fixture
def car(tmp_path: Path) -> Path:
    return write_project(tmp_path / "car", {"vehicle.yaml": BRAKES.encode()})


def ends(car: Path) -> list[tuple[str, ...]]:
    vehicle, _ = load_vehicle(car, catalog())
    assert vehicle is not None
    return [tuple(e.component for e in k.ends) for k in vehicle.links.values()]


def test_a_brake_pipe_to_a_fuel_tap_is_said_and_asked_again(car: Path) -> None:
    done = typed("brake pipe\nstopper front\npetrol tap\ntap union rear\n\n\n\n", "new", "link", car)
    out = " ".join(done.out.split())
    assert "a brake pipe does not end at `petrol-tap`, a fuel tap: that belongs to the fuel system" in out
    assert ends(car) == [("stopper", "tap-union")]


def test_by_options_it_is_refused_and_nothing_is_written(car: Path) -> None:
    before = read_project(car)
    words = ("--kind", "brake pipe", "--from-part", "stopper front", "--to-part", "petrol tap")
    done = piped("", "new", "link", car, *words)
    assert (done.code, "--to-part: a brake pipe does not end at `petrol-tap`" in done.err) == (2, True)
    assert read_project(car) == before


def test_an_unlikely_end_may_be_typed_again_or_left(car: Path) -> None:
    done = typed("brake pipe\nstopper front\nbrake pedal\nretype\ntap union rear\n\n\n\n", "new", "link", car)
    assert "! a brake pipe does not end at `brake-pedal`" in " ".join(done.out.split())
    assert ends(car) == [("stopper", "tap-union")]
    left = typed("brake pipe\nstopper front\nbrake pedal\nleave\n\n\n\nleave\n", "new", "link", car)
    assert left.code == 0
    assert "[odd-end]" in left.out
    assert ends(car)[1:] == [("stopper", "brake-pedal")]


def test_enter_joins_what_belongs_together(car: Path) -> None:
    # The last part of the file is the fuel tap: no default for a brake pipe.
    assert piped("brake pipe\n\n\n\n\n\n", "new", "link", car).code == 0
    assert ends(car) == [("stopper", "tap-union")]


def test_enter_never_joins_a_part_to_itself(car: Path) -> None:
    # One part only is in the fuel circuit: the other end is one that a fuel pipe may end at.
    assert piped("fuel pipe\n\n\n\n\n\n", "new", "link", car).code == 0
    assert ends(car) == [("petrol-tap", "floor")]


@pytest.mark.parametrize("words", ["brake cylinder front", "master cylinder front", "brake master cylinder front"])
def test_words_of_the_kind_name_the_one_part_of_it(words: str, car: Path) -> None:
    done = piped("", "new", "link", car, "--kind", "brake pipe", "--from-part", words, "--to-part", "tap union rear")
    assert (done.code, done.err) == (0, "")
    vehicle, _ = load_vehicle(car, catalog())
    assert vehicle is not None
    # Its front face is 70 mm ahead of its middle.
    assert vehicle.components["stopper"].ports_mm == {"front": (-70.0, 0.0, 0.0)}


def test_of_two_parts_of_a_kind_each_is_named(car: Path) -> None:
    place = ("--size", "20 x 30 x 30", "--at", "100 0 300", "--on", "floor")
    assert piped("", "new", "part", car, "--kind", "brake union", "--name", "second", *place).code == 0
    done = piped(
        "", "new", "link", car, "--kind", "brake pipe", "--from-part", "brake pipe union", "--to-part", "stopper"
    )
    assert "`brake pipe union` may be several parts" in done.err
    assert "`tap-union` or `second`" in done.err


def test_a_rod_drawn_aslant_is_remarked_and_check_tells_it(car: Path) -> None:
    # From the cylinder's rear face at x 470, z 300 to the pedal's upper edge at x 600, z 450: 150 up in 130, 49.09 deg.
    done = piped("pedal push rod\nbrake pedal top\nstopper rear\n\n\n\n", "new", "link", car)
    told = "leans 49.1 degrees out of the line of stopper, 5 at the most: 150 mm beside that line at brake pedal"
    assert f"! pedal push rod {told}" in " ".join(done.out.split())
    checked = run("check", car)
    assert checked.code == 1
    line = next(t for t in checked.out.splitlines() if "[rod-out-of-line]" in t)
    assert told in line
    text = (car / "vehicle.yaml").read_text(encoding="utf-8").splitlines()
    at = 1 + next(n for n, t in enumerate(text) if t.startswith("  pedal-push-rod:"))
    assert line.startswith(f"{car / 'vehicle.yaml'}:{at}:3: error: ")


@pytest.mark.parametrize(("up_mm", "swing"), [(15, 7), (60, None)])
def test_a_small_lean_may_be_allowed_and_a_large_one_not(up_mm: int, swing: int | None, car: Path) -> None:
    # 130 mm along: 15 up is 6.6 degrees, 60 up is 24.8; ten are the most that any owner is told to let pass.
    text = (car / "vehicle.yaml").read_text(encoding="utf-8")
    pedal = "solids: [{box: [20, 40, 300]}]"
    text = text.replace(pedal, f"{pedal}\n    ports: {{pin: [0, 0, {up_mm}]}}")
    (car / "vehicle.yaml").write_text(text, encoding="utf-8")
    told = "allow\n" if swing else ""  # what would change nothing is not offered
    done = typed(f"pedal push rod\nbrake pedal.pin\nstopper rear\n\n\n\n{told}", "new", "link", car)
    assert done.code == 0
    assert "! pedal push rod leans" in done.out
    assert ("leave or allow" in done.out) == (swing is not None)
    vehicle, _ = load_vehicle(car, catalog())
    assert vehicle is not None
    assert vehicle.links["pedal-push-rod"].swing_deg == (swing or catalog().link_kinds["pedal-push-rod"].swing_deg)
    assert ("[rod-out-of-line]" in run("check", car).out) == (swing is None)


def test_a_link_is_laid_out_as_the_parts_are(car: Path) -> None:
    assert piped("brake pipe\n\n\n\n\n\n", "new", "link", car).code == 0
    text = (car / "vehicle.yaml").read_text(encoding="utf-8")
    written = text[text.index("links:") :]
    assert written == (
        "links:\n  brake-pipe:\n    kind: brake-pipe\n    from: stopper.by-tap-union\n"
        "    to: tap-union.by-stopper\n    system: brakes\n"
    )
    assert piped("brake pipe\nstopper front\ntap union rear\nsecond pipe\n\n\n", "new", "link", car).code == 0
    assert "  second-pipe:\n    kind: brake-pipe\n" in (car / "vehicle.yaml").read_text(encoding="utf-8")


def test_a_rod_that_a_job_draws_aslant_is_told_at_its_change(car: Path) -> None:
    text = (car / "vehicle.yaml").read_text(encoding="utf-8")
    pedal = "solids: [{box: [20, 40, 300]}]"
    text = text.replace(pedal, f"{pedal}\n    ports: {{pin: [0, 0, 60], low: [0, 0, 0]}}")
    (car / "vehicle.yaml").write_text(text, encoding="utf-8")
    (car / "jobs").mkdir()
    rods = "".join(
        f"  - do: link\n    part: {name}\n    link: {{kind: pedal-push-rod, from: brake-pedal.{port}, to: stopper}}\n"
        for name, port in (("level-rod", "low"), ("rod", "pin"))
    )
    (car / "jobs" / "rods.yaml").write_text(f"knockon: 1\nname: rods\nchanges:\n{rods}", encoding="utf-8")
    told = [t for t in run("check", car).out.splitlines() if "[rod-out-of-line]" in t]
    # From the cylinder's middle, 200 mm ahead of the pin and 60 below: atan(60 / 200) is 16.7 degrees.
    assert len(told) == 1
    assert told[0].startswith(
        f"{car / 'jobs' / 'rods.yaml'}:9:5: error: rod leans 16.7 degrees out of the line of stopper"
    )
