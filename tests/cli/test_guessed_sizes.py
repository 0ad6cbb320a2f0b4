"""A new part that nobody measured: `new job`, `check`, `moves`, `plan` and the book say that its size is a guess."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

import pytest
from shed import catalog_at_hand, first_packing, run, shed_files, write_project
from worked_once import worked_once

JOB = "lever"
TEXT = """\
knockon: 1
name: Another cylinder
start: 2027-01-09
changes:
  - do: add
    part: rear-cylinder
    component:
      kind: brake-master-cylinder
      at: [690, 150, 500]
      solids: [{cylinder: {across: 40%s, length: 138%s, along: x}}]
      mounted_on: bulkhead
      systems: [rear-brakes]
      ports: {out: [-69, 0, 0]}
sessions:
  - {every: saturday, from: "09:00", to: "18:00", hands: 2}
"""
GUESS = " +/- 28"
"""A fifth of the length, as `new` has it."""
TAPE = " +/- 1"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "2000")
    with catalog_at_hand(), worked_once():
        yield


def project(folder: Path, doubt: str) -> Path:
    write_project(folder, shed_files())
    (folder / "jobs" / f"{JOB}.yaml").write_text(TEXT % (doubt, doubt), "utf-8")
    return folder


def warnings(folder: Path) -> list[dict[str, object]]:
    findings = json.loads(run("check", folder, "--json").out)["findings"]
    return [f for f in findings if f["code"] == "size-not-measured"]


def test_check_tells_it_with_its_place_and_what_rests_on_it(tmp_path: Path) -> None:
    (found,) = warnings(project(tmp_path / "shed", GUESS))
    assert (found["severity"], found["line"]) == ("warning", 10)
    assert "what is cut, drilled and bent for it rest on that" in str(found["hint"])
    assert not warnings(project(tmp_path / "other", TAPE))


def test_moves_and_plan_tell_it_before_all_else(tmp_path: Path) -> None:
    folder = project(tmp_path / "shed", GUESS)
    told = "the size of rear cylinder was never measured"
    moves = run("moves", folder, JOB).out
    assert moves.index(told) < moves.index("the job\n")
    with first_packing():
        plan = run("plan", folder, JOB, "--from", "2027-01-01").out
    steps = plan[plan.index("Sat 9 Jan 2027") :]
    assert told in plan
    drilled = steps.index("Drill bulkhead")
    assert steps.index("Measure rear cylinder over all") < drilled
    assert "first settle rear-cylinder.size" in steps[drilled:]


def test_words_do_not_settle_a_guess_a_size_does(tmp_path: Path) -> None:
    folder = project(tmp_path / "shed", GUESS)
    where = ("--in", folder, "--at", "2027-01-09T09:30")
    with first_packing():
        assert run("plan", folder, JOB, "--from", "2027-01-01", "--agree").code == 0
        ended = run("record", "settled", "rear-cylinder.size", "it will do", *where)
        assert ended.code == 2
        assert "knockon record size rear-cylinder" in ended.err
        assert run("done", "1", *where).code == 0
        for name, value in (("across", "40 +/- 1"), ("length", "138 +/- 1")):
            assert run("record", "size", f"rear-cylinder.cylinder.{name}", value, *where).code == 0
        assert run("replan", folder, JOB, "--agree", "--at", "2027-01-09T10:00").code == 0
    told = run("status", folder).out
    assert "never measured" not in told
    assert "STOP" not in told


def test_the_book_has_open_questions_at_the_steps_they_hold_back(tmp_path: Path) -> None:
    folder = project(tmp_path / "shed", GUESS)
    with first_packing():
        ended = run("book", folder, JOB, "-o", "-", "--from", "2027-01-01")
    assert ended.code == 0, ended.err
    sessions = ended.out[ended.out.index('id="session-1"') : ended.out.index('id="refit"')]
    drilled = sessions[sessions.index(">Drill bulkhead") :]
    step = drilled[: drilled.index("</li>\n<li class")]
    assert "First settle: the size of rear cylinder was never measured" in step


def test_new_job_says_so_when_no_size_is_told(tmp_path: Path) -> None:
    folder = project(tmp_path / "shed", TAPE)
    part = ("--do", "add", "--kind", "bracket", "--name", "stay", "--on", "bulkhead", "--when", "sat 09:00-13:00")
    with patch("sys.stdin", io.StringIO("\n" * 9)):
        told = run("new", "job", folder, "stays", *part, "--size", "not measured", "--at", "700 300 500")
    assert told.code == 0, told.err
    assert "the size of `stay` was never measured, it is a guess" in told.out + told.err
    with patch("sys.stdin", io.StringIO("\n" * 9)):
        sized = run("new", "job", folder, "stays again", *part, "--size", "40 x 40 x 40", "--at", "700 300 500")
    assert sized.code == 0, sized.err
    assert "never measured" not in sized.out + sized.err
