"""A pipe or hose joins parts of its own circuit: what would let two fluids meet is an error, an unlikely end is told.

Which part holds which fluid is common practice, no published source: the pairs are written out by hand here.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.shed import catalog

from planner.finding import Finding, Severity
from planner.shelf import load_job, load_vehicle

HEAD = """\
knockon: 1
name: circuits
units: mm
zero: {x: a, y: b, z: c}
ground: -300
systems:
  brakes: {kind: hydraulic-brake}
  cooling: {kind: coolant}
  fuel: {kind: fuel}
  exhaust: {kind: exhaust}
components:
  frame: {kind: chassis, at: [0, 0, 0], solids: [{box: [3000, 900, 2]}]}
"""


def part_text(name: str, kind: str, x_mm: int, systems: str = "") -> str:
    more = f", systems: [{systems}]" if systems else ""
    shape = f"at: [{x_mm}, 0, 300], solids: [{{box: [20, 20, 20]}}], mounted_on: frame"
    return f"  {name}: {{kind: {kind}, {shape}{more}}}\n"


def told(tmp_path: Path, kind: str, start: str, end: str, *, of: str = "", member: str = "") -> list[Finding]:
    """What is found of the ends of a link of a kind between parts of two kinds."""
    system = f", system: {of}" if of else ""
    text = HEAD + part_text("one", start, 500) + part_text("two", end, 900, member)
    (tmp_path / "vehicle.yaml").write_text(
        f"{text}links:\n  new-link: {{kind: {kind}, from: one, to: two{system}}}\n", "utf-8"
    )
    found = load_vehicle(tmp_path, catalog())[1]
    return [f for f in found if f.code in {"wrong-circuit", "odd-end"}]


@pytest.mark.parametrize(
    ("kind", "start", "end", "wrong"),
    [
        ("brake-pipe", "brake-master-cylinder", "fuel-tap", "two"),
        ("brake-pipe", "fuel-tank", "brake-union", "one"),
        ("brake-hose", "brake-union", "radiator", "two"),
        ("clutch-pipe", "brake-master-cylinder", "clutch-slave-cylinder", "one"),
        ("coolant-hose", "radiator", "brake-master-cylinder", "two"),
        ("heater-hose", "heater-box", "fuel-filter", "two"),
        ("fuel-pipe", "fuel-tank", "header-tank", "two"),
        ("fuel-hose", "fuel-tap", "brake-reservoir", "two"),
        ("exhaust-pipe", "exhaust-manifold", "brake-caliper", "two"),
        ("oil-pipe", "oil-cooler", "radiator", "two"),
        ("vacuum-hose", "brake-servo", "brake-reservoir", "two"),
    ],
)
def test_two_circuits_are_not_joined(kind: str, start: str, end: str, wrong: str, tmp_path: Path) -> None:
    [found] = told(tmp_path, kind, start, end)
    assert (found.code, found.severity) == ("wrong-circuit", Severity.ERROR)
    # The end at the wrong part is what is pointed at.
    line = (tmp_path / "vehicle.yaml").read_text(encoding="utf-8").splitlines()[found.place.line - 1]
    assert line[found.place.column - 1 :].startswith(wrong)
    assert catalog().kinds[{"one": start, "two": end}[wrong]].name in found.message
    assert found.hint


@pytest.mark.parametrize(
    ("kind", "start", "end"),
    [
        ("brake-pipe", "tandem-master-cylinder", "brake-union"),
        ("brake-hose", "brake-union", "brake-caliper"),
        ("brake-hose", "crossmember", "rear-axle"),
        ("brake-pipe", "brake-union", "brake-drum"),
        ("reservoir-hose", "brake-reservoir", "clutch-master-cylinder"),
        ("coolant-hose", "engine", "radiator"),
        ("coolant-hose", "water-pump", "inlet-manifold"),
        ("coolant-hose", "thermostat-housing", "carburettor"),
        ("overflow-hose", "radiator", "overflow-bottle"),
        ("fuel-pipe", "fuel-tank", "engine"),
        ("fuel-hose", "fuel-filter", "throttle-body"),
        ("fuel-vent", "fuel-tank", "floor"),
        ("exhaust-pipe", "silencer", "chassis-rail"),
        ("oil-pipe", "engine", "instrument"),
        ("vacuum-hose", "inlet-manifold", "brake-servo"),
        ("vacuum-hose", "distributor", "carburettor"),
        ("earth-strap", "battery", "fuel-tank"),
        ("wire", "fuse-box", "thermostat-housing"),
        ("tie-rod", "steering-rack", "brake-backplate"),
        ("pedal-push-rod", "brake-pedal", "brake-servo"),
        ("propshaft", "engine", "gearbox"),
        ("handbrake-cable", "handbrake-lever", "brake-caliper"),
        ("clutch-cable", "clutch-pedal", "bell-housing"),
        ("brake-rod", "brake-pedal", "brake-cross-shaft"),
        ("brake-cable", "brake-compensator", "brake-backplate"),
    ],
)
def test_what_belongs_together_is_let_be(kind: str, start: str, end: str, tmp_path: Path) -> None:
    assert told(tmp_path, kind, start, end) == []


@pytest.mark.parametrize(
    ("kind", "start", "end"),
    [
        ("brake-pipe", "brake-master-cylinder", "seat"),
        ("coolant-hose", "radiator", "horn"),
        ("exhaust-pipe", "exhaust-manifold", "brake-pedal"),
        ("steering-shaft", "steering-column", "fuel-tank"),
        ("throttle-cable", "throttle-pedal", "brake-drum"),
        ("pedal-push-rod", "brake-pedal", "fuel-tap"),
        ("brake-rod", "brake-pedal", "brake-master-cylinder"),
        ("brake-cable", "brake-cross-shaft", "brake-reservoir"),
    ],
)
def test_an_unlikely_end_is_told(kind: str, start: str, end: str, tmp_path: Path) -> None:
    [found] = told(tmp_path, kind, start, end)
    assert (found.code, found.severity) == ("odd-end", Severity.WARNING)
    assert "`two`" in found.message


def test_a_part_may_hold_two_fluids_if_its_owner_says_so(tmp_path: Path) -> None:
    # A heat exchanger in the fuel line.
    assert [f.code for f in told(tmp_path, "coolant-hose", "radiator", "fuel-filter")] == ["wrong-circuit"]
    assert told(tmp_path, "coolant-hose", "radiator", "fuel-filter", member="fuel, cooling") == []


def test_a_plain_bracket_in_another_circuit_is_no_end_for_it(tmp_path: Path) -> None:
    assert told(tmp_path, "brake-pipe", "brake-union", "bracket") == []
    [found] = told(tmp_path, "brake-pipe", "brake-union", "bracket", member="fuel")
    assert found.code == "wrong-circuit"


def test_a_pipe_is_in_a_circuit_of_its_fluid(tmp_path: Path) -> None:
    assert told(tmp_path, "brake-pipe", "brake-union", "brake-union", of="brakes") == []
    [found] = told(tmp_path, "brake-pipe", "brake-union", "brake-union", of="fuel")
    assert (found.code, found.severity) == ("wrong-circuit", Severity.ERROR)
    line = (tmp_path / "vehicle.yaml").read_text(encoding="utf-8").splitlines()[found.place.line - 1]
    assert line[found.place.column - 1 :].startswith("fuel")


def test_a_vacuum_hose_said_to_be_in_the_brakes_is_told_what_to_write(tmp_path: Path) -> None:
    [found] = told(tmp_path, "vacuum-hose", "brake-servo", "engine", of="brakes")
    path = tmp_path / "vehicle.yaml"
    line, text = "servo-vacuum: {kind: vacuum}", path.read_text(encoding="utf-8")
    assert (found.code, f"add `{line}` under `systems`" in found.hint) == ("wrong-circuit", True)
    path.write_text(text.replace("systems:\n", f"systems:\n  {line}\n", 1), encoding="utf-8")
    assert "write `system: servo-vacuum`;" in load_vehicle(tmp_path, catalog())[1][0].hint
    mended = path.read_text(encoding="utf-8").replace("system: brakes", "system: servo-vacuum")
    path.write_text(mended, encoding="utf-8")
    assert [f for f in load_vehicle(tmp_path, catalog())[1] if f.severity is Severity.ERROR] == []


def test_a_pipe_of_one_brake_circuit_is_not_at_a_part_of_the_other(tmp_path: Path) -> None:
    twin = HEAD.replace("systems:\n", "systems:\n  rear-brakes: {kind: hydraulic-brake}\n")
    for member, found in (("brakes", []), ("rear-brakes", ["other-circuit"]), ("brakes, rear-brakes", [])):
        text = twin + part_text("one", "brake-union", 500, "brakes") + part_text("two", "brake-union", 900, member)
        text += "links:\n  new-link: {kind: brake-pipe, from: one, to: two, system: brakes}\n"
        (tmp_path / "vehicle.yaml").write_text(text, encoding="utf-8")
        told = load_vehicle(tmp_path, catalog())[1]
        assert [f.code for f in told] == found
        assert all(f.severity is Severity.WARNING and "`rear-brakes` only" in f.message for f in told)


def test_a_link_of_a_job_is_looked_at_as_well(tmp_path: Path) -> None:
    text = HEAD + part_text("one", "brake-union", 500) + part_text("two", "fuel-tap", 900)
    (tmp_path / "vehicle.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "jobs").mkdir()
    new = "{kind: brake-pipe, from: one, to: two, system: brakes}"
    job = f"knockon: 1\nname: j\nchanges:\n  - {{do: link, part: p, link: {new}}}\n"
    (tmp_path / "jobs" / "j.yaml").write_text(job, encoding="utf-8")
    vehicle, _ = load_vehicle(tmp_path, catalog())
    assert vehicle is not None
    found = load_job(tmp_path, "j", vehicle, catalog())[1]
    assert [(f.code, f.place.line) for f in found if f.severity is Severity.ERROR] == [("wrong-circuit", 4)]


def test_every_pipe_and_hose_of_the_catalog_says_where_it_may_end() -> None:
    free = {"wire", "loom-branch", "ignition-lead", "battery-cable", "earth-strap"}
    assert {k.id for k in catalog().link_kinds.values() if not k.ends_at} == free
