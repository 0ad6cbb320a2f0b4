"""Parts that may be made anew, read from a vehicle file."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.finding import Finding
from planner.model.vehicle import Remake, Vehicle
from planner.shelf.load import load_vehicle

HEAD = "knockon: 1\nname: small\nunits: mm\nzero: {x: a, y: b, z: c}\nground: 0\ncomponents:\n"
PART = "  tank:\n    kind: tank\n    at: [0, 0, 0]\n    solids: [{box: [100, 100, 100]}]\n"


def read(folder: Path, more: str) -> tuple[Vehicle | None, tuple[Finding, ...]]:
    (folder / "vehicle.yaml").write_text(HEAD + PART + more, encoding="utf-8")
    return load_vehicle(folder, small_catalog())


def test_what_it_must_hold_is_read(tmp_path: Path) -> None:
    vehicle, findings = read(tmp_path, "    may_be_remade: {volume: 3 l, least: [60, 60, 80], thick: 1.5}\n")
    assert findings == ()
    assert vehicle is not None
    assert vehicle.components["tank"].remake == Remake(volume_mm3=3e6, least_mm=(60, 60, 80), thick_mm=1.5)


def test_the_volume_alone_will_do_and_is_in_litres(tmp_path: Path) -> None:
    vehicle, findings = read(tmp_path, "    may_be_remade: {volume: 2}\n")
    assert findings == ()
    assert vehicle is not None
    assert vehicle.components["tank"].remake == Remake(volume_mm3=2e6)


def test_unless_it_is_said_a_part_is_fitted_as_it_is(tmp_path: Path) -> None:
    vehicle, _ = read(tmp_path, "")
    assert vehicle is not None
    assert vehicle.components["tank"].remake is None


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ("    may_be_remade: {volume: 3000 l}\n", "absurd-volume"),
        ("    may_be_remade: {volume: 0}\n", "absurd-volume"),
        ("    may_be_remade: {volume: 3 kg}\n", "wrong-unit"),
        ("    may_be_remade: {volume: 3 l}\n    freedom: stays\n", "cannot-be-remade"),
        ("    may_be_remade: {volume: 3 l, least: [0, 60, 60]}\n", "negative-size"),
    ],
)
def test_what_cannot_be_is_said(tmp_path: Path, more: str, code: str) -> None:
    _, findings = read(tmp_path, more)
    assert [f.code for f in findings] == [code]
