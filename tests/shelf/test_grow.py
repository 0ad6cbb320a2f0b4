"""What a job says of a part that is made larger: how long it is away and what it costs."""

from __future__ import annotations

from pathlib import Path

import pytest
from workshop import scuttle, shelf

from planner.files.values import side_called
from planner.finding import Finding
from planner.model.job import Grow, Job
from planner.model.shapes import Direction
from planner.shelf import load_job


def job_of(folder: Path, more: str) -> tuple[Job | None, tuple[Finding, ...]]:
    (folder / "jobs").mkdir()
    change = f"changes:\n  - {{do: grow, part: tank, by: [0, 60, 0]{more}}}\n"
    (folder / "jobs" / "larger.yaml").write_text(f"knockon: 1\nname: larger\n{change}", encoding="utf-8")
    return load_job(folder, "larger", scuttle(), shelf())


@pytest.mark.parametrize(
    ("more", "price", "days", "told"),
    [
        ("", 0.0, 0, False),
        (", lead: 21 days, price: 120", 120.0, 21, True),
        (", lead: 3 weeks", 0.0, 21, True),
        (", lead: 0", 0.0, 0, True),
    ],
)
def test_lead_and_price_are_read(tmp_path: Path, more: str, price: float, days: int, *, told: bool) -> None:
    job, findings = job_of(tmp_path, more)
    assert [f for f in findings if f.severity.value == "error"] == []
    assert job is not None
    assert job.changes == (Grow(part="tank", by_mm=(0.0, 60.0, 0.0), price=price, lead_days=days, lead_told=told),)


@pytest.mark.parametrize("more", [", lead: soon", ", lead: -3", ", price: -1", ", leads: 3"])
def test_what_is_no_lead_or_price_is_told(tmp_path: Path, more: str) -> None:
    _, findings = job_of(tmp_path, more)
    assert [f.place.line for f in findings if f.severity.value == "error"] == [4]


@pytest.mark.parametrize(
    ("told", "stays"),
    [
        ("left", (Direction.LEFT,)),
        ("[right]", (Direction.RIGHT,)),
        ("[left, left]", (Direction.LEFT,)),
    ],
)
def test_the_side_that_stays_is_read(tmp_path: Path, told: str, stays: tuple[Direction, ...]) -> None:
    job, _ = job_of(tmp_path, f", from: {told}")
    assert job is not None
    assert job.changes == (Grow(part="tank", by_mm=(0.0, 60.0, 0.0), stays=stays),)


@pytest.mark.parametrize(
    ("told", "code"),
    [("bottom", "bad-grow"), ("[left, right]", "bad-grow"), ("below", "unknown-choice"), ("3", "unknown-choice")],
)
def test_a_side_that_cannot_stay_is_told(tmp_path: Path, told: str, code: str) -> None:
    _, findings = job_of(tmp_path, f", from: {told}")
    assert [(f.code, f.place.line) for f in findings if f.severity.value == "error"] == [(code, 4)]


def test_faces_and_ways_name_the_same_sides() -> None:
    """A tank on a tray grows upwards: its owner calls what stays its bottom; rooms call that side `down`."""
    for face, way in (("bottom", "down"), ("top", "up"), ("front", "forwards"), ("rear", "rearwards")):
        assert side_called(face) == side_called(way) == Direction(way)


def test_a_part_is_not_moved_and_made_larger_at_once(tmp_path: Path) -> None:
    _, findings = job_of(tmp_path, "}\n  - {do: move, part: tank, by: [0, 0, 4]")
    (found,) = [f for f in findings if f.severity.value == "error"]
    assert (found.code, found.place.line) == ("changed-twice", 5)
    assert "`tank` is grown and moved" in found.message
    assert "replace" in found.hint
    assert "`from: bottom`" in found.hint
