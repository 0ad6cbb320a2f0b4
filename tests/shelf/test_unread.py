"""A file of a project that nobody would read is told, with the name it would be read by."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.finding import Severity
from planner.shelf import list_jobs, load_job, load_vehicle, unread_files

GOOD = Path(__file__).parents[1] / "data" / "good"


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return Path(shutil.copytree(GOOD, tmp_path / "car"))


@pytest.mark.parametrize(
    ("name", "new"),
    [
        ("two circuits.yaml", "two-circuits.yaml"),
        ("two-circuits.yml", "two-circuits.yaml"),
        ("Two_Circuits.YAML", "two-circuits.yaml"),
        ("Hung Pedals.yaml", "hung-pedals-2.yaml"),
        ("_.yaml", "job.yaml"),
    ],
)
def test_a_job_that_is_not_read_is_told_with_the_name_that_would_be(project: Path, name: str, new: str) -> None:
    before = list_jobs(project)
    text = (project / "jobs" / "hung-pedals.yaml").read_text(encoding="utf-8")
    (project / "jobs" / name).write_text(text, encoding="utf-8")
    (found,) = unread_files(project)
    assert (found.code, found.severity) == ("not-read", Severity.WARNING)
    assert name in found.place.file
    assert f"rename it `{new}`" in found.hint
    (project / "jobs" / name).rename(project / "jobs" / new)
    assert unread_files(project) == ()
    assert list_jobs(project) == tuple(sorted([*before, new.removesuffix(".yaml")]))


def test_a_sound_project_has_none_and_other_files_are_left_alone(project: Path) -> None:
    (project / "jobs" / "hung-pedals.log.jsonl").touch()
    (project / "jobs" / "notes.txt").touch()
    (project / "out.yaml").touch()
    (project / "jobs" / "old.yaml").mkdir()
    assert unread_files(project) == ()
    assert unread_files(project / "nowhere") == ()


def test_a_vehicle_by_another_ending_is_told(project: Path) -> None:
    (project / "vehicle.yml").write_bytes((project / "vehicle.yaml").read_bytes())
    assert [f.message for f in unread_files(project)] == ["`vehicle.yml` is not read"]
    (project / "vehicle.yaml").unlink()
    vehicle, (fault,) = load_vehicle(project, small_catalog())
    assert vehicle is None
    assert fault.hint == "rename `vehicle.yml`: it has to be called `vehicle.yaml`"


@pytest.mark.parametrize("asked", ["two circuits", "two circuits.yml"])
def test_a_job_asked_for_by_a_name_that_cannot_be_is_sent_to_check(project: Path, asked: str) -> None:
    (project / "jobs" / "two circuits.yml").touch()
    vehicle, _ = load_vehicle(project, small_catalog())
    assert vehicle is not None
    job, (fault,) = load_job(project, asked, vehicle, small_catalog())
    assert job is None
    assert "`two circuits.yml`" in fault.hint
    assert "knockon check" in fault.hint
