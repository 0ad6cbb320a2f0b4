"""`knockon book` on a small project, within this process."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from book.reading import Read, having, words
from shed import JOB_ID, catalog_at_hand, run, shed_files, write_project
from worked_once import worked_once

WHEN = ("--from", "2027-01-01")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = write_project(tmp_path_factory.mktemp("book") / "shed", shed_files())
    with catalog_at_hand(), worked_once():
        ended = run("book", folder, JOB_ID, "--limit", "1", *WHEN, "--paper", "letter")
    assert ended.code == 0, ended.err
    assert str(folder / "out" / f"{JOB_ID}.book.html") in ended.out
    return folder


@pytest.fixture
def shed(made: Path, tmp_path: Path) -> Iterator[Path]:
    with catalog_at_hand(), worked_once():
        yield Path(shutil.copytree(made, tmp_path / "shed"))


def read(folder: Path) -> Read:
    return Read((folder / "out" / f"{JOB_ID}.book.html").read_text(encoding="utf-8"))


def test_the_file_is_a_whole_book_on_the_paper_asked_for(shed: Path) -> None:
    page = read(shed)
    assert page.steps
    assert "size: letter" in page.page
    assert "Shed special" in words(page.root)
    assert "brake fluid" in words(page.root)


def test_a_job_that_was_begun_has_a_book_of_what_is_left(shed: Path) -> None:
    first = read(shed)
    assert run("plan", shed, JOB_ID, "--quick", *WHEN, "--short", "--agree").code == 0
    done = run("done", "1", "--in", shed, "--at", "2027-01-09T09:30")
    assert done.code == 0, done.err
    ended = run("book", shed, JOB_ID, "--limit", "1", "--from", "2027-01-09")
    assert ended.code == 0, ended.err
    left = read(shed)
    assert len(left.steps) == len(first.steps) - 1
    assert set(left.keys()) < set(first.keys())
    ended = run("book", shed, JOB_ID, "--limit", "1", "--at", "2027-01-09T09:00")
    assert (ended.code, "is before that" in ended.err) == (2, True)


def test_a_slip_is_told(shed: Path) -> None:
    ended = run("book", shed, "no-such-job")
    assert ended.code == 1
    assert "no-such-job" in ended.err


def test_a_session_is_made_for_an_hour(shed: Path) -> None:
    """The shed's first session begins at nine: made for eleven, nothing in it does."""
    days = [words(e) for e in read(shed).root.iter() if (e.get("id") or "").startswith("h-session-")]
    assert days[0] == "Session 1: Sat 9 Jan 2027"
    ended = run("book", shed, JOB_ID, "--limit", "1", "--session", "1", "--at", "2027-01-09T11:00")
    assert ended.code == 0, ended.err
    page = Read((shed / "out" / f"{JOB_ID}.session-1.html").read_text(encoding="utf-8"))
    (day,) = [words(e) for e in page.root.iter() if (e.get("id") or "") == "h-session-1"]
    starts = [words(e).split(",")[0] for e in having(page.root, "meta")]
    assert starts
    assert day != days[0] or min(starts) >= "11:00"


def test_not_an_hour_and_a_day(shed: Path) -> None:
    ended = run("book", shed, JOB_ID, "--at", "2027-01-10T09:00", *WHEN)
    assert (ended.code, "say one of them" in ended.err) == (2, True)
