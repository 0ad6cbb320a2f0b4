"""Jobs on the small vehicle of tests/data/good, written out in the tests."""

from __future__ import annotations

import re
from pathlib import Path

from small_catalog import small_catalog

from planner.finding import Finding
from planner.model.job import Job
from planner.shelf.load import load_job, load_vehicle

GOOD = Path(__file__).parents[1] / "data" / "good"
HEAD = """\
knockon: 1
name: Hung pedals
start: 2026-12-05
sessions:
  - {every: saturday, from: "09:00", to: "13:00"}
  - {on: 2026-12-16, from: "19:00", to: "21:00"}
"""
LINES = HEAD.count("\n")
CHANGES = """\
changes:
  - {do: move, part: header-tank, by: [0, 40, 0]}
  - {do: cut, id: slot, host: bulkhead, box: [4, 120, 60], at: [900, -300, 640]}
"""


def read_job(folder: Path, text: str) -> tuple[Job | None, tuple[Finding, ...]]:
    """The job that ``text`` says after ``HEAD``, and every finding."""
    (folder / "jobs").mkdir(exist_ok=True)
    (folder / "vehicle.yaml").write_bytes((GOOD / "vehicle.yaml").read_bytes())
    (folder / "jobs" / "j.yaml").write_text(HEAD + text, encoding="utf-8")
    vehicle, _ = load_vehicle(folder, small_catalog())
    assert vehicle is not None
    return load_job(folder, "j", vehicle, small_catalog())


def sound_job(folder: Path, text: str) -> Job:
    job, findings = read_job(folder, text)
    assert findings == ()
    assert job is not None
    return job


def told(folder: Path, text: str) -> list[tuple[str, str]]:
    """Code and text found at the place of each finding, to the end of its word."""
    lines = (HEAD + text).splitlines()
    _, findings = read_job(folder, text)
    found = []
    for finding in findings:
        rest = lines[finding.place.line - 1][finding.place.column - 1 :] if finding.place.line else ""
        word = re.match(r"[^\s,:\]}]*", rest)
        found.append((finding.code, word[0] if word else ""))
    return found
