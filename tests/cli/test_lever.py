"""`knockon lever` on a pedal of its own, as its user sees it: figures, design, drawing, and what cannot be asked."""

import json
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import catalog_at_hand, run

VEHICLE = """\
knockon: 1
name: Pedal bench
units: mm
zero: {x: front axle, y: centre line, z: floor}
ground: -300
systems:
  front-brakes: {kind: hydraulic-brake}
components:
  bulkhead:
    kind: bulkhead
    at: [830, 300, 450]
    solids: [{box: [2, 600, 500]}]
  box:
    kind: pedal-box
    at: [835, 300, 650]
    solids: [{box: [8, 120, 60]}]
    mounted_on: bulkhead
  pedal:
    kind: brake-pedal
    at: [900, 300, 600]
    solids: [{box: [10, 60, 50], at: [50, 0, -350]}]
    mounted_on: box
    motion: {turns: {about: [0, 0, 0], axis: y, from: 0, to: 15}}
    systems: [front-brakes]
    ports: {rod: [5, 0, -70], pad: [55, 0, -350]}
  cylinder:
    kind: brake-master-cylinder
    at: [800, 300, 530]
    solids: [{cylinder: {across: 40, length: 150, along: x}, at: [-75, 0, 0]}]
    mounted_on: bulkhead
    systems: [front-brakes]
    ports: {rod: [0, 0, 0], out: [-150, 0, 0]}
links:
  rod: {kind: pedal-push-rod, from: pedal.rod, to: cylinder.rod, passes: [bulkhead], system: front-brakes}
"""


@pytest.fixture(autouse=True)
def _catalog() -> Iterator[None]:
    with catalog_at_hand():
        yield


@pytest.fixture
def project(tmp_path: Path) -> Path:
    (tmp_path / "vehicle.yaml").write_text(VEHICLE, encoding="utf-8")
    return tmp_path


def test_figures_and_limits_are_told(project: Path) -> None:
    ended = run("lever", project)
    assert ended.code == 0, ended.err
    words = " ".join(ended.out.split())
    assert "free play at the pad" in words
    assert "not an approval" in words
    assert "Not covered:" in words
    # By hand: the rod hangs level, so the ratio at rest is pad arm over the clevis' drop, sqrt(55^2 + 350^2) / 70.
    assert "ratio 5.06 at rest" in words


def test_json_says_the_same(project: Path) -> None:
    (found,) = json.loads(run("lever", project, "--json").out)
    assert found["summary"]["ratio_rest"] == pytest.approx((55**2 + 350**2) ** 0.5 / 70, rel=1e-6)
    assert found["summary"]["warnings"] == []
    assert found["states"][-1]["stroke_mm"] == pytest.approx(found["summary"]["stroke_mm"])


def test_sizes_for_what_is_wanted(project: Path) -> None:
    ended = run(
        "lever", project, "--free", "clevis-arm=50..100", "--want", "ratio=4..5", "--want", "stroke=18..", "--json"
    )
    assert ended.code == 0, ended.err
    found = json.loads(ended.out)
    assert 4 <= found["marked"]["figures"]["ratio"] <= 5
    assert found["marked"]["sizes"]["clevis-arm"] * 2 == int(found["marked"]["sizes"]["clevis-arm"] * 2)


def test_what_no_size_gives_is_said_with_what_is_in_the_way(project: Path) -> None:
    ended = run("lever", project, "--free", "clevis-arm=60..70", "--want", "ratio=2..3")
    assert ended.code == 1
    assert "No layout in these ranges" in ended.out
    assert "in the way: ratio most 3" in ended.out


def test_a_drawing_that_reads_as_a_picture_of_the_right_size(project: Path) -> None:
    ended = run("lever", project, "-o", project / "lever.svg")
    assert ended.code == 0, ended.err
    root = ET.fromstring((project / "lever.svg").read_text(encoding="utf-8"))  # noqa: S314  # our own drawing
    assert root.attrib["viewBox"] == "0 0 297 210"
    words = " ".join(e.text or "" for e in root.iter())
    assert "at the end of its travel" in words
    assert "1:" in words
    assert "mm on the piston" in words or "N on the piston" in words


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--part", "wheel"], "no lever has a part or rod `wheel`"),
        (["--free", "clevis-arm=60..70"], "nothing is wanted"),
        (["--want", "ratio=4..5"], "no layout can be told apart"),
        (["--free", "colour=1..2", "--want", "ratio=4..5"], "is no size"),
        (["--free", "clevis-arm=60", "--want", "ratio=4..5"], "is no size"),
        (["--free", "clevis-arm=60..", "--want", "ratio=4..5"], "open end"),
        (["--free", "clevis-arm=9..5", "--want", "ratio=4..5"], "runs from 9 to 5"),
        (["--free", "clevis-arm=60..70", "--want", "ratio=x..5"], "is no want"),
    ],
)
def test_slips_of_the_pen(project: Path, options: list[str], words: str) -> None:
    ended = run("lever", project, *options)
    assert ended.code == 2
    assert words in ended.err


def test_a_vehicle_without_levers(tmp_path: Path) -> None:
    text = VEHICLE.replace("    motion: {turns: {about: [0, 0, 0], axis: y, from: 0, to: 15}}\n", "")
    (tmp_path / "vehicle.yaml").write_text(text, encoding="utf-8")
    ended = run("lever", tmp_path)
    assert ended.code == 1
    assert "no lever that pushes a cylinder" in ended.err
