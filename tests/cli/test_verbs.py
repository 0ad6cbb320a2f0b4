"""The verbs are loaded one by one, and all of them are there."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from shed import JOB_ID, run, shed_files, write_project

from planner.cli.verbs import IN_ORDER, UNDER
from planner.shelf import projects_folder

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("verb", IN_ORDER)
def test_each_verb_has_a_help_text_under_its_own_name(verb: str) -> None:
    told = run(verb, "-h").out
    assert f"knockon {verb} [OPTIONS]" in told.split("\n", 1)[0], told
    assert "-h, --help" in told


def test_the_help_text_lists_every_verb_once() -> None:
    told = run("-h").out
    below = told[told.index("Start here:\n") :].splitlines()
    listed = [line.split()[0] for line in below if line.startswith("  ") and not line.startswith("   ")]
    assert listed == list(IN_ORDER)
    assert [line.removesuffix(":") for line in below if line.endswith(":") and line[0] != " "] == list(UNDER)


def test_a_verb_misspelt_is_guessed() -> None:
    told = run("stauts")
    assert told.code == 2
    assert "status" in told.err


@pytest.mark.parametrize("verb", ["next", "done", "status"])
def test_a_verb_used_in_the_workshop_loads_neither_the_others_nor_what_only_they_need(
    verb: str, tmp_path: Path
) -> None:
    project = write_project(tmp_path / "shed", shed_files())
    run("plan", project, JOB_ID, "--quick", "--from", "2027-01-01", "--agree")
    where = ["--in", str(project)] if verb == "done" else [str(project)]
    ended = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "planner", verb, *where],
        env={**os.environ, "PYTHONPATH": str(projects_folder().parent)},
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
    )
    loaded = {line.rsplit("|", 1)[-1].strip() for line in ended.stderr.splitlines() if "|" in line}
    others = {f"planner.cli.{v}" for v in IN_ORDER} - {f"planner.cli.{verb}"}
    assert loaded & others == set()
    assert {n.split(".")[0] for n in loaded} & {"pydantic", "pint", "numpy", "ortools", "networkx"} == set()
