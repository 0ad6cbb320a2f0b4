"""Days given up and taken up again, by the last word on each: 10 January 2027 is a Sunday with two pairs of hands."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shed import JOB_ID, agreed_project, catalog_at_hand, fine, first_packing, run
from worked_once import worked_once

DAY = "2027-01-10"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("COLUMNS", "2000")
    monkeypatch.setenv("NO_COLOR", "1")
    with catalog_at_hand(), first_packing(), worked_once():
        yield


@pytest.fixture(scope="module")
def agreed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with catalog_at_hand(), first_packing():
        return agreed_project(tmp_path_factory.mktemp("agreed") / "shed")


@pytest.fixture
def shed(agreed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(agreed, tmp_path / "shed"))


def log(folder: Path) -> list[str]:
    return (folder / "jobs" / f"{JOB_ID}.log.jsonl").read_text().splitlines()


def days_of_plan(folder: Path) -> set[str]:
    fine(run("replan", folder, "--agree", "--at", "2027-01-08T20:00"))
    steps = json.loads(fine(run("next", folder, "-n", "300", "--json")))["steps"]
    return {s["planned"][:10] for s in steps}


def test_a_day_that_is_lost_already_is_told_and_written_once(shed: Path) -> None:
    fine(run("record", "lost", DAY, "--in", shed))
    before = log(shed)
    told = fine(run("record", "lost", DAY, "--in", shed))
    assert f"no work on Sun 10 Jan 2027 stands in the log already (line {len(before)})" in told
    assert log(shed) == before
    both = fine(run("record", "lost", DAY, "&", "2027-01-17", "--in", shed))
    assert "stands in the log already" in both
    assert [json.loads(line)["day"] for line in log(shed)[len(before) :]] == ["2027-01-17"]


def test_the_helper_is_ill_and_the_day_is_worked_alone(shed: Path) -> None:
    """The later line wins: lost with two hands, taken up for one, and given up once more."""
    assert DAY in days_of_plan(shed)
    fine(run("record", "lost", DAY, "--in", shed))
    fine(run("record", "extra", DAY, "14:00-18:00", "--hands", "1", "--in", shed))
    assert DAY in days_of_plan(shed)
    told = fine(run("record", "lost", DAY, "--in", shed))
    assert "already" not in told
    assert DAY not in days_of_plan(shed)


def planned(folder: Path) -> dict[str, str]:
    steps = json.loads(fine(run("next", folder, "-n", "300", "--json")))["steps"]
    return {s["key"]: s["planned"] for s in steps}


def test_hours_won_this_afternoon_are_worked_in_and_the_rest_stays_where_it_was(shed: Path) -> None:
    """Saturday 9 January 9 to 13, one pair of hands, is full; what was for Sunday is done that afternoon."""
    before = planned(shed)
    now = ("--at", "2027-01-09T08:30")
    fine(run("record", "extra", "2027-01-09", "14:00-18:00", "2", "--in", shed, *now))
    fine(run("replan", shed, "--agree", *now))
    after = planned(shed)
    changed = [k for k in before if after[k][:10] != before[k][:10]]
    # The paint is a week later, and what it is dried in is of no use before it.
    unused = {"state:fire-watch-ready:off#1", "state:paint-wet:on#1"}
    assert {k for k in before if before[k][:10] == DAY} <= {*changed, *unused}
    assert all("2027-01-09T14" <= after[k] < "2027-01-09T18" for k in changed)


def test_nobody_lifts_it_in_hours_won_for_what_is_done_a_week_later(shed: Path) -> None:
    """What can be done that long afternoon is drawn in; the stands are for a check of the week after."""
    before = planned(shed)
    now = ("--at", "2027-01-09T09:20")
    fine(run("record", "extra", "2027-01-09", "14:00-20:00", "2", "--in", shed, *now))
    fine(run("replan", shed, "--agree", *now))
    after = planned(shed)
    assert after["header-tank.2"][:10] == "2027-01-09" < before["header-tank.2"][:10]
    assert after["state:on-stands:on#1"][:10] == before["state:on-stands:on#1"][:10] == "2027-01-17"
    assert max(after.values())[:10] <= max(before.values())[:10]
