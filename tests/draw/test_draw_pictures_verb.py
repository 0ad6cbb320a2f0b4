"""The verb's pictures of a job: which it draws, where it puts them, and what it does not draw."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from unittest.mock import Mock, patch

import pytest
import shed
from svg_reading import faults, root_of

from planner.cli import picturing
from planner.cli.picturing import Engine, Picture, Wanted, dot_here
from planner.draw import DotError
from planner.model.answer import Answer

PLAN_PICTURES = ("order", "sessions", "bands", "odds")


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return shed.write_project(tmp_path / "shed", shed.shed_files())


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    """The plan of the shed's job, worked out once."""
    project = shed.write_project(tmp_path_factory.mktemp("once") / "shed", shed.shed_files())
    wanted = Wanted(
        project=project,
        job=shed.JOB_ID,
        what=Picture.ODDS,
        words=False,
        engine=Engine.OWN,
        option="",
        from_day=datetime(2026, 5, 4),  # noqa: DTZ001  # sessions are wall clock
        limit_s=0.5,
    )
    with shed.catalog_at_hand():
        return picturing._answer(wanted)  # noqa: SLF001  # the slow step of all pictures


def see_both(project: Path, what: str) -> None:
    ended = shed.run("draw", project, shed.JOB_ID, "--what", what, "--from", "2026-05-04", "--limit", "1")
    told = shed.run("draw", project, shed.JOB_ID, "--what", what, "--words", "--from", "2026-05-04", "--limit", "1")
    assert (ended.code, told.code) == (0, 0), ended.err + told.err
    path = project / "out" / f"{shed.JOB_ID}.{what}.svg"
    assert ended.out == f"drawn in {path}\n"
    svg = path.read_text(encoding="utf-8")
    assert faults(svg) == []
    assert root_of(svg).attrib["id"] == f"p-{shed.JOB_ID}_{what}"
    assert len(told.out.splitlines()) > 4
    assert [p.name for p in (project / "out").iterdir()] == [path.name]


@pytest.mark.parametrize("what", ["tree", *PLAN_PICTURES])
def test_each_is_written_into_the_project_and_told(project: Path, what: str, answer: Answer) -> None:
    with shed.catalog_at_hand(), patch("planner.cli.picturing._answer", return_value=answer):
        see_both(project, what)


@pytest.mark.slow
@pytest.mark.parametrize("what", PLAN_PICTURES)
def test_each_from_its_own_plan(project: Path, what: str) -> None:
    with shed.catalog_at_hand():
        see_both(project, what)


def test_a_plan_that_the_checker_does_not_accept_is_not_drawn(project: Path, answer: Answer) -> None:
    wrong = Mock(answer=replace(answer, violations=("the tank is in two places",)))
    with shed.catalog_at_hand(), patch("planner.cli.replanning.replanned", return_value=wrong):
        ended = shed.run("draw", project, shed.JOB_ID, "--what", "bands")
    assert ended.code == 70
    assert "the tank is in two places" in ended.err
    assert not (project / "out").exists()


def test_it_goes_where_it_is_told(project: Path, tmp_path: Path) -> None:
    with shed.catalog_at_hand():
        file = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "-o", tmp_path / "a" / "b.svg")
        piped = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "-o", "-")
    assert file.code == 0
    assert piped.out == (tmp_path / "a" / "b.svg").read_text(encoding="utf-8")
    assert not (project / "out").exists()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--what", "bands"), "--what bands is a picture of a job"),
        ((shed.JOB_ID, "--what", "tree", "--near", "fuse-box"), "--near and --reach are for elevations"),
        ((shed.JOB_ID, "--what", "tree", "--words", "-o", "a.svg"), "--words prints and writes no file"),
        ((shed.JOB_ID, "--what", "cake"), "cake"),
    ],
)
def test_a_wrong_line_is_told_in_words(project: Path, arguments: tuple[str, ...], said: str) -> None:
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, *arguments)
    assert ended.code == 2
    assert said in ended.err
    assert not (project / "out").exists()


@pytest.mark.parametrize("what", ["tree", "order"])
def test_a_job_without_an_answer_is_not_drawn(tmp_path: Path, what: str) -> None:
    job = shed.JOB.replace("at: [690, 150, 500]", "at: [80, 0, 250]")
    project = shed.write_project(tmp_path / "shed", shed.shed_files(job=job))
    with shed.catalog_at_hand():
        ended = shed.run("draw", project, shed.JOB_ID, "--what", what)
    assert ended.code == 1
    assert not (project / "out").exists()


def test_without_dot_it_is_laid_out_by_ourselves(project: Path) -> None:
    with shed.catalog_at_hand():
        own = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "--engine", "own", "-o", "-")
        with patch("planner.cli.picturing.dot_here", return_value=None):
            without = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "-o", "-")
            asked = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "--engine", "dot", "-o", "-")
    assert own.out == without.out
    assert asked.code == 3
    assert "there is no dot program here" in asked.err


@pytest.mark.skipif(dot_here() is None, reason="no dot program")
def test_a_dot_that_fails_is_told_and_done_without(project: Path) -> None:
    with shed.catalog_at_hand():
        by_dot = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "--engine", "dot", "-o", "-")
        own = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "--engine", "own", "-o", "-")
        with patch("planner.draw.tree.laid_out_by_dot", side_effect=DotError("it fell over")):
            fallen = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "-o", "-")
            asked = shed.run("draw", project, shed.JOB_ID, "--what", "tree", "--engine", "dot", "-o", "-")
    assert by_dot.code == 0
    assert by_dot.out != own.out
    assert (fallen.code, fallen.out) == (0, own.out)
    assert "it fell over" in fallen.err
    assert asked.code == 3
