"""Motions, bent tubes and needless solids as a file writes them, and the place of every fault."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.files import json_schema
from planner.finding import Finding, Severity
from planner.model.shapes import Motion, Moves, Slide, Tube, Turn
from planner.model.vehicle import Vehicle
from planner.shelf.load import load_vehicle
from planner.shelf.tube_faults import tight_legs
from planner.space import fillet

HEAD = "knockon: 1\nname: small\nunits: mm\nzero: {x: a, y: b, z: c}\nground: 0\ncomponents:\n  a:\n    kind: panel\n"
BOX = "solids: [{box: [9, 9, 9]}]"


def loaded(folder: Path, *lines: str) -> tuple[Vehicle | None, tuple[Finding, ...]]:
    """The vehicle and what was found; a `@` in a line marks where something is to be found and is not written."""
    text = HEAD + "".join(f"    {line}\n" for line in ("at: [0, 0, 0]", *lines))
    (folder / "vehicle.yaml").write_text(text.replace("@", ""), encoding="utf-8")
    return load_vehicle(folder, small_catalog())


def marked(*lines: str) -> list[tuple[int, int]]:
    """Line and column of every mark of the lines of a part."""
    rows = [f"    {line}" for line in ("at: [0, 0, 0]", *lines)]
    return [(9 + n, row.index("@") + 1) for n, row in enumerate(rows) if "@" in row]


def motion_in(folder: Path, text: str) -> Motion:
    vehicle, findings = loaded(folder, BOX, f"motion: {text}")
    assert findings == ()
    assert vehicle is not None
    motion = vehicle.components["a"].motion
    assert motion is not None
    return motion


def check(findings: tuple[Finding, ...], code: str, *lines: str) -> None:
    """One finding at the mark, or none when there is no mark."""
    assert [(f.place.line, f.place.column) for f in findings] == marked(*lines)
    assert [f.code for f in findings] == [code for _ in findings]


TURN = "{turns: {about: [0, 10, 0], axis: z, from: 30, to: -30}}"
SLIDE = "{slides: {along: [0, 0, 2], from: -60, to: 80}}"


def test_one_motion_or_several(tmp_path: Path) -> None:
    turn = Turn(about_mm=(0, 10, 0), axis=(0, 0, 1), from_deg=-30, to_deg=30)
    slide = Slide(along=(0, 0, 1), from_mm=-60, to_mm=80)
    assert motion_in(tmp_path, TURN) == turn
    assert motion_in(tmp_path, f"[{TURN}]") == turn
    assert motion_in(tmp_path, f"[{TURN}, {SLIDE}]") == Moves(steps=(turn, slide))


def test_an_inclined_axis_has_length_one(tmp_path: Path) -> None:
    motion = motion_in(tmp_path, "{turns: {about: [0, 0, 0], axis: [0, 0.2, 1], from: 0, to: 9}}")
    assert isinstance(motion, Turn)
    assert motion.axis == pytest.approx((0.0, 0.2 / math.sqrt(1.04), 1.0 / math.sqrt(1.04)))


@pytest.mark.parametrize(
    ("motion", "code"),
    [
        ("{@turns: {about: [0, 0, 0], axis: z, from: 5, to: 5}}", "bad-motion"),
        (f"[{TURN}, {{@slides: {{along: z, from: 5, to: 5}}}}]", "bad-motion"),
        (f"[{TURN}, {{slides: {{along: @[0, 0, 0], from: 5, to: 9}}}}]", "unknown-choice"),
        (f"[{TURN}, {{slides: {{along: @[0, 1], from: 5, to: 9}}}}]", "unknown-choice"),
        (f"[{TURN}, {{slides: {{along: @[0, 1, true], from: 5, to: 9}}}}]", "unknown-choice"),
        ("{turns: {about: [0, 0, 0], axis: z, from: 0, to: @400}}", "bad-motion"),
        (f"[{TURN}, @{{}}]", "no-shape"),
    ],
)
def test_a_bad_motion_is_told_in_its_place(tmp_path: Path, motion: str, code: str) -> None:
    lines = (BOX, f"motion: {motion}")
    vehicle, findings = loaded(tmp_path, *lines)
    assert vehicle is None
    check(findings, code, *lines)
    assert len(findings) == 1


@pytest.mark.parametrize("motion", ["[]", f"[{TURN}, {TURN}, {TURN}, {TURN}]", "up", "3", "[up]", "[[]]"])
def test_no_motion_at_all(tmp_path: Path, motion: str) -> None:
    vehicle, findings = loaded(tmp_path, BOX, f"motion: {motion}")
    assert vehicle is None
    assert [f.place.line for f in findings] == [11]


def tube(through: str, more: str) -> str:
    return f"solids: [{{tube: {{across: 25, through: {through}{more}}}}}]"


def test_a_bent_tube(tmp_path: Path) -> None:
    vehicle, findings = loaded(tmp_path, tube("[[0, 0, 0], [60, 0, 0], [60, 60, 0]]", ", bend: 4 cm +/- 3 mm"))
    assert findings == ()
    assert vehicle is not None
    [solid] = vehicle.components["a"].solids
    assert isinstance(solid, Tube)
    assert (solid.bend_mm, solid.doubt_mm) == (40.0, 3.0)


@pytest.mark.parametrize(
    ("through", "bend", "code"),
    [
        ("[[0, 0, 0], [60, 0, 0], [60, 60, 0]]", "@12", "tight-bend"),
        ("[[0, 0, 0], [60, 0, 0], [60, 60, 0]]", "@-12", "negative-size"),
        ("[[0, 0, 0], @[30, 0, 0], [30, 60, 0]]", "40", "short-leg"),
        ("[[0, 0, 0], [60, 0, 0], @[60, 60, 0], [0, 60, 0]]", "40", "short-leg"),
        ("[[0, 0, 0], @[60, 0, 0], [10, 0, 0]]", "40", "short-leg"),
        ("[[0, 0, 0], [60, 0, 0], @[60, 0, 0], [60, 60, 0]]", "40", "bad-solid"),
        ("[[0, 0, 0], [60, 0, 0], [60, 60, 0]]", "0", ""),
    ],
)
def test_bends_that_do_not_go_in(tmp_path: Path, through: str, bend: str, code: str) -> None:
    line = tube(through, f", bend: {bend}")
    vehicle, findings = loaded(tmp_path, line)
    assert (vehicle is None) == bool(code)
    check(findings, code, line)


def test_what_a_leg_needs_and_has(tmp_path: Path) -> None:
    _, findings = loaded(tmp_path, tube("[[0, 0, 0], [60, 0, 0], [60, 60, 0], [0, 60, 0]]", ", bend: 40"))
    [found] = findings
    assert found.message == "leg 2, from point 2 to point 3, needs `80 mm` for its bends and has `60 mm`"
    assert "30 mm" in found.hint


def test_short_legs_are_those_of_the_rounded_line() -> None:
    line = [(0.0, 0.0, 0.0), (50.0, 5.0, 0.0), (60.0, 90.0, 20.0), (10.0, 100.0, 30.0), (12.0, 20.0, 0.0)]
    for bend in (5.0, 25.0, 40.0, 80.0):
        told = [(leg.leg, round(leg.needs_mm, 6), round(leg.has_mm, 6)) for leg in tight_legs(line, bend)]
        rounded = fillet(line, bend).short_legs
        assert told == [(leg.leg, round(leg.needs_mm, 6), round(leg.has_mm, 6)) for leg in rounded]
    assert told != []


@pytest.mark.parametrize(
    "solids",
    [
        "[{box: [90, 90, 90]}, @{cylinder: {across: 20, length: 80}}]",
        "[{box: [90, 90, 90]}, {cylinder: {across: 20, length: 92}}]",
        "[{box: [90, 90, 90]}, {cylinder: {across: 20, length: 40}, at: [36, 0, 0]}]",
        "[{box: [90, 90, 90]}, @{tube: {across: 20, through: [[0, 0, 0], [34, 0, 0]]}}]",
        "[{box: [90, 90, 90]}, {tube: {across: 20, through: [[0, 0, 0], [36, 0, 0]]}}]",
        "[{box: [90, 90, 90], turn: [0, 0, 45]}, {box: [80, 80, 80]}]",
        "[{box: [90, 90, 90], turn: [9, 0, 45]}, @{box: [80, 80, 80], turn: [9, 0, 45]}]",
        "[{box: [9, 9, 9]}, @{box: [9, 9, 9]}]",
    ],
)
def test_solids_that_add_nothing(tmp_path: Path, solids: str) -> None:
    vehicle, findings = loaded(tmp_path, f"solids: {solids}")
    assert vehicle is not None
    check(findings, "needless-solid", f"solids: {solids}")
    assert all(f.severity is Severity.WARNING for f in findings)


@pytest.mark.parametrize(
    "solid",
    [
        "box: [9, @0, 9]",
        "cylinder: {across: @-2, length: 9}",
        "tube: {across: @0, through: [[0, 0, 0], [9, 0, 0]]}",
        "outline: {points: [[0, 0], [9, 0], [9, 9]], thick: @0}",
    ],
)
def test_sizes_of_nothing_are_told_in_their_place(tmp_path: Path, solid: str) -> None:
    line = f"solids: [{{{solid}}}]"
    _, findings = loaded(tmp_path, line)
    check(findings, "negative-size", line)
    assert len(findings) == 1


def test_the_schema_knows_them() -> None:
    schema = json_schema("vehicle")["$defs"]
    assert "bend" in schema["TubeFile"]["properties"]
    assert schema["StlFile"]["required"] == ["file"]
    assert ["stl"] in [one["required"] for one in schema["SolidFile"]["oneOf"]]
    motion = schema["ComponentFile"]["properties"]["motion"]
    assert [way.get("type", "object") for way in motion["oneOf"]] == ["object", "array"]
