"""A job in the middle of which the program is updated: what was done under names that are not known any more.

The earlier program is made by hand: the agreed plan and the log are written with other names for some steps, and the
plan says that another program made it.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import JOB_ID, agreed_project, catalog_at_hand, fine, first_packing, run

from planner.cli.logbook import log_book
from planner.knockon.outcome import Outcome
from planner.knockon.runs import RunBook, runs_for
from planner.log import open_keys
from planner.model.runs import RunsBefore

AT = ("--at", "2027-01-09T12:30")
HEAD = "what was done and is no step of the plan any more"
LOOK = "Look over what was done by an earlier plan"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "2000")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand(), first_packing():
        yield


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two steps done, a check that failed, a part off, and the battery cut off."""
    with catalog_at_hand(), first_packing():
        folder = agreed_project(tmp_path_factory.mktemp("begun") / "shed")
        at = ("--in", folder, "--at", "2027-01-09T12:00")
        fine(run("done", "1,2", *at))
        fine(run("record", "check", "change-told", "no", "--by", "AB", *at))
        steps = json.loads(run("next", folder, "-n", "200", "--json").out)["steps"]
        number = {s["key"]: str(s["number"]) for s in steps}
        fine(run("done", number["state:battery-isolated:on#1"], *at))
        fine(run("record", "check", "battery-dead", "0 yes", "--by", "AB", *at))
        fine(run("done", number["wiper-lever:off#1"], *at))
        return folder


def before_the_update(begun: Path, folder: Path, renamed: dict[str, str], *, made_by: str = "another") -> Path:
    """The job as a program would have left it that calls some of its steps otherwise."""
    shutil.copytree(begun, folder)
    log = folder / "jobs" / f"{JOB_ID}.log.jsonl"
    text = log.read_text()
    (old,) = (folder / "jobs" / f"{JOB_ID}.plans").iterdir()
    plan = old.read_text()
    for now, then in renamed.items():
        for end in ('"', ":"):
            plan, text = (t.replace(f'"{now}{end}', f'"{then}{end}') for t in (plan, text))
    told = json.loads(plan)
    plan = json.dumps({**told, "made_by": made_by or told["made_by"]}, ensure_ascii=False, separators=(",", ":")) + "\n"
    digest = hashlib.sha256(plan.encode()).hexdigest()[:16]
    (old.parent / f"{digest}.json").write_text(plan)
    log.write_text(text.replace(old.stem, digest))
    return folder


def test_what_was_done_and_is_not_known_is_told_once_kept_and_looked_over(begun: Path, tmp_path: Path) -> None:
    folder = before_the_update(begun, tmp_path / "shed", {"slot.1": "slot.first"})
    told = fine(run("replan", folder, JOB_ID, *AT, "--agree"))
    assert HEAD in told
    assert "Mark slot and its doubler on bulkhead" in told.split(HEAD)[1].split("what changes")[0]
    assert "(line 2, Sat 9 Jan 2027): stays in the log, counts for no step and no check" in told
    book = log_book(folder)
    titles = [book.plan().work.tasks[k].title for k in open_keys(book.plan(), book.standing) if k.startswith("look")]
    assert len(titles) == 1
    assert titles[0].startswith(LOOK)
    # What the program asks for now is open, whatever was done under the other name.
    assert "slot.1" in open_keys(book.plan(), book.standing)
    again = fine(run("replan", folder, JOB_ID, *AT))
    assert HEAD not in again
    assert "still holds" in again
    assert "done: 1 Mark slot and its doubler on bulkhead" in fine(run("status", folder, "--log"))


def test_a_check_that_failed_and_a_state_that_was_entered_go_on_as_agreed(begun: Path, tmp_path: Path) -> None:
    names = {"check.change-told": "check.all-know", "change-told": "all-know"}
    names |= {"state:battery-isolated": "state:current-off"}
    folder = before_the_update(begun, tmp_path / "shed", names)
    told = fine(run("replan", folder, JOB_ID, *AT, "--agree")).split(HEAD)[1]
    assert "Check: Change told to those who must know, before metal is cut (it failed)" in told
    assert "battery isolated: yes" in told
    assert told.count("goes on as it was agreed") == 2
    book = log_book(folder)
    left = open_keys(book.plan(), book.standing)
    assert {"check.all-know", "check.change-told", "state:current-off:off#1"} <= {*left}
    assert not book.standing.is_passed("change-told")
    assert HEAD not in fine(run("replan", folder, JOB_ID, *AT))


def test_the_same_program_still_asks_for_what_its_files_do_not_know_any_more(begun: Path, tmp_path: Path) -> None:
    folder = before_the_update(begun, tmp_path / "shed", {"slot.1": "slot.first"}, made_by="")
    ended = run("replan", folder, JOB_ID, *AT)
    assert ended.code == 1
    assert "work was done that the job's file does not ask for any more" in ended.err


def test_a_step_that_no_plan_ever_had_is_told_whoever_wrote_it(begun: Path, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(begun, tmp_path / "shed"))
    log = folder / "jobs" / f"{JOB_ID}.log.jsonl"
    log.write_text(log.read_text().replace('"key":"slot.1"', '"key":"slot.zwo"'))
    told = fine(run("replan", folder, JOB_ID, *AT, "--agree"))
    assert "slot.zwo (line 2, Sat 9 Jan 2027): stays in the log" in told
    assert "updated" not in told


def test_a_size_is_not_blamed_for_what_the_update_plans_otherwise(begun: Path, tmp_path: Path) -> None:
    folder = before_the_update(begun, tmp_path / "shed", {"slot.9": "slot.last"})
    size = ("record", "size", "fuse-box.box.x", "50 +/- 1 mm", "--sure", "--in", folder, *AT)
    told = fine(run(*size))
    assert "The agreed plan still holds" in told
    assert "STOP" not in told
    # 40 mm into the bulkhead, which may not move.
    far = ("record", "size", "rear-cylinder.at.x", "730 mm", "--sure", "--in", folder, *AT)
    assert "leaves no place" in fine(run(*far))


def test_a_size_is_looked_at_with_the_runs_that_were_agreed(
    begun: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = Path(shutil.copytree(begun, tmp_path / "shed"))
    agreed = log_book(folder).plan().runs
    assert "header-fill-hose" in agreed.corners_mm
    given: list[RunsBefore | None] = []

    def watched(out: Outcome, before: RunsBefore | None = None) -> RunBook:
        given.append(before)
        return runs_for(out, before)

    monkeypatch.setattr("planner.knockon.engine.runs_for", watched)
    fine(run("record", "size", "fuse-box.box.x", "50 +/- 1 mm", "--sure", "--in", folder, *AT))
    assert given == [agreed]
