"""The verb: where it writes, what it prints and how it ends."""

from pathlib import Path

import pytest
import shed


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return shed.write_project(tmp_path / "shed", shed.shed_files())


def test_it_writes_into_the_project_and_says_where(project: Path) -> None:
    with shed.catalog_at_hand():
        plain, job = shed.run("draw", project), shed.run("draw", project, shed.JOB_ID)
    assert (plain.code, job.code) == (0, 0), plain.err + job.err
    for ended, name in ((plain, "vehicle"), (job, shed.JOB_ID)):
        path = project / "out" / f"{name}.svg"
        assert str(path) in ended.out
        assert path.read_text(encoding="utf-8").startswith("<svg ")
    assert sorted(p.name for p in (project / "out").iterdir()) == [f"{shed.JOB_ID}.svg", "vehicle.svg"]


def test_it_writes_where_it_is_told_or_to_stdout(project: Path, tmp_path: Path) -> None:
    told = tmp_path / "new folder" / "a.svg"
    with shed.catalog_at_hand():
        assert shed.run("draw", project, "-o", told).code == 0
        piped = shed.run("draw", project, "-o", "-")
    assert piped.out == told.read_text(encoding="utf-8")
    assert not (project / "out").exists()


def test_the_list_is_printed_and_nothing_written(project: Path) -> None:
    before = shed.read_project(project)
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, shed.JOB_ID, "--list")
    assert ended.code == 0
    assert "wiper lever (wiper-lever)" in ended.out
    assert shed.read_project(project) == before


def test_it_ends_as_other_verbs_do(project: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with shed.catalog_at_hand():
        assert shed.run("draw", tmp_path / "nowhere").code == shed.run("moves", tmp_path / "nowhere", "x").code == 1
        assert shed.run("draw", project, "no-such-job").code == shed.run("plan", project, "no-such-job").code
        assert shed.run("draw", project, "--list", "-o", "x.svg").code == 2
        assert shed.run("draw", project, "-o", tmp_path / "file" / "x.svg").code == 3


def test_a_job_without_an_answer_ends_with_a_fault(tmp_path: Path) -> None:
    # The new cylinder is put right through the radiator, which may only come off and go back.
    job = shed.JOB.replace("at: [690, 150, 500]", "at: [80, 0, 250]")
    project = shed.write_project(tmp_path / "shed", shed.shed_files(job=job))
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, shed.JOB_ID)
    assert ended.code == 1
    assert "nothing to draw" in ended.err
    assert not (project / "out").exists()
