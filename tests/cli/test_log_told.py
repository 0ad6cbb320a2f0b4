"""What the verbs of the log say of a line that would count for nothing, or for something else than was meant."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import JOB_ID, agreed_project, catalog_at_hand, run
from worked_once import worked_once

from planner.cli.logbook import log_book
from planner.log import unproved

LOG = f"jobs/{JOB_ID}.log.jsonl"
WHEN = ("--at", "2027-02-04T10:00")


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "200")
    with catalog_at_hand(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job whose plan is agreed, nothing done."""
    with catalog_at_hand():
        return agreed_project(tmp_path_factory.mktemp("told") / "shed")


@pytest.fixture
def shed(agreed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed, tmp_path / "shed"))


def last(folder: Path) -> dict[str, object]:
    found: dict[str, object] = json.loads((folder / LOG).read_text().splitlines()[-1])
    return found


def fine(folder: Path, *words: str) -> str:
    ended = run(*words, "--in", folder, *WHEN)
    assert ended.code == 0, ended.err
    return ended.out


def refused(folder: Path, *words: str) -> str:
    """What a command says that ends with a fault and writes nothing."""
    before = (folder / LOG).read_bytes()
    ended = run(*words, "--in", folder, *WHEN)
    assert ended.code in {1, 2}
    assert (folder / LOG).read_bytes() == before
    return ended.err


def step_with(folder: Path, words: str) -> str:
    steps = json.loads(run("next", folder, "-n", "200", "--json").out)["steps"]
    return str(next(s["number"] for s in steps if words in s["title"]))


def isolated(folder: Path) -> str:
    """Number of the step that cuts the battery off, done."""
    number = step_with(folder, "Switch everything off")
    told = int(step_with(folder, "Change told"))
    if told < int(number):
        fine(folder, "done", f"1-{told - 1}")
        fine(folder, "record", "check", "change-told", "yes", "--by", "AB")
        fine(folder, "done", f"{told + 1}-{number}")
    else:
        fine(folder, "done", f"1-{number}")
    return number


def test_who_signed_is_said_when_nobody_said_who(shed: Path) -> None:
    isolated(shed)
    assert "as before" not in fine(shed, "record", "check", "battery-dead", "12", "--by", "AB")
    assert "signed AB, as before" in fine(shed, "record", "check", "battery-dead", "0V yes")
    assert (last(shed)["by"], last(shed)["value"]) == ("AB", 0.0)


def test_a_check_of_a_state_is_not_signed_before_the_state_is_entered(shed: Path) -> None:
    number = step_with(shed, "Switch everything off")
    for which in ("battery-dead", number):
        told = refused(shed, "record", "check", which, "0 yes", "--by", "AB")
        assert number in told or "no step that makes check" in told
    isolated(shed)
    fine(shed, "record", "check", "battery-dead", "0 yes", "--by", "AB")
    book = log_book(shed)
    assert unproved(book.plan(), book.standing) == ()


def test_a_check_that_failed_says_what_it_holds_back(shed: Path) -> None:
    """The rule of the leak check stands before filling, moving and the road (its entry in the catalog)."""
    told = fine(shed, "record", "check", "brake-leak", "--failed", "wet at the union", "--by", "AB")
    assert "until Brake joints dry" in told
    assert "not moved under its own power" in told
    assert "not on the road" in told
    assert "next:" in told


def test_minutes_are_shared_out_among_open_steps_alone(shed: Path) -> None:
    fine(shed, "done", "1")
    told = refused(shed, "done", "1-2", "--took", "45")
    assert "done already" in told
    assert "  - 1 " in told
    fine(shed, "done", "1-2")
    assert last(shed)["sort"] == "done"


def test_a_step_that_is_done_says_how_it_is_done_again(shed: Path) -> None:
    fine(shed, "done", "1")
    fine(shed, "done", "2")
    number = last(shed)["n"]
    told = refused(shed, "done", "2")
    assert f"knockon undo {number}" in told
    fine(shed, "undo", str(number))
    fine(shed, "done", "2")


def test_of_several_steps_to_redo_only_the_one_at_fault_is_named(shed: Path) -> None:
    number = isolated(shed)
    told = refused(shed, "record", "check", "brake-leak", "2", "--by", "AB", "--redo", f"1,{number}")
    assert f"{number} Switch everything off" in told
    assert f"1,{number}" not in told


def test_a_size_says_what_it_was_and_what_takes_it_in(shed: Path) -> None:
    """The file has the tank at z = 560 +/- 5 mm."""
    told = fine(shed, "record", "size", "header-tank.at.z", "565 mm")
    assert "it was 560 mm +/- 5 mm in the file" in told
    assert "knockon replan" in told
    assert "it was 565 mm in the log" in fine(shed, "record", "size", "header-tank.at.z", "566 mm")


def test_a_day_without_a_session_is_no_loss(shed: Path) -> None:
    """The job works on Saturdays and Sundays; 10 and 13 February 2027 are a Wednesday and a Saturday."""
    assert "no session of this job is on Wed 10 Feb 2027" in fine(shed, "record", "lost", "2027-02-10")
    assert "no session" not in fine(shed, "record", "lost", "2027-02-13")
    fine(shed, "record", "extra", "2027-02-17", "18:00-20:00")
    assert "no session" not in fine(shed, "record", "lost", "2027-02-17")


def test_a_thing_that_nobody_knows_is_kept_and_that_is_said(shed: Path) -> None:
    assert "nothing on the vehicle is called `hedder tank`, did you mean `header-tank`" in fine(
        shed, "record", "kept", "hedder tank", "shelf"
    )
    assert last(shed)["of"] == "hedder tank"
    for known in ("header tank", "rear-cylinder", "1"):
        assert "nothing on the vehicle" not in fine(shed, "record", "kept", known, "shelf")


def test_work_that_failed_is_done_again_with_a_word_when_nothing_puts_it_right(shed: Path) -> None:
    """The first step rests on nothing: no other step is done again for it, and the plan has nothing to mend it yet."""
    fine(shed, "record", "failed", "1", "it fouls the linkage")
    told = fine(shed, "done", "1")
    assert "did not fit on Thu 4 Feb 2027 (it fouls the linkage)" in told
    assert "knockon undo" in told
    fine(shed, "undo")
    fine(shed, "undo")
    assert "did not fit" not in fine(shed, "done", "1")


def test_a_job_that_was_adopted_takes_nothing_more_and_says_the_way_back(shed: Path) -> None:
    ended = run("adopt", shed, JOB_ID, "--early", "trial", "--yes")
    assert ended.code == 0, ended.err
    number = last(shed)["n"]
    told = refused(shed, "done", "1")
    assert "was adopted" in told
    assert f"knockon undo {number}" in told


def test_what_is_to_be_settled_is_told_as_long_as_something_is_still_made(shed: Path) -> None:
    """The plan told so much: what a tape has to settle before metal is cut."""
    questions = [q.text for q in log_book(shed).plan().asked]
    effects = json.loads(run("moves", shed, JOB_ID, "--json").out)["effects"]
    assert questions == [e["text"] for e in effects if e["kind"] == "to be measured"]
    assert questions
    told = run("status", shed).out
    assert all(q in told for q in questions)
    assert [q["text"] for q in json.loads(run("status", shed, "--json").out)["questions"]] == questions
    assert "to be settled before metal is cut" in run("next", shed).out


def test_work_that_was_found_says_what_it_does_not_know(shed: Path) -> None:
    """Common practice, no published source: hot work and drilling want battery, fuel and brake lines away."""
    told = run("record", "found", "crack in the wall", "--minutes", "30", "--in", shed, *WHEN)
    assert told.code == 0, told.err
    assert "before it welds, grinds or drills the battery is off" in told.out
    assert "--before PART puts it first" in told.out
    placed = run("record", "found", "crack", "--before", "rear-cylinder", "--in", shed, *WHEN)
    assert placed.code == 0, placed.err
    assert "puts it first" not in placed.out


def test_what_one_command_wrote_is_taken_back_as_one(shed: Path) -> None:
    log = shed / LOG
    done = "steps done"
    fine(shed, "done", "1,2")
    written = log.read_bytes()
    told = fine(shed, "undo")
    assert "4  line 2 does not count any more: done: 1 " in told
    assert "5  line 3 does not count any more: done: 2 " in told
    assert f"0 {done}" in run("next", shed).out
    back = fine(shed, "undo", "5")
    assert back.count("counts again") == 2
    assert f"2 {done}" in run("next", shed).out
    # A line that is named is that line alone.
    fine(shed, "undo", "3")
    assert "1 step done" in run("next", shed).out
    fine(shed, "undo")
    assert f"0 {done}" in run("next", shed).out
    # Logs from before it was kept which lines belong together are read, and undone line by line.
    log.write_bytes(written.replace(b',"batch":2', b""))
    fine(shed, "undo")
    assert "1 step done" in run("next", shed).out
