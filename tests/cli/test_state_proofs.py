"""A state that work rests on, such as stands or a dead battery, counts only when its check is passed."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import agreed_project, catalog_at_hand, run
from worked_once import worked_once

from planner.cli.logbook import log_book
from planner.log import unproved
from planner.model.steps import step_of_key
from planner.model.work import Toggle

WHEN = "2027-02-04T10:00"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def entered(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job worked up to the first state that a check has to prove, the check not made."""
    with catalog_at_hand():
        folder = agreed_project(tmp_path_factory.mktemp("proofs") / "shed")
        for key in log_book(folder).plan().keys:
            task = log_book(folder).plan().work.tasks.get(step_of_key(key).ref)
            if task is not None and task.checkpoint is not None:
                words = ("record", "check", task.checkpoint, passing(folder, task.checkpoint), "--by", "AB")
            else:
                words = ("done", str(log_book(folder).plan().named[key]))
            ended = run(*words, "--in", folder, "--at", WHEN)
            assert ended.code == 0, ended.err
            if proved_by(folder, key):
                return folder
    raise AssertionError("no step of the plan has a check of its own")


def proved_by(folder: Path, key: str) -> tuple[str, ...]:
    work = log_book(folder).plan().work
    step = step_of_key(key)
    toggle: Toggle | None = work.features[step.ref].turn_on if step.on else None
    return () if toggle is None else toggle.checks


def failing(folder: Path, check: str) -> str:
    """A reading out of the check's limit."""
    point = log_book(folder).plan().work.checkpoints[check]
    if point.high is not None:
        return str(point.high + 1)
    return "no" if point.low is None else str(point.low - 1)


def passing(folder: Path, check: str) -> str:
    point = log_book(folder).plan().work.checkpoints[check]
    bound = point.low if point.low is not None else point.high
    return "yes" if bound is None else f"{bound} yes"


def signed(folder: Path, check: str, reading: str) -> str:
    ended = run("record", "check", check, reading, "--by", "AB", "--in", folder, "--at", WHEN)
    assert ended.code == 0, ended.err
    return ended.out


def test_a_state_that_nobody_has_proved_comes_before_any_step(entered: Path) -> None:
    book = log_book(entered)
    checks = unproved(book.plan(), book.standing)
    assert len(checks) == 1
    told = run("next", entered).out
    assert f"sign before anything else: CHECK {book.plan().work.checkpoints[checks[0]].title}" in told
    assert "then: knockon done" not in told
    assert json.loads(run("next", entered, "--json").out)["prove_first"] == list(checks)


def test_a_state_whose_check_failed_stops_the_work_until_it_passes(entered: Path, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(entered, tmp_path / "shed"))
    book = log_book(folder)
    check = unproved(book.plan(), book.standing)[0]
    for told in (signed(folder, check, failing(folder, check)), run("next", folder).out):
        assert f"STOP: CHECK {book.plan().work.checkpoints[check].title}" in told
        assert f"knockon record check {check} READING" in told
        assert "next:" not in told
        assert "then: knockon done" not in told
    assert "next:" in signed(folder, check, passing(folder, check))
    assert "then: knockon done" in run("next", folder).out


def test_a_state_left_again_stops_nothing(entered: Path, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(entered, tmp_path / "shed"))
    book = log_book(folder)
    check = unproved(book.plan(), book.standing)[0]
    signed(folder, check, failing(folder, check))
    entry = next(k for k in book.standing.done if check in proved_by(folder, k))
    assert run("undo", str(book.standing.done[entry].n), "--in", folder, "--at", WHEN).code == 0
    after = log_book(folder)
    assert unproved(after.plan(), after.standing) == ()
    assert "STOP" not in run("next", folder).out
