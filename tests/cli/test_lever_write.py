"""`knockon lever --write` and `--sheet`: sizes into the owner's file with the comments kept, or nothing at all."""

from __future__ import annotations

import difflib
import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.shed import catalog, catalog_at_hand, run

from planner.knockon import find_knockons, present_faults
from planner.shelf import load_job, load_vehicle, projects_folder

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
    at: [830, 300, 450]      # 18 swg
    solids: [{box: [2, 600, 500]}]
  tunnel:                    # what a longer pedal would reach
    kind: bracket
    at: [930, 300, 160]
    solids: [{box: [160, 80, 30]}]
    mounted_on: bulkhead
  box:
    kind: pedal-box
    at: [835, 300, 650]
    solids: [{box: [8, 120, 60]}]
    mounted_on: bulkhead
  old-pedal:
    kind: bracket
    at: [1200, 300, 600]
    solids: [{box: [10, 10, 10]}]
    mounted_on: box
"""
PEDAL = """\
kind: brake-pedal
at: [900, 300, 600 +/- 2]     # the pivot
solids:
  - {tube: {across: 16, through: [[0, 0, 0], [5, 0, -70], [50, 0, -345]]}}
  - {box: [10, 60, 50], at: [50, 0, -350]}      # pad
  - {cylinder: {across: 12, length: 30, along: y}, at: [5, 0, -70]}
mounted_on: box
rooms:
  - {name: foot, box: [40, 60, 50], at: [80, 0, -350], needed: always}
motion: {turns: {about: [0, 0, 0], axis: y, from: 0, to: 15}}
systems: [front-brakes]
ports: {rod: [5, 0, -70], pad: [55, 0, "-350 +/- 1"]}     # rod first
"""
CYLINDER = """\
kind: brake-master-cylinder
at: [800, 300, 530]
solids: [{cylinder: {across: 40, length: 150, along: x}, at: [-75, 0, 0]}]
mounted_on: bulkhead
touches: [bulkhead]
systems: [front-brakes]
ports: {rod: [0, 0, 0], out: [-150, 0, 0]}
"""
LINK = "{kind: pedal-push-rod, from: pedal.rod, to: cylinder.rod, passes: [bulkhead], system: front-brakes}"


def indented(text: str, by: int) -> str:
    return "".join(" " * by + line + "\n" for line in text.splitlines())


def whole() -> str:
    return VEHICLE + f"  pedal:\n{indented(PEDAL, 4)}  cylinder:\n{indented(CYLINDER, 4)}" + f"links:\n  rod: {LINK}\n"


JOB = (
    "knockon: 1\nname: Hang a pedal     # at last\nchanges:\n"
    f"  - do: replace\n    part: old-pedal\n    with: pedal\n    component:\n{indented(PEDAL, 6)}"
    f"  - do: add\n    part: cylinder\n    component:\n{indented(CYLINDER, 6)}"
    f"  - {{do: link, part: rod, link: {LINK}}}\n"
)


@pytest.fixture(autouse=True)
def _catalog() -> Iterator[None]:
    with catalog_at_hand():
        yield


@pytest.fixture
def project(tmp_path: Path) -> Path:
    (tmp_path / "vehicle.yaml").write_text(whole(), encoding="utf-8")
    return tmp_path


@pytest.fixture
def with_job(tmp_path: Path) -> Path:
    (tmp_path / "vehicle.yaml").write_text(VEHICLE, encoding="utf-8")
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "hang.yaml").write_text(JOB, encoding="utf-8")
    return tmp_path


def changed_lines(before: str, after: str) -> list[str]:
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line[2:].strip() for line in lines if line.startswith("+ ")]


def ratio(project: Path, *more: str) -> dict[str, float]:
    (found,) = json.loads(run("lever", project, *more, "--json").out)
    return found["summary"]


def test_what_is_written_is_what_was_found(project: Path) -> None:
    before = (project / "vehicle.yaml").read_text(encoding="utf-8")
    ended = run("lever", project, "--free", "clevis-arm=60..90", "--want", "ratio=4.4..4.6", "--write", "--json")
    assert ended.code == 0, ended.err
    told = json.loads(ended.out)["marked"]["figures"]
    after = (project / "vehicle.yaml").read_text(encoding="utf-8")
    assert ratio(project)["ratio_mean"] == pytest.approx(told["ratio"], abs=0.01)
    assert ratio(project)["stroke_mm"] == pytest.approx(told["stroke"], abs=0.05)
    # The port, the tube's corner at it and the pin through it, and no other line; each comment where it was.
    assert len(changed_lines(before, after)) == 3
    assert after.count("#") == before.count("#")
    assert "# rod first" in after


def test_the_pad_takes_its_body_its_tube_and_the_foots_room_along(project: Path) -> None:
    run("lever", project, "--free", "pad-arm=400..460", "--want", "ratio=6..6.2", "--write")
    vehicle, _ = load_vehicle(project, catalog())
    assert vehicle is not None
    pedal = vehicle.components["pedal"]
    old = (55.0, -350.0)
    gone = (pedal.ports_mm["pad"][0] - old[0], pedal.ports_mm["pad"][2] - old[1])
    assert gone[1] < -50
    tube, pad, pin = pedal.solids
    assert tube.through_mm[-1] == pytest.approx((50 + gone[0], 0, -345 + gone[1]), abs=0.1)
    assert tube.through_mm[:2] == ((0, 0, 0), (5, 0, -70))
    assert pad.pose.at_mm == pytest.approx((50 + gone[0], 0, -350 + gone[1]), abs=0.1)
    assert pin.pose.at_mm == (5, 0, -70)
    assert pedal.rooms[0].solid.pose.at_mm == pytest.approx((80 + gone[0], 0, -350 + gone[1]), abs=0.1)
    assert pedal.port_doubts_mm["pad"][2] == 1.0, "a doubt stays with its size"


def test_a_part_turned_round_is_written_in_its_own_frame(project: Path) -> None:
    """Turned half round z, its own x points forward: the same pedal written the other way round."""
    turned = (
        whole()
        .replace("at: [900, 300, 600 +/- 2]     # the pivot", "at: [900, 300, 600 +/- 2]\n    turn: [0, 0, 180]")
        .replace("from: 0, to: 15", "from: 0, to: -15")
        .replace("rod: [5, 0, -70], pad: [55", "rod: [-5, 0, -70], pad: [-55")
    )
    (project / "vehicle.yaml").write_text(turned, encoding="utf-8")
    ended = run("lever", project, "--free", "pad-angle=-85..-60", "--want", "pad-foremost=960..961", "--write")
    assert ended.code == 0, ended.err
    vehicle, _ = load_vehicle(project, catalog())
    assert vehicle is not None
    found = json.loads(run("lever", project, "--json").out)[0]
    assert found["states"][-1]["pad_mm"][0] == pytest.approx(960.5, abs=1.5)
    assert vehicle.components["pedal"].ports_mm["pad"][0] < -100


@pytest.mark.parametrize(
    ("free", "want", "words"),
    [
        ("pivot-z=590..620", "pad-highest=255..262", "components.pedal.at.2: 600 +/- 2"),
        ("travel=-20..-10", "stroke=15..15.5", "components.pedal.motion.turns.to: 15"),
        ("cylinder-z=520..540", "lean=1..1.4", "components.cylinder.at.2: 530"),
    ],
)
def test_every_size_has_its_place(project: Path, free: str, want: str, words: str) -> None:
    ended = run("lever", project, "--free", free, "--want", want, "--write", "--json")
    assert ended.code == 0, ended.err
    assert words in ended.err
    figures = json.loads(ended.out)["marked"]["figures"]
    assert ratio(project)["stroke_mm"] == pytest.approx(figures["stroke"], abs=0.05)
    assert ratio(project)["rod_most_deg"] == pytest.approx(figures["lean"], abs=0.1)


def test_inches_stay_inches(project: Path) -> None:
    head, body = whole().replace("units: mm", "units: inch").replace("-300", "-12").split("components:\n")
    body = re.sub(r"\[([-\d., +/\"]+)\]", lambda m: f"[{_inches(m[1])}]", body)
    body = re.sub(r"(across|length): (\d+)", lambda m: f"{m[1]}: {int(m[2]) / 25.4:.3f}", body)
    (project / "vehicle.yaml").write_text(f"{head}components:\n{body}", encoding="utf-8")
    assert ratio(project)["ratio_mean"] == pytest.approx(5.09, abs=0.1)
    ended = run("lever", project, "--free", "clevis-arm=60..90", "--want", "ratio=4.4..4.6", "--write")
    assert ended.code == 0, ended.err
    assert ratio(project)["ratio_mean"] == pytest.approx(4.5, abs=0.03)


def _inches(numbers: str) -> str:
    return ", ".join(
        '"' + " +/- ".join(f"{float(x) / 25.4:.3f}" for x in n.strip(' "').split(" +/- ")) + '"'
        for n in numbers.split(",")
    )


def test_a_longer_arm_in_a_job_changes_what_follows(with_job: Path) -> None:
    """The longer pedal's sweep goes through the bracket below it, so that has to move; the short one's does not."""
    before = asked(with_job)
    ended = run("lever", with_job, "hang", "--free", "pad-arm=440..470", "--want", "ratio=6..7", "--write")
    assert ended.code == 0, ended.err
    after = asked(with_job)
    assert not any("tunnel" in words for words in before)
    assert any("tunnel" in words for words in after), after
    assert "# at last" in (with_job / "jobs" / "hang.yaml").read_text(encoding="utf-8")


def asked(project: Path) -> list[str]:
    """Effects and troubles of the job, in words."""
    vehicle, _ = load_vehicle(project, catalog())
    assert vehicle is not None
    assert not present_faults(vehicle)
    job, _ = load_job(project, "hang", vehicle, catalog())
    assert job is not None
    found = find_knockons(vehicle, job, catalog())
    return [f"{e.kind.value} {e.subject}" for e in found.effects] + list(found.trouble)


def test_what_is_written_elsewhere_is_refused(project: Path) -> None:
    (project / "jobs").mkdir()
    text = "knockon: 1\nname: Nothing\nchanges:\n  - {do: take-off, part: tunnel}\n"
    (project / "jobs" / "nothing.yaml").write_text(text, encoding="utf-8")
    ended = run("lever", project, "nothing", "--free", "clevis-arm=60..90", "--want", "ratio=4.4..4.6", "--write")
    assert ended.code == 1
    assert "`pedal` is not written in" in ended.err
    assert (project / "jobs" / "nothing.yaml").read_text(encoding="utf-8") == text


def test_a_layout_that_would_not_load_leaves_the_file_as_it_was(project: Path) -> None:
    """An arm of 3 m makes the pedal larger than any believed one."""
    before = (project / "vehicle.yaml").read_bytes()
    ended = run("lever", project, "--free", "pad-arm=3000..3100", "--want", "ratio=30..", "--write")
    assert ended.code == 1
    assert "is left as it was" in ended.err
    assert "vehicle.yaml:" in ended.err
    assert (project / "vehicle.yaml").read_bytes() == before


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--write"], "no layout to write"),
        (["--free", "push-angle=170..190", "--want", "lean=0..1", "--write"], "lean of a cylinder is not written"),
        (["--sheet", "ceiling"], "there is no part `ceiling`"),
    ],
)
def test_what_cannot_be_asked(project: Path, options: list[str], words: str) -> None:
    before = (project / "vehicle.yaml").read_bytes()
    ended = run("lever", project, *options)
    assert ended.code == 2
    assert words in ended.err
    assert (project / "vehicle.yaml").read_bytes() == before


def test_the_slot_in_a_sheet_is_told_and_drawn(project: Path) -> None:
    ended = run("lever", project, "--sheet", "bulkhead", "-o", project / "lever.svg")
    assert ended.code == 0, ended.err
    assert "slot asked in `bulkhead` by `rod`" in ended.out
    assert "sheet with a slot" in (project / "lever.svg").read_text(encoding="utf-8")
    assert run("lever", project, "--sheet", "box").code == 1


@pytest.mark.slow
def test_in_the_worked_project_a_longer_brake_pedal_reaches_the_floor(tmp_path: Path) -> None:
    car = tmp_path / "car"
    shutil.copytree(projects_folder() / "trials-car", car)

    def trouble() -> str:
        vehicle, _ = load_vehicle(car, catalog())
        assert vehicle is not None
        job, _ = load_job(car, "hung-pedals", vehicle, catalog())
        assert job is not None
        return " ".join(find_knockons(vehicle, job, catalog()).trouble)

    assert trouble() == ""
    options = ("--part", "push-rod-front", "--free", "pad-arm=520..545", "--want", "ratio=6.7..7", "--write")
    ended = run("lever", car, "hung-pedals", *options)
    assert ended.code == 0, ended.err
    assert "right floor: hung brake pedal overlaps it" in trouble()
