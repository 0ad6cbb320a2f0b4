"""Shapes from STL files: good ones are read in both forms, bad ones are told with place and never raise."""

from __future__ import annotations

import math
import struct
from pathlib import Path

import numpy as np
import pytest
from small_catalog import small_catalog
from triangles import Array, angle_iron, ball, binary_stl, block, ring_bar, surface, text_stl, volume_mm3

from planner.finding import Finding, Severity
from planner.model.shapes import Mesh
from planner.model.vehicle import Vehicle
from planner.shelf.load import load_job, load_vehicle
from planner.shelf.stl_read import MOST_TRIANGLES, Unread, triangles_in
from planner.shelf.surface_crossings import crossings
from planner.shelf.surface_faults import surface_of

HEAD = "knockon: 1\nname: small\nunits: mm\nzero: {x: a, y: b, z: c}\nground: 0\n"
BLOCK = block((40.0, 30.0, 20.0))


def loaded(
    folder: Path, data: bytes | str, keys: str = "", *, name: str = "parts/shape.stl"
) -> tuple[Vehicle | None, tuple[Finding, ...]]:
    (folder / "parts").mkdir(exist_ok=True)
    (folder / "parts" / "shape.stl").write_bytes(data.encode() if isinstance(data, str) else data)
    text = f"components:\n  a:\n    kind: panel\n    at: [0, 0, 0]\n    solids:\n      - stl: {{file: {name}{keys}}}\n"
    (folder / "vehicle.yaml").write_text(HEAD + text, encoding="utf-8")
    return load_vehicle(folder, small_catalog())


def mesh_in(vehicle: Vehicle | None) -> Mesh:
    assert vehicle is not None
    [mesh] = vehicle.components["a"].solids
    assert isinstance(mesh, Mesh)
    return mesh


def spanned_mm(mesh: Mesh) -> list[float]:
    return [max(v) - min(v) for v in zip(*mesh.surface.corners_mm, strict=True)]


@pytest.mark.parametrize("form", ["binary", "text", "binary that says solid"])
def test_both_forms_are_read(tmp_path: Path, form: str) -> None:
    data = text_stl(BLOCK) if form == "text" else binary_stl(BLOCK, head=b"solid" if "says" in form else b"block")
    vehicle, findings = loaded(tmp_path, data)
    assert findings == ()
    mesh = mesh_in(vehicle)
    assert mesh.file == "parts/shape.stl"
    assert (len(mesh.surface.corners_mm), len(mesh.surface.triangles)) == (8, 12)
    assert spanned_mm(mesh) == [40.0, 30.0, 20.0]


@pytest.mark.parametrize(("units", "times"), [("mm", 1.0), ("cm", 10.0), ("inch", 25.4)])
def test_units(tmp_path: Path, units: str, times: float) -> None:
    vehicle, findings = loaded(tmp_path, binary_stl(BLOCK), f", units: {units}")
    assert findings == ()
    assert spanned_mm(mesh_in(vehicle)) == pytest.approx([40.0 * times, 30.0 * times, 20.0 * times])


def test_the_unit_of_the_vehicle_when_it_is_not_said(tmp_path: Path) -> None:
    loaded(tmp_path, binary_stl(BLOCK))
    path = tmp_path / "vehicle.yaml"
    path.write_text(path.read_text().replace("units: mm", "units: inch"), encoding="utf-8")
    vehicle, _ = load_vehicle(tmp_path, small_catalog())
    assert spanned_mm(mesh_in(vehicle)) == pytest.approx([1016.0, 762.0, 508.0])


def test_a_wrong_unit_is_hinted_at(tmp_path: Path) -> None:
    _, findings = loaded(tmp_path, binary_stl(BLOCK), ", units: m")
    assert [(f.code, "check `units`" in f.hint) for f in findings] == [("absurd-size", True)]
    _, findings = loaded(tmp_path, binary_stl(BLOCK / 100.0))
    assert [f.code for f in findings] == ["absurd-size"]
    _, findings = loaded(tmp_path, binary_stl(BLOCK * 300.0))
    assert [f.code for f in findings] == ["absurd-size"]
    assert "check `units`" in findings[0].hint


def open_at(places: Array) -> Array:
    return places[:-1]


def mixed(places: Array) -> Array:
    return np.vstack([places[:1, ::-1], places[1:]])


def crossed() -> Array:
    return np.vstack([block((40.0, 30.0, 20.0)), block((10.0, 10.0, 90.0))])


HOSTILE: dict[str, tuple[bytes, str]] = {
    "nothing": (b"", "bad-stl"),
    "a word": (b"solid", "bad-stl"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4, "bad-stl"),
    "cut short": (binary_stl(BLOCK)[:-70], "bad-stl"),
    "says too few": (binary_stl(BLOCK, said=11), "bad-stl"),
    "says too many": (binary_stl(BLOCK, said=13), "bad-stl"),
    "says four thousand million": (binary_stl(BLOCK, said=0xFFFFFFFF), "bad-stl"),
    "no triangle": (binary_stl(BLOCK[:0]), "bad-stl"),
    "not a number": (binary_stl(np.where(BLOCK == 20.0, np.nan, BLOCK)), "bad-stl"),
    "without end": (binary_stl(np.where(BLOCK == 20.0, np.inf, BLOCK)), "bad-stl"),
    "no triangle in text": (b"solid a\nendsolid a\n", "bad-stl"),
    "text cut short": (text_stl(BLOCK).encode()[:-60], "bad-stl"),
    "text with rubbish": (text_stl(BLOCK).replace(" endfacet\n", " endfacet\nrubbish\n", 1).encode(), "bad-stl"),
    "text with words": (text_stl(BLOCK).replace("20", "twenty").encode(), "bad-stl"),
    "text with nan": (text_stl(BLOCK).replace("20", "nan").encode(), "bad-stl"),
    "text with two corners": (text_stl(BLOCK).replace("   vertex -20 -15 -10\n", "", 1).encode(), "bad-stl"),
    "solid and noise": (b"solid facet" + bytes(range(256)) * 9, "bad-stl"),
    "huge numbers": (binary_stl(BLOCK * 1e36), "absurd-size"),
    "open": (binary_stl(open_at(BLOCK)), "open-stl"),
    "one triangle": (binary_stl(BLOCK[:1]), "open-stl"),
    "mixed": (binary_stl(mixed(BLOCK)), "mixed-stl"),
    "crossed": (binary_stl(crossed()), "crossed-stl"),
    "flat": (binary_stl(np.vstack([BLOCK[:2], BLOCK[:2, ::-1]])), "empty-stl"),
    "all in one place": (binary_stl(np.zeros((4, 3, 3))), "empty-stl"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_bad_file_is_a_finding_at_its_name(tmp_path: Path, name: str) -> None:
    data, code = HOSTILE[name]
    vehicle, findings = loaded(tmp_path, data)
    errors = [f for f in findings if f.severity is Severity.ERROR]
    assert vehicle is None
    assert [f.code for f in errors] == [code]
    # vehicle.yaml, the line of the solid, the column of the file's name
    assert (Path(errors[0].place.file).name, errors[0].place.line, errors[0].place.column) == ("vehicle.yaml", 11, 21)


def test_every_cut_of_a_file_is_survived() -> None:
    for data in (binary_stl(BLOCK), text_stl(BLOCK).encode()):
        for length in range(0, len(data) - 30, 7):
            assert isinstance(triangles_in(data[:length]), Unread)


def test_random_bytes_are_survived() -> None:
    rng = np.random.default_rng(11)
    good = text_stl(BLOCK).encode(), binary_stl(BLOCK)
    for _ in range(300):
        data = bytearray(good[int(rng.integers(2))])
        for at in rng.integers(len(data), size=3).tolist():
            data[at] = int(rng.integers(256))
        found = triangles_in(bytes(data))
        if not isinstance(found, Unread):
            with np.errstate(over="ignore", invalid="ignore"):
                surface_of(np.clip(found, -1e6, 1e6))


def test_too_many_triangles_are_not_read() -> None:
    count = MOST_TRIANGLES + 1
    data = b"\0" * 80 + struct.pack("<I", count) + b"\0" * (50 * count)
    found = triangles_in(data)
    assert isinstance(found, Unread)
    assert (found.code, str(MOST_TRIANGLES) in found.message) == ("big-stl", True)


@pytest.mark.parametrize("name", ["/etc/hostname", "../shape.stl", "parts/../../shape.stl", "C:/shape.stl", "a\\b.stl"])
def test_a_file_outside_the_project_is_not_opened(tmp_path: Path, name: str) -> None:
    (tmp_path / "shape.stl").write_bytes(binary_stl(BLOCK))
    inner = tmp_path / "project"
    inner.mkdir()
    _, findings = loaded(inner, binary_stl(BLOCK), name=f"'{name}'")
    assert [f.code for f in findings] == ["outside-project"]


def test_a_link_out_of_the_project_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "shape.stl").write_bytes(binary_stl(BLOCK))
    inner = tmp_path / "project"
    inner.mkdir()
    (inner / "sly.stl").symlink_to(tmp_path / "shape.stl")
    _, findings = loaded(inner, binary_stl(BLOCK), name="sly.stl")
    assert [f.code for f in findings] == ["outside-project"]


@pytest.mark.parametrize("name", ["parts/none.stl", "parts", "."])
def test_a_file_that_is_not_there(tmp_path: Path, name: str) -> None:
    _, findings = loaded(tmp_path, binary_stl(BLOCK), name=name)
    assert [f.code for f in findings] == ["no-stl"]


def test_a_job_finds_files_from_the_project_folder(tmp_path: Path) -> None:
    vehicle, _ = loaded(tmp_path, binary_stl(BLOCK))
    assert vehicle is not None
    (tmp_path / "jobs").mkdir()
    change = "{do: add, part: b, component: {kind: panel, at: [0, 0, 90], solids: [{stl: {file: parts/shape.stl}}]}}"
    (tmp_path / "jobs" / "more.yaml").write_text(f"knockon: 1\nname: more\nchanges: [{change}]\n", encoding="utf-8")
    job, findings = load_job(tmp_path, "more", vehicle, small_catalog())
    assert [f for f in findings if f.severity is Severity.ERROR] == []
    assert job is not None


def test_inside_out_is_turned_with_a_warning(tmp_path: Path) -> None:
    vehicle, findings = loaded(tmp_path, binary_stl(BLOCK[:, ::-1]))
    assert [(f.code, f.severity) for f in findings] == [("inside-out-stl", Severity.WARNING)]
    corners = np.array(mesh_in(vehicle).surface.corners_mm)
    places = corners[np.array(mesh_in(vehicle).surface.triangles)]
    assert volume_mm3(places) == pytest.approx(24000.0)


def test_a_hollow_is_filled_and_an_island_inside_out_is_turned() -> None:
    hollow = np.vstack([block((40.0, 40.0, 40.0)), block((20.0, 20.0, 20.0))[:, ::-1]])
    filled, told = surface_of(hollow)
    assert told == ()
    assert filled is not None
    assert len(filled.triangles) == 12
    island = np.vstack([block((40.0, 40.0, 40.0)), block((20.0, 20.0, 20.0), (90.0, 0.0, 0.0))[:, ::-1]])
    both, told = surface_of(island)
    assert [(t.kind, t.count) for t in told] == [("inside out", 12)]
    assert both is not None
    assert len(both.triangles) == 24


def test_triangles_without_area_are_a_warning(tmp_path: Path) -> None:
    spare = np.array([[BLOCK[0, 0], BLOCK[0, 0], BLOCK[0, 1]]])
    vehicle, findings = loaded(tmp_path, binary_stl(np.vstack([BLOCK, spare])))
    assert [(f.code, f.severity) for f in findings] == [("flat-stl", Severity.WARNING)]
    assert len(mesh_in(vehicle).surface.triangles) == 12


def test_corners_that_text_rounded_are_joined() -> None:
    rng = np.random.default_rng(2)
    jittered = BLOCK + rng.uniform(-0.002, 0.002, BLOCK.shape)
    found, told = surface_of(jittered)
    assert told == ()
    assert found is not None
    assert len(found.corners_mm) == 8
    torn = BLOCK.copy()
    torn[0, 0] += 0.5
    assert surface_of(torn)[0] is None


def test_loose_edges_are_counted_and_placed(tmp_path: Path) -> None:
    # the missing half of the face x = 20 leaves its three edges loose
    _, findings = loaded(tmp_path, binary_stl(BLOCK[:-1]))
    assert "3 loose edges" in findings[0].message
    _, told = surface_of(BLOCK[:-1])
    assert told[0].at_mm is not None
    missing = BLOCK[-1]
    middles = [tuple((missing[k] + missing[(k + 1) % 3]) / 2.0) for k in range(3)]
    assert tuple(told[0].at_mm) in middles


def test_crossings() -> None:
    one = surface(crossed())
    found = crossings(np.array(one.corners_mm), np.array(one.triangles))
    assert found is not None
    count, at = found
    # the post stands through the top and the bottom of the block: its eight corner edges cut them
    assert count > 0
    assert abs(at[2]) == pytest.approx(10.0, abs=1e-9) or max(abs(at[0]), abs(at[1])) == pytest.approx(5.0, abs=1e-9)
    for places in (BLOCK, angle_iron(60, 40, 4), ring_bar(50, 8, 24, 12), ball(40, 24, 12),
                   np.vstack([block((10, 10, 10)), block((10, 10, 10), (10.0, 3.0, 0.0))])):  # fmt: skip
        sound = surface(places)
        assert crossings(np.array(sound.corners_mm), np.array(sound.triangles)) is None


def test_a_tip_through_a_neighbour_is_a_crossing() -> None:
    # a pyramid whose tip is pushed through its own base: the sides share corners with the base and still cross it
    base = [(-10.0, -10.0, 0.0), (10.0, -10.0, 0.0), (10.0, 10.0, 0.0), (-10.0, 10.0, 0.0)]
    inner = [(x / 2.0, y / 2.0, 5.0) for x, y, _ in base]
    tip = (0.0, 0.0, -5.0)
    rows = [(base[0], base[2], base[1]), (base[0], base[3], base[2])]
    for k in range(4):
        a, b, c, d = base[k], base[(k + 1) % 4], inner[(k + 1) % 4], inner[k]
        rows += [(a, b, c), (a, c, d), (d, c, tip)]
    found, told = surface_of(np.array(rows))
    assert found is None
    assert [t.kind for t in told] == ["crossed"]


def test_a_volume_is_kept() -> None:
    # Pappus: a ring bar holds pi r^2 x 2 pi R; its polyhedron of 64 by 32 sides a little less
    found, _ = surface_of(ring_bar(50.0, 8.0, 64, 32))
    assert found is not None
    places = np.array(found.corners_mm)[np.array(found.triangles)]
    assert volume_mm3(places) == pytest.approx(2.0 * math.pi**2 * 8.0**2 * 50.0, rel=0.01)
