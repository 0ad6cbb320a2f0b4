"""Names for shell completion: right, and without loading the engine."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from cli.shed import catalog, shed_files, write_project

from planner.cli.completing import job_names, kind_names, link_kind_names, part_names
from planner.shelf import list_jobs, load_vehicle, projects_folder

HEAVY = {"ortools", "numpy", "networkx", "pint", "fcl", "manifold3d"}


def test_names_are_those_the_files_have() -> None:
    car = projects_folder() / "trials-car"
    vehicle, _ = load_vehicle(car, catalog())
    assert vehicle is not None
    assert part_names(car) == list(vehicle.components)
    assert job_names(car) == list(list_jobs(car))
    assert kind_names() == sorted(catalog().kinds)
    assert link_kind_names() == sorted(catalog().link_kinds)


@pytest.mark.parametrize("vehicle", ["", "components:\n", "components: {a: 1}\n", "components:\n\t\x00:\n", "\xff\n"])
def test_a_file_that_is_no_vehicle_gives_no_names(vehicle: str, tmp_path: Path) -> None:
    (tmp_path / "vehicle.yaml").write_bytes(vehicle.encode("latin-1"))
    assert part_names(tmp_path) == []
    assert part_names(tmp_path / "gone") == job_names(tmp_path / "gone") == []


def completed(words: str, at: Path) -> list[str]:
    """What the shell would offer for the last word."""
    shell = {"_KNOCKON_COMPLETE": "complete_bash", "COMP_WORDS": words, "COMP_CWORD": str(len(words.split(" ")) - 1)}
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", "from planner.cli.main import app; app(prog_name='knockon')"],
        env={**os.environ, **shell, "PYTHONPATH": str(projects_folder().parent)},
        capture_output=True,
        text=True,
        check=False,
        cwd=at,
    )
    loaded = {line.rsplit("|", 1)[-1].strip().split(".")[0] for line in done.stderr.splitlines() if "|" in line}
    assert loaded & HEAVY == set()
    return done.stdout.split()


def test_the_shell_completes_parts_and_kinds(tmp_path: Path) -> None:
    write_project(tmp_path / "shed", shed_files())
    assert completed("knockon new job shed wider --part he", tmp_path) == ["header-tank"]
    assert completed("knockon new part shed --kind brake-m", tmp_path) == ["brake-master-cylinder"]
