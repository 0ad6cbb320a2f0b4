"""What hangs under a floor is worked on from beneath: `check` asks for stands.

HSE INDG434: nobody works beneath a vehicle that is not propped.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.cli.main import app

VEHICLE = """\
knockon: 1
name: Shed special
units: mm
doubt: 3 mm
zero: {x: front axle, y: centre line, z: sills}
ground: -200
components:
  floor-pan: {kind: floor, at: [1000, 0, 1], solids: [{box: [800, 600, 2]}]}
  filter:
    {kind: bracket, name: air bottle, at: [1000, 0, HEIGHT], solids: [{box: [80, 50, 50]}], mounted_on: floor-pan,
     NEEDSfreedom: comes off}
"""


@pytest.mark.parametrize(
    ("height", "needs", "told"),
    [("-26", "", True), ("28", "", False), ("-26", "needs: [on-stands], ", False), ("-26", "needs: [], ", False)],
)
def test_what_hangs_under_a_floor_is_asked_about(tmp_path: Path, height: str, needs: str, *, told: bool) -> None:
    text = VEHICLE.replace("HEIGHT", height).replace("NEEDS", needs)
    (tmp_path / "vehicle.yaml").write_text(text, encoding="utf-8")
    ended = CliRunner().invoke(app, ["check", str(tmp_path)])
    said = " ".join(ended.output.split())
    assert ("air bottle hangs under floor pan, 149 mm above the ground" in said) is told
    assert ("needs: [on-stands]" in said) is told
