"""One defect a file: the one finding that it must give, word for word, with its line and column.

The golden texts beside the files are read and approved by eye; a file whose text is absent fails.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from small_catalog import small_catalog

from planner.finding import Finding, has_errors
from planner.shelf.load import load_job, load_vehicle

DATA = Path(__file__).parents[1] / "data"
VEHICLES = sorted((DATA / "bad" / "vehicle").glob("*.yaml"))
JOBS = sorted((DATA / "bad" / "job").glob("*.yaml"))


def told(findings: tuple[Finding, ...]) -> str:
    """Findings as a person reads them."""
    lines = []
    for f in findings:
        place = f"{Path(f.place.file).name}:{f.place.line}:{f.place.column}"
        lines.append(f"{place}: {f.severity}: {f.message} [{f.code}]\n  hint: {f.hint}\n")
    return "".join(lines)


def findings_of(path: Path, folder: Path) -> tuple[Finding, ...]:
    """Findings about one bad file, put into a project; the value must be absent exactly when there is an error."""
    catalog = small_catalog()
    if path.parent.name == "vehicle":
        shutil.copy(path, folder / "vehicle.yaml")
        car, findings = load_vehicle(folder, catalog)
        assert (car is None) == has_errors(findings)
    else:
        shutil.copy(DATA / "good" / "vehicle.yaml", folder)
        (folder / "jobs").mkdir()
        shutil.copy(path, folder / "jobs")
        vehicle, none = load_vehicle(folder, catalog)
        assert vehicle is not None
        assert none == ()
        job, findings = load_job(folder, path.stem, vehicle, catalog)
        assert (job is None) == has_errors(findings)
    return findings


@pytest.mark.parametrize("path", [*VEHICLES, *JOBS], ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_each_defect_gives_one_finding(path: Path, tmp_path: Path) -> None:
    findings = findings_of(path, tmp_path)
    assert [f.code for f in findings] == [path.stem]
    assert told(findings) == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_the_good_files_give_none(tmp_path: Path) -> None:
    del tmp_path
    vehicle, findings = load_vehicle(DATA / "good", small_catalog())
    assert findings == ()
    assert vehicle is not None
    for name in ("hung-pedals", "choices"):
        job, findings = load_job(DATA / "good", name, vehicle, small_catalog())
        assert findings == ()
        assert job is not None
