"""A file that was saved by half is told to break off where it does, beside what is missing there."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.shelf import load_catalog, load_vehicle

WHOLE = """\
knockon: 1
name: Half
units: mm
zero: {x: front axle, y: centre line, z: rails}
ground: -300
components:
  rail:
    kind: chassis-rail
    at: [500, 0, 0]
    solids: [{box: [1200, 60, 40]}]
  wall:
    kind: bulkhead
    at: [0, 0, 300]
    solids: [{box: [2, 900, 500]}]
    mounted_on: rail
"""
TOLD = "the file ends here in the middle of a line: it may not have been saved whole"


def hints(folder: Path, text: str) -> list[str]:
    (folder / "vehicle.yaml").write_text(text)
    catalog, _ = load_catalog()
    return [f"{f.code}: {f.hint}" for f in load_vehicle(folder, catalog)[1]]


@pytest.mark.parametrize(
    ("end", "code"), [("    at: [0, 0, 300]", "missing-key"), ("    solids: [{box: [2, 900", "yaml-syntax")]
)
def test_a_text_that_ends_in_the_middle_of_a_line_is_told_so_at_its_last_entry(
    tmp_path: Path, end: str, code: str
) -> None:
    half = WHOLE[: WHOLE.rindex(end) + len(end)]
    [told] = hints(tmp_path, half)
    assert told.startswith(code)
    assert told.endswith(TOLD)
    # The same with its last line ended is wrong in the same way, and nothing says that it was not saved.
    [plain] = hints(tmp_path, half + "\n")
    assert plain.startswith(code)
    assert TOLD not in plain


def test_what_is_missing_before_the_last_entry_has_nothing_to_do_with_the_end(tmp_path: Path) -> None:
    text = WHOLE.replace("    at: [500, 0, 0]\n", "").removesuffix("\n")
    assert TOLD not in " ".join(hints(tmp_path, text))
