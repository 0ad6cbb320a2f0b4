"""`knockon check` on a room that is not free: the line it gives is copied into the file, and then the room is free.

The cylinder's upper face is at z = 120 mm, its kind wants 100 mm above it, and the bracket begins at 180: 40 mm of it
are taken and 60 are left. All worked out by hand; the kind's room is in catalog/kinds-brakes.yaml.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import catalog_at_hand, run

TEXT = """\
knockon: 1
name: room
units: {units}
zero: {{x: a, y: b, z: c}}
ground: -300 mm
systems:
  brakes: {{kind: hydraulic-brake}}
components:
  frame:
    kind: chassis-rail
    at: [0 mm, 0 mm, 0 mm]
    solids: [{{box: [3000 mm, 40 mm, 10 mm]}}]
  cylinder:
    kind: brake-master-cylinder
    at: [500 mm, 0 mm, 100 mm]
    solids: [{{box: [140 mm, 40 mm, 40 mm]}}]
    mounted_on: frame
    systems: [brakes]
  bracket:
    kind: bracket
    at: [500 mm, 0 mm, {low} mm]
    solids: [{{box: [40 mm, 40 mm, 40 mm], at: [0 mm, 0 mm, 20 mm]}}]
    mounted_on: frame
"""


@pytest.fixture(autouse=True)
def plain() -> Iterator[None]:
    with catalog_at_hand():
        yield


def hints(folder: Path, text: str) -> list[str]:
    """What is said to rooms that are not free."""
    folder.mkdir(exist_ok=True)
    (folder / "vehicle.yaml").write_text(text, "utf-8")
    findings = json.loads(run("check", folder, "--json").out)["findings"]
    return [f["hint"] for f in findings if f["code"] == "room-blocked-at-start"]


@pytest.mark.parametrize(("units", "depth"), [("mm", "60 mm"), ("inch", "2.3 in")])
def test_each_line_of_the_hint_makes_the_room_free(units: str, depth: str, tmp_path: Path) -> None:
    """60 mm is 2.36 in, told a tenth shorter."""
    text = TEXT.format(units=units, low=180)
    (hint,) = hints(tmp_path, text)
    lines = re.findall(r"`(rooms: [^`]*)`", hint)
    assert [depth in line for line in lines] == [True, False]
    assert ["needed: taking off" in line for line in lines] == [False, True]
    assert "in the block of `cylinder`" in hint
    for line in lines:
        assert not hints(tmp_path, text.replace("    systems: [brakes]\n", f"    systems: [brakes]\n    {line}\n"))


def test_no_shallower_room_is_told_where_none_is_left(tmp_path: Path) -> None:
    """The bracket stands on the cylinder: its underside at 121 mm leaves a millimetre."""
    (hint,) = hints(tmp_path, TEXT.format(units="inch", low=121))
    lines = re.findall(r"`(rooms: [^`]*)`", hint)
    assert ["needed: taking off" in line for line in lines] == [True]
