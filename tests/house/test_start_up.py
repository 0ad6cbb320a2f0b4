"""`knockon --help` starts without the heavy libraries."""

import subprocess
import sys

import pytest

HEAVY = ("ortools", "numpy", "networkx", "pint", "pandas", "fcl", "manifold3d")


def loaded(*arguments: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "planner", *arguments],
        capture_output=True,
        text=True,
        check=True,
    )
    names = (line.rsplit("|", 1)[-1].strip() for line in done.stderr.splitlines() if line.startswith("import time:"))
    return {name.split(".")[0] for name in names}


@pytest.mark.parametrize("arguments", [["--help"], ["plan", "--help"]])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    assert loaded(*arguments) & set(HEAVY) == set()


def test_the_measure_sees_what_is_loaded() -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", "import networkx"], capture_output=True, text=True, check=True
    )
    assert "networkx" in done.stderr
